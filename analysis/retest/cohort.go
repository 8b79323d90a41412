package retest

import (
	"noisefloor/analysis/caveat"
)

// believeFollowUp fills what the changes of all athletes to one follow-up say about
// each of them. Arms of fewer than fewToBelieve are left with the flat prior.
func (j *judge) believeFollowUp(changes []Change) {
	if !j.o.Cohort || j.t.Noise.TypicalError == 0 {
		return
	}
	x, of := j.spread(changes)
	if few := len(changes) - len(of); few > 0 {
		j.doubt(caveat.New(FewToBelieve, float64(few), fewToBelieve))
	}
	if len(of) == 0 {
		return
	}
	b := believe(x, j.tailsOf(x.nu()))
	if b == nil {
		return
	}
	for at, i := range of {
		changes[i].believe(b.of(x.d[at], x.g[at], x.arm[at]), j.o.Level)
	}
}

// spread are the changes of the arms that are large enough, and which they are.
func (j *judge) spread(changes []Change) (x spread, of []int) {
	count := map[string]int{}
	for _, c := range changes {
		count[j.arm(c.Athlete)]++
	}
	number := map[string]int{}
	m := j.t.Noise
	x.te, x.df = m.TypicalError, m.DF
	for i, c := range changes {
		arm := j.arm(c.Athlete)
		if count[arm] < fewToBelieve {
			continue
		}
		if _, ok := number[arm]; !ok {
			number[arm] = len(number)
		}
		x.d, x.g, x.arm = append(x.d, c.Change.Value), append(x.g, c.SE/x.te), append(x.arm, number[arm])
		of = append(of, i)
	}
	x.arms = len(number)
	return x, of
}

// arm is that of an athlete; one for all where nobody said.
func (j *judge) arm(athlete string) string { return j.arms[athlete] }

// tailsOf returns the tails of t, made once a call.
func (j *judge) tailsOf(df float64) *tails {
	if j.tails[df] == nil {
		j.tails[df] = newTails(df)
	}
	return j.tails[df]
}

// believe fills what the cohort says, and the less sure of it and the flat prior: of a
// rise that matters, and of a fall that matters, the smaller chance.
func (c *Change) believe(m mixture, level float64) {
	best := m.estimate(level)
	c.Best = &best
	if c.ChanceFlat == nil {
		return
	}
	cohort := m.chance(c.Worthwhile)
	c.ChanceCohort = &cohort
	above, below := min(cohort.Above, c.ChanceFlat.Above), min(cohort.Below, c.ChanceFlat.Below)
	c.Chance = &Chance{Above: above, Within: 1 - above - below, Below: below}
}
