package association

import (
	"fmt"
	"slices"
	"strings"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/linear"
	"noisefloor/analysis/moment"
	"noisefloor/analysis/score"
)

// A design is the columns from which [Models] builds its models: one value for
// each athlete who has everything.
type design struct {
	athletes            []string
	y                   []float64
	base, second, first block
	lost                int // athletes with the outcome who lack something
}

// A block is the terms of the covariates and levels, or of one plane.
type block struct {
	name    string
	terms   []term
	members []term // the tests behind a composite; nil when the terms are the tests
}

// A term is one column.
type term struct {
	name, unit, block string
	value             []float64
	sign              float64  // -1 where lower is better
	tests             []string // of a composite
	indicator         bool     // of a level
	undirected        bool     // nobody said which way it improves
}

func newDesign(in Input, o Options, s *ModelSet) *design {
	covariate := func(t Variable) bool {
		return slices.ContainsFunc(in.Covariates, func(c Variable) bool { return c.Name == t.Name })
	}
	var tests, unplaced []Variable
	for _, t := range in.Tests {
		switch {
		case covariate(t):
		case slices.Contains(o.Planes[:], t.Plane):
			tests = append(tests, t)
		default:
			unplaced = append(unplaced, t)
		}
	}
	if len(unplaced) > 0 {
		s.doubt(caveat.New(NeitherPlane).About(namesOf(unplaced)...))
	}
	at := in.completeFor(tests)
	d := &design{athletes: pick(in.Athletes, at), y: pick(in.Outcome.Value, at)}
	d.lost = len(complete(len(in.Athletes), in.Outcome.Value)) - len(at)
	s.N = len(at)
	if d.lost > 0 {
		s.doubt(in.lacking(tests, at, d.lost))
	}
	d.second, d.first = block{name: o.Planes[1]}, block{name: o.Planes[0]}
	d.addCovariates(in, at)
	for _, t := range tests {
		b := &d.second
		if t.Plane == d.first.name {
			b = &d.first
		}
		v := pick(t.Value, at)
		if len(v) > 0 && constant(v) {
			s.doubt(outOfModels(t.Name, estimate.NoVariation, len(v)))
			continue
		}
		b.terms = append(b.terms, term{name: t.Name, unit: t.Unit, block: t.Plane, value: v,
			sign: sign(flipped(in.Outcome, t)), undirected: t.Better == score.Unknown})
	}
	return d
}

func (d *design) addCovariates(in Input, at []int) {
	var parts []string
	for _, c := range in.Covariates {
		d.base.terms = append(d.base.terms, term{name: c.Name, unit: c.Unit, block: "covariates", value: pick(c.Value,
			at), sign: 1})
	}
	if len(in.Covariates) > 0 {
		parts = append(parts, "covariates")
	}
	if in.Group != nil {
		name := in.GroupName
		if name == "" {
			name = "level"
		}
		parts = append(parts, name)
		level := pick(in.Group, at)
		names, members := groups(level)
		for g := 1; g < len(names); g++ {
			v := make([]float64, len(at))
			for _, i := range members[g] {
				v[i] = 1
			}
			d.base.terms = append(d.base.terms, term{name: name + " " + names[g], block: name, value: v, sign: 1,
				indicator: true})
		}
	}
	d.base.name = strings.Join(parts, " + ")
}

// completeFor are the athletes with the outcome, all covariates, a level (when
// there are levels) and all tests.
func (in Input) completeFor(tests []Variable) []int {
	columns := [][]float64{in.Outcome.Value}
	for _, v := range slices.Concat(in.Covariates, tests) {
		columns = append(columns, v.Value)
	}
	at := complete(len(in.Athletes), columns...)
	if in.Group != nil {
		at = slices.DeleteFunc(at, func(i int) bool { return in.Group[i] == "" })
	}
	return at
}

// lacking says how many athletes the models lose and which test costs most.
func (in Input) lacking(tests []Variable, at []int, lost int) caveat.Caveat {
	best, gain := "", 0
	for k, t := range tests {
		rest := slices.Delete(slices.Clone(tests), k, k+1)
		if more := len(in.completeFor(rest)) - len(at); more > gain {
			best, gain = t.Name, more
		}
	}
	c := caveat.New(LackSomething, float64(lost), float64(lost+len(at)), float64(gain))
	if gain > 0 {
		c = c.About(best)
	}
	return c
}

func outOfModels(name string, why estimate.Kind, athletes int) caveat.Caveat {
	return caveat.New(OutOfModels, float64(athletes)).About(name).With(string(why))
}

