package picture_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/reports/picture"
)

// errorsOf are n errors that are as expected but for the last, which is far out.
func errorsOf(n int, far float64) reliability.Tails {
	t := reliability.Tails{P: 0.31}
	for i := range n {
		z := 2 * (2*float64(i)/float64(n-1) - 1)
		t.Errors = append(t.Errors, reliability.ErrorQuantile{Athlete: fmt.Sprintf("A%02d", i+1), Session: "2", Error: z,
			Expected: z, Lower: z - 0.8, Upper: z + 0.8})
	}
	if far > 0 {
		t.Errors[n-1].Error, t.P = far, 0.003
	}
	return t
}

func quantileFixtures() map[string]maker {
	m := map[string]maker{}
	for name, in := range map[string]picture.QuantileInput{
		"errors":      {Tails: errorsOf(20, 5), Label: "seated throw power", Name: "seated_throw", Unit: "W", Athletes: 20},
		"errors-calm": {Tails: errorsOf(8, 0), Label: "grip", Name: "grip", Unit: "N", Athletes: 8},
		"errors-log":  {Tails: errorsOf(12, 0), Label: "sprint", Name: "sprint", Scale: score.Log, Athletes: 12},
		"errors-many": {Tails: errorsOf(400, 9), Label: nasty[0], Name: nasty[5], Unit: nasty[1], Athletes: 100},
	} {
		m[name] = func() (picture.Picture, error) { return picture.ErrorQuantiles(in) }
	}
	return m
}

// One error of twenty lies outside its band, by hand: 5 where 2.8 is the upper end.
func TestErrorQuantiles(t *testing.T) {
	p, err := quantileFixtures()["errors"]()
	if err != nil {
		t.Fatal(err)
	}
	want := "In seated throw power 1 of 20 errors lie outside the band: the tails are heavier than normal ones (p = 0.003), " +
		"so the interval of the typical error is too narrow."
	if p.Caption != want || !strings.HasSuffix(p.Alt, want) {
		t.Errorf("caption %q", p.Caption)
	}
	if n := len(p.Table.Rows); n != 20 || p.Table.Rows[19][6] != "yes" || p.Table.Rows[18][6] != "no" ||
		p.Table.Rows[19][0] != "A20" {
		t.Errorf("%d rows, %q", n, p.Table.Rows[n-1])
	}
	if words := text(t, p); !strings.Contains(words, "A20") || !strings.Contains(words, "n = 20 errors of 20 athletes") {
		t.Errorf("%s", words)
	}
	calm, err := quantileFixtures()["errors-calm"]()
	if err != nil || !strings.Contains(calm.Caption, "not shown to be heavier") {
		t.Errorf("%q, %v", calm.Caption, err)
	}
	few := errorsOf(4, 0)
	few.Errors[0].Error, few.Errors[1].Error = math.NaN(), math.Inf(1)
	if _, err := picture.ErrorQuantiles(picture.QuantileInput{Tails: few}); err == nil {
		t.Error("a picture of two errors")
	}
}
