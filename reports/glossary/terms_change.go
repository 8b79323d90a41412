package glossary

var changeTerms = []Term{
	{
		Name:    "change",
		Aliases: []string{"change from baseline", "difference of follow-up and baseline"},
		Keys:    []string{"changes", "changes.change", "surest-changes.change"},
		Plain:   "How much an athlete's score went up or down from baseline to follow-up, with its interval.",
		Formula: "D = follow-up − baseline, of logarithms on the log scale; interval D ± t(1−α/2, df)·SE",
		Where:   "retest: tables of changes and pictures",
		Source:  "Student's t interval with the typical error in place of an SD: " + snedecor,
		Misleads: "Why a score changed is not in the table: training, growth, practice with the test, an injury or " +
			"its healing all look alike.",
		See: []string{"standard error of a change", "stands out", "verdict", "practice"},
	},
	{
		Name:    "baseline",
		Aliases: []string{"before"},
		Keys:    []string{"baseline", "settings.baseline"},
		Plain:   "The score that a change is counted from: one session, or the mean of several before training began.",
		Formula: "mean of the scores of the baseline sessions that the athlete has (geometric on the log scale)",
		Where:   "retest: --baseline; without it the mean of the noise sessions",
		Source:  NoSource,
		Misleads: "Athletes who have only some of its sessions have a baseline with more noise; their interval is " +
			"wider and a warning counts them. Early sessions may still hold practice with the test.",
		See: []string{"follow-up", "practice", "noise of the same change"},
	},
	{
		Name:     "follow-up",
		Aliases:  []string{"retest", "judged session"},
		Keys:     []string{"follow_up", "settings.follow_up"},
		Plain:    "The score that is judged against the baseline. Each follow-up is judged on its own.",
		Formula:  "mean of the scores of the follow-up sessions that the athlete has (geometric on the log scale)",
		Where:    "retest: --follow-up; without it every later session",
		Source:   NoSource,
		Misleads: "Several follow-ups are several looks: each adds its chance of a false alarm.",
		See:      []string{"baseline", "family"},
	},
	{
		Name:    "standard error of a change",
		Aliases: []string{"SE", "standard error"},
		Keys:    []string{"se"},
		Plain:   "How much a change varies from noise alone.",
		Formula: "SE = TE·√(1/b + 1/f), b and f sessions averaged in baseline and follow-up; √2·TE for one each",
		Where:   "retest: JSON and CSV se",
		Source:  weir,
		Misleads: "It holds for scores made of as many attempts as in the noise study. Other numbers of attempts " +
			"take the error from the variance components, where the study has them.",
		See: []string{"typical error", "detectable change", "error from variance components"},
	},
	{
		Name:    "interval after selection",
		Aliases: []string{"selected interval", "false coverage rate"},
		Keys:    []string{"changes.selected"},
		Plain: "A wider interval of a change that stands out: it was picked for being far out, and the plain interval of " +
			"what was picked holds the truth less often than it says (87 to 90 % for 95).",
		Formula:  "D ± t(1 − α·R/(2m), df)·SE, R changes that stand out of m looked at",
		Where:    "retest: JSON and CSV, selected",
		Source:   "Benjamini Y, Yekutieli D (2005), Journal of the American Statistical Association 100:71–81",
		Misleads: "It allows for the picking, not for a baseline that was picked for being low. " + clinician,
		See:      []string{"stands out", "family", "confidence interval"},
	},
	{
		Name: "stands out",
		Aliases: []string{"standing out", "stand out", "what stands out", "rises that stand out",
			"falls that stand out", "real"},
		Keys: []string{"stands_out", "family.stand_out", "athletes.stand_out", "athletes.what", "tests.rises",
			"tests.falls"},
		Plain: "A change that is more than noise even after allowing for all the changes that were looked at " +
			"together. It says nothing about whether it matters.",
		Formula: "kept by Benjamini & Hochberg at α over every change of the answer: adjusted p ≤ α, α = 1 − level",
		Where:   "retest: the first sentence, verdicts, filled marks; JSON stands_out",
		Source:  "Benjamini Y, Hochberg Y (1995), Journal of the Royal Statistical Society B 57:289–300",
		Misleads: "Of those that stand out a small share, at most α on average, are false all the same. What does " +
			"not stand out may have changed: the test cannot tell. " + clinician,
		See: []string{"past the noise", "family", "verdict", "Benjamini–Hochberg"},
	},
	{
		Name:    "past the noise",
		Aliases: []string{"past the noise on its own", "more than noise", "past on its own", "state", "looked at"},
		Keys:    []string{"past_noise", "family.past_noise", "athletes.past_noise", "tests.past_noise"},
		Plain: "The change's own interval does not hold 0. Among many changes some lie past the noise by chance " +
			"alone: the answer says how many.",
		Formula: "D − t(1−α/2, df)·SE > 0 or D + t(1−α/2, df)·SE < 0; the same as |D| > detectable change",
		Where:   "retest: verdicts, half filled marks in the pictures; JSON past_noise",
		Source:  "Student's t interval: " + snedecor,
		Misleads: "Of 100 unchanged athletes about 5 lie past the noise at 95 %. Only a single change that was " +
			"named beforehand can be read by it alone. " + clinician,
		See: []string{"stands out", "detectable change", "expected false alarms"},
	},
	{
		Name:    "inside the noise",
		Aliases: []string{"inside it", "inside"},
		Plain:   "The change could be noise alone. The athlete may have changed or not: the test cannot tell.",
		Formula: "L ≤ 0 ≤ U, and not inside ± w as a whole",
		Where:   "retest: verdict, hollow marks",
		Source:  NoSource,
		Misleads: "It is not proof that the athlete stayed the same, and no reason to call a programme useless. A " +
			"true fall can hide here too. " + clinician,
		See: []string{"verdict", "detectable change", "steady"},
	},
	{
		Name:    "steady",
		Aliases: []string{"steady: too small to matter either way"},
		Plain: "Not past the noise, and shown to be smaller than the change that matters: as near to 'no " +
			"change' as data can come.",
		Formula:  "L ≤ 0 ≤ U, and −w < L, U < w",
		Where:    "retest: verdict",
		Source:   NoSource,
		Misleads: "Only a test whose noise is small against the worthwhile change can ever show it.",
		See:      []string{"verdict", "worthwhile change", "inside the noise"},
	},
	{
		Name: "matters",
		Aliases: []string{"stands out and matters", "stands out, may matter", "stands out, too small to matter",
			"and matter", "large enough to matter", "clearly large enough to matter"},
		Keys: []string{"matters", "worthwhile_changes"},
		Plain: "Is the change large enough to matter? Yes, when it lies beyond the worthwhile change by more than " +
			"both are uncertain; no, when it lies inside by as much; unclear else.",
		Formula: "h is half the change's interval, w the worthwhile change, w_L to w_U its interval (w where it is a " +
			"stated number): yes when |D| − w > √(h² + (w_U − w)²), no when w − |D| > √(h² + (w − w_L)²), unclear " +
			"else or without w",
		Where:  "retest: verdict; the column 'matters from' has w; JSON matters",
		Source: "interval of a difference: Zou GY, Donner A (2008), Statistics in Medicine 27:1693–1702; the rule: " + NoSource,
		Misleads: "It can be a fall as well as a rise: see the direction. With a noisy test most changes are " +
			"unclear, even large ones. " + clinician,
		See: []string{"verdict", "worthwhile change", "direction"},
	},
	{
		Name:    "verdict",
		Aliases: []string{"verdicts", "reading of a change"},
		Keys:    []string{"verdict"},
		Plain: "Two questions in one phrase, never merged into one: whether the change stands out from the " +
			"noise, and whether it matters.",
		Formula: "stands out and matters; stands out, may matter; stands out, too small to matter; past the noise " +
			"on its own; steady: too small to matter either way; inside the noise",
		Where: "retest: column verdict, pictures, JSON verdict; correlate: JSON verdict, how many tests are " +
			"shown to go with the outcome",
		Source: NoSource,
		Misleads: "It is about a score, not about health, effort or training. It changes with the worthwhile " +
			"change that was chosen and with how many changes are looked at together. " + clinician,
		See: []string{"stands out", "past the noise", "matters", "steady", "inside the noise"},
	},
	{
		Name:    "occasion",
		Aliases: []string{"occasions"},
		Keys:    []string{"occasion", "occasions"},
		Plain: "One comparison that was asked for: the sessions before and the sessions after. Each change says " +
			"which one it answers.",
		Formula:  "place in the list of occasions, from 0",
		Where:    "retest: JSON occasions and changes[].occasion",
		Source:   NoSource,
		Misleads: "An athlete may lack some of its sessions: from and to are those that were there.",
		See:      []string{"baseline", "follow-up"},
	},
	{
		Name:    "narrow interval",
		Aliases: []string{"narrow", "second interval", "80 % interval"},
		Keys:    []string{"narrow", "settings.narrow", "lower_narrow", "upper_narrow"},
		Plain: "A second interval at a lower level, for those who can live with more false alarms to miss fewer " +
			"changes.",
		Formula:  "D ± t((1+level)/2, df)·SE, level 80 % unless another is given",
		Where:    "retest: --narrow; JSON narrow, CSV lower_narrow and upper_narrow",
		Source:   NoSource,
		Misleads: "At 80 % one unchanged athlete in five looks changed. Choose the level before looking.",
		See:      []string{"confidence interval", "past the noise"},
	},
	{
		Name:    "best estimate",
		Aliases: []string{"best estimate of the true change", "posterior", "shrinkage"},
		Keys:    []string{"best_estimate"},
		Plain: "What the athlete's true change probably is, with what the others of the arm did in mind: where true " +
			"changes differ little, a large one was partly luck and is pulled towards their mean.",
		Formula: "D_i ~ N(δ_i, SE_i²), δ_i ~ N(m, τ²); for known m and τ it is m + (D − m)·τ²/(τ² + SE²). m is flat " +
			"for each arm and level, τ/TE half-normal with scale 2 (0 to 6), TE as the noise study knows it (χ² on df); " +
			"all three are integrated out. The interval is of the same posterior",
		Where: "retest: the working page, column 'best estimate'; the answer about one athlete and test; JSON " +
			"best_estimate",
		Source: "Efron B, Morris C (1975), Journal of the American Statistical Association 70:311-319 (the idea); the prior " +
			"of τ is ours, calibrated",
		Misleads: "It takes the true changes as bell-shaped around one mean. Where some respond and others do not it " +
			"pulls the responders too far. Below 6 athletes in an arm there is none.",
		See: []string{"chance", "regression to the mean", "change"},
	},
	{
		Name:    "chance",
		Aliases: []string{"chance: above", "chance: below", "within", "above", "below", "flat prior"},
		Keys: []string{"chance", "chance_flat", "chance_flat.above", "chance_flat.within", "chance_flat.below",
			"chance_cohort", "chance_cohort.above", "chance_cohort.within", "chance_cohort.below",
			"chance.above", "chance.within", "chance.below", "chance_above", "chance_within", "chance_below"},
		Plain: "How belief about the athlete's true change splits three ways: above the worthwhile change, within it, " +
			"below its negative. The three add up to 1. It is worked out twice, from this retest alone (flat) and with " +
			"what the others of the arm did in mind (cohort); of a rise that matters, and of a fall that matters, the " +
			"smaller chance is shown, and within is the rest.",
		Formula: "flat: above P(T > (w − D)/SE), below P(T < (−w − D)/SE), within the rest; T is Student's t on df, w " +
			"the worthwhile change. cohort: the same of the posterior of the best estimate",
		Where:  "retest: the working page: columns 'chance: above', 'within' and 'below'; JSON chance",
		Source: "Student's t as a posterior under a flat prior: standard theory, no single source; see best estimate",
		Misleads: "In simulation, of those printed as 85 to 95 % some 83 (8 athletes) to 88 % (40) came true; of the flat " +
			"ones alone 66 to 69; where some respond and others do not, 80. It is no " +
			"forecast, says nothing about the cause, and is not a diagnosis: a shoulder that lost power goes to a " +
			"licensed clinician whatever the chance says. No words for ranges of chance are printed on purpose.",
		See: []string{"verdict", "worthwhile change", "best estimate"},
	},
	{
		Name:    "regression to the mean",
		Aliases: []string{"expected by regression", "expected change with no true change", "expected"},
		Keys:    []string{"expected_by_regression"},
		Plain: "Athletes who were picked because their score was low come out higher next time even if nothing " +
			"changed, and those with high scores lower: part of the extreme score was luck. This is the change to " +
			"be expected from that alone.",
		Formula: "(1 − r)·(mean − baseline), r = ICC(C,1) of the noise study, stepped up to b·r/(1 + (b−1)·r) " +
			"when the baseline averages b sessions",
		Where:  "retest --regression: JSON and CSV expected_by_regression",
		Source: "follows from score = true score + independent error; standard theory, no single source",
		Misleads: "It is for athletes who were selected by this score and belong to the cohort of the noise study. " +
			"Whoever was not selected needs no such correction.",
		See: []string{"change beyond regression", "ICC(C,1)", "Spearman–Brown step-up"},
	},
	{
		Name:    "change beyond regression",
		Aliases: []string{"beyond", "beyond regression to the mean"},
		Keys:    []string{"beyond_regression"},
		Plain:   "What is left of a change once the part to be expected from regression to the mean is taken off.",
		Formula: "D − (1 − r)·(mean − baseline), interval ± t(1−α/2, df)·SE",
		Where:   "retest --regression: JSON and CSV beyond_regression",
		Source:  "follows from score = true score + independent error; standard theory, no single source",
		Misleads: "The mean and the reliability of the noise study are taken as known, so the interval is a little " +
			"too narrow.",
		See: []string{"regression to the mean", "change"},
	},
	{
		Name:    "practice",
		Aliases: []string{"practice with the test", "practice effect"},
		Plain: "Getting better at the test itself. When the group's mean moved in the noise study, where nobody " +
			"trained, as much of a later change may be practice.",
		Keys: []string{"practice", "practice.change", "practice.from", "practice.to", "seen_from"},
		Formula: "warned of when the interval of a change of the mean in the noise study excludes 0; seen_from: δ with " +
			"P(|T| > t(1−α/2, n−1)) = 0.8, T noncentral t with δ/SE",
		Where:  "retest: a warning; JSON practice; noise files carry the changes of the mean",
		Source: NoSource,
		Misleads: "No warning does not mean no practice: a small study may not show it. Where it could not have seen as " +
			"much as matters, retest says so.",
		See: []string{"learning", "learning shift", "baseline"},
	},
	{
		Name:    "learning shift",
		Aliases: []string{"expected learning shift", "expected learning", "expected by practice"},
		Keys:    []string{"expected_by_practice", "practice_exposures"},
		Plain: "The change to be expected from more exposure to the test alone, without any training: what the group's " +
			"mean did last in the noise study, for each exposure from the middle of the baseline to the session after it.",
		Formula: "steps × the last change of the mean in the noise study, with its Student t interval on n−1 df; steps = " +
			"last place of the baseline + 1 − mean place: 1 for one session, 1.5 for the mean of sessions 1 and 2",
		Where:  "retest --learning: JSON expected_by_practice and practice_exposures, and a warning that says what was taken",
		Source: "Student's paired t interval: " + snedecor,
		Misleads: "It carries the practice of the noise study's athletes over to this one. Learning fades: the " +
			"shift from the first to the second session may be too much for later ones; so the last shift is taken, not " +
			"the mean of several. A follow-up several " +
			"exposures later may hold more of it.",
		See: []string{"change beyond practice", "learning", "change of the mean", "practice"},
	},
	{
		Name:    "change beyond practice",
		Aliases: []string{"beyond practice", "after learning", "the reading beyond practice"},
		Keys:    []string{"beyond_practice", "past_noise_beyond_practice"},
		Plain: "A second reading of a change: what is left once the rise to be expected from practice with the " +
			"test is taken off. The verdict stays on the change itself.",
		Formula: "D − steps·shift ± t(1−α/2, df′)·SE′; SE′² = SE² + (steps·SE_s)², df′ = SE′⁴/(SE²/√df + " +
			"(steps·SE_s)²/√df_s)², SE_s and df_s those of the shift (n − 1, or Satterthwaite where sessions are missing), " +
			"and 2·steps·TE²/n more where the baseline is the later session of the shift alone; past the noise " +
			"beyond practice when this interval does not hold 0",
		Where: "retest --learning: column 'beyond practice', JSON beyond_practice and past_noise_beyond_practice",
		Source: "Satterthwaite FE (1946), Biometrics Bulletin 2:110–114, with both errors taken as fully " +
			"dependent because they are from the same athletes",
		Misleads: "With two sessions in the noise study the interval is exact, with more it is cautious. It takes " +
			"the practice of the noise study's athletes to be everyone's; follow-ups not later than the baseline " +
			"have no such reading.",
		See: []string{"learning shift", "practice", "change", "verdict"},
	},
	{
		Name:    "error from variance components",
		Aliases: []string{"from components", "other numbers of attempts", "where the error is from"},
		Keys:    []string{"from_components"},
		Plain: "Where an athlete's scores are means of more or fewer attempts than in the noise study, the " +
			"error of the change is worked out for the attempts that were made.",
		Formula: "SE² = σ²as·(1/b + 1/f) + σ²e·(e_b + e_f), df = 2·SE⁴/Var(SE²); b and f sessions averaged, e the " +
			"sum of 1/attempts over an occasion's sessions divided by the square of their number",
		Where: "retest: JSON and CSV from_components, and a warning that counts such changes",
		Source: "Brennan RL (2001), Generalizability Theory, chapter 4; df: Satterthwaite FE (1946), Biometrics " +
			"Bulletin 2:110–114",
		Misleads: "The rate of false alarms is approximate then: for studies of 3 attempts and 8 athletes, days " +
			"and attempts varying alike, 5.1 % for a follow-up of one attempt and 4.1 % for one of six, where 5 % " +
			"is meant. It needs a study with several attempts in a session.",
		See: []string{"standard error of a change", "variance components", "Satterthwaite's approximation",
			"session score"},
	},
	{
		Name:    "noise of the same change",
		Aliases: []string{"noise from the very change", "the change that is judged", "in the noise study"},
		Plain: "A change must not be judged by a typical error that was made from that change: retest leaves such a test " +
			"out, stops when no other is left, and warns when some or most of what is judged was in the noise study.",
		Formula: "with one session of the study as the baseline the false-alarm rate is below α: for 5 %, 4.3 % " +
			"at 8 athletes, 4.4 % at 12, 4.6 % at 20; with the mean of all its sessions as the baseline, or with " +
			"sessions outside it, it is α",
		Where:  "retest: an error, or a warning",
		Source: "derived and checked by simulation here; no published source",
		Misleads: "The same table is known by its sessions, another by the prints in the noise file: an athlete more, a " +
			"value changed or rounding by little does not matter. Other codes for the athletes, or fewer than six of them, " +
			"can pass.",
		See: []string{"noise model", "false alarm", "prints"},
	},
	{
		Name:     "run of sessions",
		Aliases:  []string{"run", "athlete's run", "session by session"},
		Plain:    "All sessions of one athlete in one test, drawn on the band of noise around the baseline.",
		Formula:  "band: baseline ± detectable change of a follow-up of one session",
		Where:    "retest: pictures of athletes, and their tables",
		Source:   NoSource,
		Misleads: "The more sessions, the surer that one of them leaves the band by chance.",
		See:      []string{"noise band", "false alarm"},
	},
}
