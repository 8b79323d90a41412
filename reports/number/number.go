// Package number writes numbers for people: with as many digits as their
// error deserves, a true minus sign, and never "-0" or "NaN".
//
// JSON and CSV are for machines and do not use this package.
package number

import (
	"math"
	"strconv"
	"strings"

	"noisefloor/analysis/estimate"
)

// Minus is the sign of negative numbers, U+2212, as wide as a plus sign.
const Minus = "\u2212"

// Missing stands where there is no number.
const Missing = "\u2013"

// maxDecimals is the longest tail of decimals a reader is shown; what needs
// more is written with a power of ten.
const maxDecimals = 6

// Decimals returns how many decimals a number with the standard error se is
// worth: as many as show two significant digits of se, at least 0. It returns
// 2 when se is 0, NaN or infinite: nothing is known about the error then.
//
//	Decimals(78) = 0, Decimals(7.8) = 1, Decimals(0.034) = 3
func Decimals(se float64) int {
	se = math.Abs(se)
	if se == 0 || math.IsNaN(se) || math.IsInf(se, 0) {
		return 2
	}
	d := 1 - exponent(se, 1)
	return max(d, 0)
}

// exponent returns the power of ten of v once it is rounded to digits+1
// significant digits: 9.96 has 0, but 1 when rounded to two digits.
func exponent(v float64, digits int) int {
	s := strconv.FormatFloat(v, 'e', digits, 64)
	e, err := strconv.Atoi(s[strings.IndexByte(s, 'e')+1:])
	if err != nil {
		return 0 // cannot happen for finite v
	}
	return e
}

// Plain writes v rounded to the decimals given, with a true minus sign.
//
// Special cases are:
//
//	NaN is [Missing], an infinity "∞" or "−∞"
//	what rounds to zero has no sign
//	|v| >= 1e9, or small v that need more than 6 decimals, get a power of ten
func Plain(v float64, decimals int) string {
	switch {
	case math.IsNaN(v):
		return Missing
	case math.IsInf(v, 1):
		return "∞"
	case math.IsInf(v, -1):
		return Minus + "∞"
	}
	decimals = max(decimals, 0)
	if math.Abs(v) >= 1e9 || (decimals > maxDecimals && v != 0 && math.Abs(v) < 1) {
		return power(v, decimals)
	}
	return sign(fixed(v, min(decimals, 12)))
}

// fixed is FormatFloat without "-0.00".
func fixed(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return s
}

// power writes v as "1.23 × 10^9"; decimals counts from the point of v itself,
// and at most three digits are shown.
func power(v float64, decimals int) string {
	digits := min(max(decimals+exponent(math.Abs(v), 2), 0), 2)
	s := strconv.FormatFloat(v, 'e', digits, 64)
	at := strings.IndexByte(s, 'e')
	e, err := strconv.Atoi(s[at+1:])
	if err != nil {
		return s
	}
	return sign(s[:at]) + " × 10^" + sign(strconv.Itoa(e))
}

func sign(s string) string {
	if rest, ok := strings.CutPrefix(s, "-"); ok {
		return Minus + rest
	}
	return s
}

// Signed is [Plain] with a plus sign on what is above zero after rounding.
func Signed(v float64, decimals int) string {
	s := Plain(v, decimals)
	if v > 0 && strings.Trim(s, "0.") != "" {
		return "+" + s
	}
	return s
}

// PlusMinus writes a half width: "±78".
func PlusMinus(v float64, decimals int) string {
	if math.IsNaN(v) {
		return Missing
	}
	return "±" + Plain(math.Abs(v), decimals)
}

// Interval writes "389 to 435", or [Missing] when a limit is NaN.
func Interval(lower, upper float64, decimals int) string {
	return interval(lower, upper, decimals, Plain)
}

// SignedInterval writes "−4 to +35", or [Missing] when a limit is NaN.
func SignedInterval(lower, upper float64, decimals int) string {
	return interval(lower, upper, decimals, Signed)
}

func interval(lower, upper float64, decimals int, write func(float64, int) string) string {
	if math.IsNaN(lower) || math.IsNaN(upper) {
		return Missing
	}
	return write(lower, decimals) + " to " + write(upper, decimals)
}

// Estimate writes a value with its interval, "412 (389 to 435)", or the value
// alone when there is no interval.
func Estimate(e estimate.Estimate, decimals int) string {
	return withInterval(e, decimals, Plain)
}

// SignedEstimate is [Estimate] for differences: "+12 (−4 to +28)".
func SignedEstimate(e estimate.Estimate, decimals int) string {
	return withInterval(e, decimals, Signed)
}

func withInterval(e estimate.Estimate, decimals int, write func(float64, int) string) string {
	if !e.HasInterval() {
		return write(e.Value, decimals)
	}
	return write(e.Value, decimals) + " (" + interval(e.Lower, e.Upper, decimals, write) + ")"
}

// Correlation writes a coefficient to two decimals, but never rounds one that
// is short of 1 up to 1: 0.997 is "0.997", 0.9999 is "> 0.999".
func Correlation(r float64) string {
	a := math.Abs(r)
	switch {
	case a < 1 && a >= 0.9995:
		if r < 0 {
			return "< " + Minus + "0.999"
		}
		return "> 0.999"
	case a < 1 && a >= 0.995:
		return Plain(r, 3)
	}
	return Plain(r, 2)
}

// P writes a p value as a reader expects it in a sentence: "p < 0.001",
// "p = 0.034", "p = 0.41", "p > 0.99", and [Missing] for NaN.
func P(p float64) string {
	s := PValue(p)
	switch {
	case s == Missing:
		return s
	case strings.HasPrefix(s, "<"), strings.HasPrefix(s, ">"):
		return "p " + s
	}
	return "p = " + s
}

// PValue is [P] without the letter, for a column: "< 0.001", "0.034".
func PValue(p float64) string {
	switch {
	case math.IsNaN(p):
		return Missing
	case p < 0.001:
		return "< 0.001"
	case p < 0.0995:
		return fixed(p, 3)
	case p > 0.99:
		return "> 0.99"
	}
	return fixed(p, 2)
}

// Level writes a confidence level, or what is left of it, with every digit it
// was given: "95 %", "99.9 %", "0.1 %".
func Level(level float64) string {
	return WithUnit(strconv.FormatFloat(math.Round(level*1e8)/1e6, 'f', -1, 64), "%")
}

// Percent writes a share as a whole or given number of percent: Percent(0.95,
// 0) is "95 %".
func Percent(share float64, decimals int) string {
	return WithUnit(Plain(100*share, decimals), "%")
}

// WithUnit puts a space and the unit after a number. A missing number and an
// empty unit add nothing.
func WithUnit(number, unit string) string {
	if unit == "" || number == Missing {
		return number
	}
	return number + " " + unit
}

// Count writes "1 athlete", "8 athletes".
func Count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}
