package study

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/retest"
	"noisefloor/internal/noisefile"
)

// pool puts the files of a source together: every measure in every group, from the
// files that have it. What cannot be put together is left out, with the reason.
func (s *noiseSource) pool() error {
	first := s.parts[0]
	for i, p := range s.parts {
		if p.file.By != first.file.By {
			return requestError("noise", "%s tells athletes apart by %s, %s by %s: make one of them again with the "+
				"other's --by", first.name, byWords(first.file.By), p.name, byWords(p.file.By))
		}
		for _, q := range s.parts[:i] {
			if err := sameStudy(q, p); err != nil {
				return err
			}
		}
	}
	s.file, s.apart = &noisefile.File{By: first.file.By}, map[[2]string]error{}
	for _, key := range s.keys() {
		var all []noise.Model
		for _, p := range s.parts {
			if n, ok := p.file.Find(key[0], key[1]); ok {
				n.Source = p.from(n)
				n.WorthwhileBasis = n.WorthwhileBasis + basisMark + fmt.Sprint(p.file.Settings["worthwhile"])
				all = append(all, n)
			}
		}
		n, err := noise.Pool(all)
		if err != nil {
			s.apart[key] = err
			continue
		}
		n.WorthwhileBasis, _, _ = strings.Cut(n.WorthwhileBasis, basisMark)
		s.file.Measures = append(s.file.Measures, n)
	}
	if len(s.file.Measures) == 0 {
		return s.apart[s.keys()[0]]
	}
	s.poolTogether()
	return nil
}

// basisMark stands between a basis and what the study was asked for, so that a fifth
// and a third of the SD are not put together.
const basisMark = "\x00"

func byWords(by string) string {
	if by == "" {
		return "nothing"
	}
	return by
}

// from names the file and the study behind a noise.
func (p noisePart) from(n noise.Model) string {
	if n.Source == "" {
		return p.name
	}
	return p.name + ", from " + n.Source
}

// keys are the measures and groups of all files, in order of appearance.
func (s *noiseSource) keys() (out [][2]string) {
	for _, p := range s.parts {
		for _, m := range p.file.Measures {
			if key := [2]string{m.Measure, m.Group}; !slices.Contains(out, key) {
				out = append(out, key)
			}
		}
	}
	return out
}

// sameStudy refuses one study twice: the same file, files from one table that share
// sessions, or files whose numbers are the same.
func sameStudy(p, q noisePart) error {
	twice := func(why string) error {
		return requestError("noise", "%s and %s %s: one study counts once; leave one out", p.name, q.name, why)
	}
	switch {
	case p.sum == q.sum:
		return twice("are the same file")
	case p.table() != "" && p.table() == q.table() && shareSessions(p.file, q.file):
		return twice("were both made from one table and the same sessions (parts of it with other athletes: save each as a table " +
			"of its own)")
	case sameNumbers(p.file, q.file):
		return twice("hold the same numbers")
	}
	return nil
}

func shareSessions(a, b noisefile.File) bool {
	for _, m := range a.Measures {
		for _, n := range b.Measures {
			if slices.ContainsFunc(m.Sessions, func(s string) bool { return slices.Contains(n.Sessions, s) }) {
				return true
			}
		}
	}
	return false
}

// sameNumbers reports whether two files agree to nine digits in all that both have,
// which two studies never do.
func sameNumbers(a, b noisefile.File) bool {
	near := func(x, y float64) bool {
		return x == y || math.IsNaN(x) && math.IsNaN(y) || math.Abs(x-y) <= 1e-9*math.Abs(y)
	}
	same := 0
	for _, m := range a.Measures {
		n, ok := b.Find(m.Measure, m.Group)
		switch {
		case !ok:
		case m.DF == n.DF && near(m.TypicalError, n.TypicalError) && near(m.Mean, n.Mean):
			same++
		default:
			return false
		}
	}
	return same > 0
}

// poolTogether keeps the covariances that every file has.
func (s *noiseSource) poolTogether() {
	for _, first := range s.parts[0].file.Together {
		var all []noise.Together
		for _, p := range s.parts {
			at := slices.IndexFunc(p.file.Together, func(t noise.Together) bool {
				return t.Kind == first.Kind && t.Group == first.Group
			})
			if at >= 0 {
				all = append(all, p.file.Together[at])
			}
		}
		if pooled := noise.PoolTogether(all); len(all) == len(s.parts) && len(pooled.Of) > 0 {
			s.file.Together = append(s.file.Together, pooled)
		}
	}
}

// disagree is the p below which studies are said not to have one typical error.
// Common practice, no source.
const disagree = 0.05

// caveatStudies says which pooled studies do not agree.
func (d *desk) caveatStudies(models []modelled) {
	for _, m := range models {
		a := m.noise.Agree
		if a == nil || !(a.P < disagree) {
			continue
		}
		c := caveat.New(retest.StudiesDisagree, a.P).About(m.measure.Name).With(string(m.noise.Scale))
		for _, s := range m.noise.Studies {
			c.Names, c.Numbers = append(c.Names, s.Source), append(c.Numbers, s.TypicalError)
		}
		d.caveats = append(d.caveats, c)
	}
}
