package study

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/internal/cohort"
	"noisefloor/internal/names"
)

// A desk is where one request is worked on: its tables, and what was found
// while it was resolved.
type desk struct {
	host      *Host
	request   *Common
	whole     *cohort.Table // as read
	rows      *cohort.Table // narrowed by the conditions
	used      *cohort.Table // and by the sessions
	by        string        // column of the groups, "" for none
	groups    []string      // of each athlete of used; nil for none
	caveats   []caveat.Caveat
	judging   *judging   // of a retest
	comparing *comparing // of a correlate
	profiling *profiling
	norming   *norming // of norms
}

// A Resolved is a request with nothing left open, and the tables it is about.
type Resolved struct {
	Request Request
	desk    *desk
}

// Resolve closes every open matter of r: which sessions, measures, directions,
// scales, worthwhile changes, groups and noise, each with its origin. r itself is
// not changed. A name that matches nothing is a [*NameError], a choice that
// makes no sense a [*RequestError]; every other error is the data's.
func Resolve(r Request, h *Host) (*Resolved, error) {
	r = copied(r)
	c := r.common()
	c.before = c.Origins
	c.Version, c.Origins, c.Inputs = h.Version, map[string]Origin{}, nil
	if err := c.defaults(); err != nil {
		return nil, err
	}
	if r, has := r.(checker); has {
		if err := r.check(); err != nil {
			return nil, err
		}
	}
	d := &desk{host: h, request: c}
	if _, without := r.(tableless); !without {
		if err := d.load(); err != nil {
			return nil, err
		}
	}
	if err := r.settle(d); err != nil {
		return nil, err
	}
	c.before = nil
	return &Resolved{Request: r, desk: d}, nil
}

// Run works the request out.
func (r *Resolved) Run() (Outcome, error) {
	o, err := r.Request.run(r.desk)
	if err != nil {
		return Outcome{}, err
	}
	o.Request, o.Table, o.Whole, o.desk = r.Request, r.desk.used, r.desk.whole, r.desk
	o.Caveats = append(r.desk.caveats, o.Caveats...)
	return o, nil
}

// Run resolves a request and works it out.
func Run(r Request, h *Host) (Outcome, error) {
	resolved, err := Resolve(r, h)
	if err != nil {
		return Outcome{}, err
	}
	return resolved.Run()
}

// defaults fills what needs no table, and refuses what no table can meet.
func (c *Common) defaults() error {
	for _, field := range []struct {
		to   *string
		name string
		all  []string // the first is the default
	}{
		{&c.Scale, "scale", []string{"auto", string(score.Raw), string(score.Log)}},
		{&c.Missing, "missing-sessions", []string{"all", "complete"}},
	} {
		c.origin(field.name, *field.to != "")
		if *field.to == "" {
			*field.to = field.all[0]
		}
		if !slices.Contains(field.all, *field.to) {
			return requestError(field.name, "%q: %s", *field.to, either(field.all))
		}
	}
	if summaries := []string{"mean", "best", "median", "first"}; c.Score != "" && !slices.Contains(summaries, c.Score) {
		return requestError("score", "%q: %s", c.Score, either(summaries))
	}
	c.origin("confidence", c.Confidence != 0)
	if c.Confidence == 0 {
		c.Confidence = 0.95
	}
	if !(c.Confidence >= 0.5 && c.Confidence < 1) {
		return requestError("confidence", "%g: want a level from 0.5 to below 1", c.Confidence)
	}
	if c.Table.Dictionary != "" && c.Table.NoDictionary {
		return requestError("dictionary", "a dictionary is named, and none is to be used: drop one of the two")
	}
	if c.Worthwhile != "" {
		if _, err := ParseWorthwhile(c.Worthwhile); err != nil {
			return requestError("worthwhile", "%q: %v", c.Worthwhile, err)
		}
	}
	return nil
}

// origin notes whether a choice was asked for. A request that was resolved
// before keeps its origins: running it again is no new decision.
func (c *Common) origin(name string, asked bool) {
	switch known, again := c.before[name]; {
	case again:
		c.Origins[name] = known
	case asked:
		c.Origins[name] = FromRequest
	default:
		c.Origins[name] = ByDefault
	}
}

// score settles how attempts become scores, when no noise file says it.
func (c *Common) summary() {
	c.origin("score", c.Score != "")
	if c.Score == "" {
		c.Score = string(score.Mean)
	}
}

// load reads the table and narrows it.
func (d *desk) load() (err error) {
	c := d.request
	if d.whole, err = d.host.table(c.Table); err != nil {
		return asRequest(err)
	}
	if err := d.host.noteTable(c, "table", d.whole); err != nil {
		return err
	}
	if doubt := d.whole.OrderDoubt; doubt != "" {
		d.caveats = append(d.caveats, caveat.New(caveat.OrderInDoubt).With(append([]string{doubt},
			d.whole.Sessions...)...))
	}
	d.rows, err = where(d.whole, c.Table.Where)
	return err
}

