package study

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/norms"
	"noisefloor/analysis/profile"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/internal/cohort"
)

// Profile asks where athletes stand and what they need.
type Profile struct {
	Common
	Session       string         `json:"session,omitempty"`  // the one spoken of; "": the last
	Athletes      []string       `json:"athletes,omitempty"` // names or globs; empty: all
	Noise         Files          `json:"noise,omitempty"`    // noise files; several are pooled
	NoiseFrom     []string       `json:"noise_from,omitempty"`
	TypicalErrors []TypicalError `json:"typical_errors,omitempty"`
	SetAside      []SetAside     `json:"set_aside,omitempty"`        // tests that are left out for an athlete
	AsideColumn   string         `json:"set_aside_column,omitempty"` // a column that says so
	Rules         string         `json:"rules,omitempty"`            // a file of rules; "": those of the program
	OlderThan     float64        `json:"older_than,omitempty"`       // days from which a test is to be done again; 0: never
}

// A SetAside leaves tests out for an athlete.
type SetAside struct {
	Athlete string `json:"athlete"`
	Test    string `json:"test"` // a test, a glob, or a region of the body
	Reason  string `json:"reason"`
}

// Question implements [Request].
func (*Profile) Question() string { return "profile" }

func (r *Profile) paths() []*string {
	out := []*string{&r.Rules}
	for i := range r.Noise {
		out = append(out, &r.Noise[i])
	}
	return out
}

// A ProfileResult is the profiles, the tests that they name by number, and how the scores
// changed.
type ProfileResult struct {
	Result   profile.Result
	Tests    []profile.Test
	Session  string
	Sessions []string       // up to that one
	Days     []float64      // of each session before that one; nil when they are no dates
	History  *retest.Result // changes judged by the same noise, up to the session; nil when there are none
	WhyNone  string         // why there is no history; "" when there is
	Failed   []Failed
}

// A profiling is what Resolve works out for a profile, and Run uses.
type profiling struct {
	source *noiseSource
	rules  profile.Rules
	aside  []profile.SetAside
}

func (r *Profile) check() error {
	switch {
	case len(r.Sessions) > 0:
		return missing("sessions", "profiles speak of one session: \"session\" names it, and \"noise_from\" those that show "+
			"the noise")
	case len(r.Noise) == 0 && len(r.NoiseFrom) == 0 && len(r.TypicalErrors) == 0:
		return missing("noise", "the noise is missing, without which nothing tells a need from chance: --noise FILE (from "+
			"'noisefloor reliability --save-noise'), or --noise-from SESSIONS with no training between them, or "+
			"--typical-error 'NAME=VALUE' from elsewhere")
	case len(r.Noise) > 0 && len(r.NoiseFrom) > 0:
		return missing("noise", "--noise and --noise-from exclude each other")
	case len(r.NoiseFrom) == 1:
		return requestError("noise-from", "wants at least two sessions, such as 1,2")
	case r.OlderThan < 0 || math.IsNaN(r.OlderThan) || math.IsInf(r.OlderThan, 0):
		return requestError("older-than", "%g: want a number of days", r.OlderThan)
	}
	return nil
}

func (r *Profile) settle(d *desk) (err error) {
	d.used = d.rows
	measures, err := d.tests(d.used)
	if err != nil {
		return err
	}
	p := &profiling{}
	r.origin("noise", true)
	if p.source, err = d.noiseOf(r.Noise, &r.NoiseFrom, measures); err != nil {
		return err
	}
	for _, m := range measures {
		if err := d.worthwhile(m); err != nil {
			return err
		}
	}
	p.source.given = r.TypicalErrors
	for _, settle := range []func() error{
		func() error { return d.typicalErrors(p.source.given) },
		func() error { return d.levels(d.used) },
		func() error { return d.givenLevels(p.source.given) },
		func() error { return d.oneSession(&r.Session) },
		func() error { return r.whom(d) },
		func() (err error) { p.rules, err = d.rulesOf(r.Rules); return err },
		func() (err error) { p.aside, err = r.asides(d, measures); return err },
	} {
		if err := settle(); err != nil {
			return err
		}
	}
	if r.OlderThan > 0 && daysOf(d.used) == nil {
		return requestError("older-than", "the sessions (%s) are no dates, so nothing says how old a test is", SessionList(d.used.Sessions))
	}
	d.caveatBest(measures)
	d.caveatFarOff(measures)
	d.profiling = p
	return nil
}

