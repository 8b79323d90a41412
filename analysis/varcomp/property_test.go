package varcomp_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"noisefloor/analysis/cell"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/varcomp"
	"noisefloor/internal/numtest"
)

// studies draws designs of every kind.
var studies = rapid.Custom(func(t *rapid.T) study {
	return study{
		athletes: rapid.IntRange(4, 25).Draw(t, "athletes"),
		sessions: rapid.IntRange(1, 5).Draw(t, "sessions"),
		trials:   rapid.IntRange(2, 5).Draw(t, "trials"),
		a:        rapid.SampledFrom([]float64{0, 1, 10, 100}).Draw(t, "a"),
		as:       rapid.SampledFrom([]float64{0, 0.5, 3}).Draw(t, "as"),
		e:        rapid.SampledFrom([]float64{0.1, 1, 5}).Draw(t, "e"),
		missed:   rapid.SampledFrom([]float64{0, 0.2}).Draw(t, "missed"),
		uneven:   rapid.Bool().Draw(t, "uneven"),
		offset:   rapid.SampledFrom([]float64{0, 500}).Draw(t, "offset"),
	}
})

// dense returns the criterion at the variances from its definition, with the
// whole covariance matrix written out (gonum's Cholesky).
func dense(d cell.Values, a, as, e float64, o varcomp.Options) float64 {
	n := len(d.Value)
	v := mat.NewSymDense(n, nil)
	var sessions []int32
	for i := range n {
		if !o.SingleMean && !slices.Contains(sessions, d.Session[i]) {
			sessions = append(sessions, d.Session[i])
		}
		for j := i; j < n; j++ {
			c := 0.0
			if d.Athlete[i] == d.Athlete[j] {
				c += a
				if d.Session[i] == d.Session[j] {
					c += as
				}
			}
			if i == j {
				c += e
			}
			v.SetSym(i, j, c)
		}
	}
	p := max(len(sessions), 1)
	x, y := mat.NewDense(n, p, nil), mat.NewDense(n, 1, nil)
	for i := range n {
		x.Set(i, max(slices.Index(sessions, d.Session[i]), 0), 1)
		y.Set(i, 0, d.Value[i]-d.Value[0])
	}
	var chol, inner mat.Cholesky
	if !chol.Factorize(v) {
		return math.NaN()
	}
	var vx, vy, m, b, beta, fitted, vr, quad mat.Dense
	_ = chol.SolveTo(&vx, x)
	_ = chol.SolveTo(&vy, y)
	m.Mul(x.T(), &vx)
	b.Mul(x.T(), &vy)
	sym := mat.NewSymDense(p, nil)
	for i := range p {
		for j := i; j < p; j++ {
			sym.SetSym(i, j, m.At(i, j))
		}
	}
	inner.Factorize(sym)
	_ = inner.SolveTo(&beta, &b)
	fitted.Mul(x, &beta)
	fitted.Sub(y, &fitted)
	_ = chol.SolveTo(&vr, &fitted)
	quad.Mul(fitted.T(), &vr)
	df, f := float64(n), chol.LogDet()+quad.At(0, 0)
	if o.Method != varcomp.ML {
		df -= float64(p)
		f += inner.LogDet()
	}
	return f + df*math.Log(2*math.Pi)
}

