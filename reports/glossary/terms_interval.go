package glossary

var intervalTerms = []Term{
	{
		Name: "confidence interval",
		Aliases: []string{"interval", "95 % interval", "CI", "lower", "upper", "limits of an interval",
			"excludes zero", "estimate"},
		Keys: []string{"lower", "upper", "estimate", "method"},
		Plain: "The values that the data do not speak against: made in the same way again and again, 95 of 100 " +
			"such intervals hold the true value.",
		Formula: "by quantity; JSON method says how each was made: Student t, chi-square, exact F, Fisher z, " +
			"noncentral t, bootstrap",
		Where:  "beside nearly every number; JSON lower, upper and method; where there is none, method says why",
		Source: "by quantity: see its own entry; " + snedecor,
		Misleads: "It counts the noise of sampling only, not a biased cohort or a wrong scale. Two overlapping " +
			"intervals can still differ.",
		See: []string{"confidence level", "p value", "calibration"},
	},
	{
		Name:     "confidence level",
		Aliases:  []string{"confidence", "alpha", "α"},
		Keys:     []string{"settings.confidence", "detectable_change.level"},
		Plain:    "How often intervals made this way hold the true value; 95 % unless another is given.",
		Formula:  "1 − α",
		Where:    "all commands: --confidence",
		Source:   NoSource,
		Misleads: "95 % is a habit. Choose the level before looking at the results.",
		See:      []string{"confidence interval", "false alarm"},
	},
	{
		Name:    "degrees of freedom",
		Aliases: []string{"df"},
		Keys:    []string{"df", "df1", "df2"},
		Plain: "How much independent information stands behind an estimate of noise: the more, the surer it is, " +
			"and the nearer t comes to 1.96.",
		Formula: "(n−1)(k−1) for the typical error of n athletes in k sessions; n−2 for a correlation, n−q−2 with " +
			"q things held constant, n−g−1 within g levels, observations − athletes − 1 inside athletes, n−p−1 for " +
			"a model of p terms",
		Where:    "JSON and CSV df; retest: the table of tests, behind the typical error",
		Source:   snedecor,
		Misleads: "Attempts of one session are not independent of each other and do not count.",
		See:      []string{"typical error", "Student's t", "Satterthwaite's approximation"},
	},
	{
		Name:     "Student's t",
		Aliases:  []string{"Student t", "t quantile", "t distribution", "t(p, df)"},
		Plain:    "What takes the place of 1.96 when the noise itself is only estimated: larger in small studies.",
		Formula:  "t(1−α/2, df): 2.36 for 7 df, 2.09 for 19, 1.96 for infinitely many, at 95 %",
		Where:    "reliability and retest: detectable change, intervals of changes",
		Source:   snedecor,
		Misleads: "It is exact for normally distributed errors.",
		See:      []string{"detectable change", "degrees of freedom"},
	},
	{
		Name: "bootstrap",
		Aliases: []string{"resampling", "resamples", "percentile bootstrap", "percentile interval", "seed",
			"replicates"},
		Keys: []string{"settings.seed", "settings.replicates"},
		Plain: "An interval made by drawing athletes with replacement again and again and computing the result " +
			"anew each time. Athletes are drawn, never single rows. The same seed gives the same numbers on any " +
			"machine.",
		Formula: "percentile interval: the α/2 and 1−α/2 quantiles of the B results, the (B+1)p-th in order",
		Where: "reliability: interval of the true between-athlete SD; correlate: corrected r; as BCa for the " +
			"added value, the planes together and --bootstrap; --seed and --replicates",
		Source:   "Efron B (1979), Annals of Statistics 7:1–26; " + tibshirani,
		Misleads: "With few athletes it is too narrow: what was never drawn in the first place cannot be drawn again.",
		See:      []string{"BCa", "calibration"},
	},
	{
		Name:    "BCa",
		Aliases: []string{"BCa interval", "bias-corrected and accelerated", "accelerated bootstrap"},
		Keys:    []string{"bca"},
		Plain:   "A bootstrap interval corrected for bias and for noise that changes with the value.",
		Formula: "quantiles at Φ(z0 + (z0+z)/(1 − a·(z0+z))), z = Φ⁻¹((1±level)/2); z0 = Φ⁻¹(share of resamples " +
			"below the estimate), a = Σu³/(6·(Σu²)^1.5), u = mean of the leave-one-out values − each",
		Where: "correlate: of ΔR², of the contrast of two planes and of the corrected r of changes; with " +
			"--bootstrap of every correlation and comparison, JSON bca",
		Source: "Efron B (1987), Journal of the American Statistical Association 82:171–185",
		Misleads: "It wants 2000 resamples or more; where it asks for more than the most extreme resample, that " +
			"one is the limit, and it says so. With few athletes it is still too narrow.",
		See: []string{"bootstrap", "ΔR²"},
	},
	{
		Name:    "coverage",
		Aliases: []string{"coverage of an interval"},
		Plain:   "How often an interval held the true value in simulated studies. At 95 % it should be 95 of 100.",
		Formula: "intervals that hold the truth / simulated studies; Monte Carlo error √(c·(1−c)/studies): 0.22 " +
			"points for 95 % and 10 000 studies",
		Where: "the calibration table of the documentation; JSON limits_of_agreement.coverage is another thing: " +
			"the share of differences inside the limits of agreement",
		Source:   "follows from the definition of the level",
		Misleads: "It is for normally distributed noise, or whatever the simulation drew.",
		See:      []string{"calibration", "confidence interval", "limits of agreement"},
	},
	{
		Name:    "calibration",
		Aliases: []string{"calibrated", "calibration table", "Monte Carlo", "simulation"},
		Plain: "The proof that every interval and every alarm keeps its promise: thousands of studies with " +
			"known truth are simulated and the rates counted.",
		Formula: "for each method, cohort size, number of sessions and true ICC: coverage, and the false-alarm " +
			"rate of 'real' when nobody changed",
		Where:    "the calibration table of the documentation; a short version in the tests",
		Source:   "simulated here; no published source",
		Misleads: "It shows that the arithmetic is right for the model simulated, not that your data follow it.",
		See:      []string{"coverage", "false alarm", "confidence interval"},
	},
}
