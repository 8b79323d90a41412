package glossary

var agreementTerms = []Term{
	{
		Name:     "mean difference",
		Aliases:  []string{"bias", "systematic difference"},
		Keys:     []string{"limits_of_agreement.bias", "bias_interval", "agreement.bias"},
		Plain:    "How much higher or lower the second session is than the first, on average over the athletes.",
		Formula:  "d = mean of (second − first) ± t(1−α/2, n−1)·s/√n, s = SD of the differences",
		Where:    "reliability: agreement table and picture (--agreement A,B chooses the sessions)",
		Source:   blandAltman86,
		Misleads: "One mean for all is not enough when the difference changes with the value: see proportional bias.",
		See:      []string{"limits of agreement", "proportional bias", "change of the mean"},
	},
	{
		Name:    "limits of agreement",
		Aliases: []string{"LoA", "lower limit", "upper limit", "outside the limits", "difference of two sessions"},
		Keys: []string{"limits_of_agreement", "limits_of_agreement.lower", "limits_of_agreement.upper",
			"lower_interval", "upper_interval", "lower_approximate", "upper_approximate", "coverage",
			"agreement.lower", "agreement.upper"},
		Plain: "Between these two values lie 95 of 100 differences between two sessions of an athlete.",
		Formula: "d − 1.96·s and d + 1.96·s; exact intervals of a limit d + s·q/√n, q the noncentral t quantiles " +
			"with n−1 df and noncentrality 1.96·√n; approximate ones limit ± t·√(3s²/n) beside",
		Where: "reliability: agreement table and picture (filled marks lie outside the limits); JSON " +
			"limits_of_agreement, its exact and its approximate intervals",
		Source: blandAltman86 + "; " + blandAltman99 + "; exact intervals: " + carkeet,
		Misleads: "In small studies the limits themselves are uncertain: read their intervals. They take the " +
			"differences to be of one size at all values: see error growth.",
		See: []string{"mean difference", "prediction limits", "error growth", "noncentral t"},
	},
	{
		Name:    "prediction limits",
		Aliases: []string{"prediction interval"},
		Keys:    []string{"prediction_lower", "prediction_upper"},
		Plain: "Where the difference of the next athlete is to be expected, with the uncertainty of a small " +
			"study counted in.",
		Formula:  "d ± t(1−α/2, n−1)·s·√(1 + 1/n)",
		Where:    "reliability: JSON limits_of_agreement.prediction_lower and prediction_upper",
		Source:   "Student's t for one further value: " + snedecor + "; " + carkeet,
		Misleads: "It is for one further athlete, not for all further ones together.",
		See:      []string{"limits of agreement", "detectable change"},
	},
	{
		Name:    "proportional bias",
		Aliases: []string{"slope on the mean"},
		Keys: []string{"slope_on_mean", "slope_p", "agreement.slope", "agreement.slope_lower",
			"agreement.slope_upper"},
		Plain: "Whether the difference of two sessions itself changes with the value: athletes with high scores " +
			"may have gained more from one session to the next than those with low ones.",
		Formula:  "slope of the difference on the mean of the two, by least squares, ± t(1−α/2, n−2)·SE",
		Where:    "reliability: agreement table, column 'slope on the mean'; JSON slope_on_mean and slope_p",
		Source:   blandAltman99,
		Misleads: "When the two sessions have different spreads for any reason, a slope appears.",
		See:      []string{"mean difference", "error growth", "log scale"},
	},
	{
		Name:    "spread on the mean",
		Aliases: []string{"spread"},
		Keys:    []string{"spread_on_mean", "spread_p", "agreement.spread"},
		Plain:   "Whether the difference of two sessions is larger for athletes with higher scores.",
		Formula: "slope, on the mean of the two scores, of |residual| of the line behind the proportional bias, ± " +
			"t(1−α/2, n−2)·SE",
		Where:    "reliability: agreement table; JSON spread_on_mean and spread_p",
		Source:   blandAltman99,
		Misleads: "Two means an athlete say little: the advice on the scale rests on error growth.",
		See:      []string{"error growth", "proportional bias"},
	},
	{
		Name: "error growth",
		Aliases: []string{"heteroscedasticity", "power that evens it", "the error grows with the value",
			"the error shrinks as the value grows"},
		Keys: []string{"error_growth", "error_growth.slope", "error_growth.p", "error_growth.power", "error-growth.slope",
			"error-growth.p", "error-growth.power"},
		Plain: "Whether the noise is larger for athletes with higher scores. If so, one typical error in the " +
			"unit is too large for some and too small for others.",
		Formula: "slope of the log of each athlete's own error variance (between sessions, and of attempts) on the log of the " +
			"athlete's mean, weighted by degrees of freedom, ± t(1−α/2, n−2)·SE. 0: one size for all; 2: in proportion. The " +
			"Box–Cox power that evens it is 1 − slope/2 (on logs −slope/2)",
		Where: "reliability: table of error growth; JSON error_growth (slope, power)",
		Source: "log variances: Bartlett MS, Kendall DG (1946), Suppl J R Stat Soc 8:128–138; power: Box GEP, Cox DR (1964), " +
			"J R Stat Soc B 26:211–252",
		Misleads: "A few athletes at the top decide it. Not shown is not shown to be even.",
		See:      []string{"scale advice", "log scale", "proportional bias"},
	},
	{
		Name:    "scale advice",
		Aliases: []string{"log advice", "log advised", "use the log scale", "cured on the log scale"},
		Keys:    []string{"log_advised", "spread_on_log", "cured_on_log", "advice", "verdict.scale_advice", "scale_advice"},
		Plain: "Says when the log scale would serve better, and whether it cures an error that grows with the " +
			"value.",
		Formula: "advised when the interval of the error growth lies above 0 and every score is above 0; cured " +
			"when, refitted on logarithms, its interval holds 0",
		Where: "reliability: agreement table, column 'scale advice', and a warning; JSON log_advised, " +
			"spread_on_log, cured_on_log",
		Source: blandAltman99,
		Misleads: "It rests on two sessions of the athletes at hand. Choose one scale for a test and keep it from " +
			"study to study.",
		See: []string{"error growth", "log scale"},
	},
	{
		Name:     "noncentral t",
		Aliases:  []string{"noncentral t distribution", "exact interval of a limit"},
		Plain:    "The distribution behind the exact intervals of the limits of agreement.",
		Formula:  "(Z + δ)/√(χ²(df)/df), Z standard normal, δ = z·√n",
		Where:    "reliability: intervals of the limits of agreement",
		Source:   carkeet,
		Misleads: "Exact means exact for normally distributed differences.",
		See:      []string{"limits of agreement", "calibration"},
	},
}
