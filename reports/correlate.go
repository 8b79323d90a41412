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
	// Covariates were held constant in the partial r.
	Covariates []string
	Planes     [2]string // compared; empty means transverse, sagittal
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
	out = append(out, v.partialAnswer()...)
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

// partialAnswer says what is left with the covariates held constant.
func (v Correlate) partialAnswer() []string {
	shown, tests, best := 0, 0, -1
	for i, a := range v.Result.Associations {
		if a.Partial == nil || math.IsNaN(a.Partial.Value) {
			continue
		}
		tests++
		shown += tick(a.Partial.State(v.Result.Level) == assoc.Shown)
		if best < 0 || math.Abs(a.Partial.Value) > math.Abs(v.Result.Associations[best].Partial.Value) {
			best = i
		}
	}
	if tests == 0 {
		return nil
	}
	a := v.Result.Associations[best]
	return []string{fmt.Sprintf("With %s held constant, over all athletes, %d of %s with it; the closest is %s, partial r = %s.",
		v.named(v.Covariates), shown, number.Count(tests, "test goes", "tests go"), v.label(a.Measure),
		correlationWords(a.Partial.Estimate))}
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
func (v Correlate) Data() table.Table {
	t := v.associationFields().Table("correlate", "Each test against "+v.label(v.Result.Outcome)+".",
		v.Result.Associations)
	t.Notes = []string{fmt.Sprintf("Intervals at %s; p adjusted over the %s with a correlation.",
		number.Level(v.Result.Level), number.Count(v.compared(), "test", "tests"))}
	return t
}

const manyPairs = 12 // pairs of tests from which their table stands folded

// Tables implements [View].
func (v Correlate) Tables() []table.Table {
	within := v.comparisonFields().Table("comparisons-within-level", "Pairs of tests across planes, level means "+
		"removed: which goes with the outcome more closely?", v.Result.WithinComparisons)
	overAll := v.comparisonFields().Table("comparisons", "Pairs of tests across planes, over all athletes: which "+
		"goes with the outcome more closely?", v.Result.Comparisons)
	within.Detail, overAll.Detail = len(within.Rows) > manyPairs, len(overAll.Rows) > manyPairs
	levels := v.levelRowFields().Table("levels", "The correlation inside each level.", v.levelRows())
	levels.Detail = true
	planes := v.planeFields().Table("planes", "The tests of each plane together (turned so that better is higher).",
		v.Result.Planes)
	out := []table.Table{v.Data()}
	for _, t := range append([]table.Table{planes, within, overAll, levels}, v.depthTables()...) {
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
