package calibration

import (
	"fmt"
	"math"
	"math/rand/v2"

	"noisefloor/analysis/anova"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/reliability"
)

// lastChange is the true change of the mean between the last two sessions of a
// study with practice, and also its worthwhile change: a claim that the test
// has settled is then just false.
const lastChange = 3

// practice are the session means of that study.
func practice(k int) []float64 {
	shift := make([]float64, k)
	for j := 1; j < k; j++ {
		shift[j] = 0.5 * float64(j)
	}
	if k > 1 {
		shift[k-1] = lastChange
		if k > 2 {
			shift[k-1] += shift[k-2]
		}
	}
	return shift
}

func interval(name string, p Promise) Method {
	return Method{Name: name, Kind: Coverage, Promise: p, Nominal: 0.95}
}

func alarm(name string, p Promise) Method {
	return Method{Name: name, Kind: FalseAlarm, Promise: p, Nominal: 0.05}
}

// row is a method in a design, with the truth it should find.
func (d Design) row(m Method, truth float64) Row {
	d.Truth = truth
	return Row{Method: m, Design: d}
}

func (d Design) with(setting string) Design {
	d.Setting = setting
	return d
}

// name tells experiments apart.
func (d Design) name(what string) string {
	return fmt.Sprintf("%s n=%d k=%d icc=%g %s", what, d.N, d.K, d.ICC, d.Setting)
}

// Reliability is everything that the reliability analysis says of n athletes in
// k sessions: a study without session effects and one with practice, from the same
// deviates.
func Reliability(n, k int, icc float64, studies int) Experiment {
	d := Design{N: n, K: k, ICC: icc}
	e := Experiment{Name: d.name("reliability"), Studies: studies}
	still, moving := d.still(), d.moving()
	e.Rows = append(append(e.Rows, still.rows...), moving.rows...)
	e.Study = func(rng *rand.Rand, m *Marks) error {
		f := drawField(rng, n, k)
		ahead := rng.NormFloat64()
		if err := still.study(f, 0, m); err != nil {
			return err
		}
		return moving.study(f, ahead, m)
	}
	return e
}

// Agreement is ICC(A,1) and ICC(A,k) of n athletes in k sessions that are a sample,
// with an SD of half the error's, of all of it and of twice. The ICC of the design is
// then ICC(A,1).
func Agreement(n, k int, icc float64, studies int) Experiment {
	d := Design{N: n, K: k, ICC: icc}
	random := d.random()
	return Experiment{Name: d.name("agreement"), Studies: studies, Rows: random.rows,
		Study: func(rng *rand.Rand, m *Marks) error { return random.study(drawField(rng, n, k), 0, m) }}
}

// A part of an experiment marks its own rows from the deviates of a study.
type part struct {
	rows  []Row
	study func(f field, ahead float64, m *Marks) error
}

// still is a study without session effects.
func (d Design) still() part {
	a, k := spread(d.ICC, 1), float64(d.K)
	groups := d.with("two groups with equal errors")
	return part{
		rows: []Row{
			d.row(interval("ICC(1)", Exact), d.ICC),
			d.row(interval("ICC(k)", Exact), a*a/(a*a+1/k)),
			d.row(interval("worthwhile change from the observed SD", Exact), 0.2*math.Sqrt(a*a+1/k)),
			groups.row(interval("ICC(C,1) within groups", Exact), d.ICC),
			d.row(alarm("equal session means, F", Exact), math.NaN()),
			groups.row(alarm("equal typical errors of two groups, F", Exact), math.NaN()),
		},
		study: func(f field, _ float64, m *Marks) error {
			r, err := reliability.Analyse(tableOf(f.scores(a, nil), d.N, d.K), reliability.Options{Lean: true,
				Group: twoGroups(d.N), Worthwhile: reliability.Worthwhile{Basis: reliability.ObservedSD}})
			if err != nil {
				return err
			}
			m.covers(r.ICC[0].Value)
			m.covers(r.ICC[1].Value)
			m.covers(r.Worthwhile.Estimate)
			m.covers(r.GroupTest.Within)
			m.rejects(r.SessionTest.P)
			m.rejects(r.GroupTest.Normal.P)
			return nil
		},
	}
}

