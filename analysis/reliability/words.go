package reliability

import (
	"math"
	"strconv"
	"strings"

	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
)

// digits prints x with three significant digits and no exponent, and whole
// numbers above 1000 in full.
func digits(x float64) string {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return strconv.FormatFloat(x, 'f', -1, 64)
	}
	places := max(0, 2-int(math.Floor(math.Log10(math.Abs(x)))))
	text := strconv.FormatFloat(x, 'f', places, 64)
	if strings.Contains(text, ".") { // 0.200 is 0.2
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

// withUnit prints a number with its unit, if it has one.
func withUnit(x float64, unit string) string {
	if unit == "" {
		return digits(x)
	}
	return digits(x) + " " + unit
}

// inUnit prints a difference as it is on the raw scale, and in percent on the
// log scale.
func inUnit(x float64, scale score.Scale) string {
	if scale == score.Log {
		return digits(estimate.Percent(x)) + " %"
	}
	return digits(x)
}
