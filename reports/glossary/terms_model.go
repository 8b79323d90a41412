package glossary

var modelTerms = []Term{
	{
		Name:    "added-value model",
		Aliases: []string{"models", "models of the outcome", "linear model", "covariates + sagittal + transverse"},
		Keys: []string{"models", "models.name", "models.model", "models.terms", "models.reason",
			"coefficients.model"},
		Plain: "A line through several tests at once. The models are built up step by step, covariates and " +
			"levels of play first, then one plane, then the other, and again in the other order, all on the same " +
			"athletes.",
		Formula: "outcome = intercept + Σ coefficient·term, by least squares",
		Where: "correlate, when both planes have tests: table of models (terms in JSON; reason says why a model " +
			"has no figures), added value, coefficients",
		Source: draperSmith,
		Misleads: "What a plane adds depends on what went in before it: read both orders. Below 10 residual " +
			"degrees of freedom there are no figures. A model of athletes at one time does not say what training a " +
			"test would bring.",
		See: []string{"ΔR²", "R²", "coefficient", "composite"},
	},
	{
		Name:    "model",
		Aliases: []string{"what a row takes for granted", "kind of model"},
		Plain: "In the table of intraclass correlations: what counts as error, and whether one score or a mean " +
			"of scores is meant. In the tables of added value: what is in the linear model of the outcome.",
		Formula: "in words in its column: two-way random, absolute agreement, single score; or covariates + sagittal",
		Where:   "reliability: table of intraclass correlations; correlate: tables of models and coefficients",
		Source:  NoSource,
		Misleads: "A number without its model says little: the six ICCs of one table can lie far apart, and so can " +
			"the R² of two models.",
		See: []string{"intraclass correlation", "added-value model"},
	},
	{
		Name:    "R²",
		Aliases: []string{"R squared", "share explained"},
		Keys:    []string{"r2"},
		Plain: "The share of the differences between athletes in the outcome that a line through the tests in " +
			"the model goes along with.",
		Formula: "1 − SS residual/SS total",
		Where:   "correlate: table of models",
		Source:  draperSmith,
		Misleads: "It rises with every test that is added, useful or not: read PRESS R². Mixing levels of play " +
			"lifts it.",
		See: []string{"ΔR²", "PRESS R²", "residual SD"},
	},
	{
		Name:    "adjusted R²",
		Aliases: []string{"adjusted", "adjusted R squared", "R² adjusted"},
		Keys:    []string{"adjusted_r2"},
		Plain:   "R² with the share taken off that terms without any use would bring on average.",
		Formula: "1 − (1 − R²)·(n − 1)/(n − p − 1), n athletes, p terms",
		Where:   "correlate: table of models",
		Source:  draperSmith,
		Misleads: "It allows for the number of terms in the model, not for tests that were tried and dropped. For " +
			"athletes not yet seen read PRESS R².",
		See: []string{"R²", "PRESS R²"},
	},
	{
		Name:    "block",
		Aliases: []string{"after", "block of terms", "block of tests", "tests of a plane together"},
		Keys: []string{"added.block", "added.after", "added-value.block", "added-value.after",
			"coefficients.block"},
		Plain: "The terms that enter a model together: the covariates, the levels of play, or all tests of a " +
			"plane. 'After' names the model that a block is added to.",
		Formula: "none: every test of the plane is a term while there are 10 athletes for each term of the " +
			"largest model, otherwise the plane is one composite",
		Where:  "correlate: table of added value, columns block and after; JSON added and coefficients",
		Source: NoSource,
		Misleads: "What a block adds after another is not what it adds alone: where two blocks say the same, the " +
			"first takes it.",
		See: []string{"ΔR²", "composite", "plane"},
	},
	{
		Name:    "ΔR²",
		Aliases: []string{"added value", "added R²", "change of R²", "p (F)", "F test of a block"},
		Keys:    []string{"added", "delta_r2", "added.f", "added-value.f"},
		Plain: "How much R² rises when the tests of a plane are added to what is already there: covariates " +
			"first, then one plane, then the other, in both orders.",
		Formula: "R² of the larger model − R² of the smaller, on the same athletes; F = ((RSS0 − RSS1)/q)/(RSS1/(n − p − " +
			"1)) on q and df = n − p − 1, q terms added to make p. Interval: the noncentralities λ for which F is just " +
			"that improbable give the share of what the smaller model leaves, P = λ/(λ + q + df + 1); ln ΔR² = ln P + " +
			"ln(1 − R² of the smaller), both uncertain: limits ± √(a² + b² + 2c·a·b), a the way to the limit of ln P, b = " +
			"2z·√(R² of the smaller/(q + df − 2)), c = ½·√(P·R² of the smaller)",
		Where: "correlate: table of added value, columns ΔR² and 'p (F)'; JSON added.delta_r2",
		Source: draperSmith + "; interval: Smithson M (2001), Educational and Psychological Measurement 61:605–632, and " +
			"Zou GY, Donner A (2008), Statistics in Medicine 27:1693–1702",
		Misleads: "A lower limit of 0 says that F does not exclude that nothing is added (above 0 it is from p < 0.025). " +
			"Whether a block helps with athletes not yet seen is for the leave-one-out R². What enters first takes what " +
			"both share.",
		See: []string{"R²", "PRESS R²", "composite"},
	},
	{
		Name:    "composite",
		Aliases: []string{"composite of a plane", "mean of the standardised tests"},
		Keys:    []string{"coefficients.tests"},
		Plain: "All tests of a plane taken as one, where there are too few athletes to take each as a term of " +
			"its own.",
		Formula: "mean of (test − its mean)/its SD over the tests of the plane, each turned so that better is higher",
		Where:   "correlate: table of models",
		Source:  NoSource,
		Misleads: "All tests weigh the same, the noisy ones too. It has no weights to fit, so nothing in it was " +
			"picked by looking at the outcome.",
		See: []string{"ΔR²", "plane", "direction"},
	},
	{
		Name: "PRESS R²",
		Aliases: []string{"leave-one-out R²", "R² left out", "predicted R²", "PRESS", "Δ leave-one-out R²",
			"change of the leave-one-out R²"},
		Keys:    []string{"r2_loo", "delta_r2_loo"},
		Plain:   "R² for athletes the line has not seen: each is predicted from a line through the others.",
		Formula: "1 − Σ(e_i/(1−h_i))²/Σ(y_i − mean of the others)², e residuals, h leverages",
		Where:   "correlate: table of models",
		Source:  "Allen DM (1974), Technometrics 16:125–127",
		Misleads: "It falls below 0 when the line predicts worse than the mean; its change is below 0 when a block " +
			"makes predictions worse. Composites keep the standardisation of all athletes. It is for athletes like " +
			"these, tested like these.",
		See: []string{"R²", "residual SD"},
	},
	{
		Name:    "coefficient",
		Aliases: []string{"term", "terms", "regression coefficient", "for one SD", "term of a model"},
		Keys:    []string{"models.coefficients", "coefficients.coefficient", "coefficients.term", "per_sd"},
		Plain: "How much higher the outcome is for one unit more in a term while the other terms of the model " +
			"stay the same. 'For one SD' is the same for a term higher by one SD of the athletes.",
		Formula: "least squares, ± t(1−α/2, n − p − 1)·SE; for one SD: coefficient · SD of the term",
		Where:   "correlate: table of coefficients (--details), JSON models.coefficients",
		Source:  draperSmith,
		Misleads: "Terms that say the same share their part, and the sign of one can turn: read the variance " +
			"inflation beside it. It compares athletes; it is no promise of what training the test brings.",
		See: []string{"added-value model", "variance inflation", "slope"},
	},
	{
		Name:    "variance inflation",
		Aliases: []string{"VIF", "variance inflation factor", "inflation"},
		Keys:    []string{"variance_inflation"},
		Plain:   "How much less sure a test's own part is because it goes with the other tests in the model.",
		Formula: "1/(1 − R² of the test on the others in the model); for the indicators of a level with q of them " +
			"the q-th root of det(R_set)·det(R_others)/det(R), R the correlations of all",
		Where: "correlate: table of coefficients",
		Source: draperSmith + "; sets: Fox J, Monette G (1992), Journal of the American Statistical Association " +
			"87:178–183",
		Misleads: "A large value makes single slopes unsure, not the model as a whole.",
		See:      []string{"ΔR²", "partial r"},
	},
	{
		Name:    "residual SD",
		Aliases: []string{"residual standard deviation", "standard error of estimate"},
		Keys:    []string{"residual_sd"},
		Plain: "How far the outcome of an athlete typically lies from what the model says, in the outcome's own " +
			"unit such as km/h.",
		Formula: "√(SS residual/(n − p)), p coefficients with the intercept",
		Where:   "correlate: table of models",
		Source:  draperSmith,
		Misleads: "Part of it is the noise of the outcome itself. For new athletes it is larger, more so with many " +
			"tests and few athletes.",
		See: []string{"R²", "PRESS R²", "slope"},
	},
	{
		Name:    "prediction SD",
		Aliases: []string{"prediction error", "standard deviation of prediction"},
		Keys:    []string{"prediction_sd"},
		Plain: "How far off the model would typically be for an athlete it has not seen, in the outcome's own " +
			"unit such as km/h.",
		Formula: "√(PRESS/n), PRESS = Σ(e_i/(1−h_i))²: each athlete predicted from a line through the others",
		Where:   "correlate: table of models",
		Source:  "Allen DM (1974), Technometrics 16:125–127",
		Misleads: "It is for athletes like these, tested like these. It is not an interval: about one athlete in " +
			"three is missed by more.",
		See: []string{"PRESS R²", "residual SD"},
	},
}
