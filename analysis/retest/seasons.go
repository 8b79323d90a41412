package retest

import (
	"fmt"
	"math"
	"slices"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
	"noisefloor/analysis/season"
)

// The doubts that seasons raise.
const (
	// NoSeason: no session lies after the baseline, Names, outside the noise study.
	NoSeason caveat.Kind = "no-season"
	// SeasonTooShort: Numbers[0] of Numbers[1] athletes have fewer than Numbers[2] sessions
	// after the baseline, and no line.
	SeasonTooShort caveat.Kind = "season-too-short"
	// SeasonRestarts: the season was planned for Numbers[0] sessions, the table has
	// Numbers[1] after the baseline: the watch began anew Numbers[2] times.
	SeasonRestarts caveat.Kind = "season-restarts"
	// SlowWaves: neighbouring residuals of the lines correlate by Numbers[0], where
	// independent noise gives Numbers[1]; Numbers[2] lines.
	SlowWaves caveat.Kind = "slow-waves"
	// SeasonOtherAttempts: the noise study has Numbers[0] attempts behind a score, the
	// sessions of the season Numbers[1].
	SeasonOtherAttempts caveat.Kind = "season-other-attempts"
)

// A SeasonPlan asks for the season of every athlete: a watch over the sessions after
// the baseline, and the slope of a line through them.
type SeasonPlan struct {
	Planned int       // sessions of a season, set beforehand; 0 means season.Usual
	Weeks   []float64 // the time of each session of the tables, in weeks; nil counts sessions
}

// withSeason fills what a call's seasons share.
func (o Options) withSeason() Options {
	if o.Season == nil {
		return o
	}
	plan := *o.Season
	if plan.Planned == 0 {
		plan.Planned = season.Usual
	}
	o.Season, o.nulls = &plan, newNulls(1-o.Level)
	return o
}

// A SeasonReading is one number of a season that is judged, a member of the family.
type SeasonReading struct {
	P, PBH    float64 // of no change, two-sided; adjusted over the family
	State     State
	Direction string // "rise", "fall", "none"
	Better    string // "better", "worse", "" when nobody said
}

// A SeasonLine is the slope of an athlete's sessions; see [season.Line].
type SeasonLine struct {
	SeasonReading
	Slope    estimate.Estimate  // per session or week, on the scale of the noise
	Percent  *estimate.Estimate // log scale only
	Scatters bool               // more than the noise study: the interval is by the own scatter
}

// A SeasonWatch is what the watch saw; see [season.Plan].
type SeasonWatch struct {
	SeasonReading
	Alarm    bool
	From, At string             // first and last of the sessions averaged: at the first alarm, else of the look farthest out
	W        int                // how many they are
	Change   estimate.Estimate  // their mean less the baseline; the limits hold for all looks of the season together
	Percent  *estimate.Estimate // log scale only
	Limit    float64            // c TE √(1/w + 1/b): what sounds
	Factor   float64            // c
	Matters  Matters

	Level     float64 // the mean itself, raw units; on the log scale geometric
	Low, High float64 // the limits around the baseline, raw units
}

// A Season is one athlete's season in one measure.
type Season struct {
	Athlete, Measure, Group string
	Baseline, Sessions      []string    // that the athlete has
	Line                    *SeasonLine // nil with fewer than four sessions
	Watch                   SeasonWatch
}

// powerOf is the step, in typical errors, whose power is told.
const powerOf = 1.5

// fewLines is below what waves are not spoken of: the spread of their correlation is
// that of many.
const fewLines = 5

// A SeasonTest is what the seasons of one measure have in common.
type SeasonTest struct {
	Measure, Group string
	Athletes       int
	Sessions       int     // of the table, after the baseline
	Planned        int     // J
	Baseline       int     // b: sessions of the fullest baseline
	Factor         float64 // c of a watch with that baseline
	Step           float64 // 1.5 TE, on the scale of the noise
	Power          float64 // how often such a step, before the season, sounds within it
	Alarms         int
	ByChance       float64 // alarms of all athletes by now, had nobody changed
	Scatter        int     // lines that scatter more than the noise study
	Lines          int
	Waves          *season.Lag // nil without lines
}

// A nullKey is what the limit of a watch depends on, the level aside.
type nullKey struct {
	plan season.Plan
	df   float64
}

// nulls are the simulated seasons of a call, each made once.
type nulls struct {
	alpha  float64
	of     map[season.Plan]*season.Null
	limits map[nullKey]float64
}

func newNulls(alpha float64) *nulls {
	return &nulls{alpha: alpha, of: map[season.Plan]*season.Null{}, limits: map[nullKey]float64{}}
}

func (n *nulls) null(p season.Plan) (*season.Null, error) {
	if known := n.of[p]; known != nil {
		return known, nil
	}
	made, err := p.Null()
	if err != nil {
		return nil, fmt.Errorf("%w: %d sessions planned, want 1 to %d", err, p.Planned, season.Longest)
	}
	n.of[p] = made
	return made, nil
}