// moving is a study in which the mean changes from session to session.
func (d Design) moving() part {
	a, k, shift := spread(d.ICC, 1), float64(d.K), practice(d.K)
	reach := dist.NormalQuantile(0.975) * math.Sqrt2
	settled := Method{Name: "settled from a session", Kind: FalseClaim, Promise: AtMost, Nominal: 0.025}
	return part{
		rows: []Row{
			d.row(interval("typical error", Exact), 1),
			d.row(interval("typical error of one pair", Exact), 1),
			d.row(interval("ICC(C,1)", Exact), d.ICC),
			d.row(interval("ICC(C,k)", Exact), a*a/(a*a+1/k)),
			d.row(interval("change of the mean", Exact), shift[1]-shift[0]),
			d.row(interval("mean difference (bias)", Exact), lastChange),
			d.row(interval("lower limit of agreement", Exact), lastChange-reach),
			d.row(interval("upper limit of agreement", Exact), lastChange+reach),
			d.row(interval("lower limit of agreement, 1986", Approximate), lastChange-reach),
			d.row(interval("upper limit of agreement, 1986", Approximate), lastChange+reach),
			d.row(interval("prediction limits of a further difference", Exact), math.NaN()),
			d.row(interval("slope of difference on mean", Exact), 0),
			d.row(interval("spread: slope of |residual| on mean", Approximate), 0),
			d.with("the last change is the worthwhile one").row(settled, math.NaN()),
		},
		study: func(f field, ahead float64, m *Marks) error {
			r, err := reliability.Analyse(tableOf(f.scores(a, shift), d.N, d.K), reliability.Options{Lean: true,
				Pair:       [2]string(numbered(d.K)[d.K-2:]),
				Worthwhile: reliability.Worthwhile{Basis: reliability.Fixed, Value: lastChange}})
			if err != nil {
				return err
			}
			m.covers(r.TypicalError)
			m.covers(r.MeanChanges[0].TypicalError)
			m.covers(r.ICC[4].Value)
			m.covers(r.ICC[5].Value)
			m.covers(r.MeanChanges[0].Change)
			m.covers(r.Agreement.Bias)
			m.covers(r.Agreement.Lower)
			m.covers(r.Agreement.Upper)
			m.covers(r.Agreement.LowerApprox)
			m.covers(r.Agreement.UpperApprox)
			m.between(lastChange+float64(math.Sqrt2*ahead), r.Agreement.PredictionLower, r.Agreement.PredictionUpper)
			m.covers(r.Agreement.Slope)
			m.covers(r.Agreement.Spread)
			m.yes(r.Settling == reliability.Settled)
			return nil
		},
	}
}

// random are the studies of [Agreement].
func (d Design) random() part {
	sds := []float64{0.5, 1, 2}
	words := []string{"session SD half the error SD", "session SD equal to the error SD",
		"session SD twice the error SD"}
	var p part
	for i, s := range sds {
		rest := s*s + 1
		a := spread(d.ICC, rest)
		p.rows = append(p.rows, d.with(words[i]).row(interval("ICC(A,1)", Approximate), d.ICC),
			d.with(words[i]).row(interval("ICC(A,k)", Approximate), a*a/(a*a+rest/float64(d.K))))
	}
	p.study = func(f field, _ float64, m *Marks) error {
		for _, s := range sds {
			shift := make([]float64, d.K)
			for j := range shift {
				shift[j] = s * f.sessions[j]
			}
			a, err := anova.AnalyseTwoWay(f.scores(spread(d.ICC, s*s+1), shift), d.N, d.K)
			if err != nil {
				return err
			}
			icc := reliability.FromANOVA(a, 0.95)
			m.covers(icc[2].Value)
			m.covers(icc[3].Value)
		}
		return nil
	}
	return p
}

// TrueSD is the interval of the worthwhile change, 0.2 of the true
// between-athlete SD, as the analysis makes it by default.
func TrueSD(n, k int, icc float64, studies int) Experiment {
	d := Design{N: n, K: k, ICC: icc}
	a := spread(icc, 1)
	return Experiment{Name: d.name("true SD"), Studies: studies,
		Rows: []Row{d.row(interval("worthwhile change from the true SD, REML profile", Approximate), 0.2*a)},
		Study: func(rng *rand.Rand, m *Marks) error {
			f := drawField(rng, n, k)
			r, err := reliability.Analyse(tableOf(f.scores(a, nil), n, k), reliability.Options{Lean: true})
			if err != nil {
				return err
			}
			m.covers(r.Worthwhile.Estimate)
			return nil
		}}
}
