package study

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/internal/cohort"
)

// A judging is what Resolve works out for a retest, and Run uses.
type judging struct {
	models   []modelled
	failed   []Failed
	baseline []string
	followUp [][]string
	rows     []int // athletes asked for; nil means all
}

func (r *Retest) check() error {
	if err := r.checkNoise(); err != nil {
		return err
	}
	if err := r.checkSeason(); err != nil {
		return err
	}
	return r.levelsOfIntervals()
}

func (r *Retest) settle(d *desk) error {
	d.used = d.rows
	measures, err := d.tests(d.used)
	if err != nil {
		return err
	}
	source, err := r.source(d, measures)
	if err != nil {
		return err
	}
	if err := r.worthwhiles(d, measures); err != nil {
		return err
	}
	j, err := r.judging(d, measures, source)
	if err != nil {
		return err
	}
	d.caveatBest(measures)
	d.caveatFarOff(measures)
	d.judging = j
	return nil
}

// checkNoise wants the noise of a study from one place.
func (r *Retest) checkNoise() error {
	switch {
	case len(r.Noise) == 0 && len(r.NoiseFrom) == 0 && len(r.TypicalErrors) == 0:
		return missing("noise", "the noise is missing: --noise FILE (from 'noisefloor reliability --save-noise'), "+
			"or --noise-from SESSIONS with no training between them, or --typical-error 'NAME=VALUE' from elsewhere")
	case len(r.Noise) > 0 && len(r.NoiseFrom) > 0:
		return missing("noise", "--noise and --noise-from exclude each other")
	case r.OwnNoise && len(r.NoiseFrom) == 0:
		return requestError("own-noise", "noise from elsewhere holds no athlete: take it from sessions of this table "+
			"(--noise-from)")
	case r.OwnNoise && r.Season:
		return requestError("own-noise", "a season is watched by the noise of all athletes: leave --own-noise or --season out")
	case len(r.NoiseFrom) == 1:
		return requestError("noise-from", "wants at least two sessions, such as 1,2")
	}
	return nil
}

func (r *Retest) levelsOfIntervals() error {
	r.origin("narrow", r.Narrow != 0)
	if r.Narrow == 0 {
		r.Narrow = 0.80
		if r.Confidence <= 0.80 {
			r.Narrow = math.Round(100*r.Confidence-10) / 100
		}
	}
	if r.Narrow >= r.Confidence {
		return requestError("narrow", "%g: want a level below --confidence %g", r.Narrow, r.Confidence)
	}
	return nil
}

// source settles where the noise comes from.
func (r *Retest) source(d *desk, measures []*cohort.Measure) (*noiseSource, error) {
	r.origin("noise", true)
	s, err := d.noiseOf(r.Noise, &r.NoiseFrom, measures)
	if err != nil {
		return nil, err
	}
	s.given = r.TypicalErrors
	return s, d.typicalErrors(s.given)
}

// noiseOf is the noise of files, else of sessions of the table, else of no study. The
// names of the sessions become those of the table.
func (d *desk) noiseOf(files Files, from *[]string, measures []*cohort.Measure) (*noiseSource, error) {
	if len(files) > 0 {
		return d.noiseFiles(files, measures)
	}
	d.request.summary()
	if len(*from) == 0 {
		return &noiseSource{}, nil
	}
	sessions, err := sessionNames(d.used, *from)
	if err != nil {
		return nil, err
	}
	*from = sessions
	study := &Reliability{Common: *d.request}
	study.Replicates = 2000
	return d.noiseSessions(study, sessions)
}

// worthwhiles settles the worthwhile change of each test. A noise file brings
// its own, which only a fixed value replaces.
func (r *Retest) worthwhiles(d *desk, measures []*cohort.Measure) error {
	alone := len(r.Noise) == 0 && len(r.NoiseFrom) == 0
	if (len(r.Noise) > 0 || alone) && r.Worthwhile != "" {
		if w, err := ParseWorthwhile(r.Worthwhile); err == nil && w.Basis != Fixed {
			if alone {
				return requestError("worthwhile", "%s wants a noise study, and a typical error alone is none: here only "+
					"fixed:VALUE", r.Worthwhile)
			}
			return requestError("worthwhile", "%s belongs to the reliability study: make the noise file with it; "+
				"here only fixed:VALUE", r.Worthwhile)
		}
	}
	r.Origins["worthwhile"] = worthwhileOrigin(&r.Common, measures)
	switch {
	case r.Worthwhile != "":
	case alone:
		r.Origins["worthwhile"] = FromGiven
	case len(r.Noise) > 0:
		r.Origins["worthwhile"] = FromNoise
	}
	for _, m := range measures {
		if err := d.worthwhile(m); err != nil {
			return err
		}
	}
	return nil
}

