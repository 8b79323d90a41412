package reports

import (
	"fmt"
	"math"
	"slices"
	"strings"

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
	assoc.SessionAdjusted
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
	out = append(out, v.repeatedAnswer()...)
	out = append(out, v.differAnswer()...)
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
	closest := fmt.Sprintf("%s, r%s = %s, %s%s", v.label(found.Closest), kind, correlationWords(best.Estimate),
		number.Count(v.Result.Associations[i].N, "athlete", "athletes"), closestRemark(v.Result.Associations[i]))
	if found.Shown == 0 {
		return fmt.Sprintf("No test is shown to go with %s; the closest is %s.", outcome, closest)
	}
	return fmt.Sprintf("%d of %s %s with %s, allowing for looking at so many; the closest is %s.",
		found.Shown, number.Count(found.Tests, "test", "tests"), goes(found.Shown), outcome, closest)
}

// closestRemark says what the largest r leaves open.
func closestRemark(a assoc.Association) string {
	r, within := a.Leading()
	words := ""
	switch {
	case a.Undirected:
		words = " (closest by the size of r: nobody said which way each improves)"
	case r.Value < 0 != a.Flipped:
		words = " (who is better in it is worse in the outcome)"
	}
	if within && a.Within.Differ {
		words += ", though the levels do not share one r"
	}
	return words
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
	if c != nil && c.Difference.Kind == assoc.NoDirection {
		return []string{fmt.Sprintf("Whether %s together go with it more closely than %s is left open: nobody said of "+
			"each of them and of the outcome which way is better.", planeTests(len(c.TestsA), c.PlaneA),
			planeTests(len(c.TestsB), c.PlaneB))}
	}
	if c == nil || !c.Difference.HasInterval() {
		return nil
	}
	verdict := contrastVerdict(*c)
	return []string{fmt.Sprintf("Taken together%s, %s (mean r %s, %s to %s) %s %s (%s, %s to %s).", kind,
		planeTests(len(c.TestsA),
			c.PlaneA), number.Correlation(c.RA.Value), number.Correlation(c.RA.Lower), number.Correlation(c.RA.Upper),
		verdict, planeTests(len(c.TestsB), c.PlaneB),
		number.Correlation(c.RB.Value), number.Correlation(c.RB.Lower), number.Correlation(c.RB.Upper))}
}

// contrastVerdict says which plane's tests go with the outcome more closely; where
// better tests go with a worse outcome on the whole, that they go against it.
func contrastVerdict(c assoc.PlaneContrast) string {
	against, goes, are := c.ZA.Value+c.ZB.Value < 0, goes(len(c.TestsA)), "are"
	if len(c.TestsA) == 1 {
		are = "is"
	}
	switch d := c.Difference; {
	case d.Lower > 0 && against:
		return goes + " against it less strongly than"
	case d.Lower > 0:
		return goes + " with it more closely than"
	case d.Upper < 0 && against:
		return goes + " against it more strongly than"
	case d.Upper < 0:
		return goes + " with it less closely than"
	}
	return are + " not shown to go with it more or less closely than"
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
	n := countPairs(comparisons, 1-v.Result.Level)
	c := comparisons[0]
	words := fmt.Sprintf("Test against test%s, the %s one goes with it more closely in %d of %d pairs, the %s one in %d, "+
		"allowing for looking at so many", kind, c.PlaneA, n.more, len(comparisons), c.PlaneB, n.less)
	if n.against > 0 {
		words += fmt.Sprintf("; in %d they differ because who is better in a test is worse in the outcome", n.against)
	}
	if n.bySize > 0 {
		words += fmt.Sprintf("; %d of these pairs are compared by the size of r alone", n.bySize)
	}
	return []string{words + "."}
}

// A pairCount sorts the pairs of tests across planes.
type pairCount struct{ more, less, against, bySize int }

func countPairs(comparisons []assoc.Comparison, alpha float64) (n pairCount) {
	for _, c := range comparisons {
		n.bySize += tick(c.Absolute)
		if !(c.PWilliamsHolm <= alpha) {
			continue
		}
		n.against += tick(c.RA+c.RB <= 0)
		n.more += tick(c.RA+c.RB > 0 && c.Difference.Value > 0)
		n.less += tick(c.RA+c.RB > 0 && c.Difference.Value < 0)
	}
	return n
}

