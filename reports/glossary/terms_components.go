package glossary

var componentTerms = []Term{
	{
		Name:    "variance components",
		Aliases: []string{"components", "components of variance", "singular fit", "merged"},
		Keys: []string{"measures.components", "components.attempts", "components.merged", "components.singular",
			"components.covariance"},
		Plain: "The variation of the attempts taken apart into three: between athletes, from day to day within " +
			"an athlete, and from attempt to attempt within a day.",
		Formula: "attempt = session mean + athlete + athlete×session + trial; variances σ²a, σ²as, σ²e; the " +
			"typical error of a score of t attempts is √(σ²as + σ²e/t)",
		Where: "reliability: table of components (as SDs, with the number of attempts), JSON components (as " +
			"variances; merged says which parts the study cannot tell apart, singular that one came out as 0); " +
			"noise files, with the covariance matrix of the three",
		Source: "model: " + designStudy + "; estimation: " + pattersonREML,
		Misleads: "With few athletes the parts are known far less well than their sum: read their intervals. A " +
			"component of 0 is an estimate at its boundary, not proof of none.",
		See: []string{"athlete variance", "athlete×session variance", "trial variance", "REML", "decision study"},
	},
	{
		Name:     "athlete variance",
		Aliases:  []string{"variance between athletes", "σ²a", "between athletes"},
		Keys:     []string{"components.athlete", "athlete_sd"},
		Plain:    "How much the athletes truly differ from each other, as a variance.",
		Formula:  "σ²a; on complete tables (MSR − MSE)/k when that is above 0",
		Where:    "reliability: variance components",
		Source:   pattersonREML,
		Misleads: "It is of the cohort that was tested; mixing levels of play makes it larger.",
		See:      []string{"variance components", "between-athlete SD"},
	},
	{
		Name: "athlete×session variance",
		Aliases: []string{"athlete by session variance", "day-to-day variance", "day-to-day part", "σ²as",
			"day to day"},
		Keys: []string{"athlete_session", "athlete_session_sd"},
		Plain: "How much an athlete's form differs from day to day, beyond the shift of the whole group. More " +
			"attempts on the same day do nothing about it.",
		Formula:  "σ²as",
		Where:    "reliability: variance components and decision study",
		Source:   pattersonREML,
		Misleads: "Where each session has one attempt it cannot be told from the trial variance.",
		See:      []string{"variance components", "trial variance", "decision study"},
	},
	{
		Name:    "trial variance",
		Aliases: []string{"attempt-to-attempt variance", "trial-to-trial variance", "σ²e", "trial to trial"},
		Keys:    []string{"components.trial", "trial_sd"},
		Plain: "How much attempts of one athlete on one day differ. Averaging more attempts makes this part of " +
			"the noise smaller.",
		Formula:  "σ²e; σ²e/t in the mean of t attempts",
		Where:    "reliability: variance components and decision study",
		Source:   pattersonREML,
		Misleads: "Fatigue or warming up over the attempts is counted here as noise.",
		See:      []string{"variance components", "session score", "athlete×session variance"},
	},
	{
		Name: "REML",
		Aliases: []string{"restricted maximum likelihood", "residual maximum likelihood", "REML criterion",
			"every score is used", "every score counts", "missing-sessions all"},
		Keys: []string{"reml_criterion"},
		Plain: "The way the variance components are estimated: it uses every score there is, whatever sessions " +
			"or attempts are missing, and equals the usual mean squares on complete tables.",
		Formula: "minimise (N−p)·ln 2π + ln|V| + ln|X′V⁻¹X| + r′V⁻¹r over σ²a, σ²as, σ²e ≥ 0; X holds the session " +
			"means, V the covariance of the attempts, r the residuals. Incomplete tables: typical error √σ²e, " +
			"ICC(C,1) σ²a/(σ²a + σ²e) of the session scores",
		Where: "reliability: variance components, JSON reml_criterion; typical error, ICC and changes of the " +
			"mean wherever an athlete lacks a session; --missing-sessions complete leaves those athletes out instead",
		Source: pattersonREML,
		Misleads: "It takes what is missing to be missing for reasons that the scores there already tell. Athletes " +
			"who stay away because they are hurt break that.",
		See: []string{"variance components", "complete cases", "profile likelihood interval"},
	},
	{
		Name:    "profile likelihood interval",
		Aliases: []string{"profile limits", "profile likelihood"},
		Plain: "The interval of a variance component: all values that the data do not speak against, with the " +
			"other components fitted anew at each.",
		Formula: "all values whose REML criterion exceeds its minimum by less than χ²(1−α, 1): 3.84 at 95 %",
		Where:   "reliability: intervals of the variance components",
		Source:  "Bates D, Mächler M, Bolker B, Walker S (2015), Journal of Statistical Software 67(1), section 5.1",
		Misleads: "It is approximate in small studies; the calibration table says by how much. A lower limit of 0 " +
			"means that 0 is not ruled out.",
		See: []string{"REML", "variance components", "calibration"},
	},
	{
		Name:    "decision study",
		Aliases: []string{"D study", "design", "sessions × trials", "trials in each", "as studied"},
		Keys:    []string{"decision_study"},
		Plain: "What other numbers of sessions and attempts would give: the typical error, the reliability and " +
			"the detectable change of each design, a design being a number of sessions on each occasion and a " +
			"number of trials in each.",
		Formula: "error variance of s sessions × t attempts: σ²as/s + σ²e/(s·t); detectable change t(1−α/2, " +
			"df)·√2 times its root, df by Satterthwaite",
		Where:  "reliability: table and picture of the decision study; JSON decision_study",
		Source: designStudy,
		Misleads: "It carries the components of this study to other designs: it is as sure as they are, and it " +
			"takes more attempts to be no more tiring.",
		See: []string{"variance components", "cheapest design", "reliability", "Satterthwaite's approximation"},
	},
	{
		Name: "cheapest design",
		Aliases: []string{"cheapest", "cheapest design that sees the worthwhile change",
			"never: the day-to-day part alone is too large", "day-to-day part alone"},
		Keys: []string{"cheapest_design", "cheapest_design.found", "cheapest_design.limit",
			"cheapest_design.never", "cheapest_design.needed_trials", "cheapest_design.words", "components.cheapest", "verdict.design"},
		Plain: "The fewest sessions, then the fewest trials in each, with which a single retest sees the " +
			"worthwhile change. 'Never' means that no number of trials is enough: the day-to-day part alone keeps " +
			"the detectable change above it.",
		Formula: "the smallest s, then the smallest t, with t(1−α/2, df)·√2·√(σ²as/s + σ²e/(s·t)) ≤ worthwhile " +
			"change; never when t(1−α/2, df)·√2·√(σ²as/s) is above it with the most sessions looked at, four; JSON " +
			"limit is that value",
		Where: "reliability: last column of the table of components, picture of the decision study, JSON " +
			"cheapest_design",
		Source: designStudy,
		Misleads: "It goes by the estimates: with a small study the next one can name another design. 'Not shown' " +
			"says that the day-to-day part is known too poorly to promise anything. More trials tire: what they " +
			"cost a shoulder is for a coach and a licensed clinician to weigh, with minors above all.",
		See: []string{"decision study", "athlete×session variance", "worthwhile change",
			"detectable ÷ worthwhile"},
	},
	{
		Name: "reliability",
		Aliases: []string{"reliability of a design", "reliability, lower", "reliability, upper",
			"reliability of a mean"},
		Keys: []string{"decision_study.reliability", "decision-study.reliability"},
		Plain: "The share of the variation between athletes' scores that is true differences between them, " +
			"shifts of the whole group left out: 1 is no noise.",
		Formula: "of s sessions × t trials: σ²a/(σ²a + σ²as/s + σ²e/(s·t)); limits 1 − 1/F′, F′ = (σ²a + TE²)/TE² " +
			"divided by quantiles of F with Satterthwaite's df, not below 0. For the design of a complete study it " +
			"is an ICC(C,·)",
		Where:  "reliability: decision study",
		Source: designStudy + "; df: Satterthwaite FE (1946), Biometrics Bulletin 2:110–114",
		Misleads: "Mixing levels of play lifts it while the noise stays the same. It is for telling athletes " +
			"apart; for the change of one athlete read the detectable change.",
		See: []string{"decision study", "intraclass correlation", "ICC(C,1)", "ICC(C,k)"},
	},
	{
		Name:    "Satterthwaite's approximation",
		Aliases: []string{"Satterthwaite", "Satterthwaite F", "Satterthwaite degrees of freedom"},
		Plain:   "Degrees of freedom for an error that is a sum of several parts, each estimated on its own.",
		Formula: "df = 2L²/Var(L) for a sum L of variances; of mean squares (Σ c_i·MS_i)²/Σ((c_i·MS_i)²/df_i)",
		Where: "reliability: the published limits of ICC(A,1) and ICC(A,k), in JSON; retest: a follow-up made with another number of " +
			"sessions or attempts than the noise study",
		Source:   "Satterthwaite FE (1946), Biometrics Bulletin 2:110–114; for the ICC as in " + mcGrawWong,
		Misleads: "It is an approximation: the calibration table says what the intervals reach.",
		See:      []string{"degrees of freedom", "ICC(A,1)", "calibration"},
	},
}
