package calibration

import (
	"errors"
	"math"
	"math/rand/v2"
	"runtime"
	"strings"
	"sync"
	"testing"

	"noisefloor/analysis/estimate"
	"noisefloor/internal/numtest"
)

func onOneCore(t *testing.T, experiments []Experiment) Table {
	t.Helper()
	before := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(before)
	return table(t, experiments...)
}

func sameCounts(a, b Row) bool { return a.Tally == b.Tally && a.First == b.First }

// By hand: outcomes 1, 1, 0, 1 and one missing; and the shares 0.5 and 0.
func TestTally(t *testing.T) {
	var a, b Tally
	for _, v := range []float64{1, 1, math.NaN()} {
		a.add(v)
	}
	for _, v := range []float64{0, 1} {
		b.add(v)
	}
	a.join(b)
	if a != (Tally{Studies: 4, Undefined: 1, Sum: 3, Squares: 3}) {
		t.Errorf("%+v", a)
	}
	numtest.Close(t, "rate", a.Rate(), 0.75, 0)
	numtest.Close(t, "SE", a.SE(), math.Sqrt(0.75*0.25/4), 1e-12)
	shares := Row{Method: Method{Kind: Discoveries, Promise: AtMost, Nominal: 0.05}, Tally: Tally{Studies: 2,
		Sum: 0.5, Squares: 0.25}}
	numtest.Close(t, "band of shares", shares.Band(), 0.25/math.Sqrt2, 1e-12)
}

// By hand: 10,000 studies, standard error 0.218 points.
func TestWithin(t *testing.T) {
	for _, tt := range []struct {
		promise Promise
		hits    float64
		want    bool
	}{
		{Exact, 9500, true}, {Exact, 9436, true}, {Exact, 9434, false}, {Exact, 9566, false},
		{AtMost, 9000, true}, {AtMost, 9566, false}, {Approximate, 9100, false},
	} {
		r := Row{Method: Method{Kind: Coverage, Promise: tt.promise, Nominal: 0.95}, Tally: Tally{Studies: 10000,
			Sum: tt.hits, Squares: tt.hits}}
		if r.Within(limit) != tt.want {
			t.Errorf("%s, %g of 10000: within %t, z %.2f", tt.promise, tt.hits, !tt.want, r.Z())
		}
		numtest.Close(t, "band", r.Band(), 0.002179449471770337, 1e-12)
	}
}

func TestMarks(t *testing.T) {
	d := Design{N: 8}
	m := Marks{rows: []Row{d.row(interval("a", Exact), 2), d.row(interval("b", Exact), 4), d.row(interval("c", Exact),
		0), {}, {}, {}, {}}}
	m.covers(estimate.Estimate{Value: 2, Lower: 1, Upper: 3})
	m.covers(estimate.Estimate{Value: 2, Lower: 1, Upper: 3})
	m.covers(estimate.Bare(1, estimate.TooFew))
	m.between(1, 1, 2)
	m.rejects(0.0499)
	m.rejects(math.NaN())
	if err := m.complete(); err == nil || !strings.Contains(err.Error(), "6 outcomes for 7 rows") {
		t.Errorf("too few marks: %v", err)
	}
	m.rejects(0.05)
	for i, want := range []float64{1, 0, math.NaN(), 1, 1, math.NaN(), 0} {
		numtest.Close(t, "mark", m.out[i].Rate(), want, 0)
	}
	m.covers(estimate.Estimate{Lower: -1, Upper: 1})
	if m.complete() == nil {
		t.Error("one mark too many passes")
	}
}

var errStudy = errors.New("no such study")

func TestRunFails(t *testing.T) {
	d := Design{N: 8}
	for name, study := range map[string]func(*rand.Rand, *Marks) error{
		"no such study":         func(*rand.Rand, *Marks) error { return errStudy },
		"0 outcomes for 1 rows": func(*rand.Rand, *Marks) error { return nil },
	} {
		e := Experiment{Name: "bad", Studies: 3, Rows: []Row{d.row(interval("a", Exact), 0)}, Study: study}
		if _, err := Run([]Experiment{e}, 1); err == nil || !strings.Contains(err.Error(), "bad, study 1: "+name) {
			t.Errorf("%s: %v", name, err)
		}
	}
	// What an analysis refuses comes through: one athlete is no study.
	for _, e := range []Experiment{Reliability(1, 2, 0.5, 1), TrueSD(1, 2, 0.5, 1), FalseAlarms(1, 2, 1), Families(1,
		1),
		Correlations(2, 0, 1), Comparisons(2, 0.5, 0.5, 0.3, 1), Resampled(2, 0.5, 1, 10), Components(1, 2, 0.5, 1)} {
		if _, err := Run([]Experiment{e}, 1); err == nil || !strings.Contains(err.Error(), e.Name) {
			t.Errorf("%s: %v", e.Name, err)
		}
	}
}

