package glossary

var scoreTerms = []Term{
	{
		Name: "session score",
		Aliases: []string{"score", "value", "attempts", "trials", "mean of the attempts", "best attempt",
			"best of the attempts", "median attempt", "first attempt"},
		Keys: []string{"settings.score", "trials", "summary"},
		Plain: "One number for an athlete, a test and a session, made from the attempts of that session. Every " +
			"analysis works on session scores, never on single attempts.",
		Formula: "mean: Σ attempts / number of attempts; best: the largest (the smallest where lower is better); " +
			"median: the middle attempt, or the mean of the middle two; first: the attempt with the smallest trial " +
			"number",
		Where: "reliability, retest, correlate: --score; JSON settings.score and trials (the mean number of " +
			"attempts behind a score)",
		Source: NoSource,
		Misleads: "Scores made of different numbers of attempts do not compare: a mean of more attempts is less " +
			"noisy, and a best of more attempts is higher for that reason alone. retest warns when the noise study " +
			"used another number.",
		See: []string{"typical error", "trial variance", "decision study"},
	},
	{
		Name:    "mean",
		Aliases: []string{"grand mean", "session mean", "average"},
		Keys:    []string{"mean", "session_means", "session-means.mean"},
		Plain: "The average of the session scores of the athletes who were used: over all sessions in the main " +
			"table, of one session in the table of session means.",
		Formula: "Σ scores / number of scores; on the log scale exp(mean of the logarithms), the geometric mean, " +
			"in the main table, and the mean of the logarithms in the table of session means, in JSON and in CSV",
		Where: "reliability: main table and table of session means; in the agreement picture's table the mean " +
			"of an athlete's two scores",
		Source:   NoSource,
		Misleads: "A mean over levels of play describes nobody when the levels are far apart.",
		See:      []string{"standard deviation", "log scale", "change of the mean"},
	},
	{
		Name:    "standard deviation",
		Aliases: []string{"SD"},
		Keys:    []string{"sd", "session-means.sd", "agreement.sd"},
		Plain: "How far the values typically lie from their mean, in the unit of the test. Between athletes it " +
			"is their spread; of the differences of two sessions it is noise.",
		Formula: "√(Σ(x − x̄)² / (n − 1))",
		Where: "reliability: table of session means (spread of the athletes) and agreement (spread of the " +
			"differences)",
		Source: snedecor,
		Misleads: "The spread of the athletes depends on who was tested: mixing levels of play widens it, and with " +
			"it everything that is a fraction of it.",
		See: []string{"between-athlete SD", "typical error", "limits of agreement"},
	},
	{
		Name:    "between-athlete SD",
		Aliases: []string{"true SD", "observed SD", "true between-athlete SD", "between-athlete SD freed of error"},
		Keys:    []string{"true_sd", "observed_sd"},
		Plain: "How much the athletes differ from each other. The observed SD is that of the scores as " +
			"measured, noise included; the true SD is what is left once the noise is taken out.",
		Formula: "true: √max(0, (MSR − MSE)/k); observed: √(MSR/k), the SD of the athletes' means over k sessions",
		Where:   "reliability: JSON true_sd and observed_sd; the basis of the worthwhile change; noise files",
		Source:  "follows from the two-way model of " + mcGrawWong,
		Misleads: "It comes out as 0 when the athletes differ less than the noise: that is too little data or too " +
			"noisy a test, not proof that they are alike.",
		See: []string{"worthwhile change", "mean squares", "intraclass correlation"},
	},
	{
		Name:    "athletes",
		Aliases: []string{"n", "athlete", "number of athletes", "n over all", "n within level", "scores"},
		Keys:    []string{"athlete", "athletes", "n"},
		Plain: "How many athletes a number rests on. Those who could not be used are counted and named with the " +
			"reason.",
		Formula: "n = number of athletes with all the scores that the analysis needs",
		Where:   "every table; every picture says its n",
		Source:  NoSource,
		Misleads: "Many rows are not many athletes: attempts and sessions of one athlete are not independent, so " +
			"the athletes are what counts. Athletes are coded; a code with rare attributes can still give a person " +
			"away.",
		See: []string{"complete cases", "degrees of freedom"},
	},
	{
		Name: "complete cases",
		Aliases: []string{"left out", "who", "reason", "missing sessions", "not judged", "not analysed", "too few",
			"missing-sessions complete"},
		Keys: []string{"complete", "settings.missing", "measures.left_out", "left-out.athletes", "not_judged",
			"not_analysed", "reason", "too_few", "levels.note", "settings.missing_sessions"},
		Plain: "On request only athletes who have every session are used; the others are left out, counted and " +
			"named. Without the request every score there is counts, by REML, and an athlete who lacks a session " +
			"is used with the sessions there are.",
		Formula: "used = athletes with a score in each of the k sessions",
		Where: "reliability: --missing-sessions all (every score) or complete, JSON settings.missing_sessions, " +
			"complete and left_out, table of athletes left out; retest: table of athletes not judged; correlate: " +
			"athletes without the outcome or a test",
		Source: NoSource,
		Misleads: "When those who miss sessions are the tired, the injured or the late-comers, the rest describe " +
			"another cohort than the one you have.",
		See: []string{"REML", "variance components", "athletes"},
	},
	{
		Name:    "session",
		Aliases: []string{"sessions", "from", "to", "part"},
		Keys:    []string{"session", "sessions", "from", "to", "settings.sessions"},
		Plain: "One day of testing. 'from' and 'to' name the two that are compared; several joined by + are " +
			"averaged.",
		Formula: "difference = score of 'to' − score of 'from'",
		Where: "all commands: --sessions, --baseline, --follow-up; columns from and to; in the table of an " +
			"athlete's run, 'part' says whether a session is baseline, judged or neither",
		Source: NoSource,
		Misleads: "Sessions taken at other times of day, on other surfaces or by other staff carry those " +
			"differences too. Noise sessions must have no training between them.",
		See: []string{"session score", "noise model", "baseline"},
	},
	{
		Name:    "test",
		Aliases: []string{"measure", "tests", "test A", "test B"},
		Keys: []string{"measure", "comparisons.a", "comparisons.b", "comparisons-within-level.a",
			"comparisons-within-level.b", "comparisons_within_level.a", "comparisons_within_level.b", "planes.tests",
			"settings.measures"},
		Plain:   "One thing that was measured, such as the power of a rotational throw to the left, with its unit.",
		Formula: "none: a test is a column or a measure of the table, described in the data dictionary",
		Where:   "first column of most tables; --measure chooses tests",
		Source:  NoSource,
		Misleads: "Left and right of one exercise are two tests here. Names that look alike can have other units " +
			"or loads: the dictionary decides.",
		See: []string{"plane", "direction", "outcome"},
	},
	{
		Name:    "direction",
		Aliases: []string{"way", "rise", "fall", "better", "worse", "higher is better", "lower is better", "turned"},
		Keys:    []string{"direction", "way", "better", "turned_a", "turned_b", "undirected", "absolute"},
		Plain: "A rise is a higher number, a fall a lower one. Which of them is better depends on the test: " +
			"less time to peak is better, less power is worse.",
		Formula: "rise if D > 0, fall if D < 0; better when the rise or fall goes the way the dictionary names",
		Where: "retest: columns direction and better; correlate: tests where lower is better are turned round " +
			"before planes are compared; JSON undirected where nobody said, absolute where sizes of r are compared instead",
		Source: NoSource,
		Misleads: "For a test whose direction the dictionary does not state, nothing is called better or worse, correlate " +
			"compares the sizes of r only, and planes not at all. " +
			"" + clinician,
		See: []string{"change", "verdict"},
	},
	{
		Name:    "level of play",
		Aliases: []string{"level", "levels", "group", "of group"},
		Keys:    []string{"group", "groups", "of_group", "levels.level", "levels", "settings.by"},
		Plain: "A group of athletes of one standing, such as school, academy or senior; any other column can " +
			"take its place with --by.",
		Formula: "none: it is a column of the table",
		Where: "reliability --by: a row for each group and the table of groups; correlate: r within level and " +
			"the table of levels",
		Source: NoSource,
		Misleads: "Groups that are far apart make every test look reliable and everything go with everything. Look " +
			"inside the groups first.",
		See: []string{"within-group ICC", "correlation within level", "equality of typical errors"},
	},
	{
		Name: "plane",
		Aliases: []string{"plane of movement", "transverse", "transverse plane", "rotational", "sagittal",
			"sagittal plane", "straight-line", "frontal", "frontal plane", "sideways", "plane A", "plane B"},
		Keys: []string{"plane", "plane_a", "plane_b", "settings.planes"},
		Plain: "The plane in which a movement mainly happens: transverse is rotation about the long axis of the " +
			"body, sagittal is forwards and up or down, frontal is sideways.",
		Formula: "none: the dictionary states the plane of each test",
		Where: "correlate: column plane, the planes' summary, and the comparison of tests across two planes " +
			"(--planes)",
		Source:   "anatomical convention; which plane a test belongs to is the dictionary's word",
		Misleads: "Real throws and swings use all three planes. A test is put under the one it is built around.",
		See:      []string{"mean r of a plane", "comparison of two correlations"},
	},
	{
		Name:    "outcome",
		Aliases: []string{"throwing speed", "bat speed", "ball speed"},
		Keys:    []string{"outcome", "outcome_unit"},
		Plain:   "What the tests are meant to go with: throwing, bowling or bat speed.",
		Formula: "none: it is a measure of the table",
		Where:   "correlate: --outcome; reliability: --worthwhile outcome:NAME:CHANGE",
		Source:  NoSource,
		Misleads: "The outcome has noise of its own: see its row in reliability. That a test goes with the outcome " +
			"does not say that training the test raises it.",
		See: []string{"Pearson's r", "corrected r", "outcome-anchored worthwhile change"},
	},
	{
		Name:    "log scale",
		Aliases: []string{"scale", "raw scale", "logarithmic scale", "percent up and down", "percent change"},
		Keys:    []string{"scale", "settings.scale", "percent", "percent_up", "percent_down"},
		Plain: "For tests whose error grows with the value, everything is computed on logarithms and shown in " +
			"percent. A change up and the same change down have different percents, so both are printed, never one ±.",
		Formula: "percent = 100·(exp(x) − 1) for x in natural-log units: x = 0.10 is +10.5 % up and −9.5 % down",
		Where:   "all commands: --scale raw, log or auto (the dictionary's); JSON percent, percent_up, percent_down",
		Source:  blandAltman99,
		Misleads: "Scores must be above zero. JSON and CSV hold natural-log units on the log scale, with the " +
			"percent beside: 0.10 there is not 0.10 W.",
		See: []string{"error growth", "scale advice", "coefficient of variation"},
	},
}
