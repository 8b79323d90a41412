package cohort

import (
	"fmt"
	"strings"
)

// Nearest returns the known name that takes the fewest edits (insertions,
// deletions, replacements of one character; case and blanks do not count) to
// become name, the first of them on a tie, and "" when nothing is known.
func Nearest(name string, known []string) string {
	best, least := "", -1
	for _, k := range known {
		if d := edits(fold(name), fold(k)); least < 0 || d < least {
			best, least = k, d
		}
	}
	return best
}

// fold brings a name to the form in which names are compared.
func fold(s string) []rune {
	return []rune(strings.ToLower(strings.Join(strings.FieldsFunc(shortenTo(s, 200), func(r rune) bool {
		return r == ' ' || r == '_' || r == '-'
	}), "")))
}

// edits is the Levenshtein distance.
func edits(a, b []rune) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i, x := range a {
		diagonal := row[0]
		row[0] = i + 1
		for j, y := range b {
			cost := diagonal
			if x != y {
				cost++
			}
			diagonal = row[j+1]
			row[j+1] = min(cost, row[j+1]+1, row[j]+1)
		}
	}
	return row[len(b)]
}

func shortenTo(s string, bytes int) string { return s[:min(len(s), bytes)] }

// quoteList writes names for a message, the first dozen of them.
func quoteList(names []string) string {
	const shown = 12
	var parts []string
	for i, n := range names {
		if i == shown {
			parts = append(parts, fmt.Sprintf("and %d more", len(names)-shown))
			break
		}
		parts = append(parts, fmt.Sprintf("%q", shorten(n)))
	}
	return strings.Join(parts, ", ")
}
