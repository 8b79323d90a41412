package reports

import (
	"fmt"
	"math"
	"slices"

	assoc "noisefloor/analysis/association"
	"noisefloor/analysis/caveat"
	"noisefloor/reports/number"
	"noisefloor/reports/table"
)

// Correlate shows which tests go with the outcome.
type Correlate struct {
	About
	Result   assoc.Result
	Models   *assoc.ModelSet   // nil when there are not tests of both planes
	Repeated []RepeatedMeasure // asked for
	Changes  []ChangeOfMeasure // asked for
	FromTo   [2]string         // sessions of Changes
	Planes   [2]string         // compared; empty means transverse, sagittal
}

// A RepeatedMeasure is a test with its correlation inside athletes.
type RepeatedMeasure struct {
	Measure string
	assoc.Repeated
}

// A ChangeOfMeasure is a test whose change was compared with the outcome's.
type ChangeOfMeasure struct {
	Measure string
	assoc.ChangeAssociation
}

// Name implements [View].
func (v Correlate) Name() string { return "correlate" }

// Stem implements [View].
func (v Correlate) Stem() string { return v.Name() + "-" + v.Result.Outcome }

// Title implements [View].
func (v Correlate) Title() string { return "Which tests go with " + v.label(v.Result.Outcome) + "?" }

func (v Correlate) label(measure string) string {
	if l := v.Labels[measure]; l != "" {
		return l
	}
	return measure
}

// leading returns the correlation to go by: within level when there is one.
func leading(a assoc.Association) (r assoc.Correlation, within bool) { return a.Leading() }

// Answer implements [View].
func (v Correlate) Answer() []string {
	if v.Result.Verdict().Tests == 0 {
		return []string{"No test could be compared with " + v.label(v.Result.Outcome) + "."}
	}
	out := []string{v.verdictWords()}
	out = append(out, v.contrastAnswer()...)
	out = append(out, v.planeAnswer()...)
	out = append(out, v.addedAnswer()...)
	return append(out, v.partedAnswer()...)
}

// verdictWords is the first sentence: how many tests are shown to go with the
// outcome, and the closest.
func (v Correlate) verdictWords() string {
	found, outcome := v.Result.Verdict(), v.label(v.Result.Outcome)
	i := slices.IndexFunc(v.Result.Associations, func(a assoc.Association) bool { return a.Measure == found.Closest })
	best, within := leading(v.Result.Associations[i])
	kind := ""
	if within {
		kind = " within a level"
	}
	closest := fmt.Sprintf("%s, r%s = %s, %s", v.label(found.Closest), kind, correlationWords(best.Estimate),
		number.Count(v.Result.Associations[i].N, "athlete", "athletes"))
	if found.Shown == 0 {
		return fmt.Sprintf("No test is shown to go with %s; the closest is %s.", outcome, closest)
	}
	goes := "go"
	if found.Shown == 1 {
		goes = "goes"
	}
	return fmt.Sprintf("%d of %s %s with %s, allowing for looking at so many; the closest is %s.",
		found.Shown, number.Count(found.Tests, "test", "tests"), goes, outcome, closest)
}

// contrastAnswer compares the planes by all their tests together.
func (v Correlate) contrastAnswer() []string {
	c, kind := v.Result.PlaneContrast, ""
	if v.Result.WithinPlaneContrast != nil {
		c, kind = v.Result.WithinPlaneContrast, " within levels"
	}
	if c == nil || !c.Difference.HasInterval() {
		return nil
	}
	verdict := "are not shown to go with it more or less closely than"
	switch {
	case c.Difference.Lower > 0:
		verdict = "go with it more closely than"
	case c.Difference.Upper < 0:
		verdict = "go with it less closely than"
	}
	return []string{fmt.Sprintf("Taken together%s, %s (mean r %s, %s to %s) %s %s (%s, %s to %s).", kind,
		planeTests(len(c.TestsA),
			c.PlaneA), number.Correlation(c.RA.Value), number.Correlation(c.RA.Lower), number.Correlation(c.RA.Upper),
		verdict, planeTests(len(c.TestsB), c.PlaneB),
		number.Correlation(c.RB.Value), number.Correlation(c.RB.Lower), number.Correlation(c.RB.Upper))}
}