// where narrows a table by conditions.
func where(t *cohort.Table, conditions []string) (*cohort.Table, error) {
	if len(conditions) == 0 {
		return t, nil
	}
	t, err := t.Where(conditions)
	return t, asRequest(err)
}

// open settles what a question about session scores starts from: how attempts
// become scores, the sessions, the tests.
func (d *desk) open() ([]*cohort.Measure, error) {
	d.request.summary()
	if err := d.sessions(); err != nil {
		return nil, err
	}
	measures, err := d.tests(d.used)
	if err != nil {
		return nil, err
	}
	d.caveatBest(measures)
	d.caveatFarOff(measures)
	return measures, nil
}

// eachTest asks f about every test of the request. A test that f cannot answer is
// left out with its reason; none at all is an error, and so is a choice or a name that
// makes no sense.
func (d *desk) eachTest(f func(*cohort.Measure) error) ([]Failed, error) {
	var failed []Failed
	for _, name := range d.request.Measures {
		m, err := d.used.Measure(name)
		if err != nil {
			return nil, err
		}
		err = f(m)
		if wrong, unknown := (*RequestError)(nil), (*names.Error)(nil); errors.As(err, &wrong) || errors.As(err, &unknown) {
			return nil, err
		}
		if err != nil {
			failed = append(failed, Failed{m.Name, "", err})
		}
	}
	if len(failed) == len(d.request.Measures) {
		return failed, nothing(failed)
	}
	return failed, nil
}

// nothing is the error of a question that no test could answer.
func nothing(failed []Failed) error {
	var reasons []string
	for _, f := range failed {
		reasons = append(reasons, f.Measure+f.of()+": "+f.Err.Error())
	}
	return fmt.Errorf("no test could be analysed: %s", strings.Join(reasons, "; "))
}

// sessions settles which sessions are used: those named, else all.
func (d *desk) sessions() error {
	c := d.request
	c.origin("sessions", len(c.Sessions) > 0)
	chosen, err := sessionNames(d.rows, c.Sessions)
	if err != nil {
		return err
	}
	d.used = d.rows
	if len(chosen) > 0 {
		if d.used, err = d.rows.SelectSessions(chosen); err != nil {
			return asRequest(err)
		}
	}
	c.Sessions = d.used.Sessions
	return nil
}

// tests settles which measures are looked at, in t: those named, else all but
// the covariates; and for each which way is better and on which scale it is
// analysed.
func (d *desk) tests(t *cohort.Table) ([]*cohort.Measure, error) {
	c := d.request
	c.origin("measures", len(c.Measures) > 0)
	chosen, err := measureNames(t, c.Measures)
	if err != nil {
		return nil, err
	}
	if err := d.directions(); err != nil {
		return nil, err
	}
	var out []*cohort.Measure
	for _, m := range t.Measures {
		if slices.Contains(chosen, m.Name) || len(c.Measures) == 0 && m.Role != "covariate" {
			out = append(out, m)
		}
	}
	c.Measures = nil
	for _, m := range out {
		c.Measures = append(c.Measures, m.Name)
	}
	return out, nil
}

// directions settles which way each measure improves: as the request says, else
// the dictionary. Without either nobody said.
func (d *desk) directions() error {
	c := d.request
	lower, err := measureNames(d.whole, c.Lower)
	if err != nil {
		return err
	}
	given := c.Tests
	c.Tests = map[string]Test{}
	c.origin("better", len(c.Lower) > 0 || len(given) > 0)
	for _, m := range d.whole.Measures {
		t := given[m.Name]
		switch {
		case t.Better != "":
		case len(c.Lower) > 0:
			t.Better = "higher"
			if slices.Contains(lower, m.Name) {
				t.Better = "lower"
			}
		default:
			t.Better = d.dictionaryBetter(m)
			if t.Better != "unknown" {
				c.Origins["better"] = FromDictionary
			}
		}
		if t.Scale == "" {
			t.Scale = c.scaleOf(m)
		}
		c.Tests[m.Name] = t
	}
	c.Lower = nil
	for _, name := range slices.Sorted(maps.Keys(c.Tests)) {
		if c.Tests[name].Better == "lower" {
			c.Lower = append(c.Lower, name)
		}
	}
	return nil
}

// dictionaryBetter is what the dictionary says of a measure; one that it
// describes without a word on the matter is better higher. Not where the signs of
// correlations are compared: there a sprint whose direction was forgotten would
// count for the opposite of what it shows, so that nobody said counts as nobody said.
func (d *desk) dictionaryBetter(m *cohort.Measure) string {
	_, described := d.whole.Dictionary.Measure(m.Name)
	switch {
	case m.Better == "lower":
		return "lower"
	case m.Better == "higher", described && d.comparing == nil:
		return "higher"
	}
	return "unknown"
}

