// Package names finds what a name means among those there are, by one rule for
// every kind of name: spelled exactly, then whatever the letter case and accents,
// then as a pattern. What matches nothing is an error with the nearest name.
package names

import (
	"fmt"
	"path"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// An Error is a name that means nothing, or more than one thing.
type Error struct {
	Kind    string   // what was looked for: "measure", "session", "flag"
	Asked   string   // as it was given
	Nearest string   // the name most like it, "" when none is
	Several []string // the names it could mean, when it could mean several
	Have    []string // every name there is
}

// listed is how many names an error shows.
const listed = 8

// Error says what was asked for and what there is, on one line.
func (e *Error) Error() string {
	if len(e.Several) > 0 {
		return fmt.Sprintf("%s %q can mean %s: write it as it stands in the table", e.Kind, e.Asked, some(e.Several))
	}
	s := fmt.Sprintf("there is no %s %q", e.Kind, e.Asked)
	switch {
	case len(e.Have) == 0:
		return s + ": there is none at all"
	case e.Nearest != "":
		return s + fmt.Sprintf("; did you mean %q? There is %s", e.Nearest, some(e.Have))
	}
	return s + "; there is " + some(e.Have)
}

// some lists the first names of many.
func some(all []string) string {
	shown := all[:min(len(all), listed)]
	out := strings.Join(shown, ", ")
	if more := len(all) - len(shown); more > 0 {
		out += fmt.Sprintf(" and %d more", more)
	}
	return out
}

// Find returns the indices of the names that want means, in order: the one
// that is spelled so; else the one that is so but for letter case, accents and
// blanks at the ends; else all that it matches as a pattern, in which * stands
// for any characters, ? for one and [abc] for one of them. It fails with an
// [*Error] when there is none, or when two names differ by case or accents alone
// and either could be meant.
func Find(kind string, have []string, want string) ([]int, error) {
	if i := slices.Index(have, want); i >= 0 {
		return []int{i}, nil
	}
	folded := Fold(want)
	var found []int
	for i, h := range have {
		if Fold(h) == folded {
			found = append(found, i)
		}
	}
	if len(found) == 0 && strings.ContainsAny(want, "*?[") {
		return patterned(kind, have, want)
	}
	switch len(found) {
	case 1:
		return found, nil
	case 0:
		return nil, &Error{Kind: kind, Asked: want, Nearest: Nearest(want, have), Have: have}
	}
	several := make([]string, len(found))
	for i, at := range found {
		several[i] = have[at]
	}
	return nil, &Error{Kind: kind, Asked: want, Several: several, Have: have}
}

// patterned finds by pattern, first with the letters as they are.
func patterned(kind string, have []string, want string) ([]int, error) {
	for _, as := range []func(string) string{func(s string) string { return s }, Fold} {
		var found []int
		for i, h := range have {
			// A slash in a name is no folder: it is matched like any character.
			ok, err := path.Match(flat(as(want)), flat(as(h)))
			if err != nil {
				return nil, &Error{Kind: kind + " pattern", Asked: want, Have: have}
			}
			if ok {
				found = append(found, i)
			}
		}
		if len(found) > 0 {
			return found, nil
		}
	}
	return nil, &Error{Kind: kind, Asked: want, Nearest: Nearest(want, have), Have: have}
}

func flat(s string) string { return strings.ReplaceAll(s, "/", "\x01") }

// Fold takes letter case, accents and the blanks at the ends off a name, so that
// "Björn " and "BJORN" are one.
func Fold(s string) string {
	var b strings.Builder
	for _, r := range norm.NFD.String(strings.TrimSpace(s)) {
		if !unicode.Is(unicode.Mn, r) {
			b.WriteRune(unicode.ToLower(r))
		}
	}
	return b.String()
}

// Nearest returns the name that want was probably meant to be: of those that
// are close to it, the one that takes the fewest edits (insertions, deletions,
// replacements of one character; case, accents, blanks and dashes do not count),
// the first of them on a tie. It is "" when none is close.
func Nearest(want string, have []string) string {
	best, least := "", -1
	a := plain(want)
	for _, h := range have {
		b := plain(h)
		if d := edits(a, b); (least < 0 || d < least) && near(a, b, d) {
			best, least = h, d
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

// longest is as much of a name as is compared: the cost of comparing grows with
// the product of the lengths.
const longest = 200

// Plain is [Fold] without blanks, dashes and underscores, of the first 200 bytes.
func Plain(s string) string { return string(plain(s)) }

// plain brings a name to the form in which distances are measured.
func plain(s string) []rune {
	return []rune(strings.Join(strings.FieldsFunc(Fold(s[:min(len(s), longest)]), func(r rune) bool {
		return r == ' ' || r == '_' || r == '-'
	}), ""))
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