// The fit's criterion is that of the definition, nothing near it is lower, and
// at the profile limits it exceeds its minimum by no less than the cut.
func TestCriterionAgainstDefinition(t *testing.T) {
	drawn, fitted := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		drawn++
		d := studies.Draw(rt, "study").draw(rapid.Uint64().Draw(rt, "seed"))
		o := varcomp.Options{
			Method:     rapid.SampledFrom([]varcomp.Method{varcomp.REML, varcomp.ML}).Draw(rt, "method"),
			Model:      rapid.SampledFrom([]varcomp.Model{varcomp.Nested, varcomp.Scores}).Draw(rt, "model"),
			SingleMean: rapid.Bool().Draw(rt, "single"),
		}
		r, err := varcomp.Fit(d.Grid(), o)
		if err != nil {
			return // counted below
		}
		fitted++
		a, as, e := r.Athlete.Value, 0.0, r.Trial.Value
		if !math.IsNaN(r.AthleteSession.Value) {
			as = r.AthleteSession.Value
		}
		f := dense(d, a, as, e, o)
		numtest.CloseAbs(rt, "criterion", r.Criterion, f, 1e-9*(1+math.Abs(f)))
		for _, step := range []float64{-0.01, 0.01} {
			up := step * (a + as + e)
			near := [][3]float64{{a * (1 + step), as, e}, {a, as, e * (1 + step)}, {max(a+up, 0), as, e},
				{a * (1 + step), as * (1 + step), e * (1 + step)}}
			if !math.IsNaN(r.AthleteSession.Value) {
				near = append(near, [3]float64{a, as * (1 + step), e}, [3]float64{a, max(as+up, 0), e}, [3]float64{a,
					max(as+up, 0), e * (1 - step)})
			}
			for _, v := range near {
				if g := dense(d, v[0], v[1], v[2], o); g < f-1e-9*(1+math.Abs(f)) {
					rt.Errorf("criterion %.12g at %v is below %.12g at %g, %g, %g", g, v, f, a, as, e)
				}
			}
		}
		for name, c := range map[string]varcomp.Component{"athlete": r.Athlete, "session": r.AthleteSession,
			"trial": r.Trial} {
			if math.IsNaN(c.Value) {
				continue
			}
			if !(0 <= c.Lower && c.Lower <= c.Value && c.Value < c.Upper) {
				rt.Errorf("%s: %g in [%g, %g] (%s)", name, c.Value, c.Lower, c.Upper, c.Kind)
			}
			at := map[string][3]float64{"athlete": {c.Upper, as, e}, "session": {a, c.Upper, e}, "trial": {a, as,
				c.Upper}}[name]
			if g := dense(d, at[0], at[1], at[2], o); g < f+3.8414588-1e-6 {
				rt.Errorf("%s: criterion %g above its minimum at the upper limit", name, g-f)
			}
		}
	})
	t.Logf("%d fits compared", fitted)
	if drawn == 0 || 2*fitted < drawn { // go test -short draws fewer
		t.Errorf("only %d of %d studies could be fitted", fitted, drawn)
	}
}

// What must not matter, does not: order of rows, names of athletes, a shift of
// every session by its own amount, the unit.
func TestInvariance(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := studies.Draw(rt, "study")
		d := s.draw(rapid.Uint64().Draw(rt, "seed"))
		before := slices.Clone(d.Value)
		r, err := varcomp.Fit(d.Grid(), varcomp.Options{})
		if !slices.Equal(before, d.Value) {
			rt.Fatal("Fit modified the data")
		}
		unit := rapid.SampledFrom([]float64{1, 1e-6, 1e5}).Draw(rt, "unit")
		rng := rand.New(rand.NewPCG(9, 9))
		moved := cell.Values{Athletes: d.Athletes + 3, Sessions: d.Sessions + 2}
		for _, i := range rng.Perm(len(d.Value)) {
			add(&moved, d.Athletes+2-int(d.Athlete[i]), int(d.Session[i])+1, unit*(d.Value[i]+10*float64(d.Session[i])))
		}
		m, err2 := varcomp.Fit(moved.Grid(), varcomp.Options{})
		if (err == nil) != (err2 == nil) {
			rt.Fatalf("errors %v and %v", err, err2)
		}
		if err != nil {
			return
		}
		scale := unit * unit
		total := r.Athlete.Value + r.Trial.Value
		for _, c := range []struct {
			name      string
			got, want float64
		}{
			{"athlete", m.Athlete.Value, r.Athlete.Value}, {"trial", m.Trial.Value, r.Trial.Value},
			{"session", m.AthleteSession.Value, r.AthleteSession.Value},
			{"upper", m.Athlete.Upper, r.Athlete.Upper}, {"lower", m.Trial.Lower, r.Trial.Lower},
		} {
			if math.IsNaN(c.want) {
				continue
			}
			numtest.CloseAbs(rt, c.name, c.got, scale*c.want, scale*(1e-8*c.want+1e-10*total))
		}
		p := float64(r.Sessions)
		numtest.CloseAbs(rt, "criterion", m.Criterion, r.Criterion+(float64(r.N)-p)*2*math.Log(unit),
			1e-8*(1+math.Abs(r.Criterion)))
	})
}