func namesOf(vs []Variable) []string {
	names := make([]string, len(vs))
	for i, v := range vs {
		names[i] = v.Name
	}
	return names
}

// unusable says why no model can be fitted.
func (d *design) unusable() estimate.Kind {
	switch {
	case len(d.second.terms)+len(d.first.terms) == 0:
		return NoTests
	case len(d.y) < spareDF+2:
		return estimate.TooFew
	case constant(d.y):
		return estimate.NoVariation
	}
	return ""
}

// terms counts the terms of the largest model.
func (d *design) terms() int {
	return len(d.base.terms) + len(d.second.terms) + len(d.first.terms)
}

// takeForm makes composites of the blocks, if asked to or if there are too many
// tests. It returns the tests of which nobody said which way they improve, where
// a composite would need to know.
func (d *design) takeForm(form BlockForm, s *ModelSet) (undirected []string) {
	s.Form = form
	many, n := d.terms(), len(d.y)
	if form == BlockAuto {
		s.Form = BlockTests
		if n < athletesForTerm*many {
			s.Form = BlockComposite
		}
	}
	if s.Form != BlockComposite {
		return nil
	}
	if undirected = slices.Concat(d.second.undirected(), d.first.undirected()); len(undirected) > 0 {
		return undirected
	}
	made := d.second.compose(s)
	made = d.first.compose(s) || made
	if !made {
		s.Form = BlockTests
	} else if form == BlockAuto {
		s.doubt(caveat.New(TooManyTests, float64(n), float64(many), athletesForTerm))
	}
	if n < athletesForTerm*d.terms() {
		s.doubt(caveat.New(FewForTerms, float64(n), float64(d.terms()), athletesForTerm))
	}
	return nil
}

// undirected names the tests of a composite whose direction is not known.
func (b block) undirected() (names []string) {
	for _, t := range b.terms {
		if len(b.terms) > 1 && t.undirected {
			names = append(names, t.name)
		}
	}
	return names
}

// compose replaces the terms of a block by the mean of the standardised tests,
// each turned so that better is higher; false for fewer than two tests.
func (b *block) compose(s *ModelSet) bool {
	if len(b.terms) < 2 {
		return false
	}
	b.members = b.terms
	one := term{name: fmt.Sprintf("mean of %d %s tests", len(b.members), b.name), unit: "SD", block: b.name, sign: 1,
		value: make([]float64, len(b.members[0].value))}
	for k, t := range b.members {
		b.members[k].value = standardised(t)
		b.members[k].sign = 1
		one.tests = append(one.tests, t.name)
		for i, v := range b.members[k].value {
			one.value[i] += v / float64(len(b.members))
		}
	}
	for k, t := range b.members {
		rest := make([]float64, len(one.value))
		for i, v := range one.value {
			rest[i] = float64(len(b.members))*v - t.value[i]
		}
		if r := cosine(centre(rest).d, centre(t.value).d); r < 0 {
			s.doubt(caveat.New(AgainstOthers, r).About(b.members[k].name).With(b.name))
		}
	}
	b.terms = []term{one}
	return true
}

// standardised returns the values of t less their mean over their SD, turned
// so that better is higher.
func standardised(t term) []float64 {
	mean, sd := moment.Mean(t.value), moment.SD(t.value)
	z := make([]float64, len(t.value))
	for i, v := range t.value {
		z[i] = t.sign * (v - mean) / sd
	}
	return z
}

func (d *design) columns(blocks ...block) [][]float64 {
	var out [][]float64
	for _, b := range blocks {
		out = append(out, columnsOf(b.terms)...)
	}
	return out
}

func columnsOf(terms []term) [][]float64 {
	var out [][]float64
	for _, t := range terms {
		out = append(out, t.value)
	}
	return out
}

// drop takes the column that the largest model cannot use out of its block and
// says so.
func (d *design) drop(c *linear.ColumnError) caveat.Caveat {
	j := c.Column
	for _, b := range []*block{&d.base, &d.second, &d.first} {
		if j < len(b.terms) {
			t := b.terms[j]
			b.terms = slices.Delete(slices.Clone(b.terms), j, j+1)
			return outOfModels(t.name, reasonOf(c.Err), len(d.y))
		}
		j -= len(b.terms)
	}
	panic(fmt.Sprintf("association: column %d of %d terms", c.Column, d.terms()))
}

func nameOf(blocks []*block) string {
	var names []string
	for _, b := range blocks {
		if b.name != "" {
			names = append(names, b.name)
		}
	}
	if len(names) == 0 {
		return "mean only"
	}
	return strings.Join(names, " + ")
}
