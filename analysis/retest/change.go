package retest

import (
	"fmt"
	"math"

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
		if why := j.unusable(i, "baseline", j.baseline, j.base[i]); why != "" {
			j.left.add(why, j.t.Scores.Athletes[i])
			j.base[i] = mean{}
		}
	}
	j.warnPartial(some, "baseline", j.baseline)
}

func (j *judge) warnPartial(athletes int, what string, o occasion) {
	if athletes > 0 {
		who := fmt.Sprintf("%d athletes have", athletes)
		if athletes == 1 {
			who = "1 athlete has"
		}
		j.warn("%s only some of the %s %s: judged by the mean of those there are, with the larger error", who, what, named(o.names))
	}
}

// unusable says why an occasion of athlete i cannot be used, "" when it can.
func (j *judge) unusable(i int, what string, o occasion, m mean) string {
	switch {
	case m.sessions == 0 && j.neverSeen(i):
		return "no score in any session"
	case m.sessions == 0:
		return fmt.Sprintf("no %s (%s)", what, named(o.names))
	case math.IsInf(m.value, -1) && j.t.Noise.Scale == score.Log:
		return fmt.Sprintf("a score of zero or below at %s (%s), which the log scale cannot take", what, named(o.names))
	case !isFinite(m.value) || !isFinite(m.raw):
		return fmt.Sprintf("an infinite score at %s (%s)", what, named(o.names))
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
		why := j.unusable(i, "follow-up", o, follow)
		if why == "" && !isFinite(follow.value-base.value) {
			why = fmt.Sprintf("a change too large to compute (%s)", named(o.names))
		}
		if why != "" {
			j.left.add(why, j.t.Scores.Athletes[i])
			continue
		}
		if follow.sessions < len(o.columns) {
			some++
		}
		c := j.change(base, follow, late)
		c.Athlete, c.Measure = j.t.Scores.Athletes[i], j.t.Measure
		c.From, c.To = j.names(i, j.baseline, base.sessions), j.names(i, o, follow.sessions)
		changes = append(changes, c)
		j.mark(runs, i, o, c)
	}
	j.warnPartial(some, "follow-up", o)
	return changes
}

// change judges one change; whose it is and the adjusted p values come later.
func (j *judge) change(base, follow mean, late bool) Change {
	d := follow.value - base.value
	p := j.precisionOf(base.effort, follow.effort)
	j.tally(base.effort, follow.effort, p)
	c := Change{
		Baseline: base.raw, FollowUp: follow.raw,
		Change: p.interval(d, p.half), Narrow: p.interval(d, p.narrow),
		SE: p.se, DF: p.df, FromComponents: p.components, NoiseWords: p.words,
		Detectable: p.half, Worthwhile: j.worthwhile,
		P: dist.TTwoSided(standardized(d, p.se), p.df), RCI: d / p.se,
	}
	if p.se == 0 {
		c.RCI = math.NaN()
	}
	if j.t.Noise.Scale == score.Log {
		p := c.Change.Map(estimate.Percent)
		c.Percent = &p
	}
	c.Real = c.Change.Lower > 0 || c.Change.Upper < 0
	c.Verdict = verdict(c.Change, c.Real, j.worthwhile)
	c.Direction, c.Better = direction(d, j.t.Better)
	if !math.IsNaN(j.worthwhile) {
		ch := chance(d, p.se, p.df, j.worthwhile)
		c.Chance = &ch
	}
	if j.regression {
		c.Expected, c.Beyond = j.regress(base, c, p)
	}
	if j.practice != nil && late {
		j.learn(&c, p.after)
	}
	return c
}

func (p *precision) interval(d, half float64) estimate.Estimate {
	return estimate.Estimate{Value: d, Lower: d - half, Upper: d + half, Method: p.method}
}

// verdict applies the rules written beside the verdicts; w NaN means that
// there is no worthwhile change.
func verdict(e estimate.Estimate, real bool, w float64) Verdict {
	small := -w < e.Lower && e.Upper < w
	switch {
	case real && (e.Lower > w || e.Upper < -w):
		return RealWorthwhile
	case real && small:
		return RealSmall
	case real:
		return RealUnclear
	case small:
		return TriviallySmall
	}
	return WithinNoise
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
	c := Chance{Rise: tail(high, df), Fall: tail(low, df)}
	switch {
	case low < 0: // the change is below -w
		c.Trivial = tail(-low, df) - c.Rise
	case high < 0: // above w
		c.Trivial = tail(-high, df) - c.Fall
	default:
		c.Trivial = 1 - c.Rise - c.Fall
	}
	c.Trivial = max(0, c.Trivial)
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

// regress returns the change that regression to the mean alone would bring,
// and the rest.
func (j *judge) regress(base mean, c Change, p *precision) (*float64, *estimate.Estimate) {
	b, r := float64(base.sessions), max(0, j.t.Noise.ICC)
	r = b * r / (1 + (b-1)*r)
	expected := (1 - r) * (j.t.Noise.Mean - base.value)
	beyond := p.interval(c.Change.Value-expected, p.half)
	beyond.Method = p.beyond
	return &expected, &beyond
}
