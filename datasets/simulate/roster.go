package simulate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
)

// A person is an athlete with what the roster knows beside the table.
type person struct {
	Athlete
	level int     // index into levels
	mass  float64 // standardised body mass that is not strength, before the factors
	as    *Case   // whose truth it has; nil for an athlete that is drawn
}

// does reports whether the athlete's discipline includes t.
func (p person) does(t test) bool { return t.only == "" || t.only == p.Discipline }

// dominates is +1 for the dominant side, -1 for the other and 0 for a test
// without sides.
func (p person) dominates(side string) float64 {
	switch side {
	case "":
		return 0
	case p.Dominant:
		return 1
	}
	return -1
}

// roster makes n people in order of code, and for each the session that is
// missed (0: none). Levels and the control group are spread evenly over each
// discipline; codes, handedness, the injury, the cases and the absences are drawn.
func roster(rng *rand.Rand, n int) ([]person, []int) {
	bowlers := int(math.Round(bowlerShare * float64(n)))
	people := append(squad(bowler, bowlers), squad(batter, n-bowlers)...)
	rng.Shuffle(n, func(i, j int) { people[i], people[j] = people[j], people[i] })
	width := max(2, len(fmt.Sprint(n)))
	for i := range people {
		p := &people[i]
		p.Code = fmt.Sprintf("C%0*d", width, i+1)
		p.Dominant = right
		youngest, oldest := ages[p.level][0], ages[p.level][1]
		p.Age = youngest + rng.IntN(oldest-youngest+1)
		p.mass = rng.NormFloat64()
	}
	for _, i := range rng.Perm(n)[:share(leftShare, n)] {
		people[i].Dominant = left
	}
	injure(rng, people)
	cast(rng, people)
	return people, absences(rng, people)
}

// squad makes n athletes of one discipline, levels in blocks of equal size.
func squad(discipline string, n int) []person {
	people := make([]person, n)
	for k := range people {
		p := &people[k]
		p.level = k * len(levels) / n
		p.Level, p.Discipline, p.Group = levels[p.level], discipline, trained
		if k%controlEvery == controlEvery-1 {
			p.Group = control
		}
	}
	return people
}

// injure marks one adult bowler of the trained group.
func injure(rng *rand.Rand, people []person) {
	var who []int
	for i, p := range people {
		if p.Discipline == bowler && p.Group == trained && p.level > 0 {
			who = append(who, i)
		}
	}
	people[who[rng.IntN(len(who))]].Injured = true
}

// absences draws who misses which session; the injured athlete and the cases
// miss none.
func absences(rng *rand.Rand, people []person) []int {
	n := len(people)
	missed := make([]int, n)
	order := slices.DeleteFunc(rng.Perm(n), func(i int) bool { return people[i].Injured || people[i].as != nil })
	for _, i := range order[:share(absentShare, n)] {
		missed[i] = 1 + rng.IntN(Sessions)
	}
	return missed
}

// share is the fraction p of n people, rounded.
func share(p float64, n int) int { return int(math.Round(p * float64(n))) }
