// Package caveat holds doubts about usable answers as values: what kind of
// doubt, about which measures, with which numbers. Analyses raise them; reports
// say them in words, once.
package caveat

import "slices"

// A Kind names one kind of doubt, such as "session-means-differ". The package
// that raises it declares it as a constant; reports hold its words, and a test
// fails for a Kind without them.
type Kind string

// A Caveat is a doubt about a usable answer.
type Caveat struct {
	Kind     Kind      `json:"kind"`
	Measures []string  `json:"measures,omitempty"` // names, never labels
	Names    []string  `json:"names,omitempty"`    // of sessions, athletes, groups, planes, as the Kind says
	Numbers  []float64 `json:"numbers,omitempty"`  // as the Kind says; never NaN or infinite
}

// New returns a caveat with numbers and no names.
func New(kind Kind, numbers ...float64) Caveat {
	return Caveat{Kind: kind, Numbers: numbers}
}

// About returns c about the measures given.
func (c Caveat) About(measures ...string) Caveat {
	c.Measures = measures
	return c
}

// With returns c with names.
func (c Caveat) With(names ...string) Caveat {
	c.Names = names
	return c
}

// Same reports whether two caveats say the same thing, if of other measures.
func (c Caveat) Same(d Caveat) bool {
	return c.Kind == d.Kind && slices.Equal(c.Names, d.Names) && slices.Equal(c.Numbers, d.Numbers)
}

// Gather puts together the caveats that say the same of several measures, in
// order of first appearance.
func Gather(all []Caveat) []Caveat {
	var out []Caveat
	for _, c := range all {
		i := slices.IndexFunc(out, c.Same)
		if i < 0 {
			c.Measures = slices.Clone(c.Measures)
			out = append(out, c)
			continue
		}
		for _, m := range c.Measures {
			if !slices.Contains(out[i].Measures, m) {
				out[i].Measures = append(out[i].Measures, m)
			}
		}
	}
	return out
}
