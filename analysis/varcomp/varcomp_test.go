package varcomp_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"noisefloor/analysis/anova"
	"noisefloor/analysis/cell"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/score"
	"noisefloor/analysis/varcomp"
	"noisefloor/internal/numtest"
	"noisefloor/internal/published"
)

// A study says what to draw: SDs, sessions, most trials, share of sessions missed.
type study struct {
	athletes, sessions, trials int
	a, as, e                   float64
	missed                     float64
	uneven                     bool
	offset                     float64
}

func (s study) draw(seed uint64) cell.Values {
	rng := rand.New(rand.NewPCG(seed, 11))
	d := cell.Values{Athletes: s.athletes, Sessions: s.sessions}
	for i := range s.athletes {
		level := s.offset + s.a*rng.NormFloat64()
		for j := range s.sessions {
			day, trials := level+s.as*rng.NormFloat64()+float64(j), s.trials
			if s.uneven {
				trials = 1 + rng.IntN(s.trials)
			}
			if rng.Float64() < s.missed {
				continue
			}
			for range trials {
				add(&d, i, j, day+s.e*rng.NormFloat64())
			}
		}
	}
	return d
}

func add(d *cell.Values, athlete, session int, v float64) {
	d.Athlete = append(d.Athlete, int32(athlete))
	d.Session = append(d.Session, int32(session))
	d.Value = append(d.Value, v)
}

// On complete tables REML is the analysis of variance: MSR = k σ²a + σ²,
// MSE = σ² (Shrout & Fleiss 1979 and Winer 1971 are published tables).
func TestCompleteScoresEqualTwoWayANOVA(t *testing.T) {
	tables := map[string][][]float64{
		"shrout_fleiss_1979": published.Rows(t, "icc/shrout_fleiss_1979.csv"),
		"winer_1971":         published.Rows(t, "icc/winer_1971.csv"),
		"weir_2005_a":        published.Rows(t, "icc/weir_2005_a.csv"),
	}
	for name, rows := range tables {
		n, k := len(rows), len(rows[0])
		d := cell.Values{Athletes: n, Sessions: k}
		for i, row := range rows {
			for j, v := range row {
				add(&d, i, j, v)
			}
		}
		a, err := anova.AnalyseTwoWay(d.Value, n, k)
		if err != nil {
			t.Fatal(err)
		}
		for _, model := range []varcomp.Model{varcomp.Scores, varcomp.Nested} {
			r := fit(t, d, varcomp.Options{Model: model})
			numtest.Close(t, name+" residual", r.Trial.Value, a.MSE, 1e-12)
			numtest.Close(t, name+" athlete", r.Athlete.Value, (a.MSR-a.MSE)/float64(k), 1e-12)
			value, df := r.Satterthwaite(0, 1, 1)
			numtest.Close(t, name+" MSE", value, a.MSE, 1e-12)
			numtest.Close(t, name+" df of MSE", df, a.DFError, 1e-10)
			for j, m := range r.Fixed {
				numtest.Close(t, name+" session mean", m.Value, a.ColMeans[j], 1e-13)
				numtest.Close(t, name+" its SE", m.SE, math.Sqrt((r.Athlete.Value+r.Trial.Value)/float64(n)), 1e-12)
			}
		}
	}
}

