package retest

import (
	"math"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
)

// A mean is the score of one athlete on one occasion.
type mean struct {
	value float64 // on the scale of the noise model; -Inf or +Inf when it cannot be used
	raw   float64 // in raw units
	effort
}

// meanOf averages the sessions of an occasion that athlete i has.
func (j *judge) meanOf(i int, o occasion) mean {
	k := len(j.t.Scores.Sessions)
	var m mean
	last := 0
	for _, c := range o.columns {
		if v := j.value[i*k+c]; !math.IsNaN(v) {
			m.value += v
			m.sessions++
			last = i*k + c
			if j.components != nil {
				m.count(j.t.Scores.Trials[last], j.t.Noise.Trials)
			}
		}
	}
	switch {
	case m.sessions == 1:
		m.value, m.raw = j.value[last], j.t.Scores.Value[last] // no rounding
	case m.sessions > 1:
		m.value /= float64(m.sessions)
		m.raw = j.unscaled(m.value)
	}
	m.average()
	return m
}

// names returns the sessions of an occasion that athlete i has.
func (j *judge) names(i int, o occasion, n int) []string {
	if n == len(o.names) {
		return o.names
	}
	var have []string
	for at, c := range o.columns {
		if !math.IsNaN(j.value[i*len(j.t.Scores.Sessions)+c]) {
			have = append(have, o.names[at])
		}
	}
	return have
}

// have returns the columns of an occasion that athlete i has.
func (j *judge) have(i int, o occasion) (columns []int) {
	for _, c := range o.columns {
		if !math.IsNaN(j.value[i*len(j.t.Scores.Sessions)+c]) {
			columns = append(columns, c)
		}
	}
	return columns
}

// scaled takes a raw score to the scale of the noise model, unscaled back.
func (j *judge) scaled(raw float64) float64 {
	if j.t.Noise.Scale == score.Log {
		return math.Log(raw)
	}
	return raw
}

func (j *judge) unscaled(v float64) float64 {
	if j.t.Noise.Scale == score.Log {
		return math.Exp(v)
	}
	return v
}

// findBaselines averages the baseline of every athlete.
func (j *judge) findBaselines() {
	j.base = make([]mean, len(j.t.Scores.Athletes))
	some := 0
	for i := range j.base {
		j.base[i] = j.meanOf(i, j.baseline)
		if n := j.base[i].sessions; n > 0 && n < len(j.baseline.columns) {
			some++
		}
		if why := j.unusable(i, NoBaseline, j.base[i]); why != "" {
			j.left.add(why, j.baseline, j.t.Scores.Athletes[i])
			j.base[i] = mean{}
		}
	}
	j.partial(PartBaseline, some, j.baseline)
}

// partial says how many athletes have only some of an occasion's sessions.
func (j *judge) partial(kind caveat.Kind, athletes int, o occasion) {
	if athletes > 0 {
		j.doubt(caveat.New(kind, float64(athletes)).With(o.names...))
	}
}

// unusable says why an occasion of athlete i cannot be used, "" when it can;
// absent is the reason when there is no score.
func (j *judge) unusable(i int, absent Reason, m mean) Reason {
	switch {
	case m.sessions == 0 && j.neverSeen(i):
		return NeverSeen
	case m.sessions == 0:
		return absent
	case math.IsInf(m.value, -1) && j.t.Noise.Scale == score.Log:
		return NotPositive
	case !isFinite(m.value) || !isFinite(m.raw):
		return Infinite
	}
	return ""
}

func (j *judge) neverSeen(i int) bool {
	for _, v := range j.t.Scores.Row(i) {
		if !math.IsNaN(v) {
			return false
		}
	}
	return true
}

// judgeFollowUp appends the changes of all athletes to one follow-up.
func (j *judge) judgeFollowUp(changes []Change, f int, runs *runs) []Change {
	o := j.followUp[f]
	some, late := 0, j.late(o)
	for i, base := range j.base {
		if base.sessions == 0 {
			continue
		}
		follow := j.meanOf(i, o)
		why := j.unusable(i, NoFollowUp, follow)
		if why == "" && !isFinite(follow.value-base.value) {
			why = TooLarge
		}
		if why != "" {
			j.left.add(why, o, j.t.Scores.Athletes[i])
			continue
		}
		if follow.sessions < len(o.columns) {
			some++
		}
		j.countTops(i, o)
		c := j.change(j.t.Scores.Athletes[i], base, follow)
		if j.practice != nil && late {
			j.learn(&c, j.precisionFor(j.t.Scores.Athletes[i], base.effort, follow.effort), j.have(i, j.baseline))
		}
		c.Athlete, c.Measure, c.Group, c.Occasion = j.t.Scores.Athletes[i], j.t.Measure, j.t.Noise.Group, j.occasions[f]
		c.From, c.To = j.names(i, j.baseline, base.sessions), j.names(i, o, follow.sessions)
		changes = append(changes, c)
		j.band(runs, i, o, c)
	}
	j.partial(PartFollowUp, some, o)
	return changes
}