// whom settles the athletes asked for.
func (r *Profile) whom(d *desk) (err error) {
	r.origin("athletes", len(r.Athletes) > 0)
	r.Athletes, err = athleteNames(d.used, r.Athletes)
	return err
}

// asides are the tests set aside: those of the request, with their names settled, and
// those of the column.
func (r *Profile) asides(d *desk, measures []*cohort.Measure) (out []profile.SetAside, err error) {
	var settled []SetAside
	for _, s := range r.SetAside {
		athletes, err := athleteNames(d.used, []string{s.Athlete})
		if err != nil {
			return nil, err
		}
		tests, err := testsOrRegion(d.used, measures, s.Test)
		if err != nil {
			return nil, err
		}
		for _, a := range athletes {
			settled = append(settled, SetAside{a, s.Test, s.Reason})
			for _, t := range tests {
				out = append(out, profile.SetAside{Athlete: a, Test: t, Reason: s.Reason})
			}
		}
	}
	r.SetAside = settled
	if r.AsideColumn == "" {
		return out, nil
	}
	if r.AsideColumn, err = attribute(d.used, r.AsideColumn); err != nil {
		return nil, err
	}
	texts, err := d.used.AthleteTextsAt(r.AsideColumn, "last")
	if err != nil {
		return nil, err
	}
	for i, text := range texts {
		more, err := asidesIn(d, measures, d.used.Athletes[i], text)
		if err != nil {
			return nil, fmt.Errorf("column %q: %w", r.AsideColumn, err)
		}
		out = append(out, more...)
	}
	return out, nil
}

// asidesIn reads "TESTS=REASON; TESTS=REASON", each a test, a pattern or a region.
func asidesIn(d *desk, measures []*cohort.Measure, athlete, text string) (out []profile.SetAside, _ error) {
	for part := range strings.SplitSeq(text, ";") {
		if part = strings.TrimSpace(part); part == "" {
			continue
		}
		name, reason, ok := strings.Cut(part, "=")
		if !ok || strings.TrimSpace(reason) == "" {
			return nil, fmt.Errorf("an athlete's text is not TESTS=REASON, such as 'lower=back history; cable_press*=shoulder'")
		}
		tests, err := testsOrRegion(d.used, measures, strings.TrimSpace(name))
		if err != nil {
			return nil, err
		}
		for _, t := range tests {
			out = append(out, profile.SetAside{Athlete: athlete, Test: t, Reason: strings.TrimSpace(reason)})
		}
	}
	return out, nil
}

// testsOrRegion are the tests of a name or pattern, or of a region of the body; a test
// with both sides may be named without them.
func testsOrRegion(t *cohort.Table, measures []*cohort.Measure, want string) ([]string, error) {
	var out []string
	for _, m := range measures {
		base, _, sided := strings.Cut(m.Name, ".")
		if strings.EqualFold(m.Region, want) && m.Role != profile.Outcome || sided && base == want {
			out = append(out, m.Name)
		}
	}
	if len(out) > 0 {
		return out, nil
	}
	return measureNames(t, []string{want})
}

// ParseSetAside reads ATHLETE:TEST=REASON.
func ParseSetAside(s string) (SetAside, error) {
	who, reason, ok := strings.Cut(s, "=")
	athlete, test, split := strings.Cut(who, ":")
	out := SetAside{strings.TrimSpace(athlete), strings.TrimSpace(test), strings.TrimSpace(reason)}
	if !ok || !split || out.Athlete == "" || out.Test == "" || out.Reason == "" {
		return out, errors.New("want ATHLETE:TEST=REASON, such as 'C43:lower=history of low back pain'")
	}
	return out, nil
}

