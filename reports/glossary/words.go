package glossary

import (
	"strings"
	"unicode"
)

// fold is what counts of a name when it is looked up: its letters and digits.
func fold(s string) string { return strings.Join(words(s), "") }

// signs are what a keyboard may lack, spelled out.
var signs = strings.NewReplacer("²", "2", "Δ", "delta ", "÷", " to ", "%", " percent ")

// words are the runs of letters and digits, in lower case.
func words(s string) []string {
	return strings.FieldsFunc(strings.ToLower(signs.Replace(s)),
		func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}

// withoutRemark drops a remark in brackets that stands after a blank.
func withoutRemark(s string) string {
	s = strings.TrimSpace(s)
	if at := strings.LastIndex(s, " ("); at > 0 && strings.HasSuffix(s, ")") {
		return s[:at]
	}
	return s
}

// withoutEnding drops what a CSV column adds to the name of a quantity.
func withoutEnding(path string) string {
	for _, end := range []string{"_lower", "_upper", "_p_holm", "_p_bh", "_p", "_df"} {
		if rest, ok := strings.CutSuffix(path, end); ok {
			return rest
		}
	}
	return path
}

// distance counts the letters to add, drop, change or swap with a neighbour
// that turn a into b (optimal string alignment).
func distance(a, b []rune) int {
	before, above, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range above {
		above[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			change := above[j-1]
			if a[i-1] != b[j-1] {
				change++
			}
			row[j] = min(change, above[j]+1, row[j-1]+1)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, above, row = above, row, before
	}
	return above[len(b)]
}
