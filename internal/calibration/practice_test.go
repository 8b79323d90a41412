package calibration

import (
	"testing"

	"noisefloor/internal/numtest"
)

// With steady practice, and nothing else, the change beyond practice is past the noise
// in 4.5 to 5.5 % of athletes; the change itself far more often.
func TestBeyondPractice(t *testing.T) {
	beyond(t, 1500, []int{8})
}

// The same for every number of athletes, more closely.
func TestBeyondPracticeClosely(t *testing.T) {
	numtest.Heavy(t)
	beyond(t, 40000, []int{8, 12, 20})
}

func beyond(t *testing.T, studies int, athletes []int) {
	t.Helper()
	for _, n := range athletes {
		for _, k := range []int{2, 3} {
			for i, r := range table(t, Practice(n, k, studies)).Rows {
				t.Logf("%-40s %s, %s: %5.2f %%", r.Name, r.Setting, r.place(), 100*r.Rate())
				switch {
				case r.Promise == Contrast:
					if r.Rate() < 0.1 {
						t.Errorf("%s, %s: practice is no matter: %.4f", r.Setting, r.place(), r.Rate())
					}
				case i != 2 && (r.Rate() < 0.045-chance*r.Band()/2 || r.Rate() > 0.055+chance*r.Band()/2):
					t.Errorf("%s, %s: %.4f", r.Setting, r.place(), r.Rate())
				case i == 2 && r.Rate() > 0.055+chance*r.Band()/2: // shares its error with TE: rarer
					t.Errorf("%s, %s: %.4f", r.Setting, r.place(), r.Rate())
				}
			}
		}
	}
}