// planeTests writes "the 7 transverse tests", "the one sagittal test".
func planeTests(n int, plane string) string {
	if n == 1 {
		return "the one " + plane + " test"
	}
	return fmt.Sprintf("the %d %s tests", n, plane)
}

// planeAnswer says whether the first plane's tests go with the outcome more
// closely than the second's.
func (v Correlate) planeAnswer() []string {
	comparisons, kind := v.Result.Comparisons, ""
	if len(v.Result.WithinComparisons) > 0 {
		comparisons, kind = v.Result.WithinComparisons, ", within levels"
	}
	if len(comparisons) == 0 {
		return nil
	}
	more, less := 0, 0
	for _, c := range comparisons {
		if c.PWilliamsHolm <= 1-v.Result.Level {
			if c.Difference.Value > 0 {
				more++
			} else {
				less++
			}
		}
	}
	c := comparisons[0]
	return []string{fmt.Sprintf("Test against test%s, the %s one goes with it more closely in %d of %d pairs, the "+
		"%s one in %d,"+
		" allowing for looking at so many.", kind, c.PlaneA, more, len(comparisons), c.PlaneB, less)}
}

func (v Correlate) partedAnswer() []string {
	parted := 0
	for _, a := range v.Result.Associations {
		if a.Within != nil && a.Within.Parted {
			parted++
		}
	}
	if parted == 0 {
		return nil
	}
	return []string{fmt.Sprintf("In %d of %d tests the correlation over all athletes and the one within a level "+
		"part: mixing levels makes tests look related. Read the within-level column.",
		parted, len(v.Result.Associations))}
}

// doubts are the caveats of the request and of every part of the analysis. That
// levels part is said in the answer, and test by test in the table of levels.
func (v Correlate) doubts() []caveat.Caveat {
	out := slices.Concat(v.Caveats, v.Result.Caveats)
	for _, c := range v.contrasts() {
		out = append(out, c.Caveats...)
	}
	if v.Models != nil {
		out = append(out, v.Models.Caveats...)
		for _, m := range v.Models.Models {
			out = append(out, m.Caveats...)
		}
	}
	for _, m := range v.Repeated {
		out = append(out, ofMeasure(m.Caveats, m.Measure)...)
	}
	for _, m := range v.Changes {
		out = append(out, ofMeasure(m.Caveats, m.Measure)...)
	}
	for _, a := range v.Result.Associations {
		out = append(out, a.Caveats...)
	}
	return slices.DeleteFunc(out, func(c caveat.Caveat) bool { return c.Kind == assoc.LevelsPart })
}

// ofMeasure says which test caveats are about.
func ofMeasure(all []caveat.Caveat, measure string) []caveat.Caveat {
	out := slices.Clone(all)
	for i := range out {
		out[i] = out[i].About(measure)
	}
	return out
}

// phrases are the words of caveats, without what they are about.
func (a About) phrases(all []caveat.Caveat) []string {
	words := sayers()
	var out []string
	for _, c := range all {
		text := string(c.Kind)
		if say, ok := words[c.Kind]; ok {
			text = say(c, a)
		}
		out = append(out, text)
	}
	return out
}

// Warnings implements [View].
func (v Correlate) Warnings() []string { return v.sentences(v.doubts()) }

// Method implements [View].
func (v Correlate) Method() []string {
	return []string{
		"One row per athlete: the mean of the session scores. A correlation does not say that training the test " +
			"raises the outcome.",
		"Pearson's r with Fisher's z interval; Spearman's with Bonett & Wright's (2000). Partial r with the " +
			"covariates held constant, df n − q − 2.",
		"Within level: level means removed, pooled, df n − levels − 1; a test whether the levels' correlations are " +
			"equal.",
		"Corrected r = r/√(reliability of the test · reliability of the outcome) (Spearman 1904); above 1 it is " +
			"shown as it is and flagged.",
		"Two correlations that share the outcome: Williams' t (Steiger 1980), the z of Meng, Rosenthal & Rubin " +
			"(1992), and Zou's (2007) interval of the difference. Tests where lower is better are turned round first.",
		"Planes compared by all their tests: mean of Fisher's z, BCa interval with athletes resampled (Efron 1987).",
		"Added value: least squares with the blocks in both orders; leave-one-out R² (PRESS, Allen 1974); ΔR² with " +
			"a BCa interval; the F test says whether a block adds anything, the leave-one-out R² whether it helps " +
			"with athletes not yet seen.",
		"Holm (1979) and Benjamini–Hochberg (1995) over all tests looked at that have a correlation: " +
			"" + fmt.Sprint(v.compared()) + " of " + fmt.Sprint(v.Result.Family) + ".",
	}
}

