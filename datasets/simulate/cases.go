package simulate

import (
	"math"
	"math/rand/v2"
)

// CaseAthletes is the smallest cohort in which six of the athletes are cases:
// a smaller one has none.
const CaseAthletes = 30

// A Case is an athlete whose truth was not drawn but set: one of the patterns
// that the trade knows. The rules behind the patterns are common practice, no
// source. A case is in the control group, so its truth is the same in every
// session, but for GainBySession.
type Case struct {
	Case    string `json:"case"`
	Athlete string `json:"athlete"`

	// Standing is how far the true scores are from the mean of the level, in SD
	// between athletes of the level, the better side for a test with sides;
	// positive is better. Standings are the tests that stand elsewhere.
	Standing  float64            `json:"standing"`
	Standings map[string]float64 `json:"standings,omitempty"`

	// SideDifference is by test, dominant less other side in percent of the
	// better one.
	SideDifference map[string]float64 `json:"side_difference"`

	// CountermovementGain is by the test with the countermovement,
	// 100(with - without)/without. The standing of such a pair is that of
	// √(with·without).
	CountermovementGain map[string]float64 `json:"countermovement_gain"`

	// GainBySession are the gains of one who is new to a test, in each session;
	// Athletes[].Scores holds the last.
	GainBySession map[string][]float64 `json:"gain_by_session,omitempty"`

	// SetAside are the tests that are not to be judged, and Reason says why.
	SetAside []string `json:"set_aside,omitempty"`
	Reason   string   `json:"reason,omitempty"`

	level int     // index into levels
	slope float64 // of the load-velocity line, in SD of the slope
}

// newCases are the cases of the demo.
func newCases() []Case {
	return []Case{
		{Case: "even", level: senior, Standing: 0.9,
			SideDifference: sides(2, 2, 2), CountermovementGain: gains(15, 10)},
		{Case: "faded senior", level: senior, Standing: -1.6,
			SideDifference: sides(2, 2, 2), CountermovementGain: gains(-4, 1)},
		{Case: "strong and stiff", level: academy, Standing: 2, slope: 2,
			Standings:      map[string]float64{"fixed_turn_rise": 0.3, "side_throw_speed": 0.8},
			SideDifference: sides(22, 26, 4), CountermovementGain: gains(0, 1),
			SetAside: []string{"jump_height", "jump_height_paused", "drop_jump_contact", "lateral_bound"},
			Reason:   "history of low back pain"},
		{Case: "springy", level: academy, Standing: 0.9, slope: -1,
			Standings:      map[string]float64{"fixed_turn_rise": -0.9},
			SideDifference: sides(3, 2, 1), CountermovementGain: gains(29, 20)},
		{Case: "one joint", level: academy, Standing: 0.8,
			SideDifference: sides(3, -36, 1), CountermovementGain: gains(15, 10)},
		{Case: "first exposure", level: school, Standing: 0.3,
			SideDifference: sides(3, 2, 1), CountermovementGain: gains(16, 10),
			GainBySession: map[string][]float64{"cable_turn": {3, 9, 14, 16}}},
	}
}

// Indices into levels.
const school, academy, senior = 0, 1, 2

func sides(throw, press, bound float64) map[string]float64 {
	return map[string]float64{"side_throw_speed": throw, "cable_press": press, "lateral_bound": bound}
}

func gains(turn, jump float64) map[string]float64 {
	return map[string]float64{"cable_turn": turn, "jump_height": jump}
}

// cast gives each case to an athlete of its level from the control group.
func cast(rng *rand.Rand, people []person) {
	if len(people) < CaseAthletes {
		return
	}
	cases := newCases()
	order := rng.Perm(len(people))
	for k := range cases {
		for _, i := range order {
			p := &people[i]
			if p.as == nil && p.Group == control && p.level == cases[k].level {
				cases[k].Athlete, p.as = p.Code, &cases[k]
				break
			}
		}
	}
}

// scores are the true scores of p as the case.
func (c *Case) scores(p person, tests []test) scores {
	s := scores{unlearned: map[int][Sessions]float64{}}
	for _, t := range tests {
		if bySession, ok := c.GainBySession[t.Name]; ok {
			s.unlearned[len(s.before)] = c.unlearned(t, bySession, tests)
		}
		better := c.score(t, tests)
		for _, side := range t.sides() {
			s.before = append(s.before, t.less(better, c.below(t, p.dominates(side))))
		}
	}
	s.after = s.before
	return s
}

// score is the true score in t, that of the better side for a test with sides,
// on the scale of t.
func (c *Case) score(t test, tests []test) float64 {
	switch {
	case t.Countermovement == "":
		return c.stands(t)
	case t.Countermovement == "without":
		with := named(tests, t.Counterpart)
		return c.score(with, tests) / (1 + c.CountermovementGain[with.Name]/100)
	}
	without := named(tests, t.Counterpart)
	middle := math.Sqrt(c.stands(t) * c.stands(without))
	return middle * math.Sqrt(1+c.CountermovementGain[t.Name]/100)
}

// stands is the score in t that has the standing of the case.
func (c *Case) stands(t test) float64 {
	z, ok := c.Standings[t.Name]
	if !ok && !t.useless() {
		z = c.Standing
	}
	if t.Better == "lower" {
		z = -z
	}
	z = float64(math.Sqrt(1-float64(t.lean*t.lean))*z) + float64(t.lean*c.slope)
	return t.centre(c.level) + float64(t.sd*z)
}

// below is how far a side is below the better one, as a fraction of that.
func (c *Case) below(t test, dominates float64) float64 {
	return max(0, -dominates*c.SideDifference[t.Name]/100)
}

// less is a score less a fraction of its value in the unit of t.
func (t test) less(score, fraction float64) float64 {
	if t.log {
		return score + math.Log1p(-fraction)
	}
	return score - float64(score*fraction)
}

// unlearned is what each session lacks of the score with the full gain.
func (c *Case) unlearned(t test, bySession []float64, tests []test) [Sessions]float64 {
	without := c.score(named(tests, t.Counterpart), tests)
	var lacks [Sessions]float64
	for j, gain := range bySession {
		lacks[j] = without * (c.CountermovementGain[t.Name] - gain) / 100
	}
	return lacks
}

// useless reports whether t goes with nothing: no case stands out in it.
func (t test) useless() bool { return t.factors == (vector{}) }

// named returns the test of that name; the plan names only tests that it has.
func named(tests []test, name string) test {
	for _, t := range tests {
		if t.Name == name {
			return t
		}
	}
	panic("simulate: no test is named " + name)
}