// judging settles athletes, noise and occasions, and refuses noise that comes
// from the very change it would judge.
func (r *Retest) judging(d *desk, measures []*cohort.Measure, s *noiseSource) (*judging, error) {
	j := &judging{}
	var err error
	if j.rows, err = r.athletes(d.used); err != nil {
		return nil, err
	}
	groups, err := r.groups(d, s)
	if err != nil {
		return nil, err
	}
	if err := d.givenLevels(s.given); err != nil {
		return nil, err
	}
	theirs := slices.DeleteFunc(slices.Clone(groups), func(g group) bool {
		return j.rows != nil && g.rows != nil && len(both(j.rows, g.rows)) == 0
	})
	if len(theirs) == 0 {
		return nil, fmt.Errorf("none of the athletes asked for has a value of %s, so no noise is theirs", r.By)
	}
	if r.alone(j) {
		groups = theirs
	}
	if j.models, j.failed, err = d.models(measures, groups, s); err != nil {
		return nil, err
	}
	for _, m := range j.models {
		d.caveatGiven(m)
	}
	r.caveatNoWorthwhile(d, j.models)
	d.caveatStudies(j.models)
	r.caveatPooled(d, s, j.models)
	if err := r.occasions(d.used, j, s); err != nil {
		return nil, err
	}
	r.caveatGaps(d, j)
	r.Measures = nil
	for _, m := range j.models {
		if !slices.Contains(r.Measures, m.measure.Name) {
			r.Measures = append(r.Measures, m.measure.Name)
		}
	}
	for _, f := range j.failed {
		d.caveats = append(d.caveats,
			caveat.New(caveat.NotJudged).About(f.Measure).With(strings.TrimSpace(f.of()+" "+f.Err.Error())))
	}
	return j, r.caveatOwn(d, j, s)
}

// groups are those whose noise is told apart: each level of the table, or the
// groups of --by; with none, all athletes together. Whoever is in no group is not
// judged, and that is said.
func (r *Retest) groups(d *desk, s *noiseSource) ([]group, error) {
	if err := r.levelsFor(d, s); err != nil {
		return nil, err
	}
	if d.groups == nil {
		return []group{{}}, nil
	}
	if none := athletesOf(d.groups, ""); len(none) > 0 {
		names := []string{r.By}
		for _, i := range none {
			names = append(names, d.used.Athletes[i])
		}
		d.caveats = append(d.caveats, caveat.New(caveat.NoGroup).With(names...))
	}
	return groupsOf(d.groups), nil
}

// levelsFor settles the groups: those of the noise file, which are its athletes'
// also where the table has one of them only, else as for every question.
func (r *Retest) levelsFor(d *desk, s *noiseSource) error {
	switch {
	case s.oneForAll() && r.By == "":
		r.origin("by", false)
		r.By = "none"
		return nil
	case s.file == nil || r.By == "none":
		return d.levels(d.used)
	case s.file.By == "" && r.By != "":
		return requestError("by", "%s: %s holds one noise for all; make it again from a table that says the level of "+
			"each athlete, or with reliability --by, or take it from sessions of this table (--noise-from)", r.By, s.name)
	case s.file.By == "":
		r.origin("by", false)
		r.By = "none"
		return nil
	case r.By == "":
		name, groups, doubts := levelsOf(d.used, 1)
		d.caveats = append(d.caveats, doubts...)
		r.origin("by", false)
		if r.By = "none"; name != "" {
			r.By, d.by, d.groups = name, name, groups
			r.Origins["by"] = FromTable
		}
		return nil
	}
	return d.levels(d.used)
}

