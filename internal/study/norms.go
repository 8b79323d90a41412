package study

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/norms"
	"noisefloor/analysis/score"
	"noisefloor/internal/cohort"
	"noisefloor/internal/normsfile"
)

// Norms asks for the reference values of groups, and where athletes stand in them.
type Norms struct {
	Common
	Session       string         `json:"session,omitempty"`  // whose scores; "": the last
	Athletes      []string       `json:"athletes,omitempty"` // names or globs; empty: all
	Noise         Files          `json:"noise,omitempty"`    // noise files; several are pooled
	NoiseFrom     []string       `json:"noise_from,omitempty"`
	TypicalErrors []TypicalError `json:"typical_errors,omitempty"`
	Against       string         `json:"against,omitempty"` // a norms file to stand in, in place of the table's groups
}

// Question implements [Request].
func (*Norms) Question() string { return "norms" }

func (r *Norms) paths() []*string {
	out := []*string{&r.Against}
	for i := range r.Noise {
		out = append(out, &r.Noise[i])
	}
	return out
}

// A NormsResult is every test in its groups.
type NormsResult struct {
	Session string
	Tests   []NormsTest
	Failed  []Failed
	From    *normsfile.Origin // of the norms file that was stood in; nil for the table's own groups
	File    string            // its name
}

// A NormsTest is one test.
type NormsTest struct {
	Measure *cohort.Measure
	Summary score.Summary
	norms.Result
}

// A norming is what Resolve works out for norms, and Run uses.
type norming struct {
	source *noiseSource
	file   *normsfile.File
	levels []string // of play
}

func (r *Norms) check() error {
	noise := len(r.Noise) > 0 || len(r.NoiseFrom) > 0 || len(r.TypicalErrors) > 0
	switch {
	case len(r.Sessions) > 0:
		return missing("sessions", "norms speak of one session: \"session\" names it, and \"noise_from\" those that show "+
			"the noise")
	case len(r.Noise) > 0 && len(r.NoiseFrom) > 0:
		return missing("noise", "--noise and --noise-from exclude each other")
	case len(r.NoiseFrom) == 1:
		return requestError("noise-from", "wants at least two sessions, such as 1,2")
	case r.Against != "" && noise:
		return requestError("against", "a norms file brings the noise of its groups: leave --noise, --noise-from and "+
			"--typical-error out")
	}
	return nil
}

func (r *Norms) settle(d *desk) error {
	d.used = d.rows
	measures, err := d.tests(d.used)
	if err != nil {
		return err
	}
	n := &norming{}
	if r.Against != "" {
		err = r.settleFile(d, n, measures)
	} else {
		err = r.settleNoise(d, n, measures)
	}
	if err != nil {
		return err
	}
	if _, n.levels, _ = levelsOf(d.used, 1); n.levels == nil && d.groups != nil && r.By == d.by {
		n.levels = d.groups
	}
	if err := d.oneSession(&r.Session); err != nil {
		return err
	}
	r.origin("athletes", len(r.Athletes) > 0)
	if r.Athletes, err = athleteNames(d.used, r.Athletes); err != nil {
		return err
	}
	d.caveatBest(measures)
	d.caveatFarOff(measures)
	d.norming = n
	return nil
}

// settleNoise settles where the noise comes from, and the groups.
func (r *Norms) settleNoise(d *desk, n *norming, measures []*cohort.Measure) (err error) {
	r.origin("noise", len(r.Noise)+len(r.NoiseFrom)+len(r.TypicalErrors) > 0)
	if n.source, err = d.noiseOf(r.Noise, &r.NoiseFrom, measures); err != nil {
		return err
	}
	for _, m := range measures {
		if len(r.NoiseFrom) == 0 {
			break // only a reliability study asks for it
		}
		if err := d.worthwhile(m); err != nil {
			return err
		}
	}
	n.source.given = r.TypicalErrors
	if err := d.typicalErrors(n.source.given); err != nil {
		return err
	}
	if err := d.levels(d.used); err != nil {
		return err
	}
	return d.givenLevels(n.source.given)
}

// settleFile reads a norms file, and takes its column of groups and its summary of the
// attempts where the request names none.
func (r *Norms) settleFile(d *desk, n *norming, measures []*cohort.Measure) error {
	in, sum, err := d.host.reader(r.Against)
	if err != nil {
		return err
	}
	f, err := normsfile.Read(in, r.Against)
	if err != nil {
		return err
	}
	d.request.note("norms", r.Against, sum)
	n.file = &f
	r.origin("score", r.Score != "")
	if first := f.Cells[0].Summary; r.Score == "" {
		r.Score, r.Origins["score"] = string(first), FromNorms
	}
	for _, m := range measures {
		if err := r.fits(m, f); err != nil {
			return err
		}
	}
	if f.CreatedFrom.SHA256 == d.whole.Source.SHA256 {
		d.caveats = append(d.caveats, caveat.New(norms.SameTable).With(shown(r.Against)))
	}
	return r.fileGroups(d, f)
}

