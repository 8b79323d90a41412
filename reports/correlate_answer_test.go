package reports

import (
	"fmt"
	"math"
	"strings"
	"testing"

	assoc "noisefloor/analysis/association"
	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
)

// only is a Correlate of made-up associations.
func only(as ...assoc.Association) Correlate {
	return Correlate{Result: assoc.Result{Outcome: "speed", Level: 0.95, Associations: as}}
}

func made(value float64) assoc.Correlation {
	return assoc.Correlation{Estimate: estimate.Estimate{Value: value, Lower: value - 0.1, Upper: value + 0.1}, N: 30,
		P: 0.01, PHolm: 0.02}
}

func inLevels(differ bool, says assoc.Mixing, across, inside float64, levels ...float64) assoc.Association {
	w := &assoc.WithinGroups{Correlation: made(inside), Across: across, Differ: differ,
		Parted: says != assoc.MixesNothing, Says: says, Homogeneity: assoc.Test{Statistic: 9, DF: 1, P: 0.003}}
	for i, r := range levels {
		w.Groups = append(w.Groups, assoc.GroupR{Group: []string{"academy", "club", "trial"}[i], Correlation: made(r)})
	}
	return assoc.Association{Measure: "toss", N: 30, Pearson: made(across), Within: w}
}

// What mixing levels did is said with its direction, and levels that do not share
// one r are shown one by one. Numbers made up, sentences by hand.
func TestAnswerAboutLevels(t *testing.T) {
	v := only(inLevels(false, assoc.MixesMakes, 0.9, 0.3), inLevels(false, assoc.MixesMakesSome, 0.9, 0.6),
		inLevels(false, assoc.MixesHides, 0.3, 0.6), inLevels(true, assoc.MixesTurns, 0.5, -0.4, 0.9, -0.2,
			math.NaN()))
	want := "In 4 of 4 tests the correlation over all athletes and the one within a level part: mixing levels makes 2 look " +
		"more closely related than within a level, hides part of the relation in 1 and turns the relation round in 1. " +
		"Read the within-level column."
	if got := strings.Join(v.partedAnswer(), ""); got != want {
		t.Errorf("%q, want %q", got, want)
	}
	want = "In 1 of 4 tests the levels do not share one r: toss 0.90 in academy, −0.20 in " +
		"club. Read the table of levels."
	if got := strings.Join(v.differAnswer(), ""); got != want {
		t.Errorf("%q, want %q", got, want)
	}
	row := v.associationFields().Table("x", "", v.Result.Associations[3:]).View()
	if !strings.Contains(fmt.Sprint(row.Body[0]), ", levels differ") {
		t.Errorf("the pooled r carries no warning: %v", row.Body[0])
	}
	for _, table := range v.Tables() {
		if table.Name == "levels" && table.Detail {
			t.Error("the levels that differ are folded away")
		}
	}
	if v := only(inLevels(false, assoc.MixesNothing, 0.5, 0.5, 0.5)); v.partedAnswer() != nil || v.differAnswer() != nil {
		t.Error("alike, and something is said")
	}
}