func (r *Profile) run(d *desk) (Outcome, error) {
	in, failed, err := r.input(d)
	if err != nil {
		return Outcome{}, err
	}
	got, err := profile.Analyse(in, profile.Options{Level: r.Confidence, Rules: d.profiling.rules, Seed: r.Seed})
	if errors.Is(err, profile.ErrNothing) {
		who := "no athlete"
		if len(r.Athletes) > 0 {
			who = "none of the athletes asked for (" + strings.Join(r.Athletes, ", ") + ")"
		}
		return Outcome{}, fmt.Errorf("%s has a score in session %s: --session names another", who, r.Session)
	}
	if err != nil {
		return Outcome{}, err
	}
	out := &ProfileResult{Result: *got, Tests: in.Tests, Session: r.Session, Failed: failed,
		Sessions: in.Tests[0].Scores.Sessions, Days: r.daysBefore(d)}
	out.History, out.WhyNone = r.history(d)
	r.old(d, out)
	return Outcome{Result: out, Caveats: r.doubts(d, in)}, nil
}

// doubts are those of the study about the noise.
func (r *Profile) doubts(d *desk, in profile.Input) []caveat.Caveat {
	var out []caveat.Caveat
	for _, n := range in.Noise {
		if n.Group == "" {
			continue
		}
		shared := caveat.New(norms.SharedNoise).With(n.Group)
		for _, m := range n.Models {
			if m.Group == "" {
				shared.Measures = append(shared.Measures, m.Measure)
			}
		}
		if len(shared.Measures) > 0 {
			out = append(out, shared)
		}
	}
	return out
}

// input is the cohort up to the session, with its noise.
func (r *Profile) input(d *desk) (profile.Input, []Failed, error) {
	in := profile.Input{Athletes: d.used.Athletes, Group: d.groups, Dominant: d.dominant(), SetAside: d.profiling.aside}
	if len(r.Athletes) > 0 {
		for _, a := range r.Athletes {
			in.Asked = append(in.Asked, slices.Index(in.Athletes, a))
		}
	}
	upTo := d.used.Sessions[:slices.Index(d.used.Sessions, r.Session)+1]
	groups := append([]group{{}}, groupsOf(d.groups)...)
	noises := make([]profile.Noise, len(groups))
	for k, g := range groups {
		noises[k].Group = g.name
	}
	failed, err := d.eachTest(func(m *cohort.Measure) error {
		t, err := r.measured(d, m, upTo, groups, noises)
		if err == nil || !errors.Is(err, errNoNoise) {
			in.Tests = append(in.Tests, t)
		}
		return err
	})
	if err != nil && len(in.Tests) == 0 {
		return in, failed, err
	}
	in.Noise = noises
	return in, failed, r.covary(d, in.Tests, groups, noises)
}

var errNoNoise = errors.New("no noise")

// measured is one test with its scores up to the session, its noise put where it belongs.
func (r *Profile) measured(d *desk, m *cohort.Measure, upTo []string, groups []group, noises []profile.Noise) (profile.Test, error) {
	how, scale := score.Summary(r.Score), score.Scale(r.Tests[m.Name].Scale)
	whole, err := d.profiling.source.model(m, group{})
	if wrong := (*RequestError)(nil); errors.As(err, &wrong) {
		return profile.Test{}, err
	}
	known := err == nil
	if known {
		scale = whole.noise.Scale
		if whole.noise.Summary != "" {
			how = whole.noise.Summary
		}
	}
	for k, g := range groups {
		own, err := d.profiling.source.model(m, g)
		switch {
		case err == nil && own.noise.Scale == scale:
			own.noise.Group = g.name
			if own.shared {
				own.noise.Group = ""
			}
			noises[k].Models = append(noises[k].Models, own.noise)
		case known && g.name != "":
			noises[k].Models = append(noises[k].Models, whole.noise)
		}
	}
	scores, serr := d.scoresBy(d.used, m, how)
	if serr != nil {
		return profile.Test{}, serr
	}
	if scores, serr = scores.Select(upTo...); serr != nil {
		return profile.Test{}, serr
	}
	return profileTest(m, r.better(m.Name), scale, scores), nil
}

