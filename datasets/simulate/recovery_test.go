package simulate_test

import (
	"math"
	"testing"

	"noisefloor/datasets/simulate"
)

// sessionScores are plain means of complete triples of trials, on the true
// scale: [measure][athlete][session-1], NaN where a trial is missing. They use
// nothing of the analysis packages, so that an error there cannot hide here.
type sessionScores struct {
	study *simulate.Study
	set   map[string]bool // codes of the cases, whose truth was not drawn
	mean  [][][simulate.Sessions]float64
	inner [][]float64 // [measure]: variances of complete triples
}

func scoresOf(s *simulate.Study) sessionScores {
	trials := make([][][simulate.Sessions][]float64, len(s.Measures))
	for m := range trials {
		trials[m] = make([][simulate.Sessions][]float64, len(s.Athletes))
	}
	for _, a := range s.Attempts {
		v := a.Value
		if s.Truth.Measures[a.Measure].Scale == "log" {
			v = math.Log(v)
		}
		if cell := &trials[a.Measure][a.Athlete][a.Session-1]; !math.IsNaN(v) {
			*cell = append(*cell, v)
		}
	}
	out := sessionScores{study: s, set: cases(s), inner: make([][]float64, len(s.Measures))}
	for m := range trials {
		means := make([][simulate.Sessions]float64, len(s.Athletes))
		for i := range means {
			for j, cell := range trials[m][i] {
				means[i][j] = math.NaN()
				if len(cell) == simulate.Trials {
					means[i][j] = mean(cell)
					out.inner[m] = append(out.inner[m], covariance(cell, cell))
				}
			}
		}
		out.mean = append(out.mean, means)
	}
	return out
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

func covariance(x, y []float64) float64 {
	mx, my, sum := mean(x), mean(y), 0.0
	for i := range x {
		sum += (x[i] - mx) * (y[i] - my)
	}
	return sum / float64(len(x)-1)
}

// differences are those of session b minus session a, of the athletes that keep allows.
func (s sessionScores) differences(m, a, b int, keep func(simulate.Athlete) bool) (d []float64,
	who []simulate.Athlete) {
	for i, p := range s.study.Athletes {
		if v := s.mean[m][i][b-1] - s.mean[m][i][a-1]; !math.IsNaN(v) && keep(p) {
			d, who = append(d, v), append(who, p)
		}
	}
	return d, who
}

// within is the covariance of two columns of scores within level and
// discipline, pooled over both.
func (s sessionScores) within(m, session, m2, session2 int) float64 {
	groups := map[string][2][]float64{}
	for i, p := range s.study.Athletes {
		x, y := s.mean[m][i][session-1], s.mean[m2][i][session2-1]
		if !math.IsNaN(x) && !math.IsNaN(y) && s.drawn(p) {
			g := groups[p.Level+p.Discipline]
			groups[p.Level+p.Discipline] = [2][]float64{append(g[0], x), append(g[1], y)}
		}
	}
	var sum, df float64
	for _, level := range []string{"school", "academy", "senior"} {
		for _, discipline := range []string{"bowler", "batter"} {
			if g := groups[level+discipline]; len(g[0]) > 1 {
				n := float64(len(g[0]) - 1)
				sum += n * covariance(g[0], g[1])
				df += n
			}
		}
	}
	return sum / df
}

func (s sessionScores) levelMean(m, session int, level string) float64 {
	var x []float64
	for i, p := range s.study.Athletes {
		if v := s.mean[m][i][session-1]; !math.IsNaN(v) && p.Level == level && s.drawn(p) {
			x = append(x, v)
		}
	}
	return mean(x)
}

// cases are the codes of the athletes whose truth was set. What the truth says
// of a measure is said of the others.
func cases(s *simulate.Study) map[string]bool {
	set := map[string]bool{}
	for _, c := range s.Truth.Cases {
		set[c.Athlete] = true
	}
	return set
}

func (s sessionScores) drawn(a simulate.Athlete) bool { return !s.set[a.Code] }

func (s sessionScores) group(name string) func(simulate.Athlete) bool {
	return func(a simulate.Athlete) bool { return a.Group == name && !a.Injured && s.drawn(a) }
}

// A moment is an unbiased estimate of something the truth states, divided by
// the truth's own size so that all are of order one.
type moment struct {
	name           string
	estimate, true float64
}

// moments are linear in the second moments of the data, so that their mean
// over many studies is the truth itself, with no small-sample correction.
func (s sessionScores) moments() []moment {
	var out []moment
	for m, u := range s.study.Truth.Measures {
		variance := u.AthleteSD * u.AthleteSD
		add := func(name string, estimate, truth float64) {
			out = append(out, moment{u.Measure + ": " + name, estimate, truth})
		}
		d, _ := s.differences(m, 1, 2, s.drawn)
		add("typical error", covariance(d, d)/2/(u.TypicalError*u.TypicalError), 1)
		add("formula of the typical error", u.TypicalError*u.TypicalError/(u.DaySD*u.DaySD+u.TrialSD*u.TrialSD/3), 1)
		add("trial SD", mean(s.inner[m])/(u.TrialSD*u.TrialSD), 1)
		add("athlete SD", s.within(m, 1, m, 2)/variance, 1)
		add("shift", mean(d)/u.TypicalError, (u.SessionShift[1]-u.SessionShift[0])/u.TypicalError)
		late, _ := s.differences(m, 3, 4, s.drawn)
		add("settled", mean(late)/u.TypicalError, (u.SessionShift[3]-u.SessionShift[2])/u.TypicalError)
		for level, want := range u.LevelMeans {
			add("mean of "+level, (s.levelMean(m, 1, level)-want)/u.AthleteSD, 0)
		}
		for name, percent := range u.TrainingPercent {
			add("change of "+name, s.relativeChange(m, u, name), trueChange(u, percent))
		}
		if u.OutcomeR != nil {
			add("r", s.outcomeR(m, variance), *u.OutcomeR)
		}
	}
	return out
}

// relativeChange is the mean change from session 2 to 4 in units of the
// level's mean (raw), or on the log scale.
func (s sessionScores) relativeChange(m int, u simulate.MeasureTruth, name string) float64 {
	d, who := s.differences(m, 2, 4, s.group(name))
	if u.Scale == "raw" {
		for i, p := range who {
			d[i] /= u.LevelMeans[p.Level]
		}
	}
	return mean(d)
}

func trueChange(u simulate.MeasureTruth, percent float64) float64 {
	if u.Scale == "log" {
		return math.Log(1 + percent/100)
	}
	return percent / 100
}

// outcomeR is the covariance of a test with ball speed within level over the
// true SDs: errors of measurement do not touch it.
func (s sessionScores) outcomeR(m int, variance float64) float64 {
	for o, u := range s.study.Truth.Measures {
		if u.Measure == "ball_speed" {
			return s.within(m, 2, o, 2) / math.Sqrt(variance) / u.AthleteSD
		}
	}
	return math.NaN()
}

// Over 200 other seeds the mean of every estimate must meet the truth. There
// are 250 of them, so a few beyond 3 Monte Carlo standard errors are to be
// expected (0.7 on average: P(more than 4) < 0.001); beyond 5 none is (1e-4).
func TestTruthIsRecoveredOverSeeds(t *testing.T) {
	const studies = 200
	estimates, truths := map[string][]float64{}, map[string]float64{}
	for seed := uint64(1001); seed <= 1000+studies; seed++ {
		for _, m := range scoresOf(cohort(t, seed, 60)).moments() {
			estimates[m.name] = append(estimates[m.name], m.estimate)
			truths[m.name] = m.true
		}
	}
	beyond := 0
	for name, x := range estimates {
		got, want, se := mean(x), truths[name], math.Sqrt(covariance(x, x)/studies)
		z := (got - want) / se
		if se < 1e-9 { // a formula, the same in every study, to the nine digits of the file
			z = (got - want) / 1e-8
		}
		if math.Abs(z) > 3 {
			beyond++
			t.Logf("%s: mean %.5f, truth %.5f, z = %.2f", name, got, want, z)
		}
		if !(math.Abs(z) <= 5) {
			t.Errorf("%s: mean %.5f, truth %.5f, %.1f standard errors away", name, got, want, z)
		}
	}
	if beyond > 4 {
		t.Errorf("%d of %d estimates are more than 3 standard errors from the truth", beyond, len(estimates))
	}
}

// The athletes' own true scores have the correlations and responses that the
// truth states for the population: one large cohort, 5 standard errors.
func TestTruthOfPopulationIsThatOfAthletes(t *testing.T) {
	s := cohort(t, 77, 6000)
	for _, u := range s.Truth.Measures {
		responses(t, s, u)
		for outcome, want := range u.PooledR {
			x, y := trueScores(s, u, outcome)
			r := covariance(x, y) / math.Sqrt(covariance(x, x)*covariance(y, y))
			if se := (1 - want*want) / math.Sqrt(float64(len(x))); math.Abs(r-want) > 5*se {
				t.Errorf("%s and %s over all levels: r = %.4f of %d athletes, truth %.4f", u.Measure, outcome, r,
					len(x), want)
			}
		}
	}
}

// trueScores are the true scores of those athletes that have the outcome, on
// the true scale.
func trueScores(s *simulate.Study, u simulate.MeasureTruth, outcome string) (x, y []float64) {
	set := cases(s)
	for _, a := range s.Truth.Athletes {
		v, w := a.Scores[u.Measure], a.Scores[outcome]
		if w == 0 || set[a.Athlete] {
			continue
		}
		if u.Scale == "log" {
			v = math.Log(v)
		}
		x, y = append(x, v), append(y, w)
	}
	return x, y
}

// responses compares the SD of the true changes of the trained with the truth,
// and finds none among the control group. The SD of an SD is below that of a
// normal sample, SD/√(2n), for such bounded responses.
func responses(t *testing.T, s *simulate.Study, u simulate.MeasureTruth) {
	t.Helper()
	var trained []float64
	for _, a := range s.Truth.Athletes {
		change, score := a.Changes[u.Measure], a.Scores[u.Measure]
		switch {
		case score == 0 || a.Athlete == s.Truth.Injured:
		case a.Group == "control":
			if change != 0 {
				t.Fatalf("%s, %s: a control athlete truly changed by %g", u.Measure, a.Athlete, change)
			}
		case u.Scale == "log":
			trained = append(trained, 100*math.Log1p(change/score))
		default:
			trained = append(trained, 100*change/score)
		}
	}
	got, want := math.Sqrt(covariance(trained, trained)), u.ResponseSDPercent
	if math.Abs(got-want) > 5*want/math.Sqrt(2*float64(len(trained))) {
		t.Errorf("%s: SD of the true responses %.4f %%, truth %.4f %%", u.Measure, got, want)
	}
}

// Rotational tests go with the outcome within a level, sagittal ones much less,
// and mixing the levels hides that.
func TestPlanesDiffer(t *testing.T) {
	s := cohort(t, 1, 60)
	for i, m := range s.Measures {
		u := s.Truth.Measures[i]
		switch {
		case m.Role == "outcome":
			if u.OutcomeR != nil {
				t.Errorf("%s correlates with itself", m.Name)
			}
			continue
		case m.Name == "seated_flick":
			between(t, m.Name, *u.OutcomeR, 0, 0)
			between(t, m.Name, u.PooledR["ball_speed"], 0, 0)
			between(t, m.Name+", error over spread", u.TypicalError/u.AthleteSD, 1, 1.1)
			continue
		case m.Plane == "transverse":
			between(t, m.Name, math.Abs(*u.OutcomeR), 0.65, 0.75)
		case m.Plane == "sagittal":
			between(t, m.Name, math.Abs(*u.OutcomeR), 0.25, 0.35)
			between(t, m.Name+", pooled", math.Abs(u.PooledR["ball_speed"]), 0.7, 0.95)
		}
		if (*u.OutcomeR < 0) != (m.Better == "lower") && m.Plane != "" {
			t.Errorf("%s: %s is better, and r is %g", m.Name, m.Better, *u.OutcomeR)
		}
		if *u.OutcomeR*u.PooledR["ball_speed"] < 0 {
			t.Errorf("%s: within level %g, over all %g", m.Name, *u.OutcomeR, u.PooledR["ball_speed"])
		}
	}
}

func between(t *testing.T, name string, got, low, high float64) {
	t.Helper()
	if !(got >= low && got <= high) {
		t.Errorf("%s: %g is not from %g to %g", name, got, low, high)
	}
}
