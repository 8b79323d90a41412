package profile

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"noisefloor/internal/numtest"
)

// Fieller's set in R: testdata/profile.R, polyroot of (D - θN)² = t²(…), which gives some
// 15 digits. The limits carried through an index are those of the index.
func TestFiellerAgainstRecordedR(t *testing.T) {
	r := ratio{num: 118, den: 100, vNum: 16, vDen: 25, co: 6, df: 12}
	low, high, ok := r.limits(0.95)
	if !ok {
		t.Fatal("no limits")
	}
	numtest.Close(t, "lower", low, 1.0581171052481426, 1e-13)
	numtest.Close(t, "upper", high, 1.3244628340316442, 1e-13)
	e := r.index(side, 0.95)
	numtest.Close(t, "side", e.Lower, 100*(1-1/1.0581171052481426), 1e-12)
	// The test that the set inverts: at its own limits t is the quantile.
	numtest.Close(t, "t at the lower limit", r.beyond(low), 2.1788128296634177, 1e-10)
	numtest.Close(t, "t at the upper limit", r.beyond(high), -2.1788128296634177, 1e-10)
}

// A score whose noise reaches 0 leaves the ratio open.
func TestFiellerOpen(t *testing.T) {
	r := ratio{num: 10, den: 2, vNum: 1, vDen: 4, df: 5}
	if _, _, ok := r.limits(0.95); ok {
		t.Error("limits of an open set")
	}
	if e := r.index(gain, 0.95); e.HasInterval() || e.Kind != Unbounded || e.Value != 400 {
		t.Errorf("%+v", e)
	}
}

// By hand: ln(120/100) ∓ t(0.975, 10) √(0.01² + 0.02² - 2·0.0001).
func TestLogRatio(t *testing.T) {
	r := ratio{num: 120, den: 100, vNum: 0.0001, vDen: 0.0004, co: 0.0001, df: 10, log: true}
	low, high, _ := r.limits(0.95)
	half := 2.2281388519649385 * math.Sqrt(0.0003)
	numtest.Close(t, "lower", low, 1.2*math.Exp(-half), 1e-12)
	numtest.Close(t, "upper", high, 1.2*math.Exp(half), 1e-12)
}

// The index of a ratio and back, both ways; it rises.
func TestIndexAndBack(t *testing.T) {
	last := math.Inf(-1)
	for _, theta := range []float64{0.2, 0.5, 0.9, 1, 1.1, 2, 5} {
		numtest.Close(t, "side and back", sideRatio(side(theta)), theta, 1e-14)
		numtest.Close(t, "gain and back", gainRatio(gain(theta)), theta, 1e-14)
		numtest.CloseAbs(t, "the other side ahead", side(1/theta), -side(theta), 1e-12)
		if s := side(theta); s <= last {
			t.Errorf("side(%g) = %g after %g", theta, s, last)
		} else {
			last = s
		}
	}
}

// Generalised least squares in R, testdata/profile.R.
func TestLineAgainstRecordedR(t *testing.T) {
	s := []float64{0.02, 0.03, 0.03, 0.04}
	e, x := mat.NewSymDense(4, nil), mat.NewDense(4, 2, []float64{1, 10, 1, 20, 1, 30, 1, 45})
	for j := range s {
		for k := range j + 1 {
			v := 0.3 * s[j] * s[k]
			if j == k {
				v = s[j] * s[j]
			}
			e.SetSym(j, k, v)
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(e) {
		t.Fatal("no root")
	}
	l := Line{Loads: []float64{10, 20, 30, 45}, Velocities: []float64{1.62, 1.28, 0.93, 0.47}}
	if !l.fit(x, &chol, 18, 0.95) {
		t.Fatal("no line")
	}
	numtest.Close(t, "V0", l.V0.Value, 1.948690595616615173, 1e-12)
	numtest.Close(t, "slope", l.Slope, 0.033326339414755241, 1e-11)
	numtest.Close(t, "V0 lower", l.V0.Lower, 1.8978407585213330, 1e-12)
	numtest.Close(t, "V0 upper", l.V0.Upper, 1.9995404327118973, 1e-12)
	numtest.Close(t, "F0 lower", l.F0.Lower, 55.707396051594124, 1e-11)
	numtest.Close(t, "F0 upper", l.F0.Upper, 61.584086587810184, 1e-11)
	numtest.Close(t, "lack of fit", l.LackOfFit, 0.60258811700559733, 1e-10)
	if l.Extrapolated {
		t.Error("58 kg is within 1.5 times 45 kg")
	}
}

// Least squares is what is left where errors are independent and equal: R's lm, same script.
func TestLineIsLeastSquaresAgainstRecordedR(t *testing.T) {
	e, x := mat.NewSymDense(4, nil), mat.NewDense(4, 2, []float64{1, 10, 1, 20, 1, 30, 1, 45})
	for j := range 4 {
		e.SetSym(j, j, 0.01)
	}
	var chol mat.Cholesky
	chol.Factorize(e)
	l := Line{Loads: []float64{10, 20, 30, 45}, Velocities: []float64{1.62, 1.28, 0.93, 0.47}}
	l.fit(x, &chol, 18, 0.95)
	numtest.Close(t, "V0", l.V0.Value, 1.939532710280373440, 1e-13)
	numtest.Close(t, "slope", l.Slope, 0.032934579439252334, 1e-12)
}

// The posterior in R by solve(), testdata/profile.R: three parts whose group has that T
// once the errors are taken off.
func TestPosteriorAgainstRecordedR(t *testing.T) {
	sd, errors, off := []float64{1, 1.2, 0.9}, []float64{0.2, 0.3, 0.25}, []float64{1, -1, 0.5}
	spread, sum := mat.NewSymDense(3, nil), mat.NewSymDense(3, nil)
	var parts []part
	for j := range sd {
		for k := range j + 1 {
			v := 0.5 * sd[j] * sd[k]
			if j == k {
				v = sd[j] * sd[j]
			}
			spread.SetSym(j, k, v)
			sum.SetSym(j, k, v)
		}
		sum.SetSym(j, j, sd[j]*sd[j]+errors[j])
		// Athlete 0 is off by so much from the mean 0 of the others and itself.
		parts = append(parts, part{x: []float64{off[j], -off[j]}})
	}
	var chol mat.Cholesky
	if !chol.Factorize(sum) {
		t.Fatal("no root")
	}
	var b believed
	if !b.follow(0, parts, []int{0, 1}, spread, &chol, [][]float64{{0, 0, 0}}) {
		t.Fatal("no posterior")
	}
	for j, want := range []float64{0.75843941984926233, -0.65133954018620543, 0.36224586737602138} {
		numtest.Close(t, "mean", b.mean[j], want, 1e-12)
	}
	for j, want := range []float64{0.39533560965701459, 0.48193668452301558, 0.41713033926052173} {
		numtest.Close(t, "SD", b.sd[j], want, 1e-12)
	}
	if b.lowest[1] != 1 {
		t.Errorf("the second is the lowest at the only point: %v", b.lowest)
	}
}
