package varcomp_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"noisefloor/analysis/anova"
	"noisefloor/analysis/cell"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/varcomp"
	"noisefloor/internal/numtest"
	"noisefloor/internal/published"
)

// Matrices hold the model of session scores as the textbooks write it, with
// matrices of the size of the data, by gonum.
type matrices struct {
	y    *mat.VecDense
	x, z *mat.Dense
}

func matricesOf(d cell.Values) matrices {
	n := len(d.Value)
	m := matrices{mat.NewVecDense(n, d.Value), mat.NewDense(n, d.Sessions, nil), mat.NewDense(n, d.Athletes, nil)}
	for i := range n {
		m.x.Set(i, int(d.Session[i]), 1)
		m.z.Set(i, int(d.Athlete[i]), 1)
	}
	return m
}

// means returns (X'V⁻¹X)⁻¹, V = σ²e I + σ²a ZZ', and y'V⁻¹(y - Xb).
func (m matrices) means(t testing.TB, athlete, residual float64) (covariance *mat.Dense, rest float64) {
	t.Helper()
	var v, inverse, xv, info, b, r mat.Dense
	v.Mul(m.z, m.z.T())
	v.Scale(athlete, &v)
	for i := range m.y.Len() {
		v.Set(i, i, v.At(i, i)+residual)
	}
	if err := inverse.Inverse(&v); err != nil {
		t.Fatal(err)
	}
	xv.Mul(m.x.T(), &inverse)
	info.Mul(&xv, m.x)
	covariance = new(mat.Dense)
	if err := covariance.Inverse(&info); err != nil {
		t.Fatal(err)
	}
	b.Mul(&xv, m.y)
	b.Mul(covariance, &b)
	r.Mul(m.x, &b)
	r.Sub(m.y, &r)
	var vr mat.VecDense
	vr.MulVec(&inverse, r.ColView(0))
	return covariance, mat.Dot(m.y, &vr)
}

// gappy draws session scores of which some are missing.
func gappy(seed uint64, n, k int) cell.Values {
	d := study{athletes: n, sessions: k, trials: 1, a: 3, e: 1, offset: 50}.draw(seed)
	rng := rand.New(rand.NewPCG(seed, 3))
	return keep(d, func(int) bool { return rng.Float64() > 0.2 })
}