// Data implements [View].
func (v Correlate) Data() table.Table { return v.associationTable() }

// Tables implements [View].
func (v Correlate) Tables() []table.Table {
	out := []table.Table{v.associationTable()}
	if len(v.Result.Planes) > 0 {
		out = append(out, v.planeTable())
	}
	for _, set := range []struct {
		name, caption string
		c             []assoc.Comparison
	}{
		{"comparisons-within-level", "Pairs of tests across planes, level means removed: which goes with the " +
			"outcome more closely?", v.Result.WithinComparisons},
		{"comparisons", "Pairs of tests across planes, over all athletes: which goes with the outcome more closely?",
			v.Result.Comparisons},
	} {
		if len(set.c) > 0 {
			t := v.comparisonTable(set.name, set.caption, set.c)
			t.Detail = len(set.c) > 12
			out = append(out, t)
		}
	}
	for _, t := range append([]table.Table{v.levelTable()}, v.depthTables()...) {
		if len(t.Rows) > 0 {
			out = append(out, t)
		}
	}
	return out
}

// compared counts the tests that have a correlation, over which p values are
// adjusted.
func (v Correlate) compared() int {
	n := 0
	for _, a := range v.Result.Associations {
		if r, _ := leading(a); !math.IsNaN(r.P) {
			n++
		}
	}
	return n
}

func correlationCells(c *assoc.Correlation) []table.Cell {
	if c == nil {
		none := table.Num(math.NaN(), number.Missing)
		return []table.Cell{none, none, none, none, none, none}
	}
	return append(triple(c.Estimate, correlationWords(c.Estimate)), table.Num(c.P, ""), table.Num(c.PHolm,
		number.PValue(c.PHolm)), table.Num(c.PBH, ""))
}

func correlationColumns(head, key string, shown, holm bool) []table.Column {
	cols := []table.Column{table.R(head, key), table.Machine(key + "_lower"), table.Machine(key + "_upper"),
		table.Machine(key + "_p"), table.R("p (Holm)", key+"_p_holm"), table.Machine(key + "_p_bh")}
	if !shown {
		cols[0].Head = ""
	}
	if !shown || !holm {
		cols[4].Head = ""
	}
	return cols
}

func (v Correlate) associationTable() table.Table {
	var partial, within, correctedR bool
	for _, a := range v.Result.Associations {
		partial, within, correctedR = partial || a.Partial != nil, within || a.Within != nil, correctedR || a.Corrected != nil
	}
	cols := []table.Column{table.L("test", "label"), table.Machine("measure"), table.Machine("unit"), table.L("plane",
		"plane"), table.R("athletes", "n")}
	cols = append(cols, correlationColumns("r within level", "within_level", within, true)...)
	cols = append(cols, correlationColumns("r over all (Pearson)", "pearson", true, !within)...)
	cols = append(cols, correlationColumns("Spearman", "spearman", true, false)...)
	cols = append(cols, correlationColumns("partial r", "partial", partial, true)...)
	corrected := table.R("corrected r", "corrected")
	if !correctedR {
		corrected.Head = ""
	}
	cols = append(cols, corrected, table.Machine("corrected_lower"), table.Machine("corrected_upper"),
		table.Machine("slope"), table.Machine("slope_lower"), table.Machine("slope_upper"))
	t := table.Table{Name: "correlate", Caption: "Each test against " + v.label(v.Result.Outcome) + ".", Columns: cols,
		Notes: []string{fmt.Sprintf("Intervals at %s; p adjusted over the %s with a correlation.",
			number.Level(v.Result.Level), number.Count(v.compared(), "test", "tests"))}}
	for _, a := range v.Result.Associations {
		t.Rows = append(t.Rows, v.associationRow(a))
	}
	return t
}

