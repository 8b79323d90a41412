package retest

import (
	"math"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/noise"
)

// unequalFrom is the p value of equal noise below which the athletes are said to
// differ.
const unequalFrom = 0.05

// chooseOwn takes the athletes' own noise where it is asked for, and says where it
// would be the better, or is missing. The athletes' typical errors are moderated as in
// Smyth GK (2004), Statistical Applications in Genetics and Molecular Biology 3(1):3.
func (j *judge) chooseOwn() {
	m := j.t.Noise
	if m.ScaleAdvice != "" {
		j.doubt(caveat.New(caveat.Kind(m.ScaleAdvice)))
	}
	if !j.o.Own {
		if m.EqualP > 0 && m.EqualP < unequalFrom {
			j.doubt(caveat.New(UnequalNoise, m.EqualP))
		}
		return
	}
	j.byAthlete = map[string]noise.Own{}
	for _, o := range m.Own {
		if m.TypicalError > 0 && o.TypicalError > 0 && o.DF >= leastDF && !math.IsInf(o.TypicalError, 1) {
			j.byAthlete[o.Athlete] = o
		}
	}
	if alike(m.Own) {
		j.doubt(caveat.New(OwnNoiseAlike))
	}
	without := 0
	for _, a := range j.t.Scores.Athletes {
		if _, ok := j.byAthlete[a]; !ok {
			without++
		}
	}
	if without > 0 {
		j.doubt(caveat.New(WithoutOwnNoise, float64(without), float64(len(j.t.Scores.Athletes))))
	}
}

// alike reports whether several athletes have one noise.
func alike(all []noise.Own) bool {
	for _, o := range all {
		if o.TypicalError != all[0].TypicalError {
			return false
		}
	}
	return len(all) > 1
}

// precisionFor is the precision of a change of one athlete: with noise of their own SE
// is larger or smaller by the ratio of the typical errors, on the df of their own, or
// of the components where these have fewer.
func (j *judge) precisionFor(athlete string, base, follow effort) *precision {
	p := j.precisionOf(base, follow)
	own, ok := j.byAthlete[athlete]
	if !ok {
		return p
	}
	q := &precision{se: p.se * own.TypicalError / j.t.Noise.TypicalError, df: own.DF, components: p.components,
		more: p.more, own: true}
	if p.components {
		q.df = min(q.df, p.df)
	}
	q.half, q.narrow = wide(q, j.o.Level), wide(q, j.o.Narrow)
	return q
}
