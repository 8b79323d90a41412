package picture_test

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"

	"noisefloor/analysis/score"
	"noisefloor/reports/picture"
)

// normsGroup invents a group of n scores around a middle.
func normsGroup(name string, n int, middle, spread float64) picture.NormsGroup {
	rng := seeded()
	g := picture.NormsGroup{Name: name, Athletes: n, Score: math.NaN(), Lower: math.NaN(), Upper: math.NaN()}
	for range n {
		g.Scores = append(g.Scores, middle+spread*rng.NormFloat64())
	}
	for i, z := range []float64{-1.28, -0.67, 0, 0.67, 1.28} {
		g.Quantiles = append(g.Quantiles, picture.XY{X: []float64{10, 25, 50, 75, 90}[i], Y: middle + spread*z})
	}
	return g
}

func normsInput() picture.NormsInput {
	own, whole := normsGroup("senior", 20, 52, 3), normsGroup("the whole cohort", 160, 47, 6)
	own.Score, own.Lower, own.Upper, own.Place = 54, 52.2, 55.8, "between the 21st and the 88th"
	whole.Score, whole.Lower, whole.Upper, whole.Place = 54, 52, 56, "between the 69th and the 97th"
	return picture.NormsInput{Label: "Side throw", Name: "side_throw", Unit: "km/h", Session: "4", Better: score.Higher,
		Athlete: "C21", Decimals: 1, Groups: []picture.NormsGroup{own, whole}}
}

func normsFile() picture.NormsInput {
	in := normsInput()
	for i := range in.Groups {
		in.Groups[i].Scores = nil
	}
	return in
}

func standingsInput(n int) picture.StandingsInput {
	in := picture.StandingsInput{Athlete: "C21", Session: "4", Level: 0.95}
	for i := range n {
		x := float64(i%7) / 8
		in.Tests = append(in.Tests, picture.StandingsTest{Label: "Side throw, 2 kg ball, from a held pause, left", Places: []picture.StandingsPlace{
			{Group: "senior", Others: 19 - i%3, Rank: x + 0.1, Lower: max(0, x-0.2), Upper: min(1, x+0.3)},
			{Group: "the whole cohort", Others: 58, Rank: x + 0.15, Lower: x, Upper: min(1, x+0.25)}}})
	}
	in.Tests[0].Places[1] = picture.StandingsPlace{Group: "the whole cohort", Others: 58, Rank: math.NaN(), Lower: 0.81, Upper: 1,
		Beyond: "above the 90th"}
	return in
}

func normsFixtures() map[string]func() (picture.Picture, error) {
	return map[string]func() (picture.Picture, error){
		"norms":          func() (picture.Picture, error) { return picture.Norms(normsInput()) },
		"norms-file":     func() (picture.Picture, error) { return picture.Norms(normsFile()) },
		"standings":      func() (picture.Picture, error) { return picture.Standings(standingsInput(9)) },
		"standings-many": func() (picture.Picture, error) { return picture.Standings(standingsInput(40)) },
		"norms-nasty": func() (picture.Picture, error) {
			in := normsInput()
			in.Athlete, in.Label = nasty[1], nasty[0]
			for i := range in.Groups {
				in.Groups[i].Name = nasty[(i+2)%len(nasty)]
			}
			in.Groups[0].Scores[3], in.Groups[1].Lower = math.NaN(), math.Inf(-1)
			return picture.Norms(in)
		},
	}
}

// What is drawn: each score is a mark and a row of the table, n is on the figure, the unit
// on the axis, the place in words; a score without a group of its own is not drawn.
func TestNorms(t *testing.T) {
	p, err := picture.Norms(normsInput())
	if err != nil {
		t.Fatal(err)
	}
	text := string(svg(t, p, picture.Options{}))
	for _, words := range []string{"senior, n 20", "the whole cohort, n 160", "score; higher is better (km/h)",
		"between the 21st and the 88th", "Diamond: C21"} {
		if !strings.Contains(text, words) {
			t.Errorf("the picture does not say %q", words)
		}
	}
	athletes := 0
	for _, row := range p.Table.Rows {
		if row[1] == "an athlete" {
			athletes++
		}
	}
	if athletes != 180 {
		t.Errorf("%d athletes in the table", athletes)
	}
	want := "senior: 20 athletes, half of them from 50.0 to 54.0 km/h, C21 between the 21st and the 88th; the whole cohort: " +
		"160 athletes, half of them from 43.0 to 51.0 km/h, C21 between the 69th and the 97th."
	if p.Caption != want {
		t.Errorf("caption %q", p.Caption)
	}
	file, err := picture.Norms(normsFile())
	if err != nil {
		t.Fatal(err)
	}
	if text := string(svg(t, file, picture.Options{})); !strings.Contains(text, "90th") || strings.Contains(text, "own scores") {
		t.Error("a norms file is drawn with scores, or without its percentiles")
	}
	if _, err := picture.Norms(picture.NormsInput{}); !errors.Is(err, picture.ErrNothing) {
		t.Errorf("nothing: %v", err)
	}
}

// Filled: the whole band on one side of the middle. Circles, which are of the own group,
// are counted.
func TestStandings(t *testing.T) {
	p, err := picture.Standings(standingsInput(9))
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(p.Table.Rows[1], "|"); got != "Side throw, 2 kg ball, from a held pause, left|the whole cohort|58|above the 90th|81|100" {
		t.Errorf("table %q", got)
	}
	told, hidden := 0, 0
	for _, test := range standingsInput(9).Tests {
		if s := test.Places[0]; s.Lower > 0.5 || s.Upper < 0.5 {
			told++
		} else {
			hidden++
		}
	}
	b := svg(t, p, picture.Options{})
	if f, h := len(filled.FindAll(b, -1)), len(hollow.FindAll(b, -1)); h != hidden || f != told {
		t.Errorf("%d filled for %d, %d hollow for %d", f, told, h, hidden)
	}
	for _, words := range []string{"Circle: among 17 to 19 others in senior.", "Square: among 58 others in the whole", "Arrow: beyond"} {
		if !bytes.Contains(b, []byte(strings.Fields(words)[0])) || !strings.Contains(strings.Join(strings.Fields(noteOf(t, p)), " "), words) {
			t.Errorf("the picture does not say %q", words)
		}
	}
	if _, err := picture.Standings(picture.StandingsInput{}); !errors.Is(err, picture.ErrNothing) {
		t.Errorf("nothing: %v", err)
	}
}

// noteOf is all text of a picture in one line.
func noteOf(t *testing.T, p picture.Picture) string {
	var words []string
	for _, l := range labels(t, p) {
		words = append(words, l.text)
	}
	return strings.Join(words, " ")
}