func (v Correlate) associationRow(a assoc.Association) []table.Cell {
	var within *assoc.Correlation
	if a.Within != nil {
		within = &a.Within.Correlation
	}
	row := []table.Cell{table.Text(v.label(a.Measure)), table.Text(a.Measure), table.Text(a.Unit),
		table.Text(a.Plane), count(a.N)}
	row = append(row, correlationCells(within)...)
	row = append(row, correlationCells(&a.Pearson)...)
	row = append(row, correlationCells(&a.Spearman)...)
	row = append(row, correlationCells(a.Partial)...)
	if a.Corrected == nil {
		none := table.Num(math.NaN(), number.Missing)
		row = append(row, none, none, none)
	} else {
		text := correlationWords(a.Corrected.Estimate)
		if a.Corrected.AboveOne {
			text += " above 1"
		}
		row = append(row, triple(a.Corrected.Estimate, text)...)
	}
	return append(row, triple(a.Slope, "")...)
}

func (v Correlate) planeTable() table.Table {
	t := table.Table{Name: "planes", Caption: "The tests of each plane together (turned so that better is higher).",
		Columns: []table.Column{
			table.L("plane", "plane"), table.R("tests", "tests"), table.R("mean r", "mean_r"), table.R("lowest",
				"lowest"), table.R("highest", "highest"), table.L("closest test", "best")}}
	for _, p := range v.Result.Planes {
		t.Rows = append(t.Rows, []table.Cell{table.Text(p.Plane), count(p.Tests), table.Num(p.MeanR,
			number.Correlation(p.MeanR)),
			table.Num(p.Lowest, number.Correlation(p.Lowest)), table.Num(p.Highest,
				number.Correlation(p.Highest)), table.Text(v.label(p.Best))})
	}
	return t
}

func (v Correlate) comparisonTable(name, caption string, comparisons []assoc.Comparison) table.Table {
	t := table.Table{Name: name, Caption: caption, Columns: []table.Column{
		table.L("test A", "a"), table.L("plane", "plane_a"), table.L("test B", "b"), table.L("plane ",
			"plane_b"), table.R("athletes", "n"),
		table.R("r with A", "r_a"), table.R("r with B", "r_b"), table.R("A with B", "r_ab"),
		table.R("difference", "difference"), table.Machine("lower"), table.Machine("upper"),
		table.R("t", "t"), table.Machine("df"), table.R("p", "p_williams"), table.R("p (Holm)",
			"p_williams_holm"), table.Machine("z"), table.R("p (Meng)", "p_meng")}}
	for _, c := range comparisons {
		row := []table.Cell{table.Text(v.label(c.A) + turned(c.FlippedA)), table.Text(c.PlaneA),
			table.Text(v.label(c.B) + turned(c.FlippedB)), table.Text(c.PlaneB), count(c.N),
			table.Num(c.RA, number.Correlation(c.RA)), table.Num(c.RB, number.Correlation(c.RB)), table.Num(c.RAB,
				number.Correlation(c.RAB))}
		row = append(row, triple(c.Difference, number.SignedEstimate(c.Difference, 2))...)
		t.Rows = append(t.Rows, append(row, table.Num(c.T, number.Plain(c.T, 2)), table.Num(c.DF, ""),
			table.Num(c.PWilliams, number.PValue(c.PWilliams)),
			table.Num(c.PWilliamsHolm, number.PValue(c.PWilliamsHolm)), table.Num(c.Z, ""), table.Num(c.PMeng,
				number.PValue(c.PMeng))))
	}
	return t
}

// turned marks a test whose correlations stand with the other sign.
func turned(flipped bool) string {
	if flipped {
		return " (turned: lower is better)"
	}
	return ""
}

