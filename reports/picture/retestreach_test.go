package picture_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"noisefloor/reports/picture"
)

// In times the noise: by hand, what matters at 25 W where 50 W may be noise is
// 0.5 and hollow, at the edge it is 1 and filled.
func TestRetestReach(t *testing.T) {
	in := picture.ReachInput{Level: 0.95, Tests: 5, Rows: []picture.ReachRow{
		{Label: "Throw", Seen: "25 W", Matters: "25 W", Athletes: 20, Times: 1},
		{Label: "Pull", Seen: "50 W", Matters: "25 W", Athletes: 18, Times: 0.5},
		{Label: "Bound", Seen: "0.1 m", Matters: "–", Athletes: 20, Times: math.NaN()},
		{Label: "Far", Seen: "1 cm", Matters: "9 cm", Athletes: 20, Times: 9},
	}}
	p, err := picture.RetestReach(in)
	if err != nil {
		t.Fatal(err)
	}
	want := "In 2 of 3 tests one retest of one athlete can see what matters (seen in 4 of 5, 95 %): Throw and Far. Drawn are the 4 of 5 tests that come closest; the working page has them all."
	if p.Caption != want {
		t.Errorf("caption %q, want %q", p.Caption, want)
	}
	if got := p.Table.Rows[1]; strings.Join(got, "|") != "Pull|18|50 W|25 W|0.50" {
		t.Errorf("table %q", got)
	}
	var b strings.Builder
	if err := p.WriteSVG(&b, picture.Options{}); err != nil {
		t.Fatal(err)
	}
	for _, words := range []string{"seen from 50 W", "in times the change seen in 4 of 5", "n = 18 to 20 athletes"} {
		if !strings.Contains(b.String(), words) {
			t.Errorf("the picture does not say %q", words)
		}
	}
	in.Rows = in.Rows[2:3]
	if _, err := picture.RetestReach(in); !errors.Is(err, picture.ErrNothing) {
		t.Errorf("no worthwhile change: %v", err)
	}
}
