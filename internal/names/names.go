// Package names finds the names that a user meant. Wherever a name can be given
// it is resolved here, by one rule: as it is spelled; else whatever the case and
// the accents; else, when it is a pattern, by its wildcards. A name that
// matches nothing, or more than one without saying so, is an [*Error].
package names

import (
	"fmt"
	"path"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// An Error is a name that does not say which thing is meant: the command line,
// or the file that holds the name, is wrong, not the data.
type Error struct {
	Kind      string   // what was looked for, in the singular: "measure"
	Asked     string   // the name as it was given
	Nearest   string   // the name that was probably meant, "" when none is close
	Have      []string // all names there are
	Ambiguous []string // the names that Asked may mean, when there are more than one
	Broken    bool     // Asked is a pattern whose [ has no ]
	Hint      string   // what to do instead, "" when that is plain
}

// Error says what is wrong with the name, which was probably meant, and what
// names there are.
func (e *Error) Error() string {
	s := e.problem()
	if e.Hint != "" {
		s += "; " + e.Hint
	}
	return s
}

func (e *Error) problem() string {
	switch {
	case e.Broken:
		return fmt.Sprintf("%s %q: not a pattern: a [ needs its ]", e.Kind, e.Asked)
	case len(e.Ambiguous) > 0:
		return fmt.Sprintf("%s %q may be %s: write one as it stands", e.Kind, e.Asked, List(e.Ambiguous))
	case len(e.Have) == 0:
		return fmt.Sprintf("there is no %s %q: the table has none", e.Kind, e.Asked)
	}
	return fmt.Sprintf("there is no %s %q; %s", e.Kind, e.Asked, Suggest(e.Asked, e.Kind+"s", e.Have))
}

// Missing is the error of a name that is not among those there are.
func Missing(kind string, have []string, asked string) *Error {
	return &Error{Kind: kind, Asked: asked, Nearest: Nearest(asked, have), Have: have}
}

// One finds the one name that is meant, without patterns: the index in have.
// Names that differ from want in case or accents only are taken when there is
// one of them; of several, an [*Error] names them.
func One(kind string, have []string, want string) (int, error) {
	found := spelled(have, want)
	switch len(found) {
	case 0:
		return -1, Missing(kind, have, want)
	case 1:
		return found[0], nil
	}
	return -1, &Error{Kind: kind, Asked: want, Have: have, Ambiguous: at(have, found)}
}

// Find finds the names that are meant, as indexes in have, in its order: the
// one that [One] finds; or, when no name is spelled so, all that match want as
// a pattern, in which * stands for any characters, ? for one and [abc] for one
// of them. Case and accents count only when a name matches with them.
func Find(kind string, have []string, want string) ([]int, error) {
	i, err := One(kind, have, want)
	switch {
	case err == nil:
		return []int{i}, nil
	case len(err.(*Error).Ambiguous) > 0 || !strings.ContainsAny(want, "*?["):
		return nil, err
	}
	for _, as := range []func(string) string{clean, Fold} {
		found, ok := matching(have, want, as)
		if !ok {
			return nil, &Error{Kind: kind, Asked: want, Have: have, Broken: true}
		}
		if len(found) > 0 {
			return found, nil
		}
	}
	return nil, err
}

// All finds the names that are meant by any of wants, each once, in the order
// of have. Every one of wants must match.
func All(kind string, have, wants []string) ([]int, error) {
	keep := make([]bool, len(have))
	for _, w := range wants {
		found, err := Find(kind, have, w)
		if err != nil {
			return nil, err
		}
		for _, i := range found {
			keep[i] = true
		}
	}
	var out []int
	for i, k := range keep {
		if k {
			out = append(out, i)
		}
	}
	return out, nil
}

// spelled returns the names that are want exactly, else those that are want
// whatever the case and the accents.
func spelled(have []string, want string) []int {
	want = clean(want)
	if i := slices.IndexFunc(have, func(s string) bool { return clean(s) == want }); i >= 0 {
		return []int{i}
	}
	var found []int
	folded := Fold(want)
	for i, s := range have {
		if Fold(s) == folded {
			found = append(found, i)
		}
	}
	return found
}

// matching returns the names that match a pattern; ok is false when it is none.
func matching(have []string, pattern string, as func(string) string) (found []int, ok bool) {
	slashes := strings.NewReplacer("/", "\x00") // a character like others
	pattern = slashes.Replace(as(pattern))
	for i, s := range have {
		met, err := path.Match(pattern, slashes.Replace(as(s)))
		if err != nil {
			return nil, false
		}
		if met {
			found = append(found, i)
		}
	}
	return found, true
}

func at(have []string, indexes []int) []string {
	out := make([]string, len(indexes))
	for n, i := range indexes {
		out[n] = have[i]
	}
	return out
}

// clean trims blanks and normalises to NFC.
func clean(s string) string { return norm.NFC.String(strings.TrimSpace(s)) }

// Fold brings a name to the form in which case and accents do not count: the
// canonical decomposition without its marks, in lower case ("Zoë" is "zoe").
func Fold(s string) string {
	plain := strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) {
			return -1
		}
		return r
	}, norm.NFD.String(strings.TrimSpace(s)))
	return strings.ToLower(norm.NFC.String(plain))
}