func (v Correlate) levelTable() table.Table {
	t := table.Table{Name: "levels", Detail: true, Caption: "The correlation inside each level.",
		Columns: []table.Column{
			table.L("test", "measure"), table.L("level", "level"), table.R("athletes", "n"), table.R("r",
				"r"), table.Machine("lower"), table.Machine("upper"), table.L("", "note"), table.L("reading", "reading")}}
	for _, a := range v.Result.Associations {
		if a.Within == nil {
			continue
		}
		for i, l := range a.Within.Levels {
			note := levelWords(l)
			words := note
			if i == 0 && words == "" {
				words = withinWords(*a.Within)
			}
			row := append([]table.Cell{table.Text(v.label(a.Measure)), table.Text(l.Level), count(l.N)},
				triple(l.Estimate, correlationWords(l.Estimate))...)
			t.Rows = append(t.Rows, append(row, table.Text(note), table.Text(words)))
		}
	}
	return t
}

// Document implements [View].
func (v Correlate) Document() any {
	r := v.Result
	d := correlateDocument{Schema: "noisefloor/correlate/2", Version: v.Version,
		Caveats: caveatDocuments(v.said(v.doubts())),
		Verdict: verdictDocument(r.Verdict()), Input: v.Input.document(), Settings: v.Settings, Outcome: r.Outcome, OutcomeUnit: r.OutcomeUnit,
		Athletes: r.Athletes, Associations: []association{}, Comparisons: comparisonDocuments(r.Comparisons), Family: r.Family, Warnings: list(v.phrases(r.Caveats))}
	if len(r.WithinComparisons) > 0 {
		d.Within = comparisonDocuments(r.WithinComparisons)
	}
	for _, a := range r.Associations {
		d.Associations = append(d.Associations, v.associationDocument(a))
	}
	v.addDepth(&d)
	for _, p := range r.Planes {
		d.Planes = append(d.Planes, planeSummary{p.Plane, p.Tests, number64(p.MeanR), number64(p.Lowest),
			number64(p.Highest), p.Best})
	}
	return d
}

func correlationDocument(c assoc.Correlation) correlation {
	return correlation{newInterval(c.Estimate), c.N, number64(c.DF), number64(c.P), number64(c.PHolm),
		number64(c.PBH), intervalOrNil(c.BCa)}
}

func (v Correlate) associationDocument(a assoc.Association) association {
	d := association{Measure: a.Measure, Unit: a.Unit, Plane: a.Plane, N: a.N, Pearson: correlationDocument(a.Pearson),
		Spearman: correlationDocument(a.Spearman), Slope: newInterval(a.Slope), Warnings: v.phrases(a.Caveats)}
	if a.Partial != nil {
		p := correlationDocument(*a.Partial)
		d.Partial = &p
	}
	if w := a.Within; w != nil {
		d.Within = &withinLevel{correlation: correlationDocument(w.Correlation), Levels: []levelR{}, Parted: w.Parted,
			Words: withinWords(*w)}
		if h := w.Homogeneity; number64(h.Statistic) != nil {
			d.Within.Homogeneity = &chiTest{number64(h.Statistic), number64(h.DF), number64(h.P)}
		}
		for _, l := range w.Levels {
			d.Within.Levels = append(d.Within.Levels, levelR{l.Level, correlationDocument(l.Correlation),
				levelWords(l)})
		}
	}
	d.Corrected = correctedDocument(a.Corrected)
	return d
}

func comparisonDocuments(all []assoc.Comparison) []comparison {
	out := []comparison{}
	for _, c := range all {
		out = append(out, comparison{c.A, c.B, c.PlaneA, c.PlaneB, c.N, c.FlippedA, c.FlippedB, number64(c.RA),
			number64(c.RB), number64(c.RAB),
			number64(c.Difference.Value), number64(c.Difference.Lower), number64(c.Difference.Upper), number64(c.T), number64(c.DF),
			number64(c.PWilliams), number64(c.PWilliamsHolm), number64(c.Z), number64(c.PMeng), intervalOrNil(c.BCa)})
	}
	return out
}

func caveatDocuments(all []said) []caveatDocument {
	out := []caveatDocument{}
	for _, c := range all {
		out = append(out, caveatDocument{string(c.Kind), c.Measures, c.Text})
	}
	return out
}
