package glossary

var iccTerms = []Term{
	{
		Name:    "intraclass correlation",
		Aliases: []string{"ICC", "reliability coefficient", "form", "forms of the ICC"},
		Keys:    []string{"icc", "icc.form", "icc.model", "icc.f", "shrout_fleiss"},
		Plain: "The share of all variation between scores that is differences between athletes: 1 when the " +
			"scores tell athletes apart without noise, 0 when they do not tell them apart at all. Six forms answer " +
			"six questions; each is printed with its model in words.",
		Formula: "variance between athletes / (variance between athletes + error variance); what counts as error, " +
			"and whether one score or the mean of k is meant, makes the form",
		Where: "reliability: ICC(A,1) and ICC(C,1) in the main table, all six in the table of intraclass " +
			"correlations",
		Source: mcGrawWong + "; " + shroutFleiss,
		Misleads: "It depends on who was tested: a mixed cohort lifts it while the noise stays the same. It says " +
			"little about judging one athlete; the typical error does. A negative estimate is printed as it is: " +
			"the athletes differ less than the noise.",
		See: []string{"ICC(A,1)", "ICC(C,1)", "typical error", "within-group ICC"},
	},
	{
		Name:    "ICC(1)",
		Aliases: []string{"ICC(1,1)", "one-way random, absolute agreement, single score"},
		Plain: "One-way random, absolute agreement, single score: how far one score of an athlete can be " +
			"trusted when sessions are not told apart, so that every difference within an athlete is error.",
		Formula:  "(MSR − MSW)/(MSR + (k−1)·MSW); exact F limits",
		Where:    "reliability: table of intraclass correlations",
		Source:   mcGrawWong + "; " + shroutFleiss + ": ICC(1,1)",
		Misleads: "Where everyone did the same sessions, a shift between them is not told from noise here.",
		See:      []string{"ICC(A,1)", "ICC(k)", "mean squares"},
	},
	{
		Name:    "ICC(k)",
		Aliases: []string{"ICC(1,k)", "one-way random, absolute agreement, mean of k sessions"},
		Plain: "One-way random, absolute agreement, mean of k sessions: as ICC(1), for the average of an " +
			"athlete's k sessions.",
		Formula:  "(MSR − MSW)/MSR; exact F limits",
		Where:    "reliability: table of intraclass correlations",
		Source:   mcGrawWong + "; " + shroutFleiss + ": ICC(1,k)",
		Misleads: "It is not the reliability of a single test day; those who test once must read ICC(1).",
		See:      []string{"ICC(1)", "Spearman–Brown step-up"},
	},
	{
		Name:    "ICC(A,1)",
		Aliases: []string{"ICC(2,1)", "two-way random, absolute agreement, single score", "absolute agreement"},
		Keys:    []string{"icc_a1", "icc.satterthwaite"},
		Plain: "Two-way random, absolute agreement, single score: how far one score can be trusted as it " +
			"stands, a shift of the whole group between sessions counted as error.",
		Formula: "(MSR − MSE)/(MSR + (k−1)·MSE + (k/n)·(MSC − MSE)); limits: the generalized interval, quantiles of the same with each mean square divided by a chi-square over its df",
		Where:   "reliability: main table and table of intraclass correlations",
		Source: mcGrawWong + "; " + shroutFleiss + ": ICC(2,1); limits: Tian L, Cappelleri JC (2004), Journal of " +
			"Biopharmaceutical Statistics 14:539–553",
		Misleads: "A practice effect between the sessions lowers it although it fades with familiarisation. Two sessions " +
			"say little about how much sessions differ, so its limits are wide with two. The JSON has the limits by " +
			"Satterthwaite's F beside, as published tables have them: they promise too much where sessions differ.",
		See: []string{"ICC(C,1)", "agreement error", "Satterthwaite's approximation"},
	},
	{
		Name:    "ICC(A,k)",
		Aliases: []string{"ICC(2,k)", "two-way random, absolute agreement, mean of k sessions"},
		Plain: "Two-way random, absolute agreement, mean of k sessions: as ICC(A,1), for the average of an " +
			"athlete's k sessions.",
		Formula: "(MSR − MSE)/(MSR + (MSC − MSE)/n); limits: those of ICC(A,1), stepped up",
		Where:   "reliability: table of intraclass correlations",
		Source:  mcGrawWong + "; " + shroutFleiss + ": ICC(2,k)",
		Misleads: "When the noise is larger than all differences it can leave its range, above 1 or far below 0; " +
			"it is shown as it is, with a warning.",
		See: []string{"ICC(A,1)", "Spearman–Brown step-up"},
	},
	{
		Name:    "ICC(C,1)",
		Aliases: []string{"ICC(3,1)", "two-way mixed, consistency, single score", "consistency"},
		Keys:    []string{"icc_c1"},
		Plain: "Two-way mixed, consistency, single score: how well one score keeps the athletes in the same " +
			"order and distance, a shift of the whole group left out.",
		Formula:  "(MSR − MSE)/(MSR + (k−1)·MSE); exact F limits",
		Where:    "reliability: main table, table of intraclass correlations, table of groups; noise files",
		Source:   mcGrawWong + "; " + shroutFleiss + ": ICC(3,1)",
		Misleads: "Two sessions 20 W apart for everyone count as the same here.",
		See:      []string{"ICC(A,1)", "within-group ICC", "regression to the mean"},
	},
	{
		Name:    "ICC(C,k)",
		Aliases: []string{"ICC(3,k)", "two-way mixed, consistency, mean of k sessions"},
		Keys:    []string{"icc_k"},
		Plain: "Two-way mixed, consistency, mean of k sessions: as ICC(C,1), for the average of an athlete's k " +
			"sessions. It is the reliability behind the corrected r.",
		Formula:  "(MSR − MSE)/MSR; exact F limits",
		Where:    "reliability: table of intraclass correlations; correlate: the corrected r",
		Source:   mcGrawWong + "; " + shroutFleiss + ": ICC(3,k)",
		Misleads: "It is not the reliability of a single test day.",
		See:      []string{"ICC(C,1)", "corrected r", "Spearman–Brown step-up"},
	},
	{
		Name: "within-group ICC",
		Aliases: []string{"pooled ICC", "ICC within groups", "ICC inside the groups",
			"height to the differences between the groups"},
		Keys: []string{"verdict.icc_lifted_by_groups", "pooled_icc", "within_icc"},
		Plain: "The ICC with the differences between the groups taken out. When the ICC over all athletes is " +
			"clearly above it, the mixture of groups makes the test look more reliable than it is for telling " +
			"apart athletes of one level.",
		Formula: "ICC(C,1) from the sums of squares and degrees of freedom of the groups added up; exact F " +
			"limits. Warned of when the pooled ICC is above the upper limit, or more than 0.1 above the estimate",
		Where:    "reliability --by: warning, JSON group_test.pooled_icc and within_icc",
		Source:   mcGrawWong + ", on pooled sums of squares; the 0.1 is " + NoSource,
		Misleads: "The typical error is not lifted by the mixture: to judge one athlete's change it does not matter.",
		See:      []string{"intraclass correlation", "level of play", "correlation within level"},
	},
	{
		Name:     "Spearman–Brown step-up",
		Aliases:  []string{"Spearman-Brown", "step-up"},
		Plain:    "How reliability rises when several sessions are averaged.",
		Formula:  "m·r/(1 + (m−1)·r) for the mean of m sessions of reliability r",
		Where:    "retest --regression, when the baseline averages several sessions; the limits of the ICC of means",
		Source:   shroutFleiss,
		Misleads: "It needs the errors of the sessions to be independent and alike.",
		See:      []string{"ICC(C,k)", "regression to the mean", "decision study"},
	},
}
