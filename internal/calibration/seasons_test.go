package calibration

import (
	"math"
	"testing"

	"noisefloor/internal/numtest"
)

// Over a season of sessions with no change 5 % of the athletes have an alarm, -+ half a
// point of its own; with a change, as many as the printed power says.
func TestSeasonsKeepTheirPromise(t *testing.T) {
	seasonsKeep(t, 2500, Seasons(8, 2, 4, 2500), Seasons(20, 1, 12, 2500), Seasons(40, 3, 8, 2500))
}

// The same within half a point, for every plan of the table.
func TestSeasonsWithinHalfAPoint(t *testing.T) {
	numtest.Heavy(t)
	const studies = 20000
	for _, n := range []int{8, 20, 40} {
		for _, b := range []int{1, 2, 3} {
			for _, planned := range []int{4, 8, 12} {
				seasonsKeep(t, studies, Seasons(n, b, planned, studies))
			}
		}
	}
}

func seasonsKeep(t *testing.T, studies int, all ...Experiment) {
	t.Helper()
	for _, r := range table(t, all...).Rows {
		t.Logf("%-55s %s, %s: %5.2f %% of %.2f", r.Name, r.Setting, r.place(), 100*r.Rate(), 100*r.Nominal)
		off := math.Abs(r.Rate() - r.Nominal)
		switch r.Kind {
		case FalseAlarm:
			if r.Promise == Contrast && r.Rate() < 0.08 || r.Promise == AtMost && !r.Within(chance) {
				t.Errorf("%s, %s: %.4f", r.Name, r.Setting, r.Rate())
			}
			if r.Promise == Approximate && off > 0.005+2.5*r.Band()*math.Sqrt(2500/float64(studies)) {
				t.Errorf("%s, %s: %.4f", r.Name, r.Setting, r.Rate())
			}
		case Coverage: // the season's own scatter, where it is large, widens the interval
			if r.Rate() < 0.95-chance*r.Band() || r.Rate() > 0.97 {
				t.Errorf("%s, %s: %.4f", r.Name, r.Setting, r.Rate())
			}
		case Seen:
			if off > 0.01+chance*r.Band() {
				t.Errorf("%s, %s: %.4f, printed %.4f", r.Name, r.Setting, r.Rate(), r.Nominal)
			}
		}
	}
}
