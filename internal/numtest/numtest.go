// Package numtest compares floating-point results in tests.
//
// Tolerances are relative wherever the true value is not 0, because a typical
// error of 0.003 s and a power of 3000 W must both be right in their digits.
package numtest

import "math"

// A T is what a comparison needs of a test: *testing.T, *testing.B and the T
// of a property test all have it.
type T interface {
	Helper()
	Errorf(format string, args ...any)
}

// maxDigits is what a float64 can hold; exact equality counts as this many.
const maxDigits = 16

// Close reports an error unless got is within rel of want, relatively:
//
//	|got - want| <= rel |want|
//
// A want of 0 asks for exactly 0, NaN for NaN and ±Inf for the same infinity.
// A rel that is NaN or negative is an error of the test itself.
func Close(t T, name string, got, want, rel float64) {
	t.Helper()
	if !(rel >= 0) {
		t.Errorf("%s: tolerance %g is not one", name, rel)
		return
	}
	if !within(got, want, rel*math.Abs(want)) {
		t.Errorf("%s = %.17g, want %.17g (agrees to %.1f digits, tolerance %g)",
			name, got, want, Digits(got, want), rel)
	}
}

// CloseAbs reports an error unless |got - want| <= abs; NaN asks for NaN and
// ±Inf for the same infinity. Use it only where the true value is 0 or the
// unit of the data sets the tolerance.
func CloseAbs(t T, name string, got, want, abs float64) {
	t.Helper()
	if !(abs >= 0) {
		t.Errorf("%s: tolerance %g is not one", name, abs)
		return
	}
	if !within(got, want, abs) {
		t.Errorf("%s = %.17g, want %.17g (off by %g, tolerance %g)",
			name, got, want, math.Abs(got-want), abs)
	}
}

// Digits returns the number of leading decimal digits that got shares with want,
//
//	-log10 |got - want| / |want|
//
// the log relative error in which NIST states agreement with certified
// values. It lies in [0, 16]: 16 for equal values, 0 where nothing agrees,
// where only one of the two is NaN or infinite, or where want is 0 and got is not.
func Digits(got, want float64) float64 {
	if within(got, want, 0) {
		return maxDigits
	}
	d := -math.Log10(math.Abs(got-want) / math.Abs(want))
	if math.IsNaN(d) {
		return 0
	}
	return min(max(d, 0), maxDigits)
}

func within(got, want, tolerance float64) bool {
	switch {
	case math.IsNaN(want) || math.IsNaN(got):
		return math.IsNaN(want) && math.IsNaN(got)
	case math.IsInf(want, 0) || math.IsInf(got, 0):
		return got == want
	}
	return math.Abs(got-want) <= tolerance
}
