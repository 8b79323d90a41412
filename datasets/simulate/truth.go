package simulate

import (
	"math"
	"strconv"
)

// A Truth holds the true values behind a [Study]. Tests and courses hold
// estimates against it; no analysis reads it.
type Truth struct {
	Seed     uint64         `json:"seed"`
	Sessions int            `json:"sessions"`
	Trials   int            `json:"trials"`
	Injured  string         `json:"injured"` // code of the athlete with the injured shoulder
	Missed   []Absence      `json:"missed"`
	Cases    []Case         `json:"cases,omitempty"`
	Measures []MeasureTruth `json:"measures"`
	Athletes []AthleteTruth `json:"athletes"`
}

// An Absence is a session that an athlete missed.
type Absence struct {
	Athlete string `json:"athlete"`
	Session int    `json:"session"`
}

// A MeasureTruth holds the true values of one measure. They are on the
// measure's scale: in its unit when Scale is raw, in natural-log units when it
// is log. They are those of the athletes that were drawn: a [Case] is set apart
// from them.
type MeasureTruth struct {
	Measure string `json:"measure"`
	Unit    string `json:"unit"`
	Scale   string `json:"scale"` // raw, or log where errors grow with the value

	AthleteSD    float64            `json:"athlete_sd"`    // between athletes within a level
	LevelMeans   map[string]float64 `json:"level_means"`   // before the block, session 1
	SessionShift []float64          `json:"session_shift"` // of each session against the first: learning
	DaySD        float64            `json:"day_sd"`        // athlete × session
	TrialSD      float64            `json:"trial_sd"`      // between trials of a session
	TypicalError float64            `json:"typical_error"` // of a session score: the mean of all trials

	// TrainingPercent is the mean true change of a group over the block, in
	// percent of the athlete's own score; on the log scale 100(exp(d)-1) of the
	// mean change d. ResponseSDPercent is the SD of the individual true changes
	// of the trained (100 times the SD in log units on the log scale). Both
	// leave out the injured athlete.
	TrainingPercent   map[string]float64 `json:"training_percent"`
	ResponseSDPercent float64            `json:"response_sd_percent"`

	// OutcomeR is the correlation of true scores with the true outcome (ball or
	// bat speed) within a level before the block, absent for an outcome.
	// PooledR is that over all levels of the discipline, by outcome.
	OutcomeR *float64           `json:"outcome_r,omitempty"`
	PooledR  map[string]float64 `json:"pooled_r,omitempty"`
}

// An AthleteTruth holds one athlete's true scores before the training block
// (without any learning) and true changes over it, by measure and in its unit.
// On the log scale the score is the geometric mean of the athlete's attempts.
type AthleteTruth struct {
	Athlete string             `json:"athlete"`
	Level   string             `json:"level"`
	Group   string             `json:"group"`
	Scores  map[string]float64 `json:"scores"`
	Changes map[string]float64 `json:"changes"`
}

// Measure returns the truth of the named measure and whether there is one.
func (t Truth) Measure(name string) (MeasureTruth, bool) {
	for _, m := range t.Measures {
		if m.Measure == name {
			return m, true
		}
	}
	return MeasureTruth{}, false
}

// Athlete returns the truth of the coded athlete and whether there is one.
func (t Truth) Athlete(code string) (AthleteTruth, bool) {
	for _, a := range t.Athletes {
		if a.Athlete == code {
			return a, true
		}
	}
	return AthleteTruth{}, false
}

// Case returns the case of that name and whether there is one.
func (t Truth) Case(name string) (Case, bool) {
	for _, c := range t.Cases {
		if c.Case == name {
			return c, true
		}
	}
	return Case{}, false
}

func truth(seed uint64, tests []test, people []person, drawn []scores, missed []int) Truth {
	t := Truth{Seed: seed, Sessions: Sessions, Trials: Trials}
	leftHanded := 0
	for i, p := range people {
		if p.Injured {
			t.Injured = p.Code
		}
		if missed[i] > 0 {
			t.Missed = append(t.Missed, Absence{p.Code, missed[i]})
		}
		if p.Dominant == left {
			leftHanded++
		}
		if p.as != nil {
			t.Cases = append(t.Cases, *p.as)
		}
		t.Athletes = append(t.Athletes, athleteTruth(p, tests, drawn[i]))
	}
	handed := float64(leftHanded) / float64(len(people))
	for _, u := range tests {
		for _, side := range u.sides() {
			t.Measures = append(t.Measures, measureTruth(u, side, handed, tests, people))
		}
	}
	return t
}

