package picture_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"noisefloor/analysis/association"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/reports/picture"
)

// A sheet's picture draws at most 20 athletes, those that stand out first, and
// still counts and lists every one. By hand: of 30 changes of 1 to 30 W, noise
// ±20 W, the last ten are past it; number 3 is made to stand out although it is
// small, so it is drawn and number 12 is not.
func TestNarrowChanges(t *testing.T) {
	in := picture.ForestInput{Label: "throw", Unit: "W", Narrow: true}
	for i := range 30 {
		c := change(fmt.Sprintf("B%02d", i+1), float64(i+1), 28, false)
		c.Detectable, c.State = 20, retest.InsideNoise
		if i+1 > 20 {
			c.State = retest.PastNoise
		}
		if i+1 == 3 {
			c.State = retest.StandsOut
		}
		in.Changes = append(in.Changes, c)
	}
	p := made(t)(picture.ChangeForest(in))
	if len(p.Table.Rows) != 30 || !strings.Contains(p.Caption, "1 of 30 athletes") || !strings.Contains(p.Caption,
		"10 more are past it") {
		t.Errorf("%d rows, caption %s", len(p.Table.Rows), p.Caption)
	}
	words := text(t, p)
	if want := "the 20 that lie furthest out; the working page draws all"; !strings.Contains(words, want) {
		t.Errorf("no %q in %s", want, words)
	}
	if strings.Contains(words, "Bar:") {
		t.Error("a sheet's picture speaks of bars")
	}
	var drawn []string
	for i := range 30 {
		if name := fmt.Sprintf("B%02d", i+1); strings.Contains(words, name) {
			drawn = append(drawn, name)
		}
	}
	want := []string{"B03"}
	for i := 12; i <= 30; i++ {
		want = append(want, fmt.Sprintf("B%02d", i))
	}
	if !slices.Equal(drawn, want) {
		t.Errorf("drawn %q, want %q", drawn, want)
	}
	in.Narrow = false
	if words := text(t, made(t)(picture.ChangeForest(in))); !strings.Contains(words, "B12") ||
		!strings.Contains(words, "Bar:") ||
		strings.Contains(words, "Drawn:") {
		t.Errorf("the working page's picture: %s", words)
	}
}

// Of 30 tests a sheet draws the 24 with the largest |r|, turned ones too.
func TestNarrowPlanes(t *testing.T) {
	in := picture.PlaneInput{Narrow: true, Result: association.Result{Outcome: "speed", Level: 0.95}}
	for i := range 30 {
		value := float64(i+1) / 40 * math.Pow(-1, float64(i))
		in.Result.Associations = append(in.Result.Associations,
			association.Association{Measure: fmt.Sprintf("m%02d", i+1), Plane: "sagittal", N: 40, Pearson: r(value,
				0.3, 40)})
	}
	p := made(t)(picture.PlaneForest(in))
	words := text(t, p)
	for i := range 30 {
		if name, want := fmt.Sprintf("m%02d", i+1), i >= 6; strings.Contains(words, name) != want {
			t.Errorf("%s drawn: %t, want %t", name, !want, want)
		}
	}
	if want := "the 24 closest; the working page draws 6 more"; !strings.Contains(words, want) {
		t.Errorf("no %q in %s", want, words)
	}
	if p.Width > 420 {
		t.Errorf("the picture is %g points wide", p.Width.Points())
	}
}

// The table beside an athlete's picture is in its order.
func TestDirectionsSort(t *testing.T) {
	in := oneAthlete(18)
	p := made(t)(picture.AthleteForest(in))
	var drawn, sorted []string
	for _, row := range p.Table.Rows {
		drawn = append(drawn, row[0])
	}
	in.Better.Sort(in.Changes)
	for _, c := range in.Changes {
		name := in.Labels[c.Measure]
		if name == "" {
			name = c.Measure
		}
		sorted = append(sorted, name)
	}
	if !slices.Equal(drawn, sorted) {
		t.Errorf("drawn\n%q\nsorted\n%q", drawn, sorted)
	}
	up, down, none := change("A", 1, 1, false), change("A", -2, 1, false), change("A", 9, 1, false)
	up.Measure, down.Measure, none.Measure = "up", "down", "none"
	all := []retest.Change{none, up, down}
	picture.Directions{"up": score.Higher, "down": score.Lower}.Sort(all)
	if all[0].Measure != "down" || all[1].Measure != "up" || all[2].Measure != "none" {
		t.Errorf("order %s, %s, %s", all[0].Measure, all[1].Measure, all[2].Measure)
	}
}
