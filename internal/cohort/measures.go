package cohort

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"math"
	"path"
	"slices"
	"strings"
)

// Measure finds a measure by its full name, whatever the case.
func (t *Table) Measure(name string) (*Measure, error) {
	clean := cleanText(name)
	var found *Measure
	for _, m := range t.Measures {
		switch {
		case m.Name == clean:
			return m, nil
		case found == nil && strings.EqualFold(m.Name, clean):
			found = m
		}
	}
	if found != nil {
		return found, nil
	}
	return nil, t.noMeasure(name)
}

func (t *Table) noMeasure(name string) error {
	names := t.measureNames()
	if len(names) == 0 {
		return fmt.Errorf("there is no measure %q: the table has none", name)
	}
	return fmt.Errorf("there is no measure %q; %s", name, suggest(name, "measures", names))
}

func (t *Table) measureNames() []string {
	var names []string
	for _, m := range t.Measures {
		names = append(names, m.Name)
	}
	return names
}

// SelectMeasures returns a table with the measures that match one of the
// patterns, in the order of t: * stands for any characters, ? for one, [abc]
// for one of them. A pattern without a match is an error. Without patterns
// the table has all measures.
func (t *Table) SelectMeasures(globs []string) (*Table, error) {
	chosen := make([]bool, len(t.Measures))
	for _, g := range globs {
		n := 0
		for _, same := range []func(pattern, name string) (bool, error){exact, match, matchFold} {
			for i, m := range t.Measures {
				ok, err := same(cleanText(g), m.Name)
				if err != nil {
					return nil, fmt.Errorf("measure %q: not a pattern: a [ needs its ]", g)
				}
				if ok {
					chosen[i] = true
					n++
				}
			}
			if n > 0 {
				break
			}
		}
		if n == 0 {
			return nil, t.noMeasure(g)
		}
	}
	out := *t
	if len(globs) > 0 {
		out.Measures = nil
		for i, m := range t.Measures {
			if chosen[i] {
				out.Measures = append(out.Measures, m)
			}
		}
	}
	return &out, nil
}

func exact(pattern, name string) (bool, error) { return pattern == name, nil }

// match is path.Match where / is a character like others.
func match(pattern, name string) (bool, error) {
	r := strings.NewReplacer("/", "\x00")
	return path.Match(r.Replace(pattern), r.Replace(name))
}

func matchFold(pattern, name string) (bool, error) {
	return match(strings.ToLower(pattern), strings.ToLower(name))
}

// SessionDigest identifies the values of one session (an index into
// t.Sessions), whatever their order: the SHA-256 of the sorted values, each as
// eight big-endian bytes of its IEEE 754 form, in lower-case hex. It is "" for
// a session without values.
func (m *Measure) SessionDigest(session int) string {
	var values []float64
	for i, s := range m.Session {
		if int(s) == session {
			values = append(values, m.Value[i]+0) // -0 becomes 0
		}
	}
	if len(values) == 0 {
		return ""
	}
	slices.Sort(values)
	h := sha256.New()
	var b [8]byte
	for _, v := range values {
		binary.BigEndian.PutUint64(b[:], math.Float64bits(v))
		h.Write(b[:])
	}
	return hex.EncodeToString(h.Sum(nil))
}