func scores(t testing.TB, d cell.Values, o varcomp.Options) varcomp.Result {
	t.Helper()
	o.Model = varcomp.Scores
	r, err := varcomp.Fit(d.Grid(), o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// On a complete table F is MSR/MSE, and the limits of (1 + kθ) are F over its
// quantiles (Shrout & Fleiss 1979).
func TestRatioOfACompleteTable(t *testing.T) {
	rows := published.Rows(t, "icc/shrout_fleiss_1979.csv")
	var y []float64
	d := cell.Values{Athletes: 6, Sessions: 4}
	for i, row := range rows {
		for j, v := range row {
			add(&d, i, j, v)
			y = append(y, v)
		}
	}
	a, err := anova.AnalyseTwoWay(y, 6, 4)
	if err != nil {
		t.Fatal(err)
	}
	got := scores(t, d, varcomp.Options{}).Ratio(0.95)
	f := a.MSR / a.MSE
	numtest.Close(t, "F", got.F, f, 1e-12)
	numtest.Close(t, "p", got.P, dist.FSurvival(f, 5, 15), 1e-11)
	numtest.Close(t, "theta", got.Value, (f-1)/4, 1e-9)
	numtest.Close(t, "lower", got.Lower, (f/dist.FQuantile(0.975, 5, 15)-1)/4, 1e-12)
	numtest.Close(t, "upper", got.Upper, (f/dist.FQuantile(0.025, 5, 15)-1)/4, 1e-12)
	one := scores(t, d, varcomp.Options{SingleMean: true}).Ratio(0.9)
	f = a.MSR / a.MSW
	numtest.Close(t, "one-way F", one.F, f, 1e-12)
	numtest.Close(t, "one-way lower", one.Lower, 0, 0) // F is below its quantile
	numtest.Close(t, "one-way upper", one.Upper, (f/dist.FQuantile(0.05, 5, 18)-1)/4, 1e-12)
	if one.DF1 != 5 || one.DF2 != 18 {
		t.Errorf("df %g and %g", one.DF1, one.DF2)
	}
}

// With scores missing: F at the limits, from matrices of the size of the data,
// is the quantile; and F at 0 that of the analysis of variance.
func TestRatioAgainstDenseMatrices(t *testing.T) {
	for seed := range uint64(6) {
		d := gappy(seed, 9, 4)
		r := scores(t, d, varcomp.Options{})
		got := r.Ratio(0.95)
		m := matricesOf(d)
		_, rest := m.means(t, 1e7, 1) // athletes as good as fixed
		at := func(theta float64) float64 {
			_, r := m.means(t, theta, 1)
			return (r - rest) / got.DF1 / (rest / got.DF2)
		}
		if float64(len(d.Value)) != got.DF1+got.DF2+4 || got.DF1 != float64(r.Athletes-1) {
			t.Errorf("df %g and %g of %d scores", got.DF1, got.DF2, len(d.Value))
		}
		numtest.Close(t, "F", got.F, at(0), 1e-5)
		numtest.Close(t, "F at the lower limit", at(got.Lower), dist.FQuantile(0.975, got.DF1, got.DF2), 1e-5)
		numtest.Close(t, "F at the upper limit", at(got.Upper), dist.FQuantile(0.025, got.DF1, got.DF2), 1e-5)
	}
}

func TestMeansAgainstDenseMatrices(t *testing.T) {
	for seed := range uint64(6) {
		d := gappy(seed+10, 9, 4)
		r := scores(t, d, varcomp.Options{})
		m := matricesOf(d)
		va, ve := r.Athlete.Value, r.Trial.Value
		want, _ := m.means(t, va, ve)
		for i, row := range r.MeansCovariance() {
			for j, got := range row {
				numtest.Close(t, "covariance", got, want.At(i, j), 1e-9)
			}
		}
		// Satterthwaite with derivatives by central differences.
		contrast := func(va, ve float64) float64 {
			c, _ := m.means(t, va, ve)
			return c.At(0, 0) + c.At(2, 2) - 2*c.At(0, 2)
		}
		const h = 1e-5
		ga := (contrast(va*(1+h), ve) - contrast(va*(1-h), ve)) / (2 * h * va)
		ge := (contrast(va, ve*(1+h)) - contrast(va, ve*(1-h))) / (2 * h * ve)
		c := r.Components().Covariance
		spread := ga*ga*c[0][0] + 2*ga*ge*c[0][2] + ge*ge*c[2][2]
		square := contrast(va, ve)
		numtest.Close(t, "df", r.ChangeDF(0, 2), 2*square*square/spread, 1e-6)
		_, se := r.Change(0, 2)
		numtest.Close(t, "SE", se, math.Sqrt(square), 1e-9)
	}
}

// On a complete table the squared standard error of a change is 2 MSE/n.
func TestChangeDFOfACompleteTable(t *testing.T) {
	r := scores(t, study{athletes: 7, sessions: 3, trials: 1, a: 3, e: 1}.draw(4), varcomp.Options{})
	numtest.Close(t, "df", r.ChangeDF(2, 0), 12, 1e-9)
	if df := r.ChangeDF(0, 0); !math.IsNaN(df) {
		t.Errorf("df of no change: %g", df)
	}
	if df := r.ChangeDF(0, 3); !math.IsNaN(df) {
		t.Errorf("df of a session that is not there: %g", df)
	}
}

func TestRatioThatCannotBe(t *testing.T) {
	nested, err := varcomp.Fit(study{athletes: 7, sessions: 3, trials: 2, a: 3, as: 1, e: 1}.draw(4).Grid(),
		varcomp.Options{})
	if err != nil {
		t.Fatal(err)
	}
	parallel := cell.Values{Athletes: 4, Sessions: 3}
	for i := range 8 {
		add(&parallel, i/2, i%2+i/4, float64(i/2*5+i%2+i/4))
	}
	perfect := scores(t, parallel, varcomp.Options{})
	for _, tt := range []struct {
		name  string
		r     varcomp.Result
		level float64
		why   estimate.Kind
	}{
		{"nested", nested, 0.95, estimate.Failed}, {"nothing", varcomp.Result{}, 0.95, estimate.Failed},
		{"no residual", perfect, 0.95, estimate.NoError},
		{"level", scores(t, gappy(1, 9, 3), varcomp.Options{}), 95, estimate.NoRange},
	} {
		if got := tt.r.Ratio(tt.level); got.HasInterval() || got.Kind != tt.why || !math.IsNaN(got.P) {
			t.Errorf("%s: %+v", tt.name, got)
		}
	}
	if c := (varcomp.Result{}).MeansCovariance(); c != nil {
		t.Errorf("covariance of no means: %v", c)
	}
	// The athletes' levels are seen without error: the means of the three
	// sessions vary together, with the variance of the athletes over their number.
	for _, row := range perfect.MeansCovariance() {
		for _, got := range row {
			numtest.Close(t, "covariance", got, perfect.Athlete.Value/4, 1e-12)
		}
	}
}

// Athletes that differ less than their own scores do: theta is 0, and so may
// both limits be.
func TestRatioOfZero(t *testing.T) {
	d := cell.Values{Athletes: 6, Sessions: 2}
	for i := range 6 {
		add(&d, i, 0, float64(10+i))
		add(&d, i, 1, float64(16-i))
	}
	add(&d, 0, 0, 0)
	d.Athlete[12], d.Session[12] = 0, 0 // a second score in a cell: no exact interval
	if got := scores(t, d, varcomp.Options{}).Ratio(0.95); got.HasInterval() {
		t.Errorf("two scores in a cell: %+v", got)
	}
	d = keep(d, func(i int) bool { return i != 7 && i != 12 })
	got := scores(t, d, varcomp.Options{}).Ratio(0.95)
	if got.Value != 0 || got.Lower != 0 || got.Upper != 0 || !(got.F < 0.1) || !(got.P > 0.95) {
		t.Errorf("%+v", got)
	}
}

// Coverage of the interval of the ratio in seeded studies with 15 % of the
// scores missing: exact, so within 3 Monte Carlo standard errors, on both sides.
func TestRatioKeepsItsPromise(t *testing.T) {
	const studies = 5000
	rng := rand.New(rand.NewPCG(15, 95))
	below, above := 0, 0
	for n := 0; n < studies; {
		d := study{athletes: 10, sessions: 3, trials: 1, a: 2, e: 1}.draw(rng.Uint64())
		d = keep(d, func(int) bool { return rng.Float64() > 0.15 })
		r, err := varcomp.Fit(d.Grid(), varcomp.Options{Model: varcomp.Scores, Limits: varcomp.NoLimits})
		if err != nil {
			t.Fatal(err)
		}
		switch q := r.Ratio(0.95); {
		case len(d.Value) == 30:
			continue // nothing is missing
		case q.Lower > 4:
			above++
		case q.Upper < 4:
			below++
		}
		n++
	}
	t.Logf("the interval lies above the truth in %d and below it in %d of %d studies", above, below, studies)
	for _, n := range []int{above, below} {
		if se := math.Sqrt(0.025 * 0.975 / studies); math.Abs(float64(n)/studies-0.025) > 3*se {
			t.Errorf("%d of %d studies on one side, want %g", n, studies, 0.025*studies)
		}
	}
}