// change judges one change; whose it is and the adjusted p values come later.
func (j *judge) change(athlete string, base, follow mean) Change {
	d := follow.value - base.value
	p := j.precisionFor(athlete, base.effort, follow.effort)
	j.tally(base.effort, follow.effort, p)
	c := Change{
		Baseline: base.raw, FollowUp: follow.raw,
		Change: p.interval(d, p.half, j.o.Level), Narrow: p.interval(d, p.narrow, j.o.Narrow),
		SE: p.se, DF: p.df, FromComponents: p.components, OwnNoise: p.own,
		Detectable: p.half, Worthwhile: j.worthwhile.value,
		P: dist.TTwoSided(standardized(d, p.se), p.df), Ratio: d / p.se,
	}
	if p.se == 0 {
		c.Ratio = math.NaN()
	}
	if j.t.Noise.Scale == score.Log {
		p := c.Change.Map(estimate.Percent)
		c.Percent = &p
	}
	c.State, c.Matters = ownState(c.Change), j.worthwhile.matters(d, p.half)
	c.Direction, c.Better = direction(d, j.t.Better)
	if w := j.worthwhile.value; !math.IsNaN(w) {
		flat := chance(d, p.se, p.df, w)
		c.Chance, c.ChanceFlat = &flat, &flat
	}
	if j.regression {
		c.Expected, c.Beyond = j.regress(base, c, p)
	}
	return c
}

func (p *precision) interval(d, half, level float64) estimate.Estimate {
	return estimate.Around(d, half, p.se, p.df, level, estimate.StudentT)
}

// ownState is that of a change on its own: whether it stands out is for all
// changes together to say.
func ownState(e estimate.Estimate) State {
	if e.Lower > 0 || e.Upper < 0 {
		return PastNoise
	}
	return InsideNoise
}

// A worthwhile change with its interval.
type worthwhile struct{ value, lower, upper float64 } // all NaN when there is none

// matters applies the rules written beside the answers to a change and half the width
// of its interval.
func (w worthwhile) matters(d, half float64) Matters {
	beyond := math.Abs(d) - w.value
	switch {
	case beyond-math.Hypot(half, w.upper-w.value) > 0:
		return MattersYes
	case beyond+math.Hypot(half, w.value-w.lower) < 0:
		return MattersNo
	}
	return MattersUnclear
}

// verdict puts both answers into one.
func verdict(s State, m Matters) Verdict {
	switch {
	case s == StandsOut && m == MattersYes:
		return OutMatters
	case s == StandsOut && m == MattersNo:
		return OutSmall
	case s == StandsOut:
		return OutMay
	case s == PastNoise:
		return Past
	case m == MattersNo:
		return Steady
	}
	return Inside
}

// direction names the way of the change, and whether that way is the better, ""
// when nobody said which is.
func direction(d float64, better score.Direction) (way, good string) {
	way, up := "fall", score.Lower
	switch {
	case d == 0:
		return "none", ""
	case d > 0:
		way, up = "rise", score.Higher
	}
	switch better {
	case score.Unknown:
		return way, ""
	case up:
		return way, "better"
	}
	return way, "worse"
}

// chance splits a t distribution with the given centre, scale and df at -w and
// w. The middle is a difference of two small tails where it lies in one, so
// that it keeps its digits.
func chance(d, se, df, w float64) Chance {
	high, low := standardized(w-d, se), standardized(w+d, se)
	c := Chance{Above: tail(high, df), Below: tail(low, df)}
	switch {
	case low < 0: // the change is below -w
		c.Within = tail(-low, df) - c.Above
	case high < 0: // above w
		c.Within = tail(-high, df) - c.Below
	default:
		c.Within = 1 - c.Above - c.Below
	}
	c.Within = max(0, c.Within)
	return c
}

// tail returns P(T > x).
func tail(x, df float64) float64 { return dist.TCDF(-x, df) }

// standardized returns d/se; without any error what is not 0 is infinitely far.
func standardized(d, se float64) float64 {
	if d == 0 {
		return 0
	}
	return d / se
}

// reliabilityOf is that of a baseline: of its sessions, and of its attempts where
// they are not those of the study and the components are known,
//
//	σ²a / (σ²a + σ²as/b + σ²e e_b)
func (j *judge) reliabilityOf(base mean) float64 {
	b, r := float64(base.sessions), max(0, j.t.Noise.ICC)
	if c := j.components; c != nil && base.other && base.attempts > 0 {
		if noise := c.AthleteSession/b + c.Trial*base.inverse; c.Athlete+noise > 0 {
			return c.Athlete / (c.Athlete + noise)
		}
	}
	return b * r / (1 + (b-1)*r)
}

// regress returns the change that regression to the mean alone would bring,
// and the rest, with the error of the change: the uncertainty of the reliability
// and of the mean is not in it.
func (j *judge) regress(base mean, c Change, p *precision) (*float64, *estimate.Estimate) {
	r := j.reliabilityOf(base)
	expected := (1 - r) * (j.t.Noise.Mean - base.value)
	beyond := p.interval(c.Change.Value-expected, p.half, j.o.Level)
	return &expected, &beyond
}