// caveatPooled says what one noise for all does in each level: how large its own
// error is, and how often a change of nobody is called past the noise there. That is
// 2 Φ(-t TE/TE_level), both errors taken as they were found.
func (r *Retest) caveatPooled(d *desk, s *noiseSource, models []modelled) {
	_, of, _ := levelsOf(d.used, 2)
	for _, m := range models {
		if m.shared {
			d.caveatShared(m, groupsOf(of))
			continue
		}
		if r.By != "none" {
			continue
		}
		c := caveat.New(retest.PooledLevels, m.noise.TypicalError).About(m.measure.Name)
		t := dist.TQuantile(0.5+r.Confidence/2, m.noise.DF)
		for _, g := range groupsOf(of) {
			own, err := s.find(m.measure, g)
			if err != nil {
				continue
			}
			c.Names = append(c.Names, g.name)
			c.Numbers = append(c.Numbers, own.TypicalError,
				2*dist.NormalCDF(-t*m.noise.TypicalError/own.TypicalError))
		}
		switch levels := groupsOf(of); {
		case len(c.Names) == 0:
			d.caveatShared(m, levels)
		case len(c.Names) > 1:
			c.Names = append(c.Names, string(m.noise.Scale))
			d.caveats = append(d.caveats, c)
		}
	}
}

// caveatShared says that levels are judged by one noise that does not tell them apart.
func (d *desk) caveatShared(m modelled, levels []group) {
	c := caveat.New(retest.LevelsShareNoise).About(m.measure.Name)
	for _, g := range levels {
		c.Names = append(c.Names, g.name)
	}
	if len(c.Names) > 1 {
		d.caveats = append(d.caveats, c)
	}
}

// athletes settles whom the request asks for; nil means all.
func (r *Retest) athletes(t *cohort.Table) ([]int, error) {
	r.origin("athletes", len(r.Athletes) > 0)
	found, err := athleteNames(t, r.Athletes)
	if err != nil {
		return nil, err
	}
	var rows []int
	for _, a := range found {
		rows = append(rows, slices.Index(t.Athletes, a))
	}
	r.Athletes = found
	return rows, nil
}

// occasions settles which sessions are compared: the baseline, by default the
// sessions that showed the noise, and each follow-up, by default every later
// session outside the noise study.
func (r *Retest) occasions(t *cohort.Table, j *judging, s *noiseSource) error {
	first, studied := r.studied(t, j.models, s)
	r.origin("baseline", r.Baseline != "")
	r.origin("follow-up", len(r.FollowUp) > 0)
	if err := r.doubtful(t); err != nil {
		return err
	}
	var err error
	if j.baseline, err = r.baseline(t, first); err != nil {
		return err
	}
	for _, f := range r.FollowUp {
		sessions, err := joined(t, f)
		if err != nil {
			return err
		}
		j.followUp = append(j.followUp, sessions)
	}
	if err := afterBaseline(t, j.baseline, j.followUp); err != nil {
		return err
	}
	if len(j.followUp) == 0 {
		j.followUp = later(t, j.baseline, studied)
	}
	if len(j.followUp) == 0 {
		return fmt.Errorf("no session after %s to judge; the table has %s", strings.Join(j.baseline, "+"),
			SessionList(t.Sessions))
	}
	r.Baseline, r.FollowUp = strings.Join(j.baseline, "+"), nil
	for _, f := range j.followUp {
		r.FollowUp = append(r.FollowUp, strings.Join(f, "+"))
	}
	return nil
}

// doubtful refuses to take the order of sessions from a table that does not tell
// it: newest first, every rise would be a fall.
func (r *Retest) doubtful(t *cohort.Table) error {
	if t.OrderDoubt == "" || r.Baseline != "" && len(r.FollowUp) > 0 {
		return nil
	}
	return fmt.Errorf("which session came first? %s, and the table has %s; say so with --baseline and --follow-up, "+
		"or write dates as yyyy-mm-dd", t.OrderDoubt, SessionList(t.Sessions))
}

func (r *Retest) baseline(t *cohort.Table, studied []string) ([]string, error) {
	switch {
	case r.Baseline != "":
		return joined(t, r.Baseline)
	case len(studied) > 0:
		return slices.Clone(studied), nil
	}
	return []string{t.Sessions[0]}, nil
}

