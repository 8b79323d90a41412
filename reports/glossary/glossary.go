// Package glossary explains every term that the program prints: what it means
// in plain words, its formula, where it stands, its source, and when it
// misleads. It holds data and looks things up; it reads and writes nothing.
package glossary

import (
	"cmp"
	"slices"
	"strings"
)

// A Term is one entry.
type Term struct {
	Name     string   // as the output spells it
	Aliases  []string // other names, and the column heads that mean it
	Keys     []string // JSON keys and CSV columns it covers: the last parts of their paths, see [Covering]
	Plain    string   // one or two sentences for a coach
	Formula  string   // in plain text
	Where    string   // in which command and table
	Source   string   // author, year, journal volume:pages; or that there is none
	Misleads string   // when it misleads
	See      []string // names of other terms
}

// Anchor is the term's name as part of an address, such as "icc-a-1".
func (t Term) Anchor() string { return strings.Join(words(t.Name), "-") }

// NoSource is the source of what the trade does by habit.
const NoSource = "common practice, no source"

// A Group is a number of terms that belong together.
type Group struct {
	Title string
	Terms []Term // in reading order
}

// Groups returns the terms in reading order.
func Groups() []Group {
	out := make([]Group, len(groups))
	for i, g := range groups {
		out[i] = Group{g.Title, slices.Clone(g.Terms)}
	}
	return out
}

// All returns the terms by name.
func All() []Term {
	var out []Term
	for _, g := range groups {
		out = append(out, g.Terms...)
	}
	slices.SortFunc(out, func(a, b Term) int { return cmp.Compare(fold(a.Name), fold(b.Name)) })
	return out
}

// Find returns the term that query means: by name, alias or JSON key in full;
// as the beginning of a name, or else of an alias, when only one begins so; by its
// words in any order, when only one term has them all. Letter case, blanks and
// signs do not count: "icc(a,1)", "ICC A1" and "icc_a1" are one. A remark in
// brackets at the end, as in "change (95 % interval)", is dropped when there
// is no such term with it. It reports false when no term, or more than one, is
// meant; [Nearest] says which it may have been.
func Find(query string) (Term, bool) {
	for _, q := range []string{query, withoutRemark(query)} {
		for _, find := range []func(string) []Term{named, keyed, beginning, wordy} {
			if found := find(q); len(found) == 1 {
				return found[0], true
			}
		}
	}
	return Term{}, false
}

// Covering returns the term that explains a JSON key or CSV column, given as a
// path with dots such as "measures.limits_of_agreement.lower" or
// "agreement.lower_upper": the one whose key is the longest end of the path.
// A column that ends in _lower, _upper, _df or _p, _p_holm, _p_bh and has no
// key of its own belongs to the quantity in front of that.
func Covering(path string) (Term, bool) {
	for _, p := range []string{path, withoutEnding(path)} {
		for end := p; ; {
			if t, ok := owner(end); ok {
				return t, true
			}
			_, rest, more := strings.Cut(end, ".")
			if !more {
				break
			}
			end = rest
		}
	}
	return Term{}, false
}

// Search returns the terms in which every word of query stands somewhere.
func Search(query string) []Term {
	words := strings.Fields(strings.ToLower(query))
	if len(words) == 0 {
		return nil
	}
	return slices.DeleteFunc(All(), func(t Term) bool {
		text := strings.ToLower(strings.Join(slices.Concat([]string{t.Name, t.Plain, t.Formula, t.Where, t.Source,
			t.Misleads}, t.Aliases, t.Keys), "\n"))
		return slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(text, w) })
	})
}

// Nearest returns the names of up to n terms that query may have meant, the
// nearest first: those that begin with it, those that hold its words, then
// those whose spelling is nearest.
func Nearest(query string, n int) []string {
	var out []string
	add := func(terms []Term) {
		for _, t := range terms {
			if !slices.Contains(out, t.Name) {
				out = append(out, t.Name)
			}
		}
	}
	add(beginning(query))
	add(wordy(query))
	add(spelled(query))
	return out[:min(n, len(out))]
}

func owner(key string) (Term, bool) {
	for _, g := range groups {
		for _, t := range g.Terms {
			if slices.Contains(t.Keys, key) {
				return t, true
			}
		}
	}
	return Term{}, false
}

// names are the name and the aliases.
func (t Term) names() []string { return append([]string{t.Name}, t.Aliases...) }

func matching(match func(name string) bool) []Term {
	return slices.DeleteFunc(All(), func(t Term) bool { return !slices.ContainsFunc(t.names(), match) })
}

func named(query string) []Term {
	q := fold(query)
	if q == "" {
		return nil
	}
	return matching(func(name string) bool { return fold(name) == q })
}

func keyed(query string) []Term {
	if t, ok := Covering(strings.ToLower(strings.TrimSpace(query))); ok {
		return []Term{t}
	}
	return nil
}

// beginning finds the terms whose name begins with query, else those with such
// an alias.
func beginning(query string) []Term {
	q := fold(query)
	if len([]rune(q)) < 3 {
		return nil
	}
	found := slices.DeleteFunc(All(), func(t Term) bool { return !strings.HasPrefix(fold(t.Name), q) })
	if len(found) > 0 {
		return found
	}
	return matching(func(name string) bool { return strings.HasPrefix(fold(name), q) })
}

// wordy finds the terms with a name that has a word for each of the query's,
// beginning like it.
func wordy(query string) []Term {
	asked := words(query)
	if len(asked) == 0 || len([]rune(fold(query))) < 3 {
		return nil
	}
	return matching(func(name string) bool {
		have := words(name)
		return !slices.ContainsFunc(asked, func(a string) bool {
			return !slices.ContainsFunc(have, func(h string) bool { return strings.HasPrefix(h, a) })
		})
	})
}

// longest is more letters than any name has.
const longest = 100

// spelled finds the terms whose name is not further away than two letters in five.
func spelled(query string) []Term {
	q := []rune(fold(query))
	if len(q) == 0 || len(q) > longest {
		return nil
	}
	far := map[string]int{}
	all := slices.DeleteFunc(All(), func(t Term) bool {
		nearest := len(q)
		for _, name := range t.names() {
			nearest = min(nearest, distance(q, []rune(fold(name))))
		}
		far[t.Name] = nearest
		return 5*nearest > 2*len(q)
	})
	slices.SortStableFunc(all, func(a, b Term) int { return cmp.Compare(far[a.Name], far[b.Name]) })
	return all
}
