package calibration

import (
	"math"
	"math/rand/v2"
	"strconv"

	"noisefloor/analysis/agreement"
	"noisefloor/analysis/cell"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
)

// far is the between-athlete SD of the studies that ask whether the error grows: 20 %
// of the mean.
const far = 0.2 * level

// trialsEach are the attempts in a session of these studies.
const trialsEach = 3

// errorSD is that of one session score there, were it of one size: as large against
// the athletes' SD as in a test with an ICC of 0.9.
var errorSD = far / spread(0.9, 1)

// grown returns scores and attempts of n athletes in k sessions whose error is of one
// size, or in proportion to the athlete's true value. Day and trials share its
// variance equally.
func grown(rng *rand.Rand, n, k int, proportional bool, deviate func() float64) (score.Table, *cell.Table) {
	names, sessions := numbered(n), numbered(k)
	attempts := cell.New(names, sessions, cell.Options{})
	t := score.Table{Athletes: names, Sessions: sessions, Value: make([]float64, n*k)}
	day, trial := errorSD*math.Sqrt(0.5), errorSD*math.Sqrt(0.5*trialsEach)
	for i := range n {
		true, size := level+float64(far*rng.NormFloat64()), 1.0
		true = max(true, level/4)
		if proportional {
			size = true / level
		}
		for j := range k {
			at := true + float64(size*day*deviate())
			for l := range trialsEach {
				attempts.Add(i, j, int32(l+1), at+float64(size*trial*deviate()))
			}
			t.Value[i*k+j] = attempts.At(i, j).Mean()
		}
	}
	return t, attempts
}

// Growth asks whether the error is said to grow with the score where it does not, by
// the athletes' own variances and, for contrast, by the difference of two sessions;
// and how often each finds an error in proportion to the score.
func Growth(n, k, studies int) Experiment {
	d := Design{N: n, K: k, ICC: math.NaN()}
	one := Method{Name: "error said to grow, by own variances", Kind: FalseAlarm, Promise: Approximate, Nominal: 0.025}
	pair := Method{Name: "error said to grow, by the difference of two sessions", Kind: FalseAlarm, Promise: Contrast,
		Nominal: 0.025}
	found := Method{Name: "error in proportion found, by own variances", Kind: Found, Promise: Contrast, Nominal: 1}
	foundPair := Method{Name: "error in proportion found, by the difference of two sessions", Kind: Found,
		Promise: Contrast, Nominal: 1}
	slope := Method{Name: "slope of log variance on log mean", Kind: Coverage, Promise: Approximate, Nominal: 0.95}
	even, prop := d.with("error of one size, 3 trials"), d.with("error in proportion to the score, 3 trials")
	e := Experiment{Name: d.name("growth"), Studies: studies, Rows: []Row{even.row(one, math.NaN()),
		even.row(pair, math.NaN()), even.row(slope, 0), prop.row(found, math.NaN()), prop.row(foundPair, math.NaN()),
		prop.row(slope, 2)}}
	e.Study = func(rng *rand.Rand, m *Marks) error {
		for _, proportional := range []bool{false, true} {
			t, attempts := grown(rng, n, k, proportional, rng.NormFloat64)
			r, err := reliability.Analyse(t, reliability.Options{Lean: true, Pair: [2]string{"1", "2"},
				Worthwhile: reliability.Worthwhile{Basis: reliability.Fixed, Value: 1}})
			if err != nil {
				return err
			}
			g, err := reliability.GrowthOf(t, attempts, reliability.Options{})
			if err != nil {
				return err
			}
			m.yes(g.Slope.HasInterval() && g.Slope.Lower > 0)
			m.yes(r.Agreement.Advice == agreement.UseLog || r.Agreement.Advice == agreement.UseLogAllTheSame)
			m.covers(g.Slope)
		}
		return nil
	}
	return e
}

// Athletes asks how often athletes of equal noise are said to differ, and errors that
// are normal to have heavy tails; and whether the robust typical error has its value.
func Athletes(n, k, studies int) Experiment {
	d := Design{N: n, K: k, ICC: anyICC}
	return Experiment{Name: d.name("athletes"), Studies: studies, Rows: []Row{
		d.row(alarm("athletes said to differ in noise", Approximate), math.NaN()),
		d.row(alarm("errors said to have heavy tails", Approximate), math.NaN()),
	}, Study: func(rng *rand.Rand, m *Marks) error {
		f := drawField(rng, n, k)
		e, t, err := reliability.EqualNoiseOf(tableOf(f.scores(spread(anyICC, 1), nil), n, k))
		if err != nil {
			return err
		}
		m.rejects(e)
		m.rejects(t)
		return nil
	}}
}