// Many athletes of one pattern share their arithmetic: the same study with
// every athlete ten times over has ten times the squares, whichever way they
// are kept.
func TestCompressionChangesNothing(t *testing.T) {
	d := study{athletes: 6, sessions: 3, trials: 2, a: 5, as: 2, e: 3, offset: 1000}.draw(8)
	many := cell.Values{Sessions: 3}
	for copyOf := range 10 {
		for i, v := range d.Value {
			add(&many, int(d.Athlete[i])+6*copyOf, int(d.Session[i]), v)
		}
	}
	many.Athletes = 60
	// ML does not mind the means it estimates: the estimates are the same.
	few, all := fit(t, d, varcomp.Options{Method: varcomp.ML}), fit(t, many, varcomp.Options{Method: varcomp.ML})
	numtest.Close(t, "athlete", all.Athlete.Value, few.Athlete.Value, 1e-11)
	numtest.Close(t, "session", all.AthleteSession.Value, few.AthleteSession.Value, 1e-11)
	numtest.Close(t, "trial", all.Trial.Value, few.Trial.Value, 1e-11)
	numtest.Close(t, "deviance", all.Criterion, 10*few.Criterion, 1e-12)
	numtest.Close(t, "deviance by definition", all.Criterion,
		dense(many, all.Athlete.Value, all.AthleteSession.Value, all.Trial.Value,
			varcomp.Options{Method: varcomp.ML}), 1e-11)
}

func TestHardNumbers(t *testing.T) {
	base := study{athletes: 12, sessions: 3, trials: 3, a: 8, as: 2, e: 3, uneven: true}
	want := fit(t, base.draw(4), varcomp.Options{})
	for _, c := range []struct{ offset, unit, rel float64 }{
		{1e9, 1, 1e-5}, {0, 1e-150, 1e-10}, {0, 1e140, 1e-10}, {-1e6, 1e-3, 1e-8},
	} {
		d := base.draw(4)
		for i := range d.Value {
			d.Value[i] = d.Value[i]*c.unit + c.offset*c.unit
		}
		r := fit(t, d, varcomp.Options{})
		numtest.Close(t, "athlete", r.Athlete.SD.Value, want.Athlete.SD.Value*c.unit, c.rel)
		numtest.Close(t, "session", r.AthleteSession.SD.Value, want.AthleteSession.SD.Value*c.unit, c.rel)
		numtest.Close(t, "trial", r.Trial.SD.Value, want.Trial.SD.Value*c.unit, c.rel)
		numtest.Close(t, "upper", r.Athlete.SD.Upper, want.Athlete.SD.Upper*c.unit, c.rel)
	}
	// A very reliable test: σa/σe = 1e4.
	d := study{athletes: 10, sessions: 3, trials: 2, a: 1e4, as: 1, e: 1, missed: 0.1}.draw(2)
	r := fit(t, d, varcomp.Options{})
	f := dense(d, r.Athlete.Value, r.AthleteSession.Value, r.Trial.Value, varcomp.Options{})
	numtest.CloseAbs(t, "criterion of a very reliable test", r.Criterion, f, 1e-6)
	if !r.Athlete.HasInterval() || !r.Trial.HasInterval() {
		t.Errorf("no limits: %q, %q", r.Athlete.Kind, r.Trial.Kind)
	}
}

// Hundreds of sessions with gaps: no pattern is shared, nothing is compressed.
func TestManySessions(t *testing.T) {
	d := study{athletes: 40, sessions: 120, trials: 2, a: 5, as: 2, e: 3, missed: 0.5}.draw(6)
	r := fit(t, d, varcomp.Options{Limits: varcomp.NoLimits})
	numtest.Close(t, "trial", r.Trial.SD.Value, 3, 0.05)
	numtest.Close(t, "session", r.AthleteSession.SD.Value, 2, 0.1)
	if r.Trial.HasInterval() || r.Trial.Kind != estimate.None {
		t.Errorf("trial %+v", r.Trial)
	}
	wide := study{athletes: 200, sessions: 70, trials: 2, a: 5, as: 2, e: 3}.draw(6)
	r = fit(t, wide, varcomp.Options{Limits: varcomp.NoLimits})
	numtest.Close(t, "trial", r.Trial.SD.Value, 3, 0.05)
	if draws := r.Simulate(2, 1); len(draws) != 2 || !(draws[0].Trial > 0) {
		t.Errorf("draws %v", draws)
	}
}

