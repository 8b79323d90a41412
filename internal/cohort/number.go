package cohort

import (
	"bytes"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// powers are the powers of ten that a float64 holds exactly.
var powers = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// parseNumber reads a plain decimal number: an optional sign, digits with at
// most one point or comma before, among or after them, and an optional power
// of ten (1.5e-3). It takes nothing else: no blanks, underscores, hexadecimal
// digits, infinities or group separators. sep is the point or comma that was
// used, 0 without one. The value is the float64 nearest to the text.
//
// Numbers beyond the float64 range, and numbers that only round to zero, are
// not ok.
func parseNumber(b []byte) (value float64, sep byte, ok bool) {
	i, negative := 0, false
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		negative, i = b[0] == '-', 1
	}
	var mantissa uint64
	digits, decimals := 0, 0
	for ; i < len(b); i++ {
		switch c := b[i]; {
		case '0' <= c && c <= '9':
			mantissa = mantissa*10 + uint64(c-'0') // may wrap; only used below 16 digits
			digits++
			if sep != 0 {
				decimals++
			}
		case (c == '.' || c == ',') && sep == 0:
			sep = c
		case (c == 'e' || c == 'E') && digits > 0:
			return parseSlow(b, i, sep)
		default:
			return 0, 0, false
		}
	}
	if digits == 0 {
		return 0, 0, false
	}
	if digits > 15 {
		return parseSlow(b, len(b), sep)
	}
	value = float64(mantissa) / powers[decimals] // both exact, so correctly rounded
	if negative {
		value = -value
	}
	return value, sep, true
}

// parseSlow reads numbers with an exponent at e, or with many digits; sep is
// the decimal separator that the mantissa uses.
func parseSlow(b []byte, e int, sep byte) (float64, byte, bool) {
	if e < len(b) && !allDigits(bytes.TrimLeft(b[e+1:min(e+2, len(b))], "+-"), b[min(e+2, len(b)):]) {
		return 0, 0, false // strconv would take 1e1_0
	}
	text := string(b)
	if sep == ',' {
		text = strings.Replace(text, ",", ".", 1)
	}
	value, err := strconv.ParseFloat(text, 64)
	if err != nil || value == 0 && bytes.ContainsAny(b[:e], "123456789") {
		return 0, 0, false
	}
	return value, sep, true
}

// allDigits reports whether the parts together are digits, at least one.
func allDigits(parts ...[]byte) bool {
	n := 0
	for _, p := range parts {
		for _, c := range p {
			if c < '0' || c > '9' {
				return false
			}
			n++
		}
	}
	return n > 0
}

var (
	grouped     = regexp.MustCompile(`^[+-]?\d{1,3}([.,' \x{00a0}\x{202f}’]\d{3})+([.,]\d*)?$|^[+-]?\d+([.,]\d+){2,}$`)
	withUnit    = regexp.MustCompile(`^[+-]?\d+([.,]\d+)?\s*[\pL%°µ"'/²³·^0-9]*[\pL%°µ"'/²³]$`)
	underscored = regexp.MustCompile(`^[+-]?\d+(_\d+)+([.,]\d+)?$`)
	limit       = regexp.MustCompile(`^[<>≤≥~≈±]`)
	exponent    = regexp.MustCompile(`^[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?$`)
	hexadec     = regexp.MustCompile(`^[+-]?0[xXbBoO]`)
	asGap       = regexp.MustCompile(`(?i)^(n\.?/?a\.?|null|nil|none|missing|-+|\.+|\?+|x|dnf|dns|dnt|did not .*|absent|injured)$`)
)

// explainNumber says why text is not a number, and what to do.
func explainNumber(text string) (problem, hint string) {
	lower := strings.TrimLeft(strings.ToLower(text), "+-")
	switch {
	case lower == "inf" || lower == "infinity" || lower == "∞":
		return "not a finite number", "leave the cell empty when there is no value"
	case exponent.MatchString(text):
		if v, _ := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64); math.IsInf(v, 0) {
			return "too large for a number", ""
		}
		return "too close to zero for a number", ""
	case hexadec.MatchString(text):
		return "not a plain decimal number", "write it in ordinary digits"
	case strings.Contains(text, "_"):
		return "not a plain decimal number", "write it without underscores"
	case grouped.MatchString(text):
		return "not a plain decimal number", "group separators are not read: write 1234.5, not 1,234.5 or 1.234,5"
	case strings.HasPrefix(text, "#"):
		return "not a number but a spreadsheet error", "mend the formula, or leave the cell empty"
	case limit.MatchString(text):
		return "not a number", "a limit or an approximation cannot be analysed: give the measured number, or leave " +
			"the cell empty"
	case strings.ContainsAny(text, "−–—"):
		return "not a number", "write a minus sign as the plain hyphen -"
	case asGap.MatchString(text):
		return "not a number", "if this text means that the value is missing, say so: --missing " + strconv.Quote(text)
	case withUnit.MatchString(text):
		return "not a number", "leave the unit out of the cell; the column name or the dictionary can hold it"
	}
	return "not a number", "leave the cell empty when there is no value"
}