// scaleOf is the request's scale, else the dictionary's, else raw.
func (c *Common) scaleOf(m *cohort.Measure) string {
	switch {
	case c.Scale != "auto":
		return c.Scale
	case m.Scale == string(score.Log):
		return string(score.Log)
	}
	return string(score.Raw)
}

// better is the direction settled for a measure.
func (c *Common) better(measure string) score.Direction {
	switch c.Tests[measure].Better {
	case "higher":
		return score.Higher
	case "lower":
		return score.Lower
	}
	return score.Unknown
}

// levels settles the groups of the athletes of t: the column named, else the
// column with the role of the level when it says one level for each athlete and
// there are two or more. The same rule holds for every question.
func (d *desk) levels(t *cohort.Table) error {
	c := d.request
	c.origin("by", c.By != "")
	switch c.By {
	case "none":
		return nil
	case "":
		return d.defaultLevels(t)
	}
	a, err := attribute(t, c.By)
	if err != nil {
		return err
	}
	if d.groups, err = t.AthleteTexts(a); err != nil {
		return fmt.Errorf("%w (or --by none)", err)
	}
	c.By, d.by = a, a
	return nil
}

func (d *desk) defaultLevels(t *cohort.Table) error {
	d.request.By = "none"
	name, groups, doubts := levelsOf(t, 2)
	d.caveats = append(d.caveats, doubts...)
	if name != "" {
		d.groups, d.by, d.request.By = groups, name, name
		d.request.Origins["by"] = FromTable
	}
	return nil
}

// levelsOf are the levels that a table says of its athletes, when it says so many
// at least.
func levelsOf(t *cohort.Table, least int) (name string, groups []string, doubts []caveat.Caveat) {
	for _, a := range t.Attributes {
		if a.Role != "level" {
			continue
		}
		groups, err := t.AthleteTexts(a.Name)
		if err != nil {
			doubts = append(doubts, caveat.New(caveat.LevelsDiffer).With(a.Name))
			continue
		}
		if distinct(groups) >= least {
			return a.Name, groups, doubts
		}
	}
	return "", nil, doubts
}

// distinct counts the groups that are named.
func distinct(groups []string) int {
	seen := map[string]bool{}
	for _, g := range groups {
		if g != "" {
			seen[g] = true
		}
	}
	return len(seen)
}

// worthwhile settles the worthwhile change of a measure: the request's, else
// the dictionary's, else 0.2 of the true SD.
func (d *desk) worthwhile(m *cohort.Measure) error {
	c := d.request
	t := c.Tests[m.Name]
	switch {
	case t.Worthwhile != "":
	case c.Worthwhile != "":
		t.Worthwhile = c.Worthwhile
	case m.Worthwhile != nil:
		t.Worthwhile = fmt.Sprintf("unit:%v", *m.Worthwhile)
	default:
		t.Worthwhile = "true:0.2"
	}
	w, err := ParseWorthwhile(t.Worthwhile)
	if err != nil {
		return requestError("worthwhile", "%q: %v", t.Worthwhile, err)
	}
	if w.Basis == Anchored {
		if _, err := measureNames(d.whole, []string{w.Outcome}); err != nil {
			return err
		}
	}
	c.Tests[m.Name] = t
	return nil
}

// caveatBest says that the highest attempt was taken for the best where nobody
// said which way is better.
func (d *desk) caveatBest(measures []*cohort.Measure) {
	if d.request.Score != string(score.Best) {
		return
	}
	var names []string
	for _, m := range measures {
		if d.request.better(m.Name) == score.Unknown {
			names = append(names, m.Name)
		}
	}
	if len(names) > 0 {
		d.caveats = append(d.caveats, caveat.New(caveat.BestIsHighest).About(names...))
	}
}

// absent is what the analysis does with athletes that lack a session.
func (c *Common) absent() reliability.Missing {
	if c.Missing == "complete" {
		return reliability.CompleteCases
	}
	return reliability.AllScores
}

// geometricMean is the mean of positive scores on the log scale, turned back;
// NaN when there is a score that has no logarithm.
func geometricMean(t score.Table) float64 {
	logs, err := t.Log()
	if err != nil {
		return math.NaN() // the analysis refuses the log scale, and says why
	}
	return math.Exp(logs.Mean())
}

// CommonOf returns what a request shares with every other.
func CommonOf(r Request) *Common { return r.common() }

// Direction is which way a measure improves, as it was settled.
func Direction(r Request, measure string) score.Direction { return r.common().better(measure) }
