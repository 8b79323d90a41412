package glossary

var familyTerms = []Term{
	{
		Name:    "family",
		Aliases: []string{"family of comparisons", "comparisons made", "number of tests looked at"},
		Keys:    []string{"family", "family.changes"},
		Plain: "All the changes, or all the tests, that were looked at together. The more there are, the more " +
			"of them look like something by chance.",
		Formula: "m = number of changes judged (retest) or of tests held against the outcome (correlate) in one " +
			"call; p values are adjusted over those that have one",
		Where:  "retest: the second sentence of the answer; correlate: below the main table; JSON family",
		Source: NoSource,
		Misleads: "Tests that were looked at in another call, and left out of this one because they showed " +
			"nothing, belong to it too; the program cannot know of them. In retest one athlete and one test asked for by name " +
			"are a family of their own, and the answer says so.",
		See: []string{"expected false alarms", "Holm", "Benjamini–Hochberg"},
	},
	{
		Name:     "false alarm",
		Aliases:  []string{"false alarms", "false positive", "false-alarm rate"},
		Plain:    "A change that looks like one although the athlete did not change.",
		Formula:  "rate α = 1 − level for each look: 5 % at 95 %",
		Where:    "retest: the answer; the calibration table shows the rate that is reached",
		Source:   NoSource,
		Misleads: "Fewer false alarms mean more true changes missed: the level is a choice between the two.",
		See:      []string{"expected false alarms", "confidence level", "calibration"},
	},
	{
		Name:    "expected false alarms",
		Aliases: []string{"by chance", "with no change at all"},
		Keys:    []string{"expected_false_alarms", "family.up_to"},
		Plain:   "How many changes would be past the noise had nobody changed at all.",
		Formula: "number of changes · (1 − level); up to: the 95 % quantile of Σ over tests of Bin(n, 2Φ(−t·s)), s² ~ " +
			"χ²/df, because the noise of a test, off by chance, is shared by its n changes (simulation, fixed seed)",
		Where:  "retest: the answer and the table of tests, column 'by chance'",
		Source: "follows from the definition of the level",
		Misleads: "It is an average; with tests that go together the number varies a lot around it. It does not " +
			"say which ones are the false alarms.",
		See: []string{"family", "Benjamini–Hochberg", "false alarm"},
	},
	{
		Name:    "p value",
		Aliases: []string{"p", "p values"},
		Keys:    []string{"p", "p_method"},
		Plain:   "How often noise alone would give a result at least as far from 'nothing' as this one.",
		Formula: "two-sided: for a change P(|T| ≥ |D/SE|), T Student's t on df; for a correlation t = r·√(df/(1−r²))",
		Where:   "reliability, retest, correlate: columns p",
		Source:  snedecor,
		Misleads: "It is not the chance that nothing changed. A large p does not show that there is nothing; a " +
			"small one does not show that it matters.",
		See: []string{"confidence interval", "Holm", "Benjamini–Hochberg"},
	},
	{
		Name:    "Holm",
		Aliases: []string{"p (Holm)", "p after Holm", "Holm-adjusted p", "shown"},
		Keys:    []string{"p_holm", "p_williams_holm"},
		Plain: "A p value made larger for the number of looks, so that even one false alarm in the whole family " +
			"is rare.",
		Formula:  "for p(1) ≤ … ≤ p(m): adjusted p(i) = max over j ≤ i of min(1, (m − j + 1)·p(j))",
		Where:    "correlate: columns 'p (Holm)' and the answer; retest: JSON p_holm",
		Source:   "Holm S (1979), Scandinavian Journal of Statistics 6:65–70",
		Misleads: "With very many looks it lets few real things through.",
		See:      []string{"Benjamini–Hochberg", "family", "p value"},
	},
	{
		Name:    "Benjamini–Hochberg",
		Aliases: []string{"BH", "p (BH)", "false discovery rate", "FDR"},
		Keys:    []string{"p_bh"},
		Plain:   "A p value adjusted so that, of what is still kept, only a small share is false alarms on average.",
		Formula: "for p(1) ≤ … ≤ p(m): adjusted p(i) = min over j ≥ i of min(1, m·p(j)/j); kept when it is at most α",
		Where:   "retest: column 'p (BH)' and the answer; correlate: JSON and CSV p_bh",
		Source:  "Benjamini Y, Hochberg Y (1995), Journal of the Royal Statistical Society B 57:289–300",
		Misleads: "The share is an average over many studies, for independent looks and those that go together " +
			"positively; about a single athlete it says little.",
		See: []string{"Holm", "family", "expected false alarms"},
	},
}