// On complete nested tables: σ²e = MSW, σ²as = (MSAS-MSW)/t,
// σ²a = (MSA-MSAS)/(kt), with the mean squares of a table of cell means (two-way)
// and of the cells (one-way). Goal 1e-9; exact to 1e-11 here.
func TestCompleteAttemptsEqualNestedANOVA(t *testing.T) {
	for _, s := range []study{
		{athletes: 20, sessions: 2, trials: 3, a: 30, as: 9, e: 12, offset: 400},
		{athletes: 60, sessions: 4, trials: 2, a: 3, as: 2, e: 1},
		{athletes: 7, sessions: 5, trials: 6, a: 1e-3, as: 2e-3, e: 4e-3, offset: 3},
		{athletes: 300, sessions: 3, trials: 3, a: 2e7, as: 1e6, e: 3e6, offset: 1e9},
	} {
		d := s.draw(5)
		cells, means := make([][]float64, s.athletes*s.sessions), make([]float64, s.athletes*s.sessions)
		for i, v := range d.Value {
			c := int(d.Athlete[i])*s.sessions + int(d.Session[i])
			cells[c] = append(cells[c], v)
		}
		for c, x := range cells {
			for _, v := range x {
				means[c] += v / float64(len(x))
			}
		}
		one, err := anova.AnalyseOneWay(cells)
		if err != nil {
			t.Fatal(err)
		}
		two, err := anova.AnalyseTwoWay(means, s.athletes, s.sessions)
		if err != nil {
			t.Fatal(err)
		}
		r := fit(t, d, varcomp.Options{})
		m, k := float64(s.trials), float64(s.sessions)
		numtest.Close(t, "trial", r.Trial.Value, one.MSWithin, 1e-11)
		numtest.Close(t, "session", r.AthleteSession.Value, two.MSE-one.MSWithin/m, 1e-11)
		numtest.Close(t, "athlete", r.Athlete.Value, (two.MSR-two.MSE)/k, 1e-11)
		for _, c := range []struct{ a, as, e, value, df float64 }{
			{0, 0, 1, one.MSWithin, one.DFWithin},
			{0, m, 1, m * two.MSE, two.DFError},
			{k * m, m, 1, m * two.MSR, two.DFRows},
		} {
			value, df := r.Satterthwaite(c.a, c.as, c.e)
			numtest.Close(t, "mean square", value, c.value, 1e-11)
			numtest.Close(t, "its df", df, c.df, 1e-9)
		}
		// The residual's profile limits are near chi-square's, which are exact.
		numtest.Close(t, "trial, upper", r.Trial.Upper, one.SSWithin/dist.ChiSquareQuantile(0.025, one.DFWithin), 0.1)
		numtest.Close(t, "trial, lower", r.Trial.Lower, one.SSWithin/dist.ChiSquareQuantile(0.975, one.DFWithin), 0.1)
	}
}

