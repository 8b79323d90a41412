package noise_test

import (
	"math"
	"testing"

	"noisefloor/analysis/anova"
	"noisefloor/analysis/noise"
	"noisefloor/internal/numtest"
)

// With two sessions the covariance of the errors is that of the differences,
// halved. R's sleep data (Student 1908), extra hours of ten patients with two
// drugs, taken as one test, and the ten values in reverse as the other. From memory
// of the data; the rest by hand from them: the differences are 1.2 2.4 1.3 1.3 0 1 1.8
// 0.8 4.6 1.4, in reverse 1.4 4.6 0.8 1.8 1 0 1.3 1.3 2.4 1.2.
func TestCovaryOfTwoSessions(t *testing.T) {
	one := []float64{0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0, 2}
	two := []float64{1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4}
	var a, b, d, e []float64
	for i := range one {
		a, d = append(a, one[i], two[i]), append(d, two[i]-one[i])
		b, e = append(b, one[9-i], two[9-i]), append(e, two[9-i]-one[9-i])
	}
	var sum, product float64
	for i := range d {
		sum += d[i] / 10
	}
	for i := range d {
		product += (d[i] - sum) * (e[i] - sum) / 9
	}
	got, df, n := noise.Covary(a, b, 2)
	numtest.Close(t, "covariance", got, product/2, 1e-13)
	if df != 9 || n != 10 {
		t.Errorf("%g df, %d athletes", df, n)
	}
	// Of a test with itself it is the squared typical error: var(d)/2 = 1.5129/2,
	// sd(d) = 1.229995 as R's t.test(paired = TRUE) has it.
	own, _, _ := noise.Covary(a, a, 2)
	numtest.Close(t, "squared typical error", own, 1.229995*1.229995/2, 1e-5)

	a[4], b[7] = math.NaN(), math.Inf(1) // two athletes less
	if _, df, n := noise.Covary(a, b, 2); df != 7 || n != 8 {
		t.Errorf("with two athletes less: %g df, %d athletes", df, n)
	}
	if c, df, _ := noise.Covary(a[:2], b[:2], 2); !math.IsNaN(c) || df != 0 {
		t.Errorf("of one athlete: %g on %g df", c, df)
	}
	if c, df, _ := noise.Covary(a, b, 1); !math.IsNaN(c) || df != 0 {
		t.Errorf("of one session: %g on %g df", c, df)
	}
}

// With three sessions the covariance of a test with itself is the mean square of
// error, which package anova has against published tables.
func TestCovaryIsTheMeanSquare(t *testing.T) {
	x := []float64{9, 2, 5, 6, 1, 3, 8, 4, 6, 7, 1, 2, 10, 5, 6, 6, 2, 4}
	a, err := anova.AnalyseTwoWay(x, 6, 3)
	if err != nil {
		t.Fatal(err)
	}
	got, df, _ := noise.Covary(x, x, 3)
	numtest.Close(t, "mean square", got, a.MSE, 1e-13)
	if df != a.DFError {
		t.Errorf("%g df, want %g", df, a.DFError)
	}
}
