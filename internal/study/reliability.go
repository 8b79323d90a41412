package study

import (
	"errors"
	"slices"
	"strings"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/cell"
	"noisefloor/analysis/decision"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/internal/cohort"
)

// ErrNoSessions is a table without a session column.
var ErrNoSessions = errors.New("reliability needs sessions, and no column was taken for them: " +
	"name it with --column session=NAME")

func (r *Reliability) check() error {
	r.origin("agreement", len(r.Agreement) > 0)
	if n := len(r.Agreement); n != 0 && n != 2 {
		return requestError("agreement", "wants two sessions, such as 1,2")
	}
	r.origin("power", r.Power != 0)
	if r.Power == 0 {
		r.Power = decision.DefaultPower
	}
	if !(r.Power > 0 && r.Power < 1) {
		return requestError("power", "%g: want a share above 0 and below 1, such as 0.8", r.Power)
	}
	return r.resamples()
}

func (r *Reliability) settle(d *desk) error {
	measures, err := d.open()
	if err != nil {
		return err
	}
	if d.used.NoSessionColumn {
		return ErrNoSessions
	}
	if r.Origins["sessions"] == ByDefault && len(r.Sessions) > 2 {
		d.caveats = append(d.caveats, caveat.New(caveat.AllSessions).With(r.Sessions...))
	}
	if err := r.pair(d); err != nil {
		return err
	}
	r.Origins["worthwhile"] = worthwhileOrigin(&r.Common, measures)
	for _, m := range measures {
		if err := d.worthwhile(m); err != nil {
			return err
		}
	}
	return d.levels(d.used)
}

// resamples settles how many bootstrap samples are drawn.
func (c *Common) resamples() error {
	c.origin("replicates", c.Replicates != 0)
	if c.Replicates == 0 {
		c.Replicates = 2000
	}
	if c.Replicates < 200 || c.Replicates > 1_000_000 {
		return requestError("replicates", "%d: want 200 to 1000000; fewer resamples make no interval", c.Replicates)
	}
	return nil
}

// worthwhileOrigin says where the worthwhile changes come from.
func worthwhileOrigin(c *Common, measures []*cohort.Measure) Origin {
	if known, again := c.before["worthwhile"]; again {
		return known
	}
	stated := func(m *cohort.Measure) bool { return m.Worthwhile != nil }
	switch {
	case c.Worthwhile != "":
		return FromRequest
	case slices.ContainsFunc(measures, stated):
		return FromDictionary
	}
	return ByDefault
}

// pair settles the two sessions whose agreement is shown.
func (r *Reliability) pair(d *desk) error {
	for i, s := range r.Agreement {
		found, err := sessionNames(d.used, []string{s})
		if err != nil {
			return err
		}
		r.Agreement[i] = found[0]
	}
	return nil
}

func (r *Reliability) run(d *desk) (Outcome, error) {
	out := &ReliabilityResult{}
	failed, err := d.eachTest(func(m *cohort.Measure) error { return r.measure(d, m, out) })
	out.Failed = append(out.Failed, failed...)
	return Outcome{Result: out}, err
}

// measure analyses one measure, and each group on its own when groups were
// asked for.
func (r *Reliability) measure(d *desk, m *cohort.Measure, out *ReliabilityResult) error {
	scores, o, err := r.options(d, d.used, m)
	if err != nil {
		return err
	}
	o.Group = d.groups
	result, err := reliability.Analyse(scores, o)
	if err != nil {
		return err
	}
	out.Measures = append(out.Measures, MeasureResult{m, "", result})
	if r.Origins["by"] == FromRequest {
		o.Group = nil
		out.each(m, scores, d.groups, o)
	}
	return nil
}

// options are those of one measure in the sessions of t.
func (r *Reliability) options(d *desk, t *cohort.Table, m *cohort.Measure) (score.Table, reliability.Options, error) {
	scores, err := d.scores(t, m)
	if err != nil {
		return scores, reliability.Options{}, err
	}
	w, err := d.worthwhileOf(t, m, scores)
	if err != nil {
		return scores, reliability.Options{}, err
	}
	o := reliability.Options{Level: r.Confidence, Scale: score.Scale(r.Tests[m.Name].Scale), Worthwhile: w,
		Missing: r.absent(), Seed: r.Seed, Replicates: r.Replicates, Bootstrap: r.Bootstrap,
		Power: r.Power}
	if r.Score == string(score.Mean) {
		o.Attempts = cells(t, m, cell.Options{Log: o.Scale == score.Log})
	}
	if len(r.Agreement) == 2 {
		o.Pair = [2]string{r.Agreement[0], r.Agreement[1]}
	}
	return scores, o, nil
}

// each analyses the athletes of each group on their own.
func (r *ReliabilityResult) each(m *cohort.Measure, scores score.Table, groups []string, o reliability.Options) {
	for _, g := range slices.Compact(slices.Sorted(slices.Values(groups))) {
		if g == "" {
			continue
		}
		rows := athletesOf(groups, g)
		result, err := reliability.Analyse(ofGroup(scores, o, rows))
		if err != nil {
			r.Failed = append(r.Failed, Failed{m.Name, g, err})
			continue
		}
		r.Measures = append(r.Measures, MeasureResult{m, g, result})
	}
}

// ofGroup takes the athletes of a group.
func ofGroup(scores score.Table, o reliability.Options, rows []int) (score.Table, reliability.Options) {
	o.Attempts = nil // the components of a group are for a study of its own: --where
	if o.Worthwhile.Outcome != nil {
		o.Worthwhile.Outcome = pick(o.Worthwhile.Outcome, rows)
	}
	return scores.Rows(rows), o
}

// athletesOf are the indices of the athletes of a group.
func athletesOf(groups []string, group string) []int {
	var rows []int
	for i, g := range groups {
		if g == group {
			rows = append(rows, i)
		}
	}
	return rows
}

func pick[T any](x []T, rows []int) []T {
	if x == nil {
		return nil
	}
	out := make([]T, len(rows))
	for i, r := range rows {
		out[i] = x[r]
	}
	return out
}

// SessionList names sessions in a sentence: "sessions 1, 2".
func SessionList(s []string) string {
	if len(s) == 1 {
		return "session " + s[0]
	}
	return "sessions " + strings.Join(s, ", ")
}