// FromNorms is the origin of a choice that a norms file made.
const FromNorms Origin = "norms file"

// fits refuses norms of another unit, scale, summary or direction.
func (r *Norms) fits(m *cohort.Measure, f normsfile.File) error {
	c, ok := f.Find(m.Name)
	name, t := shown(r.Against), r.Tests[m.Name]
	if !ok {
		return nil
	}
	switch {
	case r.Origins["score"] == FromRequest && r.Score != string(c.Summary):
		return requestError("score", "%s, but %s holds the %s of the attempts of %s: leave --score out, or make the norms "+
			"anew", r.Score, name, c.Summary, m.Name)
	case r.Scale != "auto" && r.Scale != string(c.Scale):
		return requestError("scale", "%s, but %s holds %s on the %s scale: leave --scale out, or make the norms anew",
			r.Scale, name, m.Name, c.Scale)
	case c.Unit != m.Unit && c.Unit != "" && m.Unit != "":
		return fmt.Errorf("%s: %s is in %s there and in %s in the table: bring the table to %s, or make the norms file "+
			"again from a table in %s", name, m.Name, c.Unit, m.Unit, c.Unit, m.Unit)
	}
	switch there := map[score.Direction]string{score.Higher: "higher", score.Lower: "lower"}[c.Better]; {
	case there == "" || there == t.Better:
	case t.Better == "unknown":
		t.Better = there
		r.Tests[m.Name] = t
	default:
		return fmt.Errorf("%s: of %s %s is better there, and %s in the table: --lower NAME or the dictionary says which",
			name, m.Name, there, t.Better)
	}
	t = r.Tests[m.Name]
	t.Scale = string(c.Scale)
	r.Tests[m.Name] = t
	return nil
}

// fileGroups settles the groups of the athletes: by the column that the file tells its
// groups apart by, else the level of play; --by none stands in the whole alone.
func (r *Norms) fileGroups(d *desk, f normsfile.File) error {
	r.origin("by", r.By != "")
	switch {
	case f.By == "" && r.By != "" && r.By != "none":
		return requestError("by", "%s: %s tells no groups apart", r.By, shown(r.Against))
	case f.By == "" || r.By == "none":
		r.By = "none"
		return nil
	case r.By != "":
		return d.levels(d.used)
	}
	r.By = "none"
	if a, err := attribute(d.used, f.By); err == nil {
		groups, err := d.used.AthleteTexts(a)
		if err != nil {
			return fmt.Errorf("%w (or --by none)", err)
		}
		r.By, d.by, d.groups, r.Origins["by"] = a, a, groups, FromNorms
		return nil
	}
	if name, groups, _ := levelsOf(d.used, 1); name != "" {
		r.By, d.by, d.groups, r.Origins["by"] = name, name, groups, FromTable
	}
	return nil
}

func (r *Norms) run(d *desk) (Outcome, error) {
	out := &NormsResult{Session: r.Session}
	if f := d.norming.file; f != nil {
		out.From, out.File = &f.CreatedFrom, shown(r.Against)
	}
	failed, err := d.eachTest(func(m *cohort.Measure) error {
		t, err := r.test(d, m)
		if err == nil {
			out.Tests = append(out.Tests, t)
		}
		return err
	})
	out.Failed = failed
	if err == nil && len(r.Athletes) > 0 && !slices.ContainsFunc(out.Tests,
		func(t NormsTest) bool { return len(t.Places) > 0 }) {
		err = fmt.Errorf("none of the athletes asked for (%s) has a score in session %s", strings.Join(r.Athletes, ", "),
			r.Session)
	}
	return Outcome{Result: out}, err
}