// differAnswer shows the levels one by one where they do not share one r.
func (v Correlate) differAnswer() []string {
	const most = 1 // that are shown with their levels
	var words []string
	differ, tests := 0, 0
	for _, a := range v.Result.Associations {
		if a.Within == nil || math.IsNaN(a.Within.Homogeneity.P) {
			continue
		}
		tests++
		if !a.Within.Differ {
			continue
		}
		if differ++; differ <= most {
			words = append(words, v.label(a.Measure)+" "+levelsOneByOne(*a.Within))
		}
	}
	if differ == 0 {
		return nil
	}
	if differ > most {
		words = append(words, fmt.Sprintf("and %d more", differ-most))
	}
	return []string{fmt.Sprintf("In %d of %s the levels do not share one r: %s. Read the table of levels.", differ,
		number.Count(tests, "test", "tests"), strings.Join(words, "; "))}
}

// levelsOneByOne writes "0.90 in academy, 0.20 in club".
func levelsOneByOne(w assoc.WithinGroups) string {
	var words []string
	for _, g := range w.Groups {
		if !math.IsNaN(g.Value) {
			words = append(words, number.Correlation(g.Value)+" in "+g.Group)
		}
	}
	return strings.Join(words, ", ")
}

// partedAnswer says what mixing the levels does, and in which direction.
func (v Correlate) partedAnswer() []string {
	parted, makes, hides, turns := 0, 0, 0, 0
	for _, a := range v.Result.Associations {
		if a.Within == nil || !a.Within.Parted {
			continue
		}
		parted++
		makes += tick(a.Within.Says == assoc.MixesMakes || a.Within.Says == assoc.MixesMakesSome)
		hides += tick(a.Within.Says == assoc.MixesHides)
		turns += tick(a.Within.Says == assoc.MixesTurns)
	}
	if parted == 0 {
		return nil
	}
	var does []string
	for _, d := range []struct {
		n     int
		words string
	}{{makes, "makes %d look more closely related than within a level"}, {hides, "hides part of the relation in %d"},
		{turns, "turns the relation round in %d"}} {
		if d.n > 0 {
			does = append(does, fmt.Sprintf(d.words, d.n))
		}
	}
	return []string{fmt.Sprintf("In %d of %d tests the correlation over all athletes and the one within a level part: "+
		"mixing levels %s. Read the within-level column.", parted, len(v.Result.Associations), enumerated(does))}
}

// enumerated writes a list with "and" before its last.
func enumerated(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
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
	out := []string{
		"One row per athlete: the mean of the session scores. A correlation does not say that training the test " +
			"raises the outcome.",
		"Pearson's r with Fisher's z interval; Spearman's with Bonett & Wright's (2000), its p over all orders up to 9 " +
			"athletes, by t above. Partial r with the covariates held constant, df n − q − 2.",
		"Within level: level means removed, pooled, df n − levels − 1; a χ² test whether the levels' correlations are " +
			"equal, each test on its own.",
		"Corrected r = r/√(reliability of the test · reliability of the outcome) (Spearman 1904); above 1 it is " +
			"shown as it is and flagged. Within level: r and both reliabilities within level.",
		"Two correlations that share the outcome: Williams' t (Steiger 1980), the z of Meng, Rosenthal & Rubin " +
			"(1992), and Zou's (2007) interval of the difference. Tests where lower is better are turned round first; " +
			"where nobody said which way is better, sizes of r are compared.",
		"Planes compared by all their tests: mean of Fisher's z, normal interval with the covariances of correlations " +
			"that share the outcome (Olkin & Siotani 1976).",
		"Added value: least squares with the blocks in both orders; leave-one-out R² (PRESS, Allen 1974); ΔR² with " +
			"the interval of noncentral F (Smithson 2001); the F test says whether a block adds anything, the " +
			"leave-one-out R² whether it helps with athletes not yet seen.",
		"Holm (1979) and Benjamini–Hochberg (1995) over all tests looked at that have a correlation: " +
			"" + fmt.Sprint(v.compared()) + " of " + fmt.Sprint(v.Result.Family) + ".",
	}
	if len(v.Repeated) > 0 {
		out = append(out, "Inside athletes: analysis of covariance with athlete and session as factors, df scores − "+
			"athletes − sessions; beside it with athletes alone (Bland & Altman 1995).")
	}
	return out
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
	levels.Detail = !slices.ContainsFunc(v.Result.Associations, func(a assoc.Association) bool {
		return a.Within != nil && a.Within.Differ
	})
	planes := v.planeFields().Table("planes", "The tests of each plane together ("+v.planesTaken()+").", v.Result.Planes)
	out := []table.Table{v.Data()}
	for _, t := range append([]table.Table{planes, within, overAll, levels}, v.depthTables()...) {
		if len(t.Rows) > 0 {
			out = append(out, t)
		}
	}
	return out
}

// planesTaken says how the tests of a plane are taken together.
func (v Correlate) planesTaken() string {
	if slices.ContainsFunc(v.Result.Planes, func(p assoc.PlaneSummary) bool { return p.Absolute }) {
		return "by the size of r: nobody said of all of them which way is better"
	}
	return "turned so that better is higher"
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