// afterBaseline refuses a follow-up that does not come after its baseline: every
// rise would be a fall. Where the table does not tell the order of its sessions,
// the request is the only one who knows.
func afterBaseline(t *cohort.Table, baseline []string, followUp [][]string) error {
	if t.OrderDoubt != "" {
		return nil
	}
	for _, f := range followUp {
		for _, b := range baseline {
			for _, s := range f {
				if slices.Index(t.Sessions, s) <= slices.Index(t.Sessions, b) {
					return requestError("follow-up", "%s: session %s does not come after session %s of the baseline, "+
						"so a rise would be called a fall; the order of the sessions is %s", strings.Join(f, "+"), s, b,
						strings.Join(t.Sessions, ", "))
				}
			}
		}
	}
	return nil
}

// later are the sessions after the baseline that are not of the noise study.
func later(t *cohort.Table, baseline, studied []string) [][]string {
	var out [][]string
	last := slices.Index(t.Sessions, baseline[len(baseline)-1])
	for i, s := range t.Sessions {
		if i > last && !slices.Contains(studied, s) {
			out = append(out, []string{s})
		}
	}
	return out
}

// joined takes a+b apart, unless a session has that very name: names may hold a
// plus themselves.
func joined(t *cohort.Table, s string) ([]string, error) {
	if parts := splitNames(t.Sessions, s); parts != nil {
		return parts, nil
	}
	var out []string
	for part := range strings.SplitSeq(s, "+") {
		found, err := sessionNames(t, []string{part})
		if err != nil {
			return nil, err
		}
		out = append(out, found...)
	}
	return out, nil
}

// splitNames returns the names, joined by plus signs, that s is made of; nil
// when it is not.
func splitNames(all []string, s string) []string {
	if slices.Contains(all, s) {
		return []string{s}
	}
	for _, n := range all {
		if rest, ok := strings.CutPrefix(s, n+"+"); ok {
			if parts := splitNames(all, rest); parts != nil {
				return append([]string{n}, parts...)
			}
		}
	}
	return nil
}

// studied are the sessions of this table that showed the noise: those of
// --noise-from, or of the noise files that were made from this very table; and those
// of the earliest of these studies.
func (r *Retest) studied(t *cohort.Table, models []modelled, s *noiseSource) (first, all []string) {
	if s.file == nil {
		return r.NoiseFrom, r.NoiseFrom
	}
	for _, p := range s.parts {
		if p.table() != t.Source.SHA256 {
			continue
		}
		for _, m := range models {
			n, ok := p.file.Find(m.measure.Name, m.noise.Group)
			if !ok || len(n.Sessions) == 0 {
				continue
			}
			all = append(all, n.Sessions...)
			if len(first) == 0 || slices.Index(t.Sessions, n.Sessions[0]) < slices.Index(t.Sessions, first[0]) {
				first = n.Sessions
			}
			break
		}
	}
	has := func(list []string) (out []string) {
		for _, s := range t.Sessions {
			if slices.Contains(list, s) {
				out = append(out, s)
			}
		}
		return out
	}
	return has(first), has(all)
}

func (r *Retest) run(d *desk) (Outcome, error) {
	o := retest.Options{Level: r.Confidence, Narrow: r.Narrow, Regression: r.Regression, Learning: r.Learning}
	o.UpTo, o.Cohort, o.Own = true, true, r.OwnNoise
	o.Sight, o.Season = true, r.seasonPlan(d)
	if r.alone(d.judging) {
		o.Family = r.Athletes
	}
	result, err := r.judge(d, o, false)
	if err == nil && len(r.Athletes) > 0 {
		if result = result.Of(r.Athletes); len(result.Changes) == 0 {
			return Outcome{}, fmt.Errorf("%w: %s: %s", retest.ErrNothing, strings.Join(r.Athletes, ", "),
				d.judging.why(result.LeftOut))
		}
		o.UpTo, o.Cohort = false, false
		var own retest.Result // the doubts are those about the athletes shown
		own, err = r.judge(d, o, true)
		result.Caveats = append(own.Caveats, unbelieved(result)...)
		if r.alone(d.judging) && len(result.Changes) > 0 {
			result.Caveats = append(result.Caveats, caveat.New(retest.JudgedAlone).With(r.Athletes...))
		}
	}
	putGaps(d.whole, &result)
	return Outcome{Result: &result}, err
}

