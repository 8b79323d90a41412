package study

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"noisefloor/analysis/noise"
	"noisefloor/internal/cohort"
	"noisefloor/internal/names"
	"noisefloor/internal/noisefile"
)

// A noiseSource gives the noise of measures. It is settled once for a request.
type noiseSource struct {
	name  string // for errors: the file's name
	table string // SHA-256 of the study's table, "" when not known
	file  *noisefile.File
	find  func(m *cohort.Measure, g group) (noise.Model, error) // of the athletes of a group
}

// noiseFile reads a noise file and refuses one that does not fit the measures
// or the choices of the request. When all its tests have one summary of the
// attempts, that becomes the request's.
func (d *desk) noiseFile(path string, measures []*cohort.Measure) (*noiseSource, error) {
	in, sum, err := d.host.reader(path)
	if err != nil {
		return nil, err
	}
	file, err := noisefile.Read(in, path)
	if err != nil {
		return nil, err
	}
	d.request.note("noise", path, sum)
	s := &noiseSource{name: filepath.Base(path), table: file.CreatedFrom.SHA256, file: &file}
	for _, m := range measures {
		if n, ok := file.Find(m.Name, ""); ok {
			if err := d.fits(s.name, m, n); err != nil {
				return nil, err
			}
		}
	}
	s.find = s.fromFile
	return s, d.summaryOf(file)
}

// fits refuses noise of another summary, scale or unit than asked for.
func (d *desk) fits(name string, m *cohort.Measure, n noise.Model) error {
	c := d.request
	switch {
	case c.Score != "" && n.Summary != "" && string(n.Summary) != c.Score:
		return requestError("score", "%s, but %s holds the noise of the %s of the attempts: "+
			"leave --score out, or make the noise anew", c.Score, name, n.Summary)
	case c.Scale != "auto" && c.Scale != string(n.Scale):
		return requestError("scale", "%s, but %s holds %s on the %s scale: leave --scale out, or make the noise anew",
			c.Scale, name, m.Name, n.Scale)
	case n.Unit != m.Unit && (n.Unit != "" && m.Unit != ""):
		return fmt.Errorf("%s: %s is in %s there and in %s in the table: bring the table to %s, or make the noise file "+
			"again from a table in %s", name, m.Name, n.Unit, m.Unit, n.Unit, m.Unit)
	}
	return nil
}

// summaryOf settles how attempts become scores: as the file made them, when it
// made all alike; "" when its tests differ, and each is then made as its own.
func (d *desk) summaryOf(file noisefile.File) error {
	c := d.request
	first := file.Measures[0].Summary
	for _, m := range file.Measures {
		if m.Summary != first {
			c.Origins["score"] = FromNoise
			return nil
		}
	}
	if c.Score == "" && first != "" {
		c.Score = string(first)
		c.Origins["score"] = FromNoise
		return nil
	}
	c.summary()
	return nil
}

func (s *noiseSource) fromFile(m *cohort.Measure, g group) (noise.Model, error) {
	n, ok := s.file.Find(m.Name, g.name)
	if _, pooled := s.file.Find(m.Name, ""); !ok && pooled {
		return n, fmt.Errorf("%s holds no noise of it for this group, only for %s: --by none judges everybody by that of "+
			"all athletes together", s.name, names.List(s.groupsOf(m.Name)))
	}
	if !ok {
		var have []string
		for _, m := range s.file.Measures {
			if m.Group == "" {
				have = append(have, m.Measure)
			}
		}
		return n, fmt.Errorf("%s holds no noise for it, but for %s: name the test alike in both tables, or make the "+
			"noise file again with it", s.name, names.List(have))
	}
	n.Source = s.name + ", from " + n.Source
	return n, nil
}

// groupsOf are the groups that the file has the noise of a measure for.
func (s *noiseSource) groupsOf(measure string) []string {
	var out []string
	for _, m := range s.file.Measures {
		if m.Measure == measure && m.Group != "" {
			out = append(out, m.Group)
		}
	}
	return out
}

// noiseSessions takes the noise from sessions of the same table.
func (d *desk) noiseSessions(r *Reliability, sessions []string) (*noiseSource, error) {
	study, err := d.rows.SelectSessions(sessions)
	if err != nil {
		return nil, asRequest(err)
	}
	s := &noiseSource{name: SessionList(sessions)}
	s.find = func(m *cohort.Measure, g group) (noise.Model, error) {
		m, err := study.Measure(m.Name)
		if err != nil {
			return noise.Model{}, err
		}
		n, err := r.noiseIn(d, study, m, g, s.name)
		n.Source = s.name + " of the same table"
		return n, err
	}
	return s, nil
}

// A group of athletes has a noise of its own; the zero group is everybody.
type group struct {
	name string
	rows []int // athletes; nil: all
}

// A modelled measure is one with its noise, for the athletes of a group.
type modelled struct {
	measure *cohort.Measure
	rows    []int // athletes; nil: all
	noise   noise.Model
	table   string // SHA-256 of the study's table, "" when not known
}

// models pairs measures with their noise, in each group. A measure without any
// is left out, with the reason.
func (d *desk) models(measures []*cohort.Measure, groups []group, s *noiseSource) ([]modelled, []Failed, error) {
	var out []modelled
	var failed []Failed
	for _, m := range measures {
		for _, g := range groups {
			n, err := s.find(m, g)
			if wrong := (*RequestError)(nil); errors.As(err, &wrong) {
				return nil, nil, err
			}
			if err != nil {
				if g.name != "" && s.file == nil {
					err = fmt.Errorf("%w (--by none judges all athletes by one noise)", err)
				}
				failed = append(failed, Failed{m.Name, g.name, err})
				continue
			}
			n.Group = g.name
			found := modelled{m, g.rows, n, s.table}
			if err := found.fitsIn(); s.file != nil && err != nil {
				failed = append(failed, Failed{m.Name, g.name, err})
				continue
			}
			out = append(out, found)
		}
	}
	if len(out) == 0 {
		var reasons []string
		for _, f := range failed {
			reasons = append(reasons, f.Measure+f.of()+": "+f.Err.Error())
		}
		return nil, failed, errors.New("no test could be judged:\n  " + strings.Join(reasons, "\n  "))
	}
	return out, failed, nil
}
