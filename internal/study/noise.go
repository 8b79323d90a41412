package study

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"noisefloor/analysis/noise"
	"noisefloor/internal/cohort"
	"noisefloor/internal/names"
	"noisefloor/internal/noisefile"
)

// A noiseSource gives the noise of measures. It is settled once for a request.
type noiseSource struct {
	name     string // for errors: the names of the files
	sessions []string
	file     *noisefile.File // what the files hold together; nil without files
	parts    []noisePart     // each file
	apart    map[[2]string]error
	given    []TypicalError
	study    func(m *cohort.Measure, g group) (noise.Model, error) // of the athletes of a group; nil without a study
}

// A noisePart is one of the files.
type noisePart struct {
	name string
	sum  string // SHA-256 of the file
	file noisefile.File
}

// table is the SHA-256 of the study's table, "" when not known.
func (p noisePart) table() string { return p.file.CreatedFrom.SHA256 }

// oneForAll reports whether a typical error for all athletes is the only noise.
func (s *noiseSource) oneForAll() bool {
	return s.study == nil && !slices.ContainsFunc(s.given, func(t TypicalError) bool { return t.Level != "" })
}

// find is the noise of a measure for the athletes of a group: the typical error
// given, else the study's.
func (s *noiseSource) find(m *cohort.Measure, g group) (noise.Model, error) {
	n, err := s.model(m, g)
	return n.noise, err
}

// model also says whether the typical error was given, and in place of which.
func (s *noiseSource) model(m *cohort.Measure, g group) (out modelled, err error) {
	out = modelled{measure: m, rows: g.rows}
	own, ofLevel, ok := given(s.given, m, g)
	switch {
	case s.study == nil && !ok:
		return out, errors.New("no typical error was given for it, and no noise study is named (--noise FILE or " +
			"--noise-from SESSIONS)")
	case s.study == nil:
		out.noise, out.given, out.shared = own, true, !ofLevel
		return out, nil
	}
	study, err := s.study(m, g)
	if !ok {
		out.noise = study
		return out, err
	}
	if wrong := (*RequestError)(nil); errors.As(err, &wrong) {
		return out, err
	}
	out.noise, out.given, out.shared = own, true, !ofLevel
	if err == nil {
		out.noise, out.replaced = instead(own, study), &study
	}
	return out, nil
}

// noiseFile reads one noise file, see [desk.noiseFiles].
func (d *desk) noiseFile(path string, measures []*cohort.Measure) (*noiseSource, error) {
	return d.noiseFiles([]string{path}, measures)
}

// noiseFiles reads noise files, puts several together, and refuses what does not fit
// the measures or the choices of the request. When all tests have one summary of
// the attempts, that becomes the request's.
func (d *desk) noiseFiles(paths []string, measures []*cohort.Measure) (*noiseSource, error) {
	s := &noiseSource{}
	var bases []string
	for _, path := range paths {
		in, sum, err := d.host.reader(path)
		if err != nil {
			return nil, err
		}
		file, err := noisefile.Read(in, path)
		if err != nil {
			return nil, err
		}
		d.request.note("noise", path, sum)
		s.parts = append(s.parts, noisePart{filepath.Base(path), sum, file})
		bases = append(bases, filepath.Base(path))
	}
	s.name, s.file = strings.Join(bases, ", "), &s.parts[0].file
	if len(s.parts) > 1 {
		if err := s.pool(); err != nil {
			return nil, err
		}
	}
	for _, m := range measures {
		if n, ok := s.file.Find(m.Name, ""); ok {
			if err := d.fits(s.name, m, n); err != nil {
				return nil, err
			}
		}
	}
	s.study = s.fromFile
	return s, d.summaryOf(*s.file)
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
	if err := s.apart[[2]string{m.Name, g.name}]; err != nil {
		return noise.Model{}, err
	}
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
	if len(s.parts) == 1 {
		n.Source = s.parts[0].from(n)
	}
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
	s := &noiseSource{name: SessionList(sessions), sessions: sessions}
	gap := gapOf(d.whole, study.Sessions)
	s.study = func(m *cohort.Measure, g group) (noise.Model, error) {
		m, err := study.Measure(m.Name)
		if err != nil {
			return noise.Model{}, err
		}
		n, err := r.noiseIn(d, study, m, g, s.name)
		n.Source, n.GapDays = s.name+" of the same table", gap
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

	given    bool         // a typical error was given for it
	shared   bool         // and for athletes of every level
	replaced *noise.Model // in place of this one of a study; nil when there is none
	studied  [][]string   // for each study behind the noise, the sessions of the table that were in it
}

// models pairs measures with their noise, in each group. A measure without any
// is left out, with the reason.
func (d *desk) models(measures []*cohort.Measure, groups []group, s *noiseSource) ([]modelled, []Failed, error) {
	var out []modelled
	var failed []Failed
	for _, m := range measures {
		for _, g := range groups {
			found, err := s.model(m, g)
			if wrong := (*RequestError)(nil); errors.As(err, &wrong) {
				return nil, nil, err
			}
			if err != nil {
				if g.name != "" && s.sessions != nil {
					err = fmt.Errorf("%w (--by none judges all athletes by one noise)", err)
				}
				failed = append(failed, Failed{m.Name, g.name, err})
				continue
			}
			found.noise.Group = g.name
			err = found.fitsGiven()
			if s.file != nil && err == nil {
				err = found.fitsIn()
			}
			if err != nil {
				failed = append(failed, Failed{m.Name, g.name, err})
				continue
			}
			if found.studied, err = d.studiesIn(found, s); err != nil {
				return nil, nil, err
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
