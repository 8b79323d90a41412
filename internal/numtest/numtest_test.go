package numtest_test

import (
	"math"
	"testing"

	"noisefloor/internal/numtest"
)

// A recorder stands in for a test and remembers whether it was failed.
type recorder struct{ failed bool }

func (r *recorder) Helper()               {}
func (r *recorder) Errorf(string, ...any) { r.failed = true }

var nan, inf = math.NaN(), math.Inf(1)

func TestCloseFailsWhenItShould(t *testing.T) {
	for _, tt := range []struct {
		name           string
		got, want, tol float64
		relFails       bool
		absFails       bool
	}{
		{"equal", 3, 3, 0, false, false},
		{"zero for zero", 0, 0, 0, false, false},
		{"negative zero", math.Copysign(0, -1), 0, 0, false, false},
		{"zero wanted, nearly got", 1e-300, 0, 0.5, true, false},
		{"inside relatively only", 1000.5, 1000, 1e-3, false, true},
		{"outside relatively only", 1.0005e-3, 1e-3, 1e-4, true, false},
		{"outside both", 2, 1, 0.5, true, true},
		{"negative want", -1.0001, -1, 1e-3, false, false},
		{"wrong sign", -1, 1, 1, true, true},
		{"NaN for NaN", nan, nan, 0, false, false},
		{"NaN for number", nan, 1, 1e9, true, true},
		{"number for NaN", 1, nan, 1e9, true, true},
		{"Inf for Inf", inf, inf, 0, false, false},
		{"wrong infinity", -inf, inf, 1e9, true, true},
		{"Inf for number", inf, 1, 1e9, true, true},
		{"number for Inf", 1, inf, 1e9, true, true},
		{"NaN tolerance", 1, 1, nan, true, true},
		{"NaN tolerance for NaN", nan, nan, nan, true, true},
		{"negative tolerance", 1, 1, -1, true, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var r recorder
			if numtest.Close(&r, "x", tt.got, tt.want, tt.tol); r.failed != tt.relFails {
				t.Errorf("Close(%g, %g, %g) failed = %v", tt.got, tt.want, tt.tol, r.failed)
			}
			r.failed = false
			if numtest.CloseAbs(&r, "x", tt.got, tt.want, tt.tol); r.failed != tt.absFails {
				t.Errorf("CloseAbs(%g, %g, %g) failed = %v", tt.got, tt.want, tt.tol, r.failed)
			}
		})
	}
}

func TestDigits(t *testing.T) {
	for _, tt := range []struct{ got, want, digits float64 }{
		{1, 1, 16},
		{0, 0, 16},
		{nan, nan, 16},
		{-inf, -inf, 16},
		{1.001, 1, 3},
		{-2.02, -2, 2},
		{1e-9, 0, 0},
		{5, 1, 0},
		{nan, 1, 0},
		{1, nan, 0},
		{inf, 1, 0},
		{1, inf, 0},
		{inf, -inf, 0},
	} {
		if got := numtest.Digits(tt.got, tt.want); math.Abs(got-tt.digits) > 1e-9 {
			t.Errorf("Digits(%g, %g) = %g, want %g", tt.got, tt.want, got, tt.digits)
		}
	}
}