// unbelieved are the doubts about the cohort, of the tests that are still shown without
// a best estimate: they are about all athletes, not those shown.
func unbelieved(r retest.Result) []caveat.Caveat {
	without := map[string]bool{}
	for _, c := range r.Changes {
		without[c.Measure] = without[c.Measure] || c.Best == nil
	}
	return slices.DeleteFunc(slices.Clone(r.Caveats), func(c caveat.Caveat) bool {
		return c.Kind != retest.FewToBelieve ||
			!slices.ContainsFunc(c.Measures, func(m string) bool { return without[m] })
	})
}

// judge judges everybody, or the athletes asked for alone.
func (r *Retest) judge(d *desk, o retest.Options, asked bool) (retest.Result, error) {
	var tests []retest.Test
	for _, m := range d.judging.models {
		if asked {
			if m.rows = both(d.judging.rows, m.rows); m.rows != nil && len(m.rows) == 0 {
				continue // none of them is of this level
			}
		}
		test, err := r.test(d, m)
		if err != nil {
			return retest.Result{}, err
		}
		tests = append(tests, test)
	}
	return retest.Judge(tests, o)
}

// why says for which reasons nobody who was asked for could be judged: the tests that have
// no noise for them among these.
func (j *judging) why(left []retest.LeftOut) string {
	out := whyNot(left)
	for _, f := range j.failed {
		out = strings.TrimPrefix(out+"; "+f.Measure+f.of()+": "+f.Err.Error(), "; ")
	}
	return out
}

// whyNot lists the reasons for which athletes could not be judged, each once.
func whyNot(all []retest.LeftOut) string {
	var out []string
	for _, l := range all {
		if why := strings.ReplaceAll(string(l.Reason), "-", " "); !slices.Contains(out, why) {
			out = append(out, why)
		}
	}
	return strings.Join(out, ", ")
}

// alone reports whether one athlete and one test were asked for by name: they are
// judged by themselves. Of every other call the changes are one family, whoever is
// shown: a family of an athlete's own would find something false in half of them.
func (r *Retest) alone(j *judging) bool {
	return len(j.rows) == 1 && r.Origins["measures"] == FromRequest && len(r.Measures) == 1
}

// test builds one test for the judge.
func (r *Retest) test(d *desk, m modelled) (retest.Test, error) {
	how := score.Summary(r.Score)
	if m.noise.Summary != "" {
		how = m.noise.Summary
	}
	scores, err := d.scoresBy(d.used, m.measure, how)
	if err != nil {
		return retest.Test{}, err
	}
	out := retest.Test{Summary: how, Measure: m.measure.Name, Unit: m.measure.Unit, Better: r.better(m.measure.Name),
		Noise: m.noise, Studied: m.studied, Baseline: d.judging.baseline, FollowUp: d.judging.followUp}
	if len(r.Noise) > 0 || m.given {
		out.Worthwhile = r.override(d, m)
	}
	out.Arms = armsOf(d.used)
	if m.rows != nil {
		scores, out.Arms = scores.Rows(m.rows), pick(out.Arms, m.rows)
	}
	out.Scores = scores
	return out, nil
}

// armsOf are the groups that trained differently; nil where the table does not say.
func armsOf(t *cohort.Table) []string {
	for _, a := range t.Attributes {
		if a.Role == "group" {
			if arms, err := t.AthleteTexts(a.Name); err == nil {
				return arms
			}
		}
	}
	return nil
}

// both are the athletes that are in a and in b; nil stands for all.
func both(a, b []int) []int {
	switch {
	case a == nil:
		return b
	case b == nil:
		return a
	}
	out := []int{}
	for _, i := range a {
		if slices.Contains(b, i) {
			out = append(out, i)
		}
	}
	return out
}

// override is the fixed worthwhile change of the request, else the dictionary's
// when the noise file has none; the file's stands otherwise.
func (r *Retest) override(d *desk, m modelled) *float64 {
	w, err := ParseWorthwhile(r.Tests[m.measure.Name].Worthwhile)
	if err != nil {
		return nil // settled before
	}
	value := w.Number
	switch {
	case w.Basis == InUnit && !(m.noise.Worthwhile > 0):
		value = d.inUnit(m.measure, w, m.noise.Scale, math.Exp(m.noise.Mean)).Value
	case w.Basis != Fixed:
		return nil
	}
	if m.noise.Scale == score.Log {
		value = math.Log1p(value / 100)
	}
	if !(value > 0) { // percent of a mean that nobody knows
		return nil
	}
	return &value
}
