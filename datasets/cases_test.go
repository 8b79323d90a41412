package datasets_test

import (
	"math"
	"testing"
)

// The cases can be found in the table itself: over the four sessions the mean
// score of each is within 4.5 standard errors of its truth (120 means: one
// beyond by chance in 1,000 tables). The test that is learned counts from
// session 2, the one of the first exposure in session 4.
func TestCasesShowInTheTable(t *testing.T) {
	u := truth(t)
	s := scores(t, onTrueScale(u))
	if len(u.Cases) != 6 {
		t.Fatalf("%d cases", len(u.Cases))
	}
	compared := 0
	for _, c := range u.Cases {
		a, _ := u.Athlete(c.Athlete)
		for measure, want := range a.Scores {
			m, _ := u.Measure(measure)
			if m.Scale == "log" {
				want = math.Log(want)
			}
			first := 0
			if _, ok := c.GainBySession[measure]; ok {
				first = 3
			} else if m.SessionShift[1] != 0 {
				first = 1
				want += m.SessionShift[1]
			}
			sum, n := 0.0, 0.0
			for _, x := range s[measure][c.Athlete][first:] {
				if !math.IsNaN(x) {
					sum, n = sum+x, n+1
				}
			}
			if n == 0 {
				continue
			}
			compared++
			if got := sum / n; math.Abs(got-want) > 4.5*m.TypicalError/math.Sqrt(n) {
				t.Errorf("%s (%s), %s: %.4g in %g sessions, truth %.4g", c.Case, c.Athlete, measure, got, n, want)
			}
		}
	}
	if compared < 119 { // six athletes, 20 measures each; one session may lack a reading
		t.Errorf("%d means compared", compared)
	}
}
