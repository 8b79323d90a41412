package calibration

import (
	"fmt"
	"math"
	"math/rand/v2"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/season"
)

// Seen is a kind: changes that are found, where there is one to find. What is promised
// is the power that the analysis prints.
const Seen Kind = "changes seen"

// A pattern is how a season differs from the baseline, session by session.
type pattern struct {
	name   string
	change []float64
}

// patterns are those whose power is told: steps that come before the season, a line that
// reaches three errors at its end, one bad day in its middle.
func patterns(planned int) []pattern {
	line, day := season.Step(0, planned), season.Step(0, planned)
	for i := range line {
		line[i] = 3 * float64(i+1) / float64(planned)
	}
	day[planned/2] = -4
	return []pattern{{"a step of 1.5 errors", season.Step(1.5, planned)}, {"a step of 2 errors", season.Step(2, planned)},
		{"a line up to 3 errors", line}, {"one bad day of 4 errors", day}}
}

// Seasons watches one athlete over the planned sessions, against a baseline of b, on the
// noise of a study of n athletes and two sessions: the mean of these two where b is 2,
// sessions of their own else.
func Seasons(n, b, planned, studies int) Experiment {
	p := season.Plan{Baseline: b, Planned: planned}
	null, err := p.Null()
	if err != nil {
		panic("calibration: " + err.Error()) // of the plan itself
	}
	df := float64(n - 1)
	limit := null.Limit(0.05, df)
	d := Design{N: n, K: 2, ICC: anyICC, Setting: fmt.Sprintf("baseline of %d, %d sessions", b, planned)}
	e := Experiment{Name: d.name("seasons"), Studies: studies}
	e.Rows = []Row{
		d.row(alarm("watch over a season, any alarm", Approximate), math.NaN()),
		d.row(alarm("any session past the noise on its own, in a season", Contrast), math.NaN()),
		d.row(alarm("slope of a season called past the noise", AtMost), math.NaN()),
		d.row(interval("slope of a season", Approximate), 3/float64(planned)),
	}
	for _, c := range patterns(planned) {
		e.Rows = append(e.Rows, d.row(Method{"watch over a season sees " + c.name, Seen, Approximate,
			null.Power(c.change, limit, df)}, math.NaN()))
	}
	e.Study = func(rng *rand.Rand, m *Marks) error {
		f := drawField(rng, n, 2)
		value := f.scores(spread(anyICC, 1), nil)
		square, df, _ := noise.Covary(value, value, 2) // of a test with itself: TE²
		base := (f.errors[0] + f.errors[1]) / 2
		if b != 2 {
			base = average(normals(rng, b))
		}
		return watched(m, p, base, normals(rng, planned), math.Sqrt(square), df, limit)
	}
	return e
}

// watched marks what comes of one athlete, whose errors are given.
func watched(m *Marks, p season.Plan, base float64, errors []float64, te, df, limit float64) error {
	alarm := func(change []float64) bool {
		a, _ := p.Looks(changed(errors, change), base, te, limit)
		return a != nil
	}
	m.yes(alarm(season.Step(0, p.Planned)))
	single := dist.TQuantile(0.975, df)
	past := false
	for _, y := range errors {
		past = past || math.Abs(y-base) > season.Plan{Baseline: p.Baseline}.Limit(single, te, 1)
	}
	m.yes(past)
	all := patterns(p.Planned)
	var x []float64
	for i := range errors {
		x = append(x, float64(i))
	}
	still, err := season.Straight(x, errors, te, df, 0.95)
	if err != nil {
		return err
	}
	m.yes(still.Slope.Excludes(0))
	rising, err := season.Straight(x, changed(errors, all[2].change), te, df, 0.95)
	if err != nil {
		return err
	}
	m.covers(rising.Slope)
	for _, c := range all {
		m.yes(alarm(c.change))
	}
	return nil
}

func changed(a, b []float64) []float64 {
	out := make([]float64, len(a))
	for i := range a {
		out[i] = a[i] + b[i]
	}
	return out
}

func average(x []float64) (sum float64) {
	for _, v := range x {
		sum += v / float64(len(x))
	}
	return sum
}