// Small and wild studies: an answer or a reason, never a failure to converge.
// (Beyond SDs that differ by factors of 1e5, fits on three or four athletes can
// still fail, and say so.)
func TestAlwaysAnAnswer(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	fits := 0
	for seed := range uint64(4000) {
		s := study{athletes: 2 + rng.IntN(10), sessions: 1 + rng.IntN(5), trials: 1 + rng.IntN(4),
			a: math.Exp(4 * rng.Float64()), as: math.Exp(3 * rng.Float64()), e: math.Exp(2 * rng.Float64()),
			missed: 0.5 * rng.Float64(), uneven: rng.IntN(2) == 0}
		for _, sd := range []*float64{&s.a, &s.as, &s.e} {
			if rng.IntN(5) == 0 {
				*sd = 0
			}
		}
		d := s.draw(seed)
		if rng.IntN(3) == 0 {
			for i, v := range d.Value {
				d.Value[i] = math.Round(v)
			}
		}
		o := varcomp.Options{SingleMean: rng.IntN(3) == 0}
		if rng.IntN(2) == 0 {
			o.Method = varcomp.ML
		}
		if rng.IntN(3) == 0 {
			o.Model = varcomp.Scores
		}
		r, err := varcomp.Fit(d.Grid(), o)
		if errors.Is(err, varcomp.ErrTooFew) {
			continue
		}
		if err != nil {
			t.Errorf("%+v seed %d %+v: %v", s, seed, o, err)
			continue
		}
		fits++
		for _, c := range []varcomp.Component{r.Athlete, r.AthleteSession, r.Trial} {
			if c.Kind == estimate.Failed {
				t.Errorf("%+v seed %d %+v: %s", s, seed, o, c.Kind)
			}
			if c.HasInterval() && !(c.Lower <= c.Value && c.Value <= c.Upper) {
				t.Errorf("%+v seed %d %+v: %g not in [%g, %g]", s, seed, o, c.Value, c.Lower, c.Upper)
			}
		}
	}
	if fits < 2500 {
		t.Errorf("only %d fits", fits)
	}
}

func TestNothingShowsTheError(t *testing.T) {
	// One trial each, one athlete with two sessions: the session means take it up.
	d := cell.Values{Athletes: 3, Sessions: 2, Athlete: []int32{0, 1, 1, 2}, Session: []int32{0, 0, 1, 1},
		Value: []float64{7, 26, 27, 18}}
	if _, err := varcomp.Fit(d.Grid(), varcomp.Options{}); !errors.Is(err, varcomp.ErrTooFew) ||
		!strings.Contains(err.Error(), "leave nothing to see the error by") {
		t.Errorf("error %v", err)
	}
	// With trials there is the trial part, and the rest is one.
	for i := range 4 {
		add(&d, int(d.Athlete[i]), int(d.Session[i]), d.Value[i]+float64(i%2))
	}
	r, err := varcomp.Fit(d.Grid(), varcomp.Options{})
	if err != nil || r.Merged != varcomp.WithAthlete {
		t.Errorf("%v, %q", err, r.Merged)
	}
	// Two pairs of trials differ by 1; the cell means know next to nothing of it.
	numtest.Close(t, "trial", r.Trial.Value, (0.5+0.5)/4, 1e-3)
}

// wild draws small studies with gaps, some of which have two minima.
func wild(seed uint64) cell.Values {
	rng := rand.New(rand.NewPCG(seed, 4))
	d := cell.Values{Athletes: 2 + rng.IntN(9), Sessions: 1 + rng.IntN(5)}
	a, as, e := math.Exp(4*rng.NormFloat64()), math.Exp(3*rng.NormFloat64()), math.Exp(2*rng.NormFloat64())
	most := 1 + rng.IntN(8)
	for i := range d.Athletes {
		level := a * rng.NormFloat64()
		for j := range d.Sessions {
			if rng.IntN(3) == 0 {
				continue
			}
			day := level + as*rng.NormFloat64()
			for range 1 + rng.IntN(most) {
				add(&d, i, j, day+e*rng.NormFloat64())
			}
		}
	}
	return d
}

// Of two minima the lower is taken: no point of a wide grid is below it (by the
// criterion's definition). At these studies Newton's method from moment
// estimates alone ends in the higher one.
func TestLowerOfTwoMinima(t *testing.T) {
	for _, c := range []struct {
		seed   uint64
		method varcomp.Method
	}{{175, varcomp.ML}, {1280, varcomp.ML}, {1653, varcomp.REML}, {1359, varcomp.REML}, {2219, varcomp.REML}, {2552,
		varcomp.ML}} {
		d, o := wild(c.seed), varcomp.Options{Method: c.method}
		r := fit(t, d, o)
		a, as, e := r.Athlete.Value, r.AthleteSession.Value, r.Trial.Value
		total := a + as + e
		var sizes []float64
		for k := range 16 {
			sizes = append(sizes, 3*total*math.Pow(0.55, float64(k)))
		}
		sizes = append(sizes, 0)
		for _, x := range sizes {
			for _, y := range sizes {
				for _, z := range []float64{e, e + as, e + a} {
					if f := dense(d, x, y, z, o); f < r.Criterion-1e-7 {
						t.Fatalf("seed %d: criterion %.8f at %g, %g, %g is below %.8f at %g, %g, %g", c.seed, f, x, y,
							z, r.Criterion, a, as, e)
					}
				}
			}
		}
	}
}