func (n *nulls) limit(p season.Plan, df float64) (float64, error) {
	k := nullKey{p, df}
	if c, ok := n.limits[k]; ok {
		return c, nil
	}
	null, err := n.null(p)
	if err != nil {
		return 0, err
	}
	n.limits[k] = null.Limit(n.alpha, df)
	return n.limits[k], nil
}

// seasons adds the season of every athlete with a baseline.
func (j *judge) seasons(r *Result) error {
	if j.o.Season == nil {
		return nil
	}
	s := j.seasonSessions()
	if len(s.columns) == 0 {
		j.doubt(caveat.New(NoSeason).With(j.baseline.names...))
		return nil
	}
	if n := len(j.o.Season.Weeks); n > 0 && n != len(j.t.Scores.Sessions) {
		return fmt.Errorf("%w: %d sessions, but the times of %d", ErrSessions, len(j.t.Scores.Sessions), n)
	}
	t := SeasonTest{Measure: j.t.Measure, Group: j.t.Noise.Group, Sessions: len(s.columns), Planned: j.o.Season.Planned,
		Step: powerOf * j.t.Noise.TypicalError}
	var lines []season.Line
	for i, base := range j.base {
		if base.sessions == 0 {
			continue
		}
		one, line, err := j.season(i, base, s)
		if err != nil {
			return err
		}
		if one == nil {
			continue
		}
		t.count(one, base.sessions)
		if line != nil {
			lines = append(lines, *line)
		}
		r.Seasons = append(r.Seasons, *one)
	}
	if t.Athletes == 0 {
		return nil
	}
	return j.seasonTest(r, t, lines, s)
}

// seasonSessions are those after the baseline that are not of the noise study.
func (j *judge) seasonSessions() (o occasion) {
	for c := slices.Max(j.baseline.columns) + 1; c < len(j.t.Scores.Sessions); c++ {
		if !j.studied(c) {
			o.columns, o.names = append(o.columns, c), append(o.names, j.t.Scores.Sessions[c])
		}
	}
	return o
}

func (t *SeasonTest) count(s *Season, baseline int) {
	t.Athletes++
	t.Baseline = max(t.Baseline, baseline)
	if s.Watch.Alarm {
		t.Alarms++
	}
	if s.Line != nil {
		t.Lines++
		if s.Line.Scatters {
			t.Scatter++
		}
	}
}

// seasonTest tells what the seasons of the test have in common, and its doubts.
func (j *judge) seasonTest(r *Result, t SeasonTest, lines []season.Line, s occasion) (err error) {
	p := season.Plan{Baseline: t.Baseline, Planned: t.Planned}
	if t.Factor, err = j.o.nulls.limit(p, j.t.Noise.DF); err != nil {
		return err
	}
	parts := (t.Sessions + t.Planned - 1) / t.Planned
	if t.ByChance, err = j.byChance(p, t); err != nil {
		return err
	}
	t.Power = j.o.nulls.of[p].Power(season.Step(powerOf, t.Planned), t.Factor, j.t.Noise.DF)
	if j.t.Noise.TypicalError == 0 {
		t.Power = math.NaN()
	}
	if w, ok := season.Waves(lines); ok {
		t.Waves = &w
		if w.Lines >= fewLines && w.High() {
			j.doubt(caveat.New(SlowWaves, w.R, w.Expected, float64(w.Lines)))
		}
	}
	if short := t.Athletes - t.Lines; short > 0 {
		j.doubt(caveat.New(SeasonTooShort, float64(short), float64(t.Athletes), season.LeastForLine))
	}
	if parts > 1 {
		j.doubt(caveat.New(SeasonRestarts, float64(t.Planned), float64(t.Sessions), float64(parts-1)))
	}
	study := j.t.Noise.Trials
	if trials := j.trials(s); trials > 0 && study > 0 && math.Abs(trials-study) > trialsApart*study {
		j.doubt(caveat.New(SeasonOtherAttempts, study, trials))
	}
	r.SeasonTests = append(r.SeasonTests, t)
	return nil
}

// byChance is how many alarms there would be by now had nobody changed: of each season
// that is over the stated share, of the one under way that of its sessions so far.
func (j *judge) byChance(p season.Plan, t SeasonTest) (float64, error) {
	rate := float64(t.Sessions/t.Planned) * (1 - j.o.Level)
	if p.Planned = t.Sessions % t.Planned; p.Planned > 0 {
		null, err := j.o.nulls.null(p)
		if err != nil {
			return 0, err
		}
		rate += null.P(t.Factor, j.t.Noise.DF)
	}
	return float64(t.Athletes) * rate, nil
}

