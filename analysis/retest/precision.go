package retest

import (
	"math"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/score"
	"noisefloor/analysis/varcomp"
)

// A precision is how well a change is known: its standard error, how well that
// is known itself, and what follows from both. Changes between equally many
// sessions and attempts share one.
type precision struct {
	se, df       float64
	half, narrow float64 // half widths of the two intervals
	components   bool    // se is from the variance components
	more         bool    // and for more attempts than the study's
	own          bool    // of the athlete's own noise
}

// A reach is half the width of an interval, with its standard error and degrees
// of freedom.
type reach struct{ half, se, df float64 }

// effort is what one athlete's score on one occasion is made of.
type effort struct {
	sessions int     // averaged; 0 when there is none
	attempts int     // in all of them; 0 when not counted
	inverse  float64 // weight of the trial variance: sum of 1/attempts over the sessions / sessions²
	other    bool    // some session has another number of attempts than the study's
}

// fewAttempts is the share by which attempts may differ from those of the study
// and still count as the same number: a study in which a few attempts are
// missing has 2.96 on average and means 3. It moves SE by 1 % at most.
const fewAttempts = 0.02

// count adds a session of so many attempts, 0 or fewer when not counted.
func (e *effort) count(attempts int32, study float64) {
	e.attempts += int(attempts)
	e.inverse += 1 / float64(max(attempts, 0))
	e.other = e.other || math.Abs(float64(attempts)-study) > fewAttempts*study
}

// average divides what count added up. One session without a count makes an
// occasion without.
func (e *effort) average() {
	if e.inverse == 0 || math.IsInf(e.inverse, 1) {
		e.attempts, e.inverse, e.other = 0, 0, false
		return
	}
	e.inverse /= float64(e.sessions * e.sessions)
}

// like returns the effort of one session like those of the study.
func (j *judge) like() effort {
	e := effort{sessions: 1}
	if j.components != nil {
		e.attempts, e.inverse = 1, 1/j.t.Noise.Trials
	}
	return e
}

// chooseComponents decides whether changes with other numbers of attempts than
// the study's can be judged by its variance components, and if not, why.
func (j *judge) chooseComponents() {
	m := j.t.Noise
	c := m.Components
	switch {
	case c == nil || !(m.Trials > 0) || j.t.Scores.Trials == nil:
		return
	case !means(m.Summary) || !means(j.t.Summary):
		j.noComponents = ComponentsOfMeans
		return
	case c.Merged != varcomp.NotMerged:
		j.noComponents = ComponentsMerged
		return
	}
	if _, df := c.Satterthwaite(0, 1, 1); !(df > 0) {
		j.noComponents = ComponentsVague
		return
	}
	j.components = c
}

func means(s score.Summary) bool { return s == "" || s == score.Mean }

// pair is what the precision of a change depends on.
type pair struct{ base, follow effort }

// precisionOf returns the precision of a change between two occasions.
func (j *judge) precisionOf(base, follow effort) *precision {
	at := pair{base, follow}
	if p := j.known[at]; p != nil {
		return p
	}
	p := j.at(base, follow, j.o.Level)
	p.half = wide(p, j.o.Level)
	p.narrow = wide(j.at(base, follow, j.o.Narrow), j.o.Narrow)
	j.known[at] = p
	return p
}

// at is the precision that makes the interval of a level. More attempts than the
// study's never make it wider than the study's own.
func (j *judge) at(base, follow effort, level float64) *precision {
	p := j.fromComponents(base, follow, level)
	if plain := j.fromTypicalError(base, follow); p == nil || p.more && wide(p, level) > wide(plain, level) {
		return plain
	}
	return p
}

// wide is half the width of the interval at a level.
func wide(p *precision, level float64) float64 { return dist.TQuantile(0.5+level/2, p.df) * p.se }

// fromTypicalError is for scores made as those of the study.
func (j *judge) fromTypicalError(base, follow effort) *precision {
	m := j.t.Noise
	return &precision{
		se: m.TypicalError * math.Sqrt(1/float64(base.sessions)+1/float64(follow.sessions)), df: m.DF,
	}
}

// leastDF is where Student's t has a quantile that is good for something: 12.7
// at 95 %; below, components are taken as not known.
const leastDF = 1

// fromComponents is for other numbers of attempts,
//
//	SE² = σ²as (1/b + 1/f) + σ²e (e_b + e_f)
//
// with the sessions b, f and, for e, the sum over an occasion's sessions of
// 1/attempts, divided by the squared number of sessions: 1/(all attempts) where
// they are equally many. It returns nil where no session has another number
// than the study's, where attempts are not counted, and where the components
// are hardly known.
func (j *judge) fromComponents(base, follow effort, level float64) *precision {
	if j.components == nil || !through(base, follow) {
		return nil
	}
	day, trial := 1/float64(base.sessions)+1/float64(follow.sessions), base.inverse+follow.inverse
	study := day / j.t.Noise.Trials // weight of the trial variance in the study
	p := j.atWeights(day, trial)
	if p == nil || trial >= study {
		return p
	}
	// More trials with their few degrees of freedom can look noisier than fewer: the
	// narrowest of the designs from the study's to this one holds, since the error of
	// this one is no larger. The width falls and then rises with the trials.
	low, high := trial, study
	for range 40 {
		a, b := low+(high-low)/3, high-(high-low)/3
		pa, pb := j.atWeights(day, a), j.atWeights(day, b)
		if pa == nil || pb == nil {
			break
		}
		if wide(pa, level) <= wide(pb, level) {
			high = b
		} else {
			low = a
		}
	}
	if best := j.atWeights(day, (low+high)/2); best != nil && wide(best, level) < wide(p, level) {
		p = best
	}
	p.more = true
	return p
}

// atWeights is the precision of σ²as·day + σ²e·trial; nil where it is hardly known.
func (j *judge) atWeights(day, trial float64) *precision {
	square, df := j.components.Satterthwaite(0, day, trial)
	if !(square > 0) || !(df >= leastDF) || math.IsInf(square, 1) {
		return nil
	}
	return &precision{se: math.Sqrt(square), df: df, components: true}
}

// through reports whether a change is one for the components.
func through(base, follow effort) bool {
	return base.attempts != 0 && follow.attempts != 0 && (base.other || follow.other)
}