// Who goes more closely is said only where better goes with better.
func TestAnswerAboutPlanes(t *testing.T) {
	contrast := func(za, zb, lower, upper float64) Correlate {
		e := func(z float64) estimate.Estimate { return estimate.Estimate{Value: z, Lower: z - 0.1, Upper: z + 0.1} }
		return Correlate{Result: assoc.Result{PlaneContrast: &assoc.PlaneContrast{PlaneA: "transverse",
			PlaneB: "sagittal", TestsA: []string{"a"}, TestsB: []string{"b", "c"}, ZA: e(za), ZB: e(zb), RA: e(za),
			RB:         e(zb),
			Difference: estimate.Estimate{Value: za - zb, Lower: lower, Upper: upper}}}}
	}
	for want, v := range map[string]Correlate{
		"the one transverse test (mean r 0.80, 0.70 to 0.90) goes with it more closely than the 2 sagittal tests": contrast(0.8, 0.1, 0.3, 1.1),
		" goes with it less closely than":                           contrast(0.1, 0.8, -1.1, -0.3),
		" is not shown to go with it more or less closely than":     contrast(0.3, 0.1, -0.1, 0.5),
		" goes against it less strongly than":                       contrast(-0.1, -0.8, 0.3, 1.1),
		" goes against it more strongly than":                       contrast(-0.8, -0.1, -1.1, -0.3),
		"is left open: nobody said of each of them and of the outc": {Result: assoc.Result{PlaneContrast: &assoc.PlaneContrast{Difference: estimate.Bare(math.NaN(), assoc.NoDirection)}}},
	} {
		if got := strings.Join(v.contrastAnswer(), ""); !strings.Contains(got, want) {
			t.Errorf("%q does not say %q", got, want)
		}
	}
	pair := func(ra, rb, p float64, absolute bool) assoc.Comparison {
		return assoc.Comparison{A: "a", B: "b", PlaneA: "transverse", PlaneB: "sagittal", RA: ra, RB: rb,
			Difference: estimate.Estimate{Value: ra - rb}, PWilliamsHolm: p, Absolute: absolute}
	}
	v := only()
	v.Result.Comparisons = []assoc.Comparison{pair(0.8, 0.1, 0.01, false), pair(0.1, 0.8, 0.01, true),
		pair(0.9, 0.1, 0.2, false), pair(-0.1, -0.9, 0.01, false), pair(0.2, 0.9, 0.03, false)}
	want := "Test against test, the transverse one goes with it more closely in 1 of 5 pairs, the sagittal one in 2, " +
		"allowing for looking at so many; in 1 they differ because who is better in a test is worse in the outcome; 1 of " +
		"these pairs are compared by the size of r alone."
	if got := strings.Join(v.planeAnswer(), ""); got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// The closest test by |r| says what it leaves open.
func TestClosestSaysWhatIsOpen(t *testing.T) {
	for want, a := range map[string]assoc.Association{
		"30 athletes.": {Pearson: made(0.8)},
		"athletes (closest by the size of r: nobody said which way each improves).": {Pearson: made(-0.8), Undirected: true},
		"athletes (who is better in it is worse in the outcome).":                   {Pearson: made(-0.8)},
		"−0.80 (−0.90 to −0.70), 30 athletes.":                                      {Pearson: made(-0.8), Flipped: true},
		"athletes, though the levels do not share one r.":                           inLevels(true, assoc.MixesNothing, 0.5, 0.5),
	} {
		a.Measure, a.N = "toss", 30
		if got := only(a).verdictWords(); !strings.HasSuffix(got, want) {
			t.Errorf("%q does not end in %q", got, want)
		}
	}
}

func TestAnswerInsideAthletes(t *testing.T) {
	v := only()
	repeated := func(measure string, r assoc.Correlation) RepeatedMeasure {
		return RepeatedMeasure{measure, assoc.SessionAdjusted{Correlation: r}}
	}
	weak := made(0.3)
	weak.PHolm = 0.4
	v.Repeated = []RepeatedMeasure{repeated("toss", made(-0.6)), repeated("jump", weak),
		repeated("none", assoc.Correlation{Estimate: estimate.Bare(math.NaN(), estimate.TooFew)})}
	want := "Inside athletes, from session to session and with what a session did to everybody taken off, 1 of 2 tests goes " +
		"with it, allowing for looking at so many; the closest is toss, r = −0.60 (−0.70 to −0.50)."
	if got := strings.Join(v.repeatedAnswer(), ""); got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if s, ok := v.repeatedOf("toss"); !ok || s.Value != -0.6 {
		t.Errorf("repeated of toss: %v %v", s, ok)
	}
	if _, ok := v.repeatedOf("none"); ok {
		t.Error("a number where there is none")
	}
}

// The words of the newer doubts, with made-up numbers.
func TestWordsOfDirections(t *testing.T) {
	for want, c := range map[string]caveat.Caveat{
		`sprint: nobody said which way is better ("better" in the dictionary, or --lower): pairs of tests are compared by ` +
			`the size of r, signs left aside, and nothing is turned`: caveat.New(assoc.SizesCompared).About("sprint"),
		"toss: the levels do not share one r (p = 0.003, on its own): 0.90 in academy, −0.20 in club; the pooled r within a " +
			"level, 0.40, is an average of unlike things": caveat.New(assoc.NoCommonR, 0.003, 0.4, 0.9,
			-0.2).With("academy", "club").About("toss"),
		"8 differences of two r rest on fewer than 40 athletes and have no bootstrap interval: it would miss more often than " +
			"it says; Zou's stands alone": caveat.New(assoc.NoBCaOfDifferences, 8, 40),
		"toss: the session means of test and outcome both move, and that makes an r of its own: inside an athlete 0.50 with " +
			"them in, 0.10 with them out; read the second": caveat.New(assoc.SessionsMoveBoth, 0.1, 0.5).About("toss"),
		"toss: corrected r within level = 1.20 lies beyond 1: a reliability is too low, or test and outcome share their " +
			"errors": caveat.New(assoc.BeyondOne, 1.2).With("within").About("toss"),
		`jump: no models: with 24 athletes the tests of a plane are taken as one, and nobody said which way is better ` +
			`("better" in the dictionary, or --lower)`: caveat.New(assoc.NoModels, 24, 12).With(string(assoc.NoDirection)).
			About("jump"),
	} {
		if got := (About{}).sentences([]caveat.Caveat{c}); len(got) != 1 || got[0] != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