// covary fills in the covariances of the errors: of the file, or of the sessions of the
// table that show the noise.
func (r *Profile) covary(d *desk, tests []profile.Test, groups []group, noises []profile.Noise) error {
	s := d.profiling.source
	if s.file != nil {
		for _, t := range s.file.Together {
			for k := range noises {
				if noises[k].Group == t.Group {
					noises[k].Errors = append(noises[k].Errors, t)
				}
			}
		}
		return nil
	}
	if len(s.sessions) == 0 {
		return nil
	}
	var studied []profile.Test
	for _, t := range tests {
		m, err := d.rows.Measure(t.Name)
		if err != nil {
			return err
		}
		scores, err := d.scoresBy(d.rows, m, score.Summary(r.Score))
		if err != nil {
			return err
		}
		if t.Scores, err = scores.Select(s.sessions...); err != nil {
			return err
		}
		studied = append(studied, t)
	}
	for k, g := range groups {
		noises[k].Errors = profile.Errors(studied, d.dominant(), g.rows)
	}
	return nil
}

// profileTest is a measure as a test of a profile.
func profileTest(m *cohort.Measure, better score.Direction, scale score.Scale, scores score.Table) profile.Test {
	t := profile.Test{Name: m.Name, Unit: m.Unit, Better: better, Scale: scale, Role: m.Role, Quantity: m.Quantity,
		Region: m.Region, Plane: m.Plane, Quality: m.Quality, Side: m.Side, Pair: m.Pair, Counterpart: m.Counterpart,
		Countermovement: m.Countermovement, Quickness: m.Quickness, Load: math.NaN(), Scores: scores}
	if m.Load != nil {
		t.Load = *m.Load
	}
	return t
}

// dominant is the dominant side of each athlete, "left", "right" or ""; nil where the
// table does not say, or says two of one athlete.
func (d *desk) dominant() []string {
	for _, a := range d.used.Attributes {
		if a.Role != "dominant" {
			continue
		}
		texts, err := d.used.AthleteTexts(a.Name)
		if err != nil {
			return nil
		}
		out := make([]string, len(texts))
		for i, t := range texts {
			switch strings.ToLower(strings.TrimSpace(t)) {
			case "l", "left":
				out[i] = "left"
			case "r", "right":
				out[i] = "right"
			}
		}
		return out
	}
	return nil
}

// daysBefore are how many days each session lies before the one spoken of.
func (r *Profile) daysBefore(d *desk) []float64 {
	days := daysOf(d.used)
	if days == nil {
		return nil
	}
	var out []float64
	for _, s := range d.used.Sessions[:slices.Index(d.used.Sessions, r.Session)+1] {
		out = append(out, days[r.Session]-days[s])
	}
	return out
}

// old notes the tests that an athlete did not do in the session but longer ago than
// stated.
func (r *Profile) old(d *desk, out *ProfileResult) {
	if r.OlderThan == 0 {
		return
	}
	for k := range out.Result.Athletes {
		a := &out.Result.Athletes[k]
		for _, s := range a.Tests {
			t := out.Tests[s.Test]
			if !math.IsNaN(s.Value) || s.Exposures == 0 || s.SetAside != "" {
				continue
			}
			row := t.Scores.Row(a.Index)
			for j := len(row) - 1; j >= 0; j-- {
				if !math.IsNaN(row[j]) {
					if out.Days[j] > r.OlderThan {
						a.Again = append(a.Again, profile.Because{Test: t.Name, Why: profile.Older})
					}
					break
				}
			}
		}
	}
}

// history is how the scores changed up to the session, judged by retest with the same
// noise; why says why there is none.
func (r *Profile) history(d *desk) (changes *retest.Result, why string) {
	past := &Retest{Common: *d.request, Noise: r.Noise, NoiseFrom: r.NoiseFrom, Athletes: r.Athletes,
		TypicalErrors: r.TypicalErrors}
	past.Sessions, past.Origins, past.Inputs, past.Score = nil, nil, nil, ""
	if r.Origins["score"] == FromRequest {
		past.Score = r.Score
	}
	for _, s := range d.used.Sessions[:slices.Index(d.used.Sessions, r.Session)+1] {
		if !slices.Contains(r.NoiseFrom, s) {
			past.FollowUp = append(past.FollowUp, s)
		}
	}
	if len(r.NoiseFrom) == 0 { // the first session is what the others are compared with
		past.Baseline, past.FollowUp = d.used.Sessions[0], past.FollowUp[1:]
	}
	if len(past.FollowUp) == 0 {
		return nil, "no session up to this one lies outside the noise study"
	}
	o, err := Run(past, d.host)
	if err != nil {
		return nil, err.Error()
	}
	return o.Result.(*retest.Result), ""
}
