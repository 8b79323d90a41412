package study

import (
	"slices"
	"strings"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/internal/cohort"
)

// studiesIn are, for each study behind the noise of m, the sessions of the table that
// were in it: by their names where the noise comes from sessions of this table, or a
// file from this very table, else by the prints that the file holds.
func (d *desk) studiesIn(m modelled, s *noiseSource) (out [][]string, err error) {
	switch {
	case m.given:
		return nil, nil
	case s.file == nil:
		return [][]string{s.sessions}, nil
	}
	for _, p := range s.parts {
		n, ok := p.file.Find(m.measure.Name, m.noise.Group)
		if !ok {
			continue
		}
		if p.table() != "" && p.table() == d.whole.Source.SHA256 {
			out = append(out, n.Sessions)
			continue
		}
		found, err := d.recognised(m, p)
		if err != nil {
			return nil, err
		}
		var in []string
		for _, f := range found {
			if f.certain {
				in = append(in, f.session)
			}
		}
		out = append(out, in)
	}
	return out, nil
}

// A recognition is how far a session of the table seems to be in a study.
type recognition struct {
	session string
	share   float64 // of its scores, where that is half or more; else 0
	certain bool
}

// recognised asks the prints of a file, of all athletes of the table, of those that
// the conditions leave, and of those of the group: whichever was in the study.
func (d *desk) recognised(m modelled, p noisePart) ([]recognition, error) {
	whole, ok := p.file.Find(m.measure.Name, "")
	if !ok || whole.Prints == nil {
		return nil, nil
	}
	out := make([]recognition, len(d.used.Sessions))
	for i, s := range d.used.Sessions {
		out[i].session = s
	}
	ask := func(t *cohort.Table, rows []int) error {
		scores, err := d.scoresOfStudy(t, whole)
		if err != nil {
			return err
		}
		if rows != nil {
			scores = scores.Rows(rows)
		}
		for i := range out {
			match := whole.Recognise(scores.Athletes, columnOf(scores, out[i].session))
			out[i].certain = out[i].certain || match.Certain(len(whole.Sessions))
			if match.Mostly(len(whole.Sessions)) {
				out[i].share = max(out[i].share, match.Share)
			}
		}
		return nil
	}
	if err := ask(d.used, nil); err != nil {
		return nil, err
	}
	if d.whole != d.used {
		if err := ask(d.whole, nil); err != nil {
			return nil, err
		}
	}
	if m.rows != nil {
		return out, ask(d.used, m.rows)
	}
	return out, nil
}

// scoresOfStudy are the scores of a table made as those of a study.
func (d *desk) scoresOfStudy(t *cohort.Table, n noise.Model) (score.Table, error) {
	m, err := t.Measure(n.Measure)
	if err != nil {
		return score.Table{}, err
	}
	how := n.Summary
	if how == "" {
		how = score.Summary(d.request.Score)
	}
	return d.scoresBy(t, m, how)
}

// columnOf is one session of a table of scores.
func columnOf(t score.Table, session string) []float64 {
	j := slices.Index(t.Sessions, session)
	out := make([]float64, len(t.Athletes))
	for i := range out {
		out[i] = t.At(i, j)
	}
	return out
}

// caveatOwn says where most of what is judged seems to be in the study that made the
// noise, though not surely all.
func (r *Retest) caveatOwn(d *desk, j *judging, s *noiseSource) error {
	for _, m := range j.models {
		for _, p := range s.parts {
			if m.given || p.table() == d.whole.Source.SHA256 {
				continue
			}
			found, err := d.recognised(m, p)
			if err != nil {
				return err
			}
			if found == nil {
				continue // no prints
			}
			share := func(sessions []string) (least float64, certain bool) {
				least, certain = 1, true
				for _, f := range found {
					if slices.Contains(sessions, f.session) {
						least, certain = min(least, f.share), certain && f.certain
					}
				}
				return least, certain
			}
			before, sureBefore := share(j.baseline)
			for _, f := range j.followUp {
				if after, sure := share(f); before > 0 && after > 0 && !(sure && sureBefore) {
					d.caveats = append(d.caveats, caveat.New(retest.MostlyOwnNoise, before, after).About(m.measure.Name).
						With(strings.Join(j.baseline, "+"), strings.Join(f, "+")))
				}
			}
		}
	}
	return nil
}
