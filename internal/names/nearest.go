package names

import (
	"fmt"
	"strings"
)

// Nearest returns the known name that name was probably meant to be: of those
// that are close to it, the one that takes the fewest edits (insertions,
// deletions, replacements of one character; case, accents, blanks
// and dashes do not count), the first of them on a tie. It is "" when none is close.
func Nearest(name string, known []string) string {
	best, least := "", -1
	a := Key(name)
	for _, k := range known {
		b := Key(k)
		if d := edits(a, b); (least < 0 || d < least) && near(a, b, d) {
			best, least = k, d
		}
	}
	return best
}

// near reports whether two names that are d edits apart are close: at most one
// edit in three characters, and not all of them; or at least three characters
// in common, more than half of the shorter name at the beginning or two thirds
// of it at the end.
func near(a, b []rune, d int) bool {
	if d < max(len(a), len(b)) && d <= max(1, len(a)/3) {
		return true
	}
	shorter := min(len(a), len(b))
	head, tail := 0, 0
	for head < shorter && a[head] == b[head] {
		head++
	}
	for tail < shorter && a[len(a)-1-tail] == b[len(b)-1-tail] {
		tail++
	}
	return head >= 3 && 2*head > shorter || tail >= 3 && 3*tail >= 2*shorter
}

// Suggest lists the known names, headed by what they are ("columns"), and puts
// before them the one that name was probably meant to be.
func Suggest(name, heading string, known []string) string {
	list := heading + ": " + List(known)
	if k := Nearest(name, known); k != "" {
		return fmt.Sprintf("did you mean %q? %s%s", k, strings.ToUpper(list[:1]), list[1:])
	}
	return list
}

// Key brings a name to the form in which its nearness is measured: without
// case, accents, blanks and dashes.
func Key(s string) []rune {
	return []rune(Fold(strings.Join(strings.FieldsFunc(s[:min(len(s), 200)], func(r rune) bool {
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

// List writes names for a message, the first dozen of them.
func List(names []string) string {
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

// shorten cuts a name for a message.
func shorten(s string) string {
	const shown = 40
	if r := []rune(s); len(r) > shown {
		return string(r[:shown]) + "…"
	}
	return s
}