// The drawn columns have the correlations asked for, and an athlete's scores
// the ICC.
func TestDraws(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	const n = 200000
	x, y := correlated(rng, n, 0.6)
	numtest.CloseAbs(t, "r", product(x, y), 0.6, 0.01)
	o, a, b := three(rng, n, 0.6, 0.3, 0.4)
	numtest.CloseAbs(t, "outcome, a", product(o, a), 0.6, 0.01)
	numtest.CloseAbs(t, "outcome, b", product(o, b), 0.3, 0.01)
	numtest.CloseAbs(t, "a, b", product(a, b), 0.4, 0.01)
	numtest.CloseAbs(t, "variance of b", product(b, b), 1, 0.015)
	f := drawField(rng, n, 2)
	s := f.scores(spread(0.8, 1.25), []float64{0, 3})
	var first, second []float64
	for i := range n {
		first, second = append(first, s[2*i]-level), append(second, s[2*i+1]-level-3)
	}
	numtest.CloseAbs(t, "covariance of sessions", product(first, second), 0.8/0.2*1.25, 0.1)
	numtest.CloseAbs(t, "variance of a score", product(first, first), 0.8/0.2*1.25+1, 0.1)
	v := measured(rng, "m", "", o, 0.8)
	numtest.CloseAbs(t, "variance of a mean of two sessions", product(v.Value, v.Value), 1+0.25/2, 0.02)
}

// product is the mean product of two columns.
func product(x, y []float64) (mean float64) {
	for i := range x {
		mean += x[i] * y[i] / float64(len(x))
	}
	return mean
}

// By hand: of athletes 1 to 4 every second, 1 and 3, has changed; of the three
// changes called real one, athlete 2's, is false.
func TestFalseShare(t *testing.T) {
	changes := changesOf(true, true, true, false)
	numtest.Close(t, "share", falseShare(changes, 4, 2, isReal), 1.0/3, 1e-15)
	numtest.Close(t, "share of none", falseShare(changesOf(false, false), 2, 2, isReal), 0, 0)
	if !anyOf(changes, isReal) || anyOf(changesOf(false), isReal) {
		t.Error("anyOf")
	}
}

// An interval that covers 60 % in truth lies outside and is drawn again, other
// numbers and five times as many; one that covers 95 % is not.
func TestSecondLook(t *testing.T) {
	d := Design{N: 8}
	e := Experiment{Name: "wrong", Studies: 300, Rows: []Row{d.row(interval("right", Exact), 0),
		d.row(interval("wrong", Exact), 0)},
		Study: func(rng *rand.Rand, m *Marks) error {
			u := rng.Float64()
			m.yes(u < 0.95)
			m.yes(u < 0.60)
			return nil
		}}
	plan := []Experiment{{Name: "nothing"}, e}
	got, err := SecondLook(plan, table(t, plan...))
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Again) != 1 || got.Again[0].Name != "wrong" || got.Again[0].Studies != 1500 ||
		got.Again[0].First == got.Rows[1].First || got.Again[0].Within(10) {
		t.Errorf("%+v", got.Again)
	}
	e.Study = func(*rand.Rand, *Marks) error { return errStudy }
	if _, err := SecondLook([]Experiment{plan[0], e}, got); !errors.Is(err, errStudy) {
		t.Errorf("%v", err)
	}
}

// No two studies, of one experiment or of two, draw the same numbers.
func TestStudiesDrawTheirOwn(t *testing.T) {
	var seen sync.Map
	study := func(rng *rand.Rand, m *Marks) error {
		u := rng.Uint64()
		if _, before := seen.LoadOrStore(u, true); before {
			t.Errorf("%d was drawn before", u)
		}
		m.yes(true)
		return nil
	}
	rows := []Row{Design{N: 8}.row(interval("a", Exact), 0)}
	got := table(t, Experiment{"one", 250, rows, study}, Experiment{"two", 250, rows, study})
	if len(got.Rows) != 2 || got.Rows[1].Tally != (Tally{250, 0, 250, 250}) || got.Rows[1].First != (Tally{200, 0,
		200, 200}) {
		t.Errorf("%+v", got.Rows)
	}
}