// Robust is the interval of the robust typical error for normal errors.
func Robust(n, k, studies, replicates int) Experiment {
	d := Design{N: n, K: k, ICC: anyICC}
	return Experiment{Name: d.name("robust"), Studies: studies, Rows: []Row{
		d.row(interval("robust typical error, bootstrap-t", Approximate), 1),
	}, Study: func(rng *rand.Rand, m *Marks) error {
		f := drawField(rng, n, k)
		e, err := reliability.RobustErrorOf(tableOf(f.scores(spread(anyICC, 1), nil), n, k), reliability.Options{Seed: 1,
			Replicates: replicates})
		if err != nil {
			return err
		}
		m.covers(e)
		return nil
	}}
}

// AgreementError is the interval of the error that counts the sessions in, which are a
// sample with an SD of none, half, all and twice of the error's.
func AgreementError(n, k, studies int) Experiment {
	d := Design{N: n, K: k, ICC: anyICC}
	sds := []float64{0, 0.5, 1, 2}
	e := Experiment{Name: d.name("agreement error"), Studies: studies}
	for _, s := range sds {
		e.Rows = append(e.Rows, d.with("session SD "+strconv.FormatFloat(s, 'g', -1, 64)+" × the error SD").
			row(interval("agreement error", Approximate), math.Sqrt(1+s*s)))
	}
	e.Study = func(rng *rand.Rand, m *Marks) error {
		f := drawField(rng, n, k)
		for _, s := range sds {
			shift := make([]float64, k)
			for j := range shift {
				shift[j] = s * f.sessions[j]
			}
			a, err := reliability.AgreementErrorOf(tableOf(f.scores(spread(anyICC, 1), shift), n, k), 0.95)
			if err != nil {
				return err
			}
			m.covers(a)
		}
		return nil
	}
	return e
}

// errorLaws are laws of errors with an SD of 1 or thereabouts: the size does not
// matter to a test of equality.
var errorLaws = []struct {
	name string
	draw func(rng *rand.Rand) float64
}{
	{"normal errors", (*rand.Rand).NormFloat64},
	{"errors t on 5 df", func(rng *rand.Rand) float64 { return student(rng, 5) }},
	{"errors t on 3 df", func(rng *rand.Rand) float64 { return student(rng, 3) }},
	{"skewed errors", func(rng *rand.Rand) float64 { return rng.ExpFloat64() - 1 }},
}

func student(rng *rand.Rand, df int) float64 {
	z, v := rng.NormFloat64(), 0.0
	for range df {
		x := rng.NormFloat64()
		v += float64(x * x)
	}
	return z / math.Sqrt(v/float64(df))
}

// Groups asks how often groups with the same errors are said to differ, by the test
// that the verdict rests on and by the one that takes errors for normal.
func Groups(n, k, groups, studies int) Experiment {
	d := Design{N: n, K: k, ICC: anyICC}
	setting := strconv.Itoa(groups) + " groups, "
	e := Experiment{Name: d.with(setting).name("groups"), Studies: studies}
	for _, law := range errorLaws {
		at := d.with(setting + law.name)
		e.Rows = append(e.Rows, at.row(alarm("equal typical errors of groups, Brown–Forsythe", Approximate), math.NaN()),
			at.row(alarm("equal typical errors of groups, F or Bartlett", Contrast), math.NaN()))
	}
	names := make([]string, n)
	for i := range names {
		names[i] = strconv.Itoa(1 + i%groups)
	}
	e.Study = func(rng *rand.Rand, m *Marks) error {
		f := drawField(rng, n, k)
		for _, law := range errorLaws {
			for i := range f.errors {
				f.errors[i] = law.draw(rng)
			}
			r, err := reliability.GroupTestOf(tableOf(f.scores(spread(anyICC, 1), nil), n, k), names)
			if err != nil {
				return err
			}
			m.rejects(r.P)
			m.rejects(r.Normal.P)
		}
		return nil
	}
	return e
}

// noiseExperiments ask whether one noise is true for all.
func noiseExperiments(studies, fewer, fewest int) (all []Experiment) {
	for _, k := range []int{2, 3, 4} {
		for _, n := range athletes {
			all = append(all, AgreementError(n, k, fewest), Athletes(n, k, fewer))
		}
	}
	for _, n := range athletes {
		all = append(all, Growth(n, 2, fewest), Robust(n, 2, fewest, robustResamples))
	}
	for _, n := range []int{16, 24, 40} {
		for _, k := range sessions {
			all = append(all, Groups(n, k, 2, fewest))
		}
	}
	return append(all, Groups(24, 2, 3, fewest))
}

// robustResamples are those of the robust typical error in a simulated study.
const robustResamples = 500