func athleteTruth(p person, tests []test, s scores) AthleteTruth {
	a := AthleteTruth{Athlete: p.Code, Level: p.Level, Group: p.Group,
		Scores: map[string]float64{}, Changes: map[string]float64{}}
	m := -1
	for _, t := range tests {
		for _, side := range t.sides() {
			m++
			if !p.does(t) {
				continue
			}
			name := fullName(t.Name, side)
			before, after := t.unscale(s.before[m]), t.unscale(s.after[m])
			a.Scores[name], a.Changes[name] = rounded(before), rounded(after-before)
		}
	}
	return a
}

// measureTruth gives the true values of one side of t, in a cohort of which
// the share handed is left-handed.
func measureTruth(t test, side string, handed float64, tests []test, people []person) MeasureTruth {
	m := MeasureTruth{
		Measure: fullName(t.Name, side), Unit: t.Unit, Scale: "raw",
		AthleteSD:    rounded(t.sd * t.spread(handed)),
		LevelMeans:   map[string]float64{},
		SessionShift: []float64{0, t.learned, t.learned, t.learned},
		DaySD:        t.day, TrialSD: t.trial, TypicalError: rounded(t.typicalError()),
		TrainingPercent:   map[string]float64{trained: rounded(100 * t.gain), control: 0},
		ResponseSDPercent: rounded(100 * math.Abs(t.gain) * responseSD()),
	}
	if t.log {
		m.Scale = "log"
		m.ResponseSDPercent = rounded(100 * math.Abs(math.Log1p(t.gain)) * responseSD())
	}
	for l, name := range levels {
		m.LevelMeans[name] = rounded(t.levelMean(l, side, handed))
	}
	if t.Role == "outcome" {
		return m
	}
	r := decimals(t.outcomeR(handed))
	m.OutcomeR, m.PooledR = &r, map[string]float64{}
	for _, o := range tests {
		if o.Role == "outcome" {
			m.PooledR[o.Name] = decimals(pooledR(t, o, side, handed, people))
		}
	}
	return m
}

// typicalError is that of a session score, the mean of all trials.
func (t test) typicalError() float64 {
	return math.Sqrt(float64(t.day*t.day) + float64(t.trial*t.trial)/Trials)
}

// spread is the SD of a score within level in units of t.sd. One side of the
// body is the dominant one for some and not for others: a share p of ones and
// 1-p of minus ones has variance 4p(1-p).
func (t test) spread(handed float64) float64 {
	if !t.sided {
		return 1
	}
	return math.Sqrt(1 + 4*handed*(1-handed)*t.lead*t.lead)
}

// levelMean is the mean of a level on one side, on the scale of t.
func (t test) levelMean(level int, side string, handed float64) float64 {
	lead := 0.0
	switch side {
	case left:
		lead = (2*handed - 1) * t.lead
	case right:
		lead = (1 - 2*handed) * t.lead
	}
	return t.centre(level) + float64(t.sd*lead)
}

// outcomeR is the correlation with the outcome within a level: both outcomes
// load alike on the factors.
func (t test) outcomeR(handed float64) float64 {
	return t.factors.dot(outcome) / t.spread(handed)
}

// pooledR is the correlation of t with outcome o over the levels of the
// discipline that has it: the covariance within levels plus that of the level
// means, and the same for the variances.
func pooledR(t, o test, side string, handed float64, people []person) float64 {
	var share [len(levels)]float64
	n := 0.0
	for _, p := range people {
		if p.does(o) {
			share[p.level]++
			n++
		}
	}
	var mt, mo float64
	for l := range share {
		share[l] /= n
		mt += float64(share[l] * t.levelMean(l, side, handed))
		mo += float64(share[l] * o.levelMean(l, "", handed))
	}
	sd := t.sd * t.spread(handed)
	vt, vo, c := float64(sd*sd), float64(o.sd*o.sd), t.outcomeR(handed)*sd*o.sd
	for l, w := range share {
		dt, do := t.levelMean(l, side, handed)-mt, o.levelMean(l, "", handed)-mo
		vt += float64(w * dt * dt)
		vo += float64(w * do * do)
		c += float64(w * dt * do)
	}
	return c / math.Sqrt(float64(vt*vo))
}

// decimals keeps nine decimals of a correlation. The zero that it adds turns
// -0 into 0.
func decimals(r float64) float64 { return math.Round(r*1e9)/1e9 + 0 }

// rounded keeps nine significant digits, so that the file of the truth is the
// same on every processor.
func rounded(x float64) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 9, 64), 64)
	if err != nil {
		panic("simulate: " + err.Error()) // the text is our own
	}
	return r
}