// The same for the limits: at the lower limit of the athletes' SD no point of a
// grid over the other two is below the cut, and one is near it. Following one
// minimum from the estimate gives limits 1.3 to 2.3 times as high here.
func TestLimitsOfTwoMinima(t *testing.T) {
	for _, seed := range []uint64{304, 2601, 3109} {
		d := wild(seed)
		r := fit(t, d, varcomp.Options{})
		a, e, low := r.Athlete.Lower, r.Trial.Value, math.Inf(1)
		as, merged := r.Athlete.Value+e, r.Merged != varcomp.NotMerged
		if !merged {
			as += r.AthleteSession.Value
		}
		for k := range 60 {
			size := 4 * as * math.Pow(0.85, float64(k))
			if k == 0 || merged {
				size = 0
			}
			for m := -30; m <= 30; m++ {
				trial := e * math.Pow(1.1, float64(m))
				if merged {
					trial = e * math.Pow(1.05, float64(m+k))
				}
				low = min(low, dense(d, a, size, trial, varcomp.Options{}))
			}
		}
		if excess := low - r.Criterion; excess < 3.8414588-1e-6 || excess > 3.9 {
			t.Errorf("seed %d (%d values): %g above the minimum at the lower limit %g", seed, len(d.Value), excess,
				r.Athlete.SD.Lower)
		}
	}
}

// Studies at which simpler ways down got stuck: where the criterion hardly
// bends, where a component sits a hair above 0, where the slope at 0 is 0.
func TestStubbornStudies(t *testing.T) {
	flat := cell.Values{Athletes: 4, Sessions: 5,
		Athlete: []int32{0, 0, 0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 1, 1, 1, 1, 2, 2, 2, 2, 2, 2, 3, 3, 3},
		Session: []int32{0, 0, 1, 2, 2, 2, 3, 3, 0, 1, 2, 3, 3, 4, 4, 4, 0, 0, 0, 1, 3, 3, 3, 3, 3},
		Value: []float64{-0.587760078098971, -0.7032204813789472, 0.6503297679777974, 2.8523279254869602,
			2.7784305092295543, 2.766729886537907, 2.847667800624818, 2.7404916284358403, -0.9496122004781188,
			0.7586932623690391, 1.7045559672020136, 2.9533260839210436, 2.9943699448425645, 4.127179993800198,
			4.074537866213852, 3.9309867183326443, -0.1719722485531914, -0.35240332972670463,
			-0.449968853576742, 1.3735668305308062, 2.5688855380330726, 2.5908405008132225, 3.9360146099300217,
			3.9039848382229607, 3.9437161468702784}}
	rounded := cell.Values{Athletes: 4, Sessions: 5, Athlete: flat.Athlete, Session: flat.Session}
	for _, v := range flat.Value {
		rounded.Value = append(rounded.Value, math.Round(v))
	}
	tied := cell.Values{Athletes: 4, Sessions: 4,
		Athlete: []int32{0, 0, 0, 0, 1, 1, 1, 1, 2, 2, 2, 3, 3, 3, 3},
		Session: []int32{0, 1, 2, 3, 0, 1, 2, 3, 1, 2, 3, 0, 1, 2, 3},
		Value:   []float64{-1, -1, 3, 3, 0, 1, 2, 4, 2, 2, 2, 0, 0, 3, 4}}
	for name, c := range map[string]struct {
		d    cell.Values
		o    varcomp.Options
		zero bool // the athletes' variance
	}{
		"flat":    {flat, varcomp.Options{Method: varcomp.ML}, true},
		"rounded": {rounded, varcomp.Options{Method: varcomp.ML}, true},
		"tied":    {tied, varcomp.Options{SingleMean: true}, true},
	} {
		r := fit(t, c.d, c.o)
		for _, part := range []varcomp.Component{r.Athlete, r.AthleteSession, r.Trial} {
			if part.Kind == estimate.Failed {
				t.Errorf("%s: %s", name, part.Kind)
			}
		}
		if r.Athlete.AtZero != c.zero {
			t.Errorf("%s: athlete %g, at zero %v", name, r.Athlete.Value, r.Athlete.AtZero)
		}
	}
}