func fit(t testing.TB, d cell.Values, o varcomp.Options) varcomp.Result {
	t.Helper()
	r, err := varcomp.Fit(d.Grid(), o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// negative mean squares: where the analysis of variance gives σ²as < 0, REML
// pools: σ²e = (SSW + SSAS·…)/(df + df), the classical truncated estimate of a
// balanced table (Searle, Casella & McCulloch 1992, Variance Components, section 4.5).
func TestBoundaryPoolsMeanSquares(t *testing.T) {
	s := study{athletes: 12, sessions: 3, trials: 4, a: 20, as: 0, e: 10}
	found := 0
	for seed := range uint64(20) {
		d := s.draw(seed)
		r := fit(t, d, varcomp.Options{})
		if !r.AthleteSession.AtZero {
			continue
		}
		found++
		// By hand on the same numbers: everything about athlete and session means.
		rows := make([]float64, s.athletes*s.sessions*s.trials)
		copy(rows, d.Value) // athlete, session, trial order
		athlete, session, grand := make([]float64, s.athletes), make([]float64, s.sessions), 0.0
		for i, v := range rows {
			a, j := i/(s.sessions*s.trials), i/s.trials%s.sessions
			athlete[a] += v / float64(s.sessions*s.trials)
			session[j] += v / float64(s.athletes*s.trials)
			grand += v / float64(len(rows))
		}
		residual := 0.0
		for i, v := range rows {
			e := v - athlete[i/(s.sessions*s.trials)] - session[i/s.trials%s.sessions] + grand
			residual += e * e
		}
		df := float64(len(rows) - s.athletes - s.sessions + 1)
		numtest.Close(t, "pooled residual", r.Trial.Value, residual/df, 1e-10)
		if r.AthleteSession.Value != 0 || r.AthleteSession.SD.Lower != 0 || !(r.AthleteSession.SD.Upper > 0) ||
			!r.Singular {
			t.Errorf("boundary: %+v, singular %v", r.AthleteSession, r.Singular)
		}
		if !r.Singular || !r.AthleteSession.AtZero {
			t.Errorf("not said: %+v", r)
		}
		// Reduced to two components the fit is the same.
		two := fit(t, d, varcomp.Options{Model: varcomp.Scores})
		numtest.Close(t, "reduced, trial", two.Trial.Value, r.Trial.Value, 1e-10)
		numtest.Close(t, "reduced, athlete", two.Athlete.Value, r.Athlete.Value, 1e-10)
		numtest.Close(t, "reduced, criterion", two.Criterion, r.Criterion, 1e-12)
		numtest.Close(t, "reduced, upper", two.Trial.SD.Upper, r.Trial.SD.Upper, 1e-9)
	}
	if found < 3 {
		t.Errorf("only %d of 20 studies on the boundary", found)
	}
}

func TestAthletesAllAlike(t *testing.T) {
	d := cell.Values{Athletes: 4, Sessions: 2}
	for i, row := range [][]float64{{1, 5}, {5, 1}, {2, 4}, {4, 2}} { // every athlete's mean is 3
		for j, v := range row {
			add(&d, i, j, v)
			add(&d, i, j, v+0.5)
		}
	}
	r := fit(t, d, varcomp.Options{})
	if !r.Athlete.AtZero || !r.Singular || r.Athlete.SD.Lower != 0 || !(r.Athlete.SD.Upper > 0) {
		t.Errorf("athlete %+v", r.Athlete)
	}
	if !r.Singular || !r.Athlete.AtZero {
		t.Errorf("not said: %+v", r)
	}
}

func TestPerfectData(t *testing.T) {
	// Trials repeat exactly; cell means are additive but for the last athlete.
	d := cell.Values{Athletes: 4, Sessions: 2}
	for i, row := range [][]float64{{10.1, 12.1}, {20.3, 22.3}, {30.2, 32.2}, {40.7, 45.7}} {
		for j, v := range row {
			add(&d, i, j, v)
			add(&d, i, j, v)
		}
	}
	r := fit(t, d, varcomp.Options{})
	a, err := anova.AnalyseTwoWay([]float64{10.1, 12.1, 20.3, 22.3, 30.2, 32.2, 40.7, 45.7}, 4, 2)
	if err != nil {
		t.Fatal(err)
	}
	numtest.Close(t, "same trials: session", r.AthleteSession.Value, a.MSE, 1e-10)
	numtest.Close(t, "same trials: athlete", r.Athlete.Value, (a.MSR-a.MSE)/2, 1e-10)
	value, df := r.Satterthwaite(0, 1, 0.5)
	numtest.Close(t, "same trials: error", value, a.MSE, 1e-10)
	numtest.Close(t, "same trials: df", df, 3, 1e-9)
	if r.Trial.Value != 0 || !r.Trial.AtZero || r.Trial.HasInterval() || !r.AthleteSession.HasInterval() ||
		!math.IsNaN(r.Criterion) {
		t.Errorf("same trials: %+v", r)
	}
	if !r.EqualTrials || r.NoResidual {
		t.Errorf("the trials of a session are all the same, and it is not said: %+v", r)
	}

	// Nothing but athlete + session, in numbers that float64 cannot hold exactly.
	d = cell.Values{Athletes: 5, Sessions: 3}
	levels := []float64{10.1, 20.3, 30.2, 40.7, 11.9}
	for i, level := range levels {
		for j := range 3 {
			if i != 4 || j != 1 {
				add(&d, i, j, level+0.1*float64(j))
			}
		}
	}
	for _, model := range []varcomp.Model{varcomp.Nested, varcomp.Scores} {
		r = fit(t, d, varcomp.Options{Model: model})
		mean := (10.1 + 20.3 + 30.2 + 40.7 + 11.9) / 5
		ss := 0.0
		for _, v := range levels {
			ss += (v - mean) * (v - mean)
		}
		numtest.Close(t, "no residual: athlete", r.Athlete.Value, ss/4, 1e-12)
		numtest.Close(t, "no residual: lower", r.Athlete.Lower, ss/dist.ChiSquareQuantile(0.975, 4), 1e-12)
		numtest.Close(t, "no residual: upper", r.Athlete.Upper, ss/dist.ChiSquareQuantile(0.025, 4), 1e-12)
		numtest.Close(t, "no residual: mean", r.Fixed[1].Value, mean+0.1, 1e-13)
		numtest.Close(t, "no residual: SE", r.Fixed[1].SE, math.Sqrt(ss/4/5), 1e-12)
		change, se := r.Change(0, 2)
		numtest.Close(t, "no residual: change", change, 0.2, 1e-12)
		if r.Trial.Value != 0 || se != 0 || !math.IsNaN(r.LogLik) || r.Trial.HasInterval() || r.Simulate(5, 1) != nil {
			t.Errorf("no residual: %+v, SE %g", r, se)
		}
		if !r.NoResidual || r.EqualTrials {
			t.Errorf("no error, and it is not said: %+v", r)
		}
		value, df := r.Satterthwaite(1, 0.5, 0.5)
		numtest.Close(t, "no residual: sum", value, ss/4, 1e-12)
		numtest.Close(t, "no residual: df", df, 4, 1e-12)
	}
	ml := fit(t, d, varcomp.Options{Method: varcomp.ML})
	numtest.Close(t, "no residual, ML", ml.Athlete.Value, r.Athlete.Value*4/5, 1e-12)

	// No variation at all.
	for i := range d.Value {
		d.Value[i] = 0.1
	}
	r = fit(t, d, varcomp.Options{})
	if r.Athlete.Value != 0 || r.Trial.Value != 0 || r.Athlete.HasInterval() || r.Fixed[0].Value != 0.1 {
		t.Errorf("constant data: %+v", r)
	}
	if _, df := r.Satterthwaite(1, 1, 1); !math.IsNaN(df) {
		t.Errorf("constant data: df %g", df)
	}
}

// Sessions that no athlete shares leave their difference to the athletes' own
// levels, with their standard error.
func TestPerfectDataInTwoParts(t *testing.T) {
	d := cell.Values{Athletes: 5, Sessions: 4}
	for i, level := range []float64{1, 2, 4, 5, 9} {
		first := 0
		if i >= 3 {
			first = 2
		}
		add(&d, i, first, level)
		add(&d, i, first+1, level+1)
	}
	r := fit(t, d, varcomp.Options{})
	// Within parts {1,2,4} and {5,9}: sums of squares 14/3 and 8, df 2 + 1.
	numtest.Close(t, "athlete", r.Athlete.Value, (14.0/3+8)/3, 1e-12)
	change, se := r.Change(1, 3)
	numtest.Close(t, "change", change, 8-10.0/3, 1e-12)
	numtest.Close(t, "SE", se, math.Sqrt(r.Athlete.Value*(1.0/3+1.0/2)), 1e-12)
	if _, se = r.Change(0, 1); se != 0 {
		t.Errorf("SE within a part %g", se)
	}
	if v, se := r.Change(0, 7); !math.IsNaN(v) || !math.IsNaN(se) {
		t.Errorf("change to a session that is not there: %g, %g", v, se)
	}
}

func TestMergedComponents(t *testing.T) {
	// One trial per session.
	d := study{athletes: 15, sessions: 3, trials: 1, a: 5, as: 2, e: 3, missed: 0.2}.draw(3)
	r := fit(t, d, varcomp.Options{})
	if r.Merged != varcomp.WithTrial || !math.IsNaN(r.AthleteSession.Value) {
		t.Errorf("one trial: %q, %+v", r.Merged, r.AthleteSession)
	}
	scores := fit(t, d, varcomp.Options{Model: varcomp.Scores})
	numtest.Close(t, "one trial, criterion", r.Criterion, scores.Criterion, 1e-15)
	if scores.Merged != varcomp.NotInTheFit || scores.NoResidual || scores.EqualTrials {
		t.Errorf("scores: %q, %+v", scores.Merged, scores)
	}
	if v, df := r.Satterthwaite(0, 1, 0.5); !math.IsNaN(v) || !math.IsNaN(df) {
		t.Errorf("merged components were taken apart: %g", v)
	}
	v, _ := r.Satterthwaite(0, 0.5, 0.5)
	numtest.Close(t, "half the sum", v, r.Trial.Value/2, 1e-15)

	// One session per athlete: all in one, and each in one of two.
	for name, sessions := range map[string]int{"one session": 1, "two groups": 2} {
		d = cell.Values{Athletes: 12, Sessions: 2}
		rng := rand.New(rand.NewPCG(1, 1))
		var groups [][]float64
		for i := range 12 {
			level := 10 * rng.NormFloat64()
			var g []float64
			for range 3 {
				g = append(g, level+rng.NormFloat64())
				add(&d, i, i%sessions, g[len(g)-1])
			}
			groups = append(groups, g)
		}
		r = fit(t, d, varcomp.Options{})
		if r.Merged != varcomp.WithAthlete || !math.IsNaN(r.AthleteSession.Value) || r.Sessions != sessions {
			t.Errorf("%s: %q", name, r.Merged)
		}
		one, err := anova.AnalyseOneWay(groups)
		if err != nil {
			t.Fatal(err)
		}
		numtest.Close(t, name+": trial", r.Trial.Value, one.MSWithin, 1e-11)
		if sessions == 1 {
			numtest.Close(t, name+": athlete", r.Athlete.Value, (one.MSBetween-one.MSWithin)/3, 1e-11)
		}
		if v, _ := r.Satterthwaite(1, 0, 1); !math.IsNaN(v) {
			t.Errorf("%s: merged components were taken apart: %g", name, v)
		}
		v, _ := r.Satterthwaite(1, 1, 0)
		numtest.Close(t, name+": sum", v, r.Athlete.Value, 1e-15)
		// And with trials that repeat exactly there is nothing but the athletes.
		for i := range d.Value {
			d.Value[i] = math.Round(groups[d.Athlete[i]][0])
		}
		r = fit(t, d, varcomp.Options{})
		if r.Merged != varcomp.WithAthlete || r.Trial.Value != 0 || !(r.Athlete.Value > 0) {
			t.Errorf("%s, same trials: %q %+v %+v", name, r.Merged, r.Trial, r.Athlete)
		}
	}
}

func TestRefusals(t *testing.T) {
	good := study{athletes: 5, sessions: 2, trials: 2, a: 1, as: 1, e: 1}.draw(1)
	with := func(change func(d *cell.Values)) cell.Values {
		d := good
		d.Athlete, d.Session, d.Value = slices.Clone(d.Athlete), slices.Clone(d.Session), slices.Clone(d.Value)
		change(&d)
		return d
	}
	tests := []struct {
		name string
		d    cell.Values
		o    varcomp.Options
		err  error
		says string
	}{
		{"nothing", cell.Values{}, varcomp.Options{}, varcomp.ErrTooFew, "athletes: 0"},
		{"one athlete", with(func(d *cell.Values) {
			for i := range d.Athlete {
				d.Athlete[i] = 3
			}
		}), varcomp.Options{}, varcomp.ErrTooFew, "athletes: 1,"},
		{"one score each", with(func(d *cell.Values) { *d = keep(*d, func(i int) bool { return i%4 == 0 }) }),
			varcomp.Options{}, varcomp.ErrTooFew, "do not tell athletes from error"},
		{"each athlete a session", cell.Values{Athletes: 3, Sessions: 3, Athlete: []int32{0, 0, 1, 1, 2, 2},
			Session: []int32{0, 0, 1, 1, 2, 2}, Value: []float64{1, 2, 3, 4, 5, 7}},
			varcomp.Options{}, varcomp.ErrTooFew, "do not tell"},
		{"NaN", with(func(d *cell.Values) { d.Value[4] = math.NaN() }), varcomp.Options{}, varcomp.ErrNonFinite,
			"athlete 2, session 1 holds NaN to NaN"},
		{"infinite", with(func(d *cell.Values) { d.Value[4] = math.Inf(-1) }), varcomp.Options{},
			varcomp.ErrNonFinite, "-Inf"},
		{"huge", with(func(d *cell.Values) { d.Value[4] = 1e300 }), varcomp.Options{}, varcomp.ErrNonFinite, "1e+300"},
		{"method", good, varcomp.Options{Method: "least squares"}, varcomp.ErrOption, "least squares"},
		{"model", good, varcomp.Options{Model: "crossed"}, varcomp.ErrOption, "crossed"},
		{"limits", good, varcomp.Options{Limits: "wide"}, varcomp.ErrOption, "wide"},
		{"level", good, varcomp.Options{Level: 95}, varcomp.ErrOption, "95"},
		{"level NaN", good, varcomp.Options{Level: math.NaN()}, varcomp.ErrOption, "NaN"},
	}
	for _, tt := range tests {
		_, err := varcomp.Fit(tt.d.Grid(), tt.o)
		if !errors.Is(err, tt.err) || !strings.Contains(fmt.Sprint(err), tt.says) {
			t.Errorf("%s: error %v, want %v with %q", tt.name, err, tt.err, tt.says)
		}
	}
}

func TestShape(t *testing.T) {
	for _, g := range []cell.Grid{{Rows: 3, Columns: 2, Cells: make([]cell.Cell, 5)}, {Rows: -1, Columns: -6,
		Cells: make([]cell.Cell, 6)}} {
		if _, err := varcomp.Fit(g, varcomp.Options{}); !errors.Is(err, varcomp.ErrShape) {
			t.Errorf("%d by %d of %d cells: %v", g.Rows, g.Columns, len(g.Cells), err)
		}
	}
}

func keep(d cell.Values, in func(i int) bool) cell.Values {
	out := cell.Values{Athletes: d.Athletes, Sessions: d.Sessions}
	for i, v := range d.Value {
		if in(i) {
			add(&out, int(d.Athlete[i]), int(d.Session[i]), v)
		}
	}
	return out
}

func TestFromScoresAndAttempts(t *testing.T) {
	a := cell.Attempts{Athletes: []string{"a", "b", "c"}, Sessions: []string{"1", "2"},
		Athlete: []int32{0, 0, 1, 1, 1, 2, 2}, Session: []int32{0, 1, 0, 0, 1, 1, 0},
		Trial: []int32{1, 1, 1, 2, 1, 1, 1}, Value: []float64{4, 5, 8, 9, 10, 1, 2.5}}
	if g := a.Values().Grid(); g.Rows != 3 || g.Columns != 2 || g.N() != 7 || g.At(1, 0).Mean() != 8.5 {
		t.Errorf("%+v", g)
	}
	table, err := score.Summarise(a.Table(cell.Options{}), score.Mean, score.Higher)
	if err != nil {
		t.Fatal(err)
	}
	table.Value[5] = math.NaN()
	got := varcomp.FromTable(table)
	for at, want := range []float64{4, 5, 8.5, 10, 2.5, math.NaN()} {
		if c := got.Cells[at]; c.N > 1 || c.Mean() != want && !(c.N == 0 && math.IsNaN(want)) {
			t.Errorf("cell %d: %+v, want %g", at, c, want)
		}
	}
	if _, err := varcomp.Fit(got, varcomp.Options{Model: varcomp.Scores}); err != nil {
		t.Error(err)
	}
}
