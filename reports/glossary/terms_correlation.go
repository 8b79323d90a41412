package glossary

var correlationTerms = []Term{
	{
		Name:    "Pearson's r",
		Aliases: []string{"r", "correlation", "r over all (Pearson)", "Pearson", "correlation over all athletes"},
		Keys:    []string{"pearson", "levels.r", "associations"},
		Plain: "How closely test and outcome lie on a straight line: 1 or −1 on the line, 0 no linear relation. " +
			"One point per athlete.",
		Formula: "r = Σ(x−x̄)(y−ȳ)/√(Σ(x−x̄)²·Σ(y−ȳ)²); interval tanh(atanh r ± z/√(n−3)); p from t = " +
			"r·√((n−2)/(1−r²)) on n−2 df",
		Where:  "correlate: column 'r over all (Pearson)', pictures, table of levels",
		Source: fisher21,
		Misleads: "Over several levels of play nearly everything goes with everything: read the r within level. It " +
			"does not say that training the test raises the outcome. One athlete far out can make it.",
		See: []string{"correlation within level", "Spearman's r", "corrected r", "Fisher's z"},
	},
	{
		Name:    "Fisher's z",
		Aliases: []string{"Fisher z", "z transformation"},
		Plain: "The scale on which intervals of correlations are made, because there their noise is the same " +
			"everywhere.",
		Formula:  "z = atanh r = ½·ln((1+r)/(1−r)), standard error 1/√(n−3), or 1/√(n−q−3) with q things held constant",
		Where:    "correlate: intervals of r",
		Source:   fisher21,
		Misleads: "It takes the two variables to be normally distributed together. At r = ±1 there is no interval.",
		See:      []string{"Pearson's r", "homogeneity"},
	},
	{
		Name:    "Spearman's r",
		Aliases: []string{"Spearman", "rank correlation"},
		Keys:    []string{"spearman"},
		Plain: "The correlation of the ranks: whether a higher test goes with a higher outcome, along a line or " +
			"not. Single far-out values weigh less.",
		Formula: "Pearson's r of the mid-ranks; interval tanh(atanh r ± z·√((1 + r²/2)/(n−3))); p up to n = 9 " +
			"over all orders, ties kept (p_method exact), above by t; never 0",
		Where:    "correlate: column Spearman",
		Source:   spearman + "; interval: Bonett DG, Wright TA (2000), Psychometrika 65:23–28",
		Misleads: "Like Pearson's r it is lifted by mixing levels of play.",
		See:      []string{"Pearson's r", "correlation within level"},
	},
	{
		Name:    "partial r",
		Aliases: []string{"partial", "partial correlation", "covariates held constant", "covariates"},
		Keys:    []string{"partial", "settings.covariates"},
		Plain: "The correlation that is left between athletes of the same body mass, age or whatever else is " +
			"held constant.",
		Formula: "r of the residuals of both after regression on the q covariates; df n − q − 2; interval " +
			"tanh(atanh r ± z/√(n−q−3))",
		Where:  "correlate --covariate: column 'partial r'",
		Source: "Fisher RA (1924), Metron 3:329–332",
		Misleads: "Holding constant what lies on the way from test to outcome takes away what you are looking for. " +
			"A covariate measured with noise is held constant only in part.",
		See: []string{"Pearson's r", "correlation within level", "ΔR²"},
	},
	{
		Name:    "correlation within level",
		Aliases: []string{"r within level", "within level", "within-level r", "across levels"},
		Keys:    []string{"within_level"},
		Plain: "The correlation among athletes of the same level: each level's own mean is taken off first, " +
			"then the levels are put together.",
		Formula: "r = Σ(x−x̄g)(y−ȳg)/√(Σ(x−x̄g)²·Σ(y−ȳg)²) over all levels g; df n − g − 1; interval tanh(atanh r " +
			"± z/√(n−g−2)), g levels",
		Where:  "correlate: column 'r within level', diamonds in the picture, table of levels",
		Source: snedecor + ", sections 10.5–10.7",
		Misleads: "It takes the levels to share one correlation: see homogeneity. In small levels it is uncertain: " +
			"read its interval.",
		See: []string{"parted", "homogeneity", "Pearson's r", "level of play"},
	},
	{
		Name:    "parted",
		Aliases: []string{"the levels make part of it", "the levels, not the test, make most of it"},
		Keys:    []string{"parted", "within_level.words"},
		Plain: "The correlation over all athletes and the one within a level disagree: the mixture of levels " +
			"makes part or most of it, hides part of it, or turns it round.",
		Formula:  "|r over all − r within| ≥ 0.2, or ≥ 0.1 with r over all outside the interval of r within",
		Where:    "correlate: the answer, warnings, column 'reading' of the table of levels; JSON parted and words",
		Source:   NoSource,
		Misleads: "Where it is not set the two may still differ by less than 0.1 or 0.2.",
		See:      []string{"correlation within level", "Pearson's r"},
	},
	{
		Name:    "reading",
		Aliases: []string{"what the numbers of a row say", "in words"},
		Keys:    []string{"levels.reading", "added.words", "added-value.words"},
		Plain: "What the numbers of a row say, in words: whether r over all athletes and r within a level " +
			"agree, or what a block adds to a model.",
		Formula:  "none: it goes by the numbers beside it",
		Where:    "correlate: tables of levels and of added value, column 'reading'; JSON words",
		Source:   NoSource,
		Misleads: "It is a summary of its row, no further evidence.",
		See:      []string{"parted", "ΔR²"},
	},
	{
		Name:    "homogeneity",
		Aliases: []string{"homogeneity of correlations", "are the levels' r equal"},
		Keys:    []string{"homogeneity", "chi_square", "levels_differ"},
		Plain: "Asks whether the levels could share one correlation. Where they could not (p below 5 % at the usual " +
			"confidence), they are shown one by one, and the r within a level says so.",
		Formula: "χ² = Σ(n_g−3)(z_g−z̄)², z = atanh r, z̄ weighted by n_g − 3, on one degree of freedom less than " +
			"there are levels",
		Where: "correlate: the answer, warnings and the table of levels; JSON within_level.homogeneity and " +
			"levels_differ",
		Source: snedecor + ", section 10.7",
		Misleads: "With small levels it sees only gross differences; no sign of one is not proof that they are equal. " +
			"Each test is judged on its own: among 20 tests one differs by chance.",
		See: []string{"correlation within level", "Fisher's z"},
	},
	{
		Name: "corrected r",
		Aliases: []string{"corrected", "corrected r within level", "correction for unreliability", "disattenuated r",
			"correction for attenuation", "corrected r lies beyond 1"},
		Keys: []string{"associations.corrected", "correlate.corrected", "reliability_test", "reliability_outcome",
			"above_one", "corrected.source", "change_against_change.corrected", "change-against-change.corrected",
			"within_level.corrected", "correlate.corrected_within_level"},
		Plain: "The correlation there would be if test and outcome were measured without noise.",
		Formula: "r/√(reliability of the test · reliability of the outcome), ICC(C,k) each; BCa bootstrap " +
			"over athletes with r and both reliabilities computed anew; with a study of other athletes both " +
			"studies are resampled, each by its own athletes. Within level: the r within a level, and ICC(C,k) with the " +
			"level means, of the athletes and of each session, taken out",
		Where: "correlate: columns 'corrected r' and 'corrected r within level'; reliabilities from --noise, --study or " +
			"the sessions used, within level from the sessions used only",
		Source: spearman,
		Misleads: "It can pass 1, and is then shown as it is and flagged: a reliability is too low, or test and " +
			"outcome share their errors. It is no correlation you could see in practice.",
		See: []string{"Pearson's r", "ICC(C,k)", "bootstrap"},
	},
	{
		Name:    "slope",
		Aliases: []string{"regression slope", "least-squares line", "least squares", "confidence band of the line"},
		Keys: []string{"associations.slope", "correlate.slope", "repeated_measures.slope",
			"change_against_change.slope"},
		Plain: "How much higher the outcome is, on average, for one unit more in the test; the line in the " +
			"scatter, with the band in which the true line lies.",
		Formula: "b = Σ(x−x̄)(y−ȳ)/Σ(x−x̄)² ± t(1−α/2, n−2)·s/√Sxx; band ± t·s·√(1/n + (x−x̄)²/Sxx)",
		Where:   "correlate: CSV and JSON slope, scatter pictures",
		Source:  draperSmith,
		Misleads: "It compares athletes; it is not what an athlete gains by raising the test. Noise in the test " +
			"makes it too flat. The band is for the line, not for single athletes.",
		See: []string{"Pearson's r", "residual SD", "outcome-anchored worthwhile change"},
	},
	{
		Name: "comparison of two correlations",
		Aliases: []string{"difference", "r with A", "r with B", "A with B", "rotational against sagittal",
			"comparisons", "closer"},
		Keys: []string{"comparisons", "comparisons_within_level", "r_a", "r_b", "r_ab", "difference",
			"comparisons.df", "comparisons.n",
			"comparisons_within_level.df", "comparisons_within_level.n", "comparisons-within-level.df",
			"comparisons-within-level.n"},
		Plain: "Whether one test goes with the outcome more closely than another, on the same athletes. Because " +
			"both share the outcome and the athletes, the two correlations are not independent.",
		Formula: "r with A − r with B, with the correlation of A and B allowed for; tests where lower is better " +
			"are turned round first; |r| − |r| where nobody said which way one of them, or the outcome, is better",
		Where: "correlate: tables of pairs of tests across the two planes, over all athletes and with level " +
			"means removed",
		Source: "Steiger JH (1980), Psychological Bulletin 87:245–251; Zou GY (2007), Psychological Methods " +
			"12:399–413",
		Misleads: "A less noisy test goes more closely with anything: part of a difference may be reliability. " +
			"With few athletes only large differences show.",
		See: []string{"Williams' t", "Meng's z", "Zou's interval", "plane"},
	},
	{
		Name:    "Williams' t",
		Aliases: []string{"Williams", "t", "p (Williams)"},
		Keys:    []string{"t", "p_williams"},
		Plain:   "The test that two tests go equally closely with the outcome.",
		Formula: "t = (r12−r13)·√((n−1)(1+r23)/(2·(n−1)/(n−3)·|R| + r̄²·(1−r23)³)) on n−3 df; |R| = 1 − r12² − " +
			"r13² − r23² + 2·r12·r13·r23, r̄ = (r12+r13)/2",
		Where: "correlate: tables of pairs, columns t, p and 'p (Holm)'",
		Source: "Williams EJ (1959), Journal of the Royal Statistical Society B 21:396–399, in the form of " +
			"Steiger JH (1980), Psychological Bulletin 87:245–251",
		Misleads: "Not shown to differ is not shown to be equal: read Zou's interval.",
		See:      []string{"comparison of two correlations", "Meng's z", "Zou's interval"},
	},
	{
		Name:    "Meng's z",
		Aliases: []string{"Meng", "z", "p (Meng)", "Meng, Rosenthal & Rubin"},
		Keys:    []string{"z", "p_meng"},
		Plain:   "A second test of the same question as Williams' t, on Fisher's scale.",
		Formula: "z = (atanh r12 − atanh r13)·√((n−3)/(2·(1−r23)·h)); h = (1 − f·m)/(1 − m), m = (r12²+r13²)/2, f " +
			"= min(1, (1−r23)/(2·(1−m)))",
		Where:    "correlate: tables of pairs, column 'p (Meng)'",
		Source:   "Meng X-L, Rosenthal R, Rubin DB (1992), Psychological Bulletin 111:172–175",
		Misleads: "It is beside Williams' t, not a second independent witness.",
		See:      []string{"Williams' t", "Fisher's z"},
	},
	{
		Name:    "Zou's interval",
		Aliases: []string{"Zou", "interval of a difference of correlations"},
		Keys: []string{"comparisons.lower", "comparisons.upper", "comparisons_within_level.lower",
			"comparisons_within_level.upper",
			"comparisons-within-level.lower", "comparisons-within-level.upper"},
		Plain: "The interval of the difference of two correlations that share the outcome.",
		Formula: "lower = r12−r13 − √((r12−l1)² + (u2−r13)² − 2c·(r12−l1)(u2−r13)), upper = r12−r13 + √((u1−r12)² " +
			"+ (r13−l2)² − 2c·(u1−r12)(r13−l2)); l, u Fisher limits, c the correlation of the two correlations",
		Where:  "correlate: tables of pairs, column 'difference'",
		Source: "Zou GY (2007), Psychological Methods 12:399–413",
		Misleads: "It can disagree with the p value at the edge: the two are made in different ways. Below 40 athletes it " +
			"stands alone: a bootstrap interval of the difference holds the truth in 88 to 93 % there.",
		See: []string{"comparison of two correlations", "Williams' t"},
	},
	{
		Name:    "mean r of a plane",
		Aliases: []string{"mean r", "lowest", "highest", "closest test", "planes"},
		Keys:    []string{"planes", "mean_r", "lowest", "highest", "best"},
		Plain: "The average correlation of the tests of one plane with the outcome, each turned so that better " +
			"is higher, with the lowest and the highest beside.",
		Formula: "tanh(mean of atanh r) over the tests of the plane",
		Where:   "correlate: the table of planes",
		Source:  "mean on the scale of " + fisher21,
		Misleads: "It says which tests were chosen as much as which plane matters: a noisy test lowers its plane. " +
			"The closest test was picked after looking, so its r is a little too high.",
		See: []string{"plane", "Fisher's z", "comparison of two correlations"},
	},
	{
		Name: "contrast of two planes",
		Aliases: []string{"plane contrast", "rotational tests against sagittal tests together", "family summary",
			"difference (Fisher's z)", "mean r of A", "mean r of B"},
		Keys: []string{"plane_contrast", "plane_contrast_within_level", "difference_fisher_z", "mean_r_a",
			"mean_r_b", "tests_a", "tests_b", "plane-contrast.over", "plane-contrast.lower", "plane-contrast.upper"},
		Plain: "Whether all the tests of one plane together go with the outcome more closely than all those of " +
			"another.",
		Formula: "mean of atanh r over the tests of plane A − the same of plane B, each test turned so that " +
			"better is higher; mean r of each plane tanh of its part; ± z·√(w'Vw), V the covariances of Fisher's z of " +
			"correlations that share the outcome: 1/(n−3) and c/(n−3), c as in Zou's interval, w 1 over the tests of A " +
			"and −1 over those of B",
		Where: "correlate: table of the planes together, over all athletes and within level; JSON " +
			"plane_contrast, with the tests that count",
		Source: "difference of means on the scale of " + fisher21 + "; covariances: Olkin I, Siotani M (1976), in: Ikeda S " +
			"(ed.), Essays in Probability and Statistics, 235–251",
		Misleads: "It is on Fisher's scale, not in r. A plane whose tests are noisier loses for that reason alone. Where " +
			"nobody said which way some test or the outcome is better it is left open.",
		See: []string{"mean r of a plane", "comparison of two correlations", "Fisher's z"},
	},
	{
		Name: "repeated-measures correlation",
		Aliases: []string{"within-athlete correlation", "repeated measures", "r inside athletes",
			"r of the athletes' means", "r ignoring who is who", "r inside athletes, session means out"},
		Keys: []string{"repeated_measures", "repeated-measures.r", "r_ignoring_athletes", "r_of_means",
			"associations.repeated", "session_adjusted", "repeated_measures.sessions"},
		Plain: "Whether, in the same athlete, sessions with a higher test are sessions with a higher outcome, once what " +
			"a session did to everybody is taken off.",
		Formula: "±√(SS of the test/(SS of the test + SS residual)) from outcome = athlete + session + b·test by least " +
			"squares; sign of b; df = observations − athletes − sessions (one more for each part of the table that " +
			"shares no session with the rest); p of F = SS of the test/(SS residual/df); interval tanh(atanh r ± " +
			"z/√(df − 1))",
		Where: "correlate --repeated: table of repeated measures, JSON associations.repeated and repeated_measures; " +
			"beside it r with the session means in, r of the athletes' means (do athletes with a high test have a high " +
			"outcome?) and r ignoring who is who (a mixture of both questions)",
		Source: "analysis of covariance, as Bland JM, Altman DG (1995), BMJ 310:446, with sessions as a second factor",
		Misleads: "It takes one slope for all athletes, and sessions that lift everybody alike: where a block lifts one " +
			"group's test and outcome more than another's, that remains in it.",
		See: []string{"r with the session means in", "change-against-change correlation", "Pearson's r"},
	},
	{
		Name:    "r with the session means in",
		Aliases: []string{"session means in", "athletes only"},
		Keys: []string{"athletes_only", "athletes_only.slope", "repeated-measures.athletes_only", "session_means_test",
			"session_means_outcome", "session_means_test.f", "session_means_outcome.f"},
		Plain: "The correlation inside athletes without taking off what a session did to everybody. Beside it the tests " +
			"whether the session means of test and outcome differ.",
		Formula: "±√(SS of the test/(SS of the test + SS residual)) from outcome = athlete + b·test; df = observations − " +
			"athletes − 1; session means: F of the sessions after the athletes, for test and outcome each",
		Where:  "correlate --repeated: table of repeated measures, column 'session means in'; JSON athletes_only",
		Source: "Bland JM, Altman DG (1995), BMJ 310:446",
		Misleads: "A block of training, or practice, that lifts both makes it too: with nothing between test and outcome " +
			"but a lift of one SD, p < 0.05 in 16 to 63 % of pairs (8 to 40 athletes, 3 sessions, simulated). A warning says " +
			"where both moved and the two r part.",
		See: []string{"repeated-measures correlation"},
	},
	{
		Name:    "change-against-change correlation",
		Aliases: []string{"change against change", "correlation of changes", "r of the changes"},
		Keys:    []string{"change_against_change", "change-against-change.r"},
		Plain: "Whether athletes who gained in the test are those who gained in the outcome: the nearest this " +
			"data comes to 'train this, get that'.",
		Formula: "Pearson's r of (follow-up − baseline) in the test with that in the outcome, over the athletes; " +
			"freed of noise r/√(rel of the one change · rel of the other), rel = 1 − 2·TE²/variance of the " +
			"changes, with a BCa interval over athletes",
		Where:  "correlate --change A,B: table of changes; JSON change_against_change",
		Source: fisher21 + "; correction: " + spearman,
		Misleads: "Changes hold the noise of two sessions, which pulls r towards 0; test and outcome measured on " +
			"the same days share the form of the day, which pushes it up. Even so it is no proof of cause.",
		See: []string{"reliability of a change", "repeated-measures correlation", "corrected r"},
	},
	{
		Name:    "reliability of a change",
		Aliases: []string{"reliability of the changes", "changes vary no more than their noise"},
		Keys:    []string{"change_against_change.reliability_test", "change_against_change.reliability_outcome"},
		Plain:   "The share of the differences between athletes in how much they changed that is not noise.",
		Formula: "1 − 2·TE²/variance of the changes, TE the typical error of one score",
		Where: "correlate --change: JSON reliability_test and reliability_outcome, the corrected r of changes, " +
			"and a warning where it is 0 or below",
		Source: "Lord FM, Novick MR (1968), Statistical Theories of Mental Test Scores, section 3.5",
		Misleads: "It comes out below 0 when the changes vary less than their noise: nothing can be said about " +
			"real changes then. The typical error is taken as known, from sessions with no training between them.",
		See: []string{"change-against-change correlation", "typical error", "corrected r"},
	},
}
