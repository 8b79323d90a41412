package glossary

// errorTerms are about whether one typical error is true for all.
var errorTerms = []Term{
	{
		Name:    "equal noise",
		Aliases: []string{"athletes equally noisy, p", "athletes differ in noise"},
		Keys:    []string{"equal_noise", "equal_noise.p", "equal-noise.p"},
		Plain: "Asks whether all athletes are equally noisy. If not, the typical error of all is too small for the noisiest " +
			"and too large for the others.",
		Formula: "Σ(SS_i/s² − ν_i)² over the athletes, SS_i the sum of squares of what the athlete's sessions leave over on " +
			"ν_i df, s² = ΣSS_i/Σν_i; p by simulated normal tables",
		Where:  "reliability: table of equal noise, a warning when p is small; JSON equal_noise",
		Source: "Cox DR (1983), Biometrika 70:269–274",
		Misleads: "With two or three sessions athletes that differ and wild days of all athletes look the same. A large p is no proof: " +
			"one athlete has only as many degrees of freedom as sessions less one.",
		See: []string{"own typical error", "robust typical error", "typical error"},
	},
	{
		Name: "own typical error",
		Aliases: []string{"own noise", "moderated typical error", "moderated variance", "prior df", "noisiest", "its typical error",
			"all alike"},
		Keys: []string{"own_noise", "own_noise.athlete", "own_noise.typical_error", "own_noise.df", "own_noise.alone",
			"own_noise.alone_df", "equal_noise.prior_df", "equal_noise.prior_typical_error",
			"equal-noise.prior_df", "equal-noise.prior_typical_error",
			"equal-noise.noisiest", "equal-noise.noisiest_typical_error"},
		Plain: "The typical error of one athlete, drawn toward that of the others as far as those say that athletes are alike.",
		Formula: "√((d0·s0² + d·s²)/(d0 + d)) on d0 + d df; s on d df from the athlete alone, d0 and s0² by moments of the log " +
			"variances. No prior df: no sign that athletes differ, and all have s0",
		Where:  "reliability: table of equal noise; JSON own_noise; retest --own-noise: JSON changes[].own_noise",
		Source: "Smyth GK (2004), Statistical Applications in Genetics and Molecular Biology 3(1):3",
		Misleads: "With two or three sessions the athlete alone says little: most of it comes from the others. Judged by it " +
			"after four sessions, athletes twice as noisy as the rest are called past the noise in 15 % with no change, by the " +
			"noise of all in 19 (calibration): less wrong, not right.",
		See: []string{"equal noise", "typical error", "degrees of freedom"},
	},
	{
		Name:    "robust typical error",
		Aliases: []string{"kurtosis", "normal tails, p", "heavy tails", "wild errors"},
		Keys: []string{"errors", "errors.robust_typical_error", "errors.kurtosis", "errors.p",
			"measures.errors", "errors.robust_typical_error_lower", "errors.robust_typical_error_upper"},
		Plain: "A typical error that a few wild errors move little. Where it lies well below the plain one, and the p beside it " +
			"is small, the interval of the plain one is too narrow.",
		Formula: "Huber's proposal 2 over athletes: Σmin(SS_i/σ², c) = ΣE min(χ²_ν, c), c the 0.9 quantile; bootstrap-t " +
			"interval over athletes. Kurtosis: n·Σe⁴/(Σe²)², about 3 for normal errors; its p by simulated normal tables",
		Where:    "reliability: table of errors, a warning when p is small; JSON errors",
		Source:   "Huber PJ (1964), Annals of Mathematical Statistics 35:73–101",
		Misleads: "It is no licence to drop what is wild: a wild day may come again at the next test.",
		See:      []string{"typical error", "equal noise", "bootstrap"},
	},
	{
		Name:    "normal quantile picture",
		Aliases: []string{"error", "expected, were all errors normal", "band, lower", "band, upper", "quantile plot"},
		Plain: "The errors of the session scores in order, each beside the error expected in its place were all normal. " +
			"Normal errors lie along the line, inside the band.",
		Formula: "the i-th of m is expected at TE·z((i − 3/8)/(m + 1/4)); band: TE·z of the 2.5 and 97.5 % points of " +
			"beta(i, m + 1 − i)",
		Where:  "reliability: working page, the picture and the table behind it",
		Source: "Blom G (1958), Statistical Estimates and Transformed Beta-Variables, Wiley",
		Misleads: "Of many normal errors a few lie outside the band by chance: it is for each place on its own. With more than " +
			"two sessions the errors of one athlete hang together.",
		See: []string{"robust typical error", "equal noise", "typical error"},
	},
}
