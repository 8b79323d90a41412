package glossary

// Sources of norms.
const (
	hyndmanFan = "Hyndman RJ, Fan Y (1996), The American Statistician 50:361–365"
	crawford09 = "Crawford JR, Garthwaite PH, Slick DJ (2009), The Clinical Neuropsychologist 23:1173–1195"
)

// normsTerms are those of norms.
var normsTerms = []Term{
	{
		Name: "norms",
		Aliases: []string{"reference values", "reference table", "reference group", "half of them", "middle half",
			"an athlete", "mark"},
		Keys: []string{"half", "middle", "groups.group.column", "groups.group.value", "groups.group.whole",
			"standings.group.column", "standings.group.value", "standings.group.whole", "norms.groups", "norms.groups.group",
			"norms.standings.group", "standing.group.column", "standing.group.whole", "standing.group.value", "norms.session", "settings.session", "settings.athletes"},
		Plain: "What the athletes of a group reach in a test, in one session: how many they are, their mean and " +
			"spread, and " +
			"the scores that a tenth, a quarter, half … of them do not reach.",
		Formula: "per group and for the whole cohort: n, mean, SD, quantiles of the session scores",
		Where:   "norms: table of groups, pictures (dots: the group's own scores), JSON groups",
		Source:  NoSource,
		Misleads: "It describes the athletes who were there, not those of another club, age or sex. In a mixed cohort " +
			"the same " +
			"score stands very differently: read the own group first. " + clinician,
		See: []string{"standing", "quantile", "norms file", "level of play"},
	},
	{
		Name: "quantile",
		Aliases: []string{"quantiles", "percentile", "5th", "10th", "25th", "50th", "75th", "90th", "95th", "median",
			"type 8", "limits at"},
		Keys: []string{"quantiles", "quantiles.p", "quantiles.level", "quantiles.estimate", "quantiles.lower",
			"quantiles.upper",
			"p05", "p10", "p25", "p50", "p75", "p90", "p95", "limits_at"},
		Plain: "The score that a given share of the group does not reach. At the 90th nine in ten are worse, also where " +
			"less is better.",
		Formula: "type 8: the score at place p·(n + 1/3) + 1/3 in order, between two by a straight line. Limits: the " +
			"scores at " +
			"places r and s, P(B ≤ r−1) ≤ α/2 and P(B ≥ s) ≤ α/2, B binomial (n, p); the level that they attain stands " +
			"beside them",
		Where:  "norms: columns 5th to 95th, “limits at”, JSON quantiles",
		Source: hyndmanFan + "; limits: Thompson WR (1936), Annals of Mathematical Statistics 7:122–128",
		Misleads: "Limits need athletes: the median 6, quartiles 13, 10th and 90th 36, 5th and 95th 72. A quantile " +
			"without limits " +
			"is a description of the group, no norm.",
		See: []string{"norms", "standing", "coarse"},
	},
	{
		Name:    "coarse",
		Aliases: []string{"coarse norms", "too small for limits"},
		Keys:    []string{"coarse"},
		Plain: "At least one percentile of the group has no limits, because the group is too small, or the numbers are the " +
			"rounded ones of a norms file.",
		Formula:  "true when a quantile of 5, 10, 25, 50, 75, 90, 95 lacks attainable limits",
		Where:    "norms: JSON coarse",
		Source:   NoSource,
		Misleads: "Most groups of a club are coarse in the tails: that is no fault of the test.",
		See:      []string{"quantile", "norms file"},
	},
	{
		Name:    "smooth centiles",
		Aliases: []string{"centiles", "Box–Cox normal centiles", "LMS"},
		Keys:    []string{"centiles", "lambda", "mu", "sigma"},
		Plain: "Percentiles from a smooth curve in place of single scores, where at least 50 athletes of one level are " +
			"there.",
		Formula: "z = (y^(λ) − μ)/σ, y^(λ) = (y^λ − 1)/λ, ln y for λ = 0; λ in [−2, 2] of the largest likelihood",
		Where:   "norms: JSON centiles",
		Source: "Box GEP, Cox DR (1964), J R Stat Soc B 26:211–252; in terms of L, M, S: Cole TJ, Green PJ (1992), " +
			"Statistics " +
			"in Medicine 11:1305–1319. That 50 are needed: " + NoSource,
		Misleads: "A curve speaks of the tails though hardly anybody is there. Of several levels together there is none.",
		See:      []string{"quantile", "norms"},
	},
	{
		Name:    "standing",
		Aliases: []string{"place", "standings", "between", "percentile of the group", "whole band"},
		Keys: []string{"standings", "place", "place_own", "place_whole", "standings.lower", "standings.upper", "above",
			"under",
			"standings.score", "standings.athletes"},
		Plain: "Where an athlete stands among the others of a group: between two percentiles, towards better. The band " +
			"counts " +
			"that the score has noise and that the group is a sample.",
		Formula: "L = p − √((p − l_s)² + (p − l_n)²), U = p + √((u_s − p)² + (u_n − p)²), cut at 0 and 1: p the percentile " +
			"rank, l_s, u_s its sampling limits, l_n, u_n its noise limits",
		Where:  "norms: column “place”, pictures, JSON standings lower and upper",
		Source: "put together by MOVER: Zou GY, Donner A (2008), Statistics in Medicine 27:1693–1702",
		Misleads: "It is wide: about 50 points among 20 others, 36 among 200. Two athletes whose bands overlap are not " +
			"told " +
			"apart by it, and of twenty bands one misses. " + clinician,
		See: []string{"percentile rank", "sampling limits", "noise limits", "norms"},
	},
	{
		Name:    "percentile rank",
		Aliases: []string{"rank in percent"},
		Keys:    []string{"percentile_rank"},
		Plain: "The share of the group that is worse, of the group as it would be without noise. Never read it without " +
			"its band.",
		Formula: "(below + equal/2 + ½)/(N + 1) among the others' scores drawn to their spread without noise, y* = m + " +
			"√ρ·(y − m)",
		Where:  "norms: JSON percentile_rank; no sheet shows it alone",
		Source: crawford09 + "; drawn scores after Louis TA (1984), J Am Stat Assoc 79:393–398",
		Misleads: "A mean of percentile ranks is no percentile rank, and ten points mean little in the middle and much " +
			"at the " +
			"ends.",
		See: []string{"standing", "share not noise", "rank"},
	},
	{
		Name:    "rank",
		Aliases: []string{"place in order"},
		Keys:    []string{"rank", "place_rank"},
		Plain:   "The place of the score as it was measured, among the athlete and the others of the group: 1 is best.",
		Formula: "1 + how many others have a better score",
		Where:   "norms: column “rank”, JSON rank",
		Source:  NoSource,
		Misleads: "Noise alone moves it by several places. Measured again tomorrow the order is another one: read the " +
			"standing " +
			"instead.",
		See: []string{"standing", "percentile rank"},
	},
	{
		Name:     "others",
		Aliases:  []string{"other athletes", "others in the group"},
		Keys:     []string{"norms.standings.athletes"},
		Plain:    "How many athletes of the group one stands among, oneself not counted; in a norms file all of the group.",
		Formula:  "count of scores in the session",
		Where:    "norms: column “others”, JSON standings athletes",
		Source:   NoSource,
		Misleads: "Under 5 nobody stands anywhere.",
		See:      []string{"standing", "norms"},
	},
	{
		Name:    "sampling limits",
		Aliases: []string{"sampling", "beta limits"},
		Keys:    []string{"sampling", "sampling.lower", "sampling.upper"},
		Plain: "How far a percentile rank is open because the group is a sample: another twenty athletes would be " +
			"other ones.",
		Formula:  "Beta(b+1, a+e+1) at α/2 and Beta(b+e+1, a+1) at 1−α/2; b below, e equal, a above",
		Where:    "norms: JSON sampling",
		Source:   crawford09,
		Misleads: "Alone they cover 34 to 88 % for 95, because the score has noise too.",
		See:      []string{"standing", "noise limits"},
	},
	{
		Name:     "noise limits",
		Aliases:  []string{"limits of noise", "as wide as the noise"},
		Keys:     []string{"standing.noise", "standings.noise", "standings.noise.lower", "standings.noise.upper"},
		Plain:    "How far a percentile rank is open because the athlete's own score has noise.",
		Formula:  "percentile rank at x − t·TE and at x + t·TE",
		Where:    "norms: JSON noise; in the picture the bar through the athlete's mark, in the unit",
		Source:   NoSource,
		Misleads: "Alone they cover 87 to 94 % for 95, because the group is a sample too.",
		See:      []string{"standing", "sampling limits", "typical error"},
	},
	{
		Name:    "share not noise",
		Aliases: []string{"ρ", "rho of a group"},
		Keys:    []string{"rho"},
		Plain:   "How much of the spread of a group's scores is the athletes' own; the rest is noise of the scores.",
		Formula: "ρ = 1 − TE²/s², at least 0.05; s the SD of the group's scores",
		Where:   "norms: JSON rho, norms file rho",
		Source:  "as a reliability: Spearman C (1904), American Journal of Psychology 15:72–101",
		Misleads: "In a mixed cohort it is high because the levels differ. Under a half nobody's place in the group is " +
			"told well.",
		See: []string{"percentile rank", "ICC(C,1)", "typical error"},
	},
	{
		Name:    "norms file",
		Aliases: []string{"against", "norms --against", "norms --save", "norms file that holds nobody", "the norms file"},
		Keys: []string{"norms.against", "settings.against", "norms-file.measures.step", "unit_step",
			"norms-file.measures.group",
			"norms-file.session", "quantiles.value", "norms-file.measures.better", "norms-file.by"},
		Plain: "Reference values of one table for athletes of another. It holds nobody: no group under 10 athletes, few " +
			"percentiles, and every number rounded to half the typical error or more.",
		Formula: "a quantile only where 5 athletes lie on each side, at most n/5 of them; 10–19 athletes: median and " +
			"quartiles at " +
			"most; the whole only where it less the other groups is nobody or at least 10",
		Where:  "norms --save FILE writes it, norms --against FILE stands in it",
		Source: "after Hundepool A et al. (2012), Statistical Disclosure Control, Wiley; the thresholds: " + NoSource,
		Misleads: "Beyond the outermost percentile it cannot say how far: “above the 90th”. Another way to measure, " +
			"another " +
			"season or sex makes it another group's norms. Several files of the same athletes, by other columns or with and " +
			"without somebody, can be set against each other: hand on one. It does not replace consent.",
		See: []string{"norms", "coarse", "standing"},
	},
}