// season is that of athlete i; nil without any session.
func (j *judge) season(i int, base mean, s occasion) (*Season, *season.Line, error) {
	x, y, have := j.course(i, s)
	if len(have) == 0 {
		return nil, nil, nil
	}
	out := &Season{Athlete: j.t.Scores.Athletes[i], Measure: j.t.Measure, Group: j.t.Noise.Group,
		Baseline: j.names(i, j.baseline, base.sessions), Sessions: have}
	var err error
	if out.Watch, err = j.watch(y, base, s); err != nil {
		return nil, nil, err
	}
	m := j.t.Noise
	line, err := season.Straight(x, y, m.TypicalError, m.DF, j.o.Level)
	if err != nil {
		return out, nil, nil // too few sessions, which the test says
	}
	l := SeasonLine{Slope: line.Slope, Percent: j.percent(line.Slope), Scatters: line.Scatters}
	l.SeasonReading = j.reading(line.Slope.Value, line.P, line.Slope.Excludes(0))
	out.Line = &l
	return out, &line, nil
}

// course is an athlete's season: times, and scores on the scale of the noise, NaN
// where there is none that can be used.
func (j *judge) course(i int, s occasion) (x, y []float64, have []string) {
	for at, c := range s.columns {
		time := float64(c + 1)
		if j.o.Season.Weeks != nil {
			time = j.o.Season.Weeks[c]
		}
		v := j.value[i*len(j.t.Scores.Sessions)+c]
		if math.IsInf(v, 0) {
			v = math.NaN()
		}
		if !math.IsNaN(v) {
			have = append(have, s.names[at])
		}
		x, y = append(x, time), append(y, v)
	}
	return x, y, have
}

// watch watches one athlete. After the planned sessions it begins anew; its p is that of
// the part farthest out, times the number of parts.
func (j *judge) watch(y []float64, base mean, s occasion) (SeasonWatch, error) {
	p := season.Plan{Baseline: base.sessions, Planned: j.o.Season.Planned}
	m := j.t.Noise
	c, err := j.o.nulls.limit(p, m.DF)
	if err != nil {
		return SeasonWatch{}, err
	}
	var alarm, far *season.Look
	parts := 0.0
	for from := 0; from < len(y); from += p.Planned {
		a, f := p.Looks(y[from:], base.value, m.TypicalError, c)
		for _, l := range []*season.Look{a, f} {
			if l != nil {
				l.At, l.From = l.At+from, l.From+from
			}
		}
		if f != nil {
			parts++
		}
		if alarm == nil {
			alarm = a
		}
		if f != nil && (far == nil || math.Abs(f.Ratio) > math.Abs(far.Ratio)) {
			far = f
		}
	}
	w := SeasonWatch{Alarm: alarm != nil, Factor: c}
	shown := far
	if alarm != nil {
		shown = alarm
	}
	w.From, w.At, w.W = s.names[shown.From], s.names[shown.At], shown.W
	w.Limit = p.Limit(c, m.TypicalError, shown.W)
	w.Change = estimate.Around(shown.Mean, w.Limit, p.Limit(1, m.TypicalError, shown.W), m.DF, j.o.Level, estimate.StudentT)
	w.Level = j.unscaled(base.value + shown.Mean)
	w.Low, w.High = j.unscaled(base.value-w.Limit), j.unscaled(base.value+w.Limit)
	w.Percent, w.Matters = j.percent(w.Change), j.worthwhile.matters(shown.Mean, w.Limit)
	w.SeasonReading = j.reading(shown.Mean, min(1, parts*j.o.nulls.of[p].P(far.Ratio, m.DF)), w.Alarm)
	return w, nil
}

func (j *judge) reading(d, p float64, past bool) SeasonReading {
	out := SeasonReading{P: p, State: InsideNoise}
	if past {
		out.State = PastNoise
	}
	out.Direction, out.Better = direction(d, j.t.Better)
	return out
}

func (j *judge) percent(e estimate.Estimate) *estimate.Estimate {
	if j.t.Noise.Scale != score.Log {
		return nil
	}
	p := e.Map(estimate.Percent)
	return &p
}

// readings are those of the seasons, members of the family after the changes: the watch
// of each, then its line.
func (r *Result) readings() (out []*SeasonReading) {
	for i := range r.Seasons {
		s := &r.Seasons[i]
		out = append(out, &s.Watch.SeasonReading)
		if s.Line != nil {
			out = append(out, &s.Line.SeasonReading)
		}
	}
	return out
}

// judgeSeasons marks what stands out, once p is adjusted, and counts.
func (r *Result) judgeSeasons(adjusted []float64, alpha float64) {
	for i, reading := range r.readings() {
		reading.PBH = adjusted[i]
		r.Family.Seasons++
		if reading.State != InsideNoise && reading.PBH <= alpha {
			reading.State = StandsOut
			r.Family.SeasonsOut++
		}
	}
}

// seasonsOf keeps those of the athletes given.
func (r *Result) seasonsOf(athletes []string) {
	r.Seasons = slices.DeleteFunc(slices.Clone(r.Seasons), func(s Season) bool { return !slices.Contains(athletes, s.Athlete) })
	r.SeasonTests = slices.DeleteFunc(slices.Clone(r.SeasonTests), func(t SeasonTest) bool {
		return !slices.ContainsFunc(r.Seasons, func(s Season) bool { return s.Measure == t.Measure && s.Group == t.Group })
	})
}
