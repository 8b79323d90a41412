package decision_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"noisefloor/analysis/cell"
	"noisefloor/analysis/decision"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/varcomp"
	"noisefloor/internal/numtest"
)

// A world is a truth, a study of it, and the designs of baseline and follow-up.
type world struct {
	name                       string
	athletes, sessions, trials int
	a, as, e                   float64
	missed                     float64
	before, after              decision.Design
	slack                      float64 // how far the approximation may miss, beside the noise
}

var worlds = []world{
	{"own design", 10, 2, 3, 20, 8, 10, 0, decision.Design{Sessions: 1, Trials: 3}, decision.Design{Sessions: 1,
		Trials: 3}, 0},
	{"fewer trials", 10, 2, 3, 20, 8, 10, 0, decision.Design{Sessions: 1, Trials: 1}, decision.Design{Sessions: 1,
		Trials: 1}, 0.005},
	{"study 3 trials, follow-up 1", 10, 2, 3, 20, 8, 10, 0, decision.Design{Sessions: 1, Trials: 3},
		decision.Design{Sessions: 1, Trials: 1}, 0.005},
	{"more trials", 20, 3, 2, 20, 8, 10, 0, decision.Design{Sessions: 2, Trials: 6}, decision.Design{Sessions: 1,
		Trials: 6}, 0.01},
	{"missing attempts", 16, 3, 3, 20, 8, 10, 0.15, decision.Design{Sessions: 1, Trials: 2},
		decision.Design{Sessions: 1, Trials: 3}, 0.005},
}

// An athlete who has not changed is called changed in 5 % of studies, whatever
// numbers of trials the follow-up was made with: t with Satterthwaite df. With
// 1.96 in its place it would be more.
func TestFalseAlarms(t *testing.T) {
	numtest.Heavy(t)
	const n = 6000
	for i, w := range worlds {
		rng := rand.New(rand.NewPCG(uint64(i), 77))
		var alarms, largeSample, held, seen int
		for range n {
			r := w.study(rng)
			se, df := change(r.Components(), w.before, w.after)
			seenChange := math.Abs(w.score(rng, w.before) - w.score(rng, w.after))
			if seenChange > dist.TQuantile(0.975, df)*se {
				alarms++
			}
			if seenChange > 1.959963984540054*se {
				largeSample++
			}
			rows, err := decision.Study(r.Components(), decision.Options{Sessions: w.before.Sessions,
				Trials: w.before.Trials})
			if err != nil {
				t.Fatal(err)
			}
			te := rows[len(rows)-1].TypicalError
			truth := math.Sqrt((w.as*w.as + w.e*w.e/float64(w.before.Trials)) / float64(w.before.Sessions))
			seen++
			if te.Lower <= truth && truth <= te.Upper {
				held++
			}
		}
		rate, coverage := float64(alarms)/n, float64(held)/float64(seen)
		t.Logf("%s: false alarms %.2f %% (with 1.96: %.2f %%), typical error's interval holds %.2f %%",
			w.name, 100*rate, 100*float64(largeSample)/n, 100*coverage)
		band := 3.5 * math.Sqrt(0.05*0.95/n)
		if math.Abs(rate-0.05) > band+w.slack {
			t.Errorf("%s: false alarms %.4f, want 0.05 ± %.4f", w.name, rate, band+w.slack)
		}
		if largeSample <= alarms {
			t.Errorf("%s: 1.96 gives no more alarms than t", w.name)
		}
		// Where the study puts the day-to-day part at 0 its trials are pooled with
		// its days, and the interval errs on the safe side.
		if coverage < 0.95-band-w.slack || coverage > 0.975 {
			t.Errorf("%s: coverage %.4f of the typical error", w.name, coverage)
		}
	}
}

// The reliability's interval holds the truth in 95 % of complete studies for
// their own design (F is exact), and nearly so for others.
func TestReliabilityCoverage(t *testing.T) {
	numtest.Heavy(t)
	const n = 4000
	for _, tt := range []struct {
		design decision.Design
		slack  float64
	}{
		{decision.Design{Sessions: 2, Trials: 3}, 0},
		{decision.Design{Sessions: 1, Trials: 3}, 0.015},
		{decision.Design{Sessions: 3, Trials: 6}, 0.015},
	} {
		w := world{athletes: 20, sessions: 2, trials: 3, a: 20, as: 8, e: 10}
		rng, held := rand.New(rand.NewPCG(5, 5)), 0
		truth := 400 / (400 + (64+100/float64(tt.design.Trials))/float64(tt.design.Sessions))
		for range n {
			rows, err := decision.Study(w.study(rng).Components(), decision.Options{Sessions: tt.design.Sessions,
				Trials: tt.design.Trials})
			if err != nil {
				t.Fatal(err)
			}
			if e := rows[len(rows)-1].Reliability; e.Lower <= truth && truth <= e.Upper {
				held++
			}
		}
		got := float64(held) / n
		t.Logf("%+v: %.2f %%", tt.design, 100*got)
		if math.Abs(got-0.95) > 3.5*math.Sqrt(0.05*0.95/n)+tt.slack {
			t.Errorf("%+v: 95 %% interval holds %.2f %%", tt.design, 100*got)
		}
	}
}

// study draws and fits one study of w.
func (w world) study(rng *rand.Rand) varcomp.Result {
	d := cell.Values{Athletes: w.athletes, Sessions: w.sessions}
	for i := range w.athletes {
		level := w.a * rng.NormFloat64()
		for j := range w.sessions {
			day := level + w.as*rng.NormFloat64()
			for range w.trials {
				v := day + w.e*rng.NormFloat64()
				if rng.Float64() < w.missed {
					continue
				}
				d.Athlete, d.Session, d.Value = append(d.Athlete, int32(i)), append(d.Session, int32(j)),
					append(d.Value, v)
			}
		}
	}
	r, err := varcomp.Fit(d.Grid(), varcomp.Options{Limits: varcomp.NoLimits})
	if err != nil {
		panic(err) // the worlds are large enough
	}
	return r
}

// score draws the mean of one athlete at level 0.
func (w world) score(rng *rand.Rand, d decision.Design) float64 {
	sum := 0.0
	for range d.Sessions {
		day := w.as * rng.NormFloat64()
		for range d.Trials {
			sum += day + w.e*rng.NormFloat64()
		}
	}
	return sum / float64(d.Sessions*d.Trials)
}

// change returns the standard error of one athlete's change between occasions
// of two designs, SE² = σ²as (1/s₁ + 1/s₂) + σ²e (1/(s₁t₁) + 1/(s₂t₂)), and its
// Satterthwaite df.
func change(c varcomp.Components, before, after decision.Design) (se, df float64) {
	var as, e float64
	for _, d := range []decision.Design{before, after} {
		as += 1 / float64(d.Sessions)
		e += 1 / float64(d.Sessions*d.Trials)
	}
	square, df := c.Satterthwaite(0, as, e)
	return math.Sqrt(square), df
}
