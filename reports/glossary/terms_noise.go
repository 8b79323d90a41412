package glossary

var noiseTerms = []Term{
	{
		Name: "typical error",
		Aliases: []string{"TE", "SEM", "standard error of measurement", "noise", "within-athlete SD",
			"typical error of the pair", "typical error, lower", "typical error, upper"},
		Keys: []string{"typical_error"},
		Plain: "How much an athlete's session score varies from session to session when nothing about the " +
			"athlete has changed, in the unit of the test. About two thirds of the scores lie within one typical " +
			"error of the athlete's own average.",
		Formula: "TE = √MSE, df = (n−1)(k−1); interval TE·√(df/χ²(1−α/2, df)) to TE·√(df/χ²(α/2, df)); with two " +
			"sessions it is SD(differences)/√2. Where athletes lack a session √σ²e by REML with profile limits",
		Where: "reliability: main table, learning table (of each pair of sessions), table of groups; retest: " +
			"the table of tests, with its df",
		Source: weir + "; the formula of the interval is that of any SD: " + snedecor,
		Misleads: "It is of one session score made as in the study: another number of attempts, other staff or " +
			"other equipment has another error. Shifts of the whole group between sessions are left out; the " +
			"agreement error counts them.",
		See: []string{"detectable change", "coefficient of variation", "agreement error", "mean squares"},
	},
	{
		Name:    "coefficient of variation",
		Aliases: []string{"CV", "% of score", "typical error in percent"},
		Keys:    []string{"typical_error_percent"},
		Plain: "The typical error as a percentage of the score, so that tests in different units can be held " +
			"side by side.",
		Formula: "raw scale: 100·TE/mean; log scale: 100·(exp(TE) − 1)",
		Where:   "reliability: column '% of score', the answer, and the overview picture",
		Source:  "follows from the definitions; " + NoSource,
		Misleads: "On the raw scale it divides by the cohort's mean: athletes far below it have a larger " +
			"percentage. It means nothing for a test whose zero is arbitrary, and it says nothing about whether " +
			"the test tells athletes apart.",
		See: []string{"typical error", "log scale"},
	},
	{
		Name:    "agreement error",
		Aliases: []string{"SEM agreement", "standard error of measurement with session shift"},
		Keys:    []string{"agreement_error"},
		Plain:   "The typical error with the shift of the whole group from session to session counted as error too.",
		Formula: "√(MSE + max(0, (MSC − MSE)/n)); limits: the generalized interval, quantiles of √(c/n + (1 − 1/n)·e) with " +
			"each mean square divided by a chi-square over its df",
		Where: "reliability: JSON agreement_error, and a warning when the session means differ",
		Source: "follows from the two-way random model of " + mcGrawWong + "; limits: Weerahandi S (1993), JASA " +
			"88:899–905",
		Misleads: "With few sessions the shift is estimated from very little. If the shift is practice, it fades " +
			"with familiarisation and is not noise for ever.",
		See: []string{"typical error", "ICC(A,1)", "change of the mean"},
	},
	{
		Name:    "mean squares",
		Aliases: []string{"MSR", "MSC", "MSE", "MSW", "analysis of variance", "ANOVA"},
		Keys: []string{"mean_squares", "mean_squares.athletes", "mean_squares.sessions", "mean_squares.error",
			"mean_squares.within"},
		Plain: "The table of athletes by sessions taken apart: differences between athletes, between sessions, " +
			"and what is left. Everything else about noise is made of these.",
		Formula: "MSR = k·Σ(athlete mean − M)²/(n−1); MSC = n·Σ(session mean − M)²/(k−1); MSE = Σ(score − athlete " +
			"mean − session mean + M)²/((n−1)(k−1)); MSW = (SSC + SSE)/(n(k−1)); M is the grand mean, n athletes, " +
			"k sessions",
		Where:    "reliability: JSON mean_squares (athletes, sessions, error, within)",
		Source:   mcGrawWong,
		Misleads: "They need a complete table: every athlete in every session. Elsewhere REML takes their place.",
		See:      []string{"typical error", "intraclass correlation", "variance components", "complete cases"},
	},
	{
		Name: "detectable change",
		Aliases: []string{"minimal detectable change", "MDC", "minimum difference", "detectable",
			"large-sample value", "t against 1.96", "smallest detectable change", "large-sample value " +
				"(1.96)", "ignore changes under", "ignore under"},
		Keys: []string{"detectable_change", "detectable", "large_sample", "detectable_change_large_sample"},
		Plain: "The smallest change of one athlete that is more than noise: an athlete whose true score stayed " +
			"the same shows one this large or larger, up or down, in 5 of 100 retests (at 95 %).",
		Formula: "t(1−α/2, df)·√2·TE; the large-sample value puts 1.96 (at 95 %) for t; for means of b and f " +
			"sessions t(1−α/2, df)·TE·√(1/b + 1/f)",
		Where: "reliability: main table, table of detectable changes, decision study and overview picture; " +
			"retest: the table of tests; JSON estimate and large_sample",
		Source: weir + ", with Student's t in place of 1.96, because the typical error is itself an estimate",
		Misleads: "With 1.96 a study of 8 athletes and 2 sessions calls 9 of 100 unchanged athletes changed, not " +
			"5: use the value with t. A change below it is not shown to be nothing: it is not shown. It holds for " +
			"one athlete and one look; among many some reach it by chance.",
		See: []string{"typical error", "worthwhile change", "expected false alarms", "degrees of freedom"},
	},
	{
		Name: "worthwhile change",
		Aliases: []string{"smallest worthwhile change", "SWC", "worthwhile", "worthwhile from", "worthwhile to",
			"basis", "smallest change that matters", "worthwhile change: basis", "matters from"},
		Keys: []string{"worthwhile_change", "worthwhile", "worthwhile_lower", "worthwhile_upper",
			"worthwhile_basis", "basis", "settings.worthwhile"},
		Plain: "The smallest change that matters in practice. It is a decision, not a finding; the basis it " +
			"rests on is always printed with it.",
		Formula: "four bases: fraction·true between-athlete SD (fraction 0.2 unless another is given); " +
			"fraction·observed SD; a fixed value in the unit of the test; |slope of the test on the " +
			"outcome|·stated change of the outcome",
		Where: "reliability and retest: --worthwhile true:0.2, observed:0.2, fixed:15, outcome:NAME:1, or the " +
			"dictionary's; main table, pictures (upright or dotted lines)",
		Source: "0.2 of an SD: " + NoSource + "; the others are the user's own choice or this table's regression",
		Misleads: "A fraction of an SD depends on who was tested: mixing levels of play makes it larger without " +
			"anything having changed for the athlete. It comes out as 0 when the athletes do not differ beyond the " +
			"noise: set it in another way then.",
		See: []string{"between-athlete SD", "outcome-anchored worthwhile change", "detectable ÷ worthwhile",
			"verdict"},
	},
	{
		Name:    "outcome-anchored worthwhile change",
		Aliases: []string{"anchored", "outcome basis"},
		Plain: "The difference in the test that goes with a stated difference in throwing or bat speed, such as " +
			"1 km/h, from the line through the athletes.",
		Formula: "|b|·Δ, b = slope of the test on the outcome by least squares, Δ = stated change of the outcome; " +
			"interval ± t(1−α/2, n−2)·SE(b)·Δ",
		Where:  "reliability and retest: --worthwhile outcome:NAME:CHANGE",
		Source: draperSmith,
		Misleads: "It is a difference between athletes, not proof that an athlete who gains so much in the test " +
			"gains so much speed. When its interval holds 0, the test is not shown to go with the outcome, and a " +
			"warning says so.",
		See: []string{"worthwhile change", "slope", "outcome"},
	},
	{
		Name: "detectable ÷ worthwhile",
		Aliases: []string{"ratio of detectable to worthwhile change", "sees what matters",
			"can the test see what matters", "sees the worthwhile change"},
		Keys: []string{"detectable_to_worthwhile", "detectable.ratio"},
		Plain: "How many times larger the detectable change is than the change that matters. Whether one retest is " +
			"enough rests on the larger change that is seen in 4 of 5 retests.",
		Formula: "detectable change / worthwhile change",
		Where:   "reliability: table of detectable changes; JSON detectable_to_worthwhile",
		Source:  NoSource,
		Misleads: "A ratio above 1 does not make a test useless: larger changes still show, and so do means of " +
			"several sessions and groups of athletes.",
		See: []string{"detectable change", "worthwhile change", "decision study", "one retest enough?"},
	},
	{
		Name:    "one retest enough?",
		Aliases: []string{"sees", "a single retest can see it", "times the noise"},
		Keys:    []string{"verdict.one_retest_enough", "reliability.one_retest_enough", "tests.one_retest_enough"},
		Plain: "Whether one retest of one athlete can see the smallest change that matters: whether a true change of that " +
			"size is seen in 4 of 5 retests (--power).",
		Formula: "yes: seen ÷ worthwhile is 1 or below; no: above 1; not known: no worthwhile change, or no error at all. " +
			"The sheet's picture shows worthwhile ÷ seen: 1 is the edge of the band",
		Where: "reliability: the answer, the main table, the sheet's picture; JSON verdict.one_retest_enough " +
			"(yes, no, not-known)",
		Source: NoSource,
		Misleads: "No does not make a test useless: larger changes show, and so do the means of several sessions. " +
			"Yes is about the size of the change, not about why it came.",
		See: []string{"detectable ÷ worthwhile", "detectable change", "worthwhile change",
			"seen in 80 % of retests"},
	},
	{
		Name: "seen in 80 % of retests",
		Aliases: []string{"power of a retest", "power 80", "power", "seen", "change seen", "true change seen with that power",
			"true change seen with the power asked for", "seen ÷ worthwhile", "seen in 4 of 5 retests", "times the change seen",
			"seen from"},
		Keys: []string{"power_80", "detectable_change.power", "detectable_change.seen", "detectable.power", "detectable.seen",
			"decision_study.seen", "decision-study.seen", "seen_to_worthwhile", "detectable.seen_ratio"},
		Plain: "How large a true change of one athlete must be for a retest to find it past the noise four " +
			"times in five, or as often as --power says.",
		Formula: "δ·√2·TE, with δ such that a noncentral t with df degrees of freedom and noncentrality δ lies " +
			"above t(1−α/2, df) in 80 % of cases; the interval is that of the typical error",
		Where: "reliability: the answer, table of detectable changes, decision study, cheapest design; JSON " +
			"detectable_change.seen, with --power; power_80",
		Source: "noncentral t: " + carkeet + "; 80 %: " + NoSource,
		Misleads: "A true change as large as the detectable change is found in only about half of all retests: the " +
			"score varies around it.",
		See: []string{"detectable change", "one retest enough?", "noncentral t"},
	},
	{
		Name:     "tells athletes apart",
		Aliases:  []string{"not shown to tell athletes apart"},
		Keys:     []string{"verdict.tells_athletes_apart", "measures.verdict"},
		Plain:    "Whether the test is shown to put athletes in an order that is more than noise.",
		Formula:  "shown: the interval of ICC(C,1) lies above 0; not-shown: it does not; not-known: no interval",
		Where:    "reliability: the answer; JSON verdict.tells_athletes_apart",
		Source:   "the interval: " + mcGrawWong,
		Misleads: "Not shown is not shown to be nothing: few athletes, or athletes of one level, show little.",
		See:      []string{"ICC(C,1)", "within-group ICC"},
	},
	{
		Name:    "noise band",
		Aliases: []string{"noise from", "noise to", "filled mark", "hollow mark", "shaded band"},
		Plain: "The band in the pictures in which changes lie that may be noise alone. A filled mark is past " +
			"it, a hollow one inside it: the shape says it without colour.",
		Formula: "0 ± detectable change for changes; baseline ± detectable change for an athlete's run of sessions",
		Where: "retest: pictures of the changes of each test and of the runs of athletes; reliability: overview " +
			"picture",
		Source: "the detectable change, drawn: " + weir,
		Misleads: "The band is right for one mark at a time: of 100 marks of unchanged athletes about 5 fall " +
			"outside a 95 % band.",
		See: []string{"detectable change", "expected false alarms", "run of sessions"},
	},
	{
		Name:    "change of the mean",
		Aliases: []string{"mean change", "mean changes", "session shift", "shift of the mean"},
		Keys:    []string{"mean_changes", "mean-changes.change", "mean-changes.lower", "mean-changes.upper"},
		Plain: "How much the whole group went up or down from one session to the next. With no training " +
			"between, it is practice with the test, or the conditions of the day.",
		Formula: "mean of (later − earlier) over the athletes ± t(1−α/2, n−1)·SD(differences)/√n",
		Where:   "reliability: the learning table, with its p value and the typical error of that pair of sessions",
		Source:  "Student's paired t interval: " + snedecor,
		Misleads: "A p value above 0.05 does not show that nothing moved; 'settled' asks that question the right " +
			"way round.",
		See: []string{"learning", "settled", "test of equal session means", "practice"},
	},
	{
		Name:    "learning",
		Aliases: []string{"learning effect", "familiarisation"},
		Plain: "Scores that rise over the first sessions because athletes get used to the test, not because " +
			"they got fitter.",
		Formula: "changes of the mean between consecutive sessions with no training between them",
		Where:   "reliability: the learning table; retest: a warning, and the expected learning shift on request",
		Source:  NoSource,
		Misleads: "It looks exactly like a training effect. Only sessions without training between them, or a " +
			"control group, tell the two apart.",
		See: []string{"change of the mean", "settled", "practice", "learning shift"},
	},
	{
		Name:    "settled",
		Aliases: []string{"settled from", "not shown to have settled", "equivalence"},
		Keys:    []string{"settled_from", "settled", "verdict.settled"},
		Plain: "The first session from which every later change of the group's mean is shown to be smaller than " +
			"the worthwhile change. 'Not shown' means just that.",
		Formula: "the first session j such that, from j on, every interval of a change of the mean lies inside ± " +
			"worthwhile change",
		Where:  "reliability: the learning table, column settled; JSON settled_from",
		Source: "the confidence-interval form of an equivalence test; " + NoSource,
		Misleads: "Few athletes make wide intervals, so a test may be settled and not be shown to be. With two " +
			"sessions there is one change to judge by.",
		See: []string{"change of the mean", "worthwhile change", "learning"},
	},
	{
		Name:     "test of equal session means",
		Aliases:  []string{"session test", "session means differ", "F test of the sessions"},
		Keys:     []string{"session_test", "session_test.f"},
		Plain:    "Asks whether the means of all sessions could be the same but for noise.",
		Formula:  "F = MSC/MSE on (k−1) and (n−1)(k−1) degrees of freedom",
		Where:    "reliability: JSON session_test; a warning when p is small",
		Source:   snedecor,
		Misleads: "It does not say which session differs, and a large p value does not show that none does.",
		See:      []string{"change of the mean", "agreement error", "p value"},
	},
	{
		Name:    "equality of typical errors",
		Aliases: []string{"same in all groups?", "group test", "groups' test"},
		Keys: []string{"verdict.group_errors", "group_test", "group_test.method",
			"group_test.statistic", "group_test.df1", "group_test.df2", "group_test.words", "groups.test"},
		Plain: "Asks whether the groups have the same noise. If not, judge each group by its own typical error.",
		Formula: "Brown–Forsythe: F of an analysis of variance, by group, of the athletes' distances: with two sessions " +
			"|difference − median of the group|, with more the mean distance from the medians of the group's sessions",
		Where:  "reliability --by: the table of groups, column 'same in all groups?'",
		Source: "Brown MB, Forsythe AB (1974), JASA 69:364–367",
		Misleads: "No sign of a difference is not proof of equality, least of all in small groups. The tests beside it, " +
			"Bartlett's and the F ratio, react to errors that are not normally distributed as if the groups differed.",
		See: []string{"Bartlett's test", "F ratio", "level of play"},
	},
	{
		Name:    "Bartlett's test",
		Aliases: []string{"Bartlett", "were errors normal"},
		Keys: []string{"group_test.normal_method", "group_test.normal_statistic", "group_test.normal_p",
			"groups.normal_test"},
		Plain: "The test that three or more groups have the same error variance, were errors normal: no verdict rests on it.",
		Formula: "[ν·ln s² − Σν_i·ln s_i²] / [1 + (Σ1/ν_i − 1/ν)/(3(g−1))] as χ² on g−1 df; s_i² = MSE of group i " +
			"on ν_i df, ν = Σν_i, s² = Σν_i·s_i²/ν, g groups",
		Where:    "reliability --by: the table of groups",
		Source:   "Bartlett MS (1937), Proceedings of the Royal Society of London A 160:268–282",
		Misleads: "Outliers and heavy tails make it reject too often.",
		See:      []string{"equality of typical errors", "F ratio"},
	},
	{
		Name:    "F ratio",
		Aliases: []string{"F ratio of two variances", "variance ratio"},
		Plain:   "The larger of two error variances over the smaller: the test for two groups.",
		Formula: "F = MSE of one group / MSE of the other, two-sided p from the F distribution with their degrees " +
			"of freedom",
		Where:    "reliability --by with two groups: the table of groups",
		Source:   snedecor,
		Misleads: "Outliers and heavy tails make it reject too often.",
		See:      []string{"equality of typical errors", "Bartlett's test"},
	},
	{
		Name:    "influence",
		Aliases: []string{"typical error: without", "ICC: without", "it becomes", "how", "leave one athlete out"},
		Keys: []string{"influence", "typical_error_athlete", "typical_error_without", "icc_athlete",
			"icc_without", "te_athlete", "te_without", "influence.how"},
		Plain: "Which one athlete moves the result most, and what it becomes without them.",
		Formula: "each athlete is left out in turn; the one with the largest |TE without − TE| is named, and the " +
			"one with the largest |ICC(C,1) without − ICC(C,1)|",
		Where:  "reliability: the table of influence (--details)",
		Source: "the leave-one-out idea of the jackknife: Efron B (1979), Annals of Statistics 7:1–26",
		Misleads: "It is a reason to look at that athlete's records, never by itself a reason to drop them. There " +
			"is always one athlete who moves it most.",
		See: []string{"typical error", "intraclass correlation"},
	},
	{
		Name:    "error covariance",
		Aliases: []string{"covariance of the errors", "together"},
		Keys:    []string{"noise-file.together", "together.of", "together.covariance", "together.df", "together.kind", "together.group"},
		Plain: "How far the errors of two tests go together: what makes one high on a day may make the other high " +
			"too. A noise file keeps it for the tests that are read together (both sides, with and without a " +
			"countermovement, power and how fast it is reached), because the error of their difference hangs on it.",
		Formula: "S = Σ e·f/((n − 1)(k − 1)), e and f what athletes and sessions leave over in each test; of a test with " +
			"itself it is the squared typical error",
		Where:    "the noise file: together",
		Source:   NoSource,
		Misleads: "Without it the errors count as independent, which makes the limits of a difference of two sides too wide.",
		See:      []string{"typical error", "noise model"},
	},
	{
		Name:    "noise model",
		Aliases: []string{"noise file", "noise study", "source of the noise"},
		Keys: []string{"retest.noise", "settings.noise", "noise.source", "tests.source", "measures.source",
			"created_from", "noise-file.by"},
		Plain: "What a reliability study leaves behind to judge changes by: the typical error of each test, its " +
			"degrees of freedom, and where it came from. As a file it holds no athlete and no score.",
		Formula: "TE and df, the mean, ICC(C,1), worthwhile change, changes of the mean and variance components " +
			"of each test",
		Where: "reliability --save-noise FILE writes it, retest --noise FILE reads it; retest --noise-from " +
			"SESSIONS makes it from the same table; retest --typical-error NAME=VALUE takes one from elsewhere",
		Source: NoSource,
		Misleads: "It holds for athletes, staff, equipment and numbers of attempts like those of the study. Take " +
			"it from sessions with no training between them.",
		See: []string{"typical error", "noise of the same change", "pooled noise", "noise from elsewhere", "time between sessions"},
	},
	{
		Name:    "noise from elsewhere",
		Aliases: []string{"published typical error", "given typical error", "taken as known exactly"},
		Keys:    []string{"settings.typical_errors", "typical_errors.measure", "typical_errors.value", "typical_errors.df"},
		Plain: "A typical error that was published, or that a club knows, taken as the noise of a test: the way to judge " +
			"one test before and one after. Nothing else is known then: no reliability, no mean, no change that matters " +
			"unless somebody says it.",
		Formula: "in percent p of the score: TE = ln(1 + p/100) on the log scale; without df it is taken as known exactly",
		Where:   "retest --typical-error 'NAME=VALUE; df=NUMBER; source=TEXT'",
		Source:  NoSource,
		Misleads: "It is of other athletes, staff and equipment, and perhaps of other numbers of attempts: few studies say " +
			"enough. A published standard deviation, or a smallest detectable change, is no typical error.",
		See: []string{"typical error", "noise model", "degrees of freedom"},
	},
	{
		Name:    "pooled noise",
		Aliases: []string{"several noise files", "studies put together", "studies disagree"},
		Keys: []string{"noise.studies", "studies.source", "studies.typical_error", "studies.df", "studies_test",
			"studies_test.method", "studies_test.statistic", "studies_test.p"},
		Plain: "The noise of one test from several studies, put together: known better than from each alone, if they have " +
			"one noise. A test says whether they do.",
		Formula: "TE² = Σ df_i·TE_i²/Σ df_i on Σ df_i; two studies: F ratio, more: Bartlett's test. Variance components by " +
			"df_i/Σ df_i; mean by athletes; true SD and worthwhile change as root mean squares by athletes less 1",
		Where:  "retest --noise A --noise B: JSON noise.studies and noise.studies_test, and a warning at p < 0.05",
		Source: "follows from the definitions; the tests: Bartlett MS (1937), and " + snedecor,
		Misleads: "No sign of a difference is no proof that there is none, least of all between small studies. Changes of " +
			"the mean (practice) are of one study and are dropped.",
		See: []string{"noise model", "F ratio", "Bartlett's test"},
	},
	{
		Name:    "time between sessions",
		Aliases: []string{"gap", "days between sessions", "longer gap"},
		Keys:    []string{"gap_days", "noise.gap_days", "occasions.gap_days"},
		Plain: "How many days lie between the sessions of the noise study, and between baseline and follow-up. Time is part " +
			"of the noise: a study over one week understates the noise over eight.",
		Formula: "noise: the median of the days from one session to the next; a change: the mean day of the follow-up less " +
			"that of the baseline",
		Where:  "retest: JSON gap_days, and a warning from twice the time and a week more; only where sessions are dates",
		Source: NoSource,
		Misleads: "Sessions that are numbers or words have no dates: then nothing is said, and the time may still be " +
			"longer.",
		See: []string{"noise model", "typical error"},
	},
	{
		Name:    "prints",
		Aliases: []string{"fingerprints of a study", "recognise a study"},
		Keys:    []string{"prints"},
		Plain: "Bits in a noise file by which a study recognises its own sessions in a table, so that no change is judged " +
			"by noise that was made from it. They hold no score: of each athlete, one in eight of all possible scores is " +
			"marked, and nothing says which is theirs.",
		Formula: "for each athlete one of 8n bits of a session: SHA-256(salt, measure, session, athlete, floor(x/h)) mod 8n, " +
			"h = TE/8. A session is of the study when 75 % of the athletes or more are found beyond chance, with p at most " +
			"0.01 over the number of sessions",
		Where:  "the noise file: measures.prints",
		Source: "derived and checked by simulation here; no published source",
		Misleads: "Other codes for the athletes, rounding to more than an eighth of the typical error, or fewer than six " +
			"athletes make a study unrecognisable; tests of few values have no prints.",
		See: []string{"noise of the same change", "noise model"},
	},
}