// test is one test in its groups.
func (r *Norms) test(d *desk, m *cohort.Measure) (NormsTest, error) {
	in := norms.Test{Measure: m.Name, Unit: m.Unit, Scale: score.Scale(r.Tests[m.Name].Scale), Better: r.better(m.Name),
		Athletes: d.used.Athletes, Groups: d.groups, Levels: d.norming.levels, Noise: map[string]norms.Noise{}}
	out := NormsTest{Measure: m, Summary: score.Summary(r.Score)}
	doubts, attempts, err := r.noises(d, m, &in, &out)
	if err != nil {
		return out, err
	}
	if f := d.norming.file; f != nil {
		if c, ok := f.Find(m.Name); ok {
			out.Summary = c.Summary
		}
	}
	scores, err := d.scoresBy(d.used, m, out.Summary)
	if err != nil {
		return out, err
	}
	if scores, err = scores.Select(r.Session); err != nil {
		return out, err
	}
	in.Scores = scores.Value
	o := norms.Options{Level: r.Confidence, Column: d.by, Asked: r.Athletes}
	if len(r.Athletes) == 0 {
		o.Asked = nil
	}
	if f := d.norming.file; f != nil {
		kept := f.Kept(m.Name)
		if len(kept) == 0 {
			return out, fmt.Errorf("%s holds no norms of it", shown(r.Against))
		}
		out.Result, err = norms.Against(in, kept, o)
		return out, err
	}
	out.Result, err = norms.Analyse(in, o)
	if here := meanTrials(scores); attempts > 0 && here > 0 && (here-attempts > 0.5 || attempts-here > 0.5) {
		doubts = append(doubts, caveat.New(norms.OtherAttempts, here, attempts).About(m.Name))
	}
	out.Caveats = append(doubts, out.Caveats...)
	return out, err
}

// meanTrials is the mean number of attempts behind the scores there are.
func meanTrials(t score.Table) float64 {
	sum, n := 0.0, 0.0
	for _, k := range t.Trials {
		if k > 0 {
			sum, n = sum+float64(k), n+1
		}
	}
	if n == 0 {
		return 0
	}
	return sum / n
}

// noises finds the noise of a test in each group and for all athletes; where a group has
// none of its own, that of all stands in. attempts are those behind a score of the study,
// 0 when not known.
func (r *Norms) noises(d *desk, m *cohort.Measure, in *norms.Test, out *NormsTest) (doubts []caveat.Caveat,
	attempts float64, _ error) {
	s := d.norming.source
	if s == nil || s.study == nil && len(s.given) == 0 {
		return nil, 0, nil
	}
	whole, err := s.model(m, group{})
	if err == nil {
		err = whole.fitsGiven()
	}
	if err == nil {
		in.Scale = whole.noise.Scale
		if whole.noise.Summary != "" {
			out.Summary = whole.noise.Summary
		}
		in.Noise[""] = norms.Noise{TypicalError: whole.noise.TypicalError, DF: whole.noise.DF, Source: whole.noise.Source}
		attempts = whole.noise.Trials
		d.caveatGiven(whole)
	}
	if wrong := (*RequestError)(nil); errors.As(err, &wrong) {
		return nil, 0, err
	}
	if err != nil {
		doubts = append(doubts, caveat.New(norms.NoNoiseFor).About(m.Name).With(err.Error()))
	}
	shared := caveat.New(norms.SharedNoise).About(m.Name)
	for _, g := range groupsOf(d.groups) {
		own, err := s.model(m, g)
		switch {
		case err == nil && own.noise.Scale == in.Scale && !own.shared:
			in.Noise[g.name] = norms.Noise{TypicalError: own.noise.TypicalError, DF: own.noise.DF, Source: own.noise.Source}
		case in.Noise[""].Known():
			in.Noise[g.name] = in.Noise[""]
			shared.Names = append(shared.Names, g.name)
		}
	}
	if len(shared.Names) > 0 {
		doubts = append(doubts, shared)
	}
	return doubts, attempts, nil
}

// NormsFile is what may be kept of the references as a file for other tables, and what is
// left out and why.
func (o Outcome) NormsFile() (normsfile.File, []caveat.Caveat, error) {
	r, d := o.Request.(*Norms), o.desk
	result := o.Result.(*NormsResult)
	f := normsfile.File{Session: r.Session, By: d.by, Settings: map[string]any{"version": r.Version,
		"confidence": r.Confidence}}
	f.CreatedFrom = normsfile.Origin{Path: shown(o.Table.Source.Path), SHA256: o.Table.Source.SHA256,
		Rows: o.Table.Source.Rows}
	if result.From != nil {
		return f, nil, errors.New("norms that stand on a norms file are not saved again: they are that file's")
	}
	var left []caveat.Caveat
	for _, t := range result.Tests {
		kept, not := norms.Keep(t.References)
		left = append(left, not...)
		for _, k := range kept {
			f.Cells = append(f.Cells, normsfile.Cell{Kept: k, Summary: t.Summary})
		}
	}
	if len(f.Cells) == 0 {
		return f, left, errors.New("nothing may be kept: a norms file needs groups of 10 athletes or more, and the " +
			"noise of " +
			"the test to round by (--noise FILE, --noise-from SESSIONS or --typical-error)")
	}
	return f, left, nil
}
