package datasets_test

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"noisefloor/datasets"
)

// A scoreTable holds plain session means from the embedded file: [measure][athlete][session-1].
type scoreTable map[string]map[string]*[4]float64

// scores averages the attempts of each session; NaN where not all three have a
// reading. On the log scale it averages logarithms.
func scores(t *testing.T, logs func(measure string) bool) scoreTable {
	t.Helper()
	s := scoreTable{}
	for _, row := range table(t)[1:] {
		name := strings.TrimSuffix(row[10]+"."+row[11], ".")
		session, err := strconv.Atoi(row[8])
		if err != nil {
			t.Fatal(err)
		}
		v, err := strconv.ParseFloat(row[12], 64)
		if err != nil {
			v = math.NaN()
		}
		if logs(name) {
			v = math.Log(v)
		}
		if s[name] == nil {
			s[name] = map[string]*[4]float64{}
		}
		if s[name][row[0]] == nil {
			s[name][row[0]] = &[4]float64{}
		}
		s[name][row[0]][session-1] += v / 3
	}
	return s
}

// differences of session 2 minus session 1, and the means of the two.
func (s scoreTable) differences(measure string) (d, m []float64) {
	for i := 1; i <= 60; i++ {
		a := s[measure]["C"+strconv.Itoa(i/10)+strconv.Itoa(i%10)]
		if a == nil || math.IsNaN(a[0]+a[1]) || a[0] == 0 || a[1] == 0 {
			continue
		}
		d, m = append(d, a[1]-a[0]), append(m, (a[0]+a[1])/2)
	}
	return d, m
}

func truth(t *testing.T) datasets.Truth {
	t.Helper()
	u, err := datasets.LoadTruth()
	if err != nil {
		t.Fatal(err)
	}
	return u
}

func onTrueScale(u datasets.Truth) func(string) bool {
	return func(name string) bool {
		m, _ := u.Measure(name)
		return m.Scale == "log"
	}
}

// The true typical error is inside the exact 99.9 % interval of that of
// sessions 1 and 2, TE·√(df/χ²); quantiles from gonum's distuv.
func TestTypicalErrorsOfCoastHoldTheTruth(t *testing.T) {
	u := truth(t)
	s := scores(t, onTrueScale(u))
	for _, m := range u.Measures {
		d, _ := s.differences(m.Measure)
		df := float64(len(d) - 1)
		chi := distuv.ChiSquared{K: df}
		te := stat.StdDev(d, nil) / math.Sqrt2
		lower, upper := te*math.Sqrt(df/chi.Quantile(0.9995)), te*math.Sqrt(df/chi.Quantile(0.0005))
		t.Logf("%s: n = %d, typical error %.4g (%.4g to %.4g), truth %.4g", m.Measure, len(d), te, lower, upper,
			m.TypicalError)
		if !(lower <= m.TypicalError && m.TypicalError <= upper) {
			t.Errorf("%s: typical error %.4g (99.9 %% interval %.4g to %.4g) misses the truth %.4g",
				m.Measure, te, lower, upper, m.TypicalError)
		}
	}
}

// Only the pull is learned between sessions 1 and 2, and it shows.
func TestLearningShows(t *testing.T) {
	u := truth(t)
	s := scores(t, onTrueScale(u))
	for _, m := range u.Measures {
		d, _ := s.differences(m.Measure)
		n := float64(len(d))
		half := distuv.StudentsT{Sigma: 1, Nu: n - 1}.Quantile(0.9995) * stat.StdDev(d, nil) / math.Sqrt(n)
		shift := stat.Mean(d, nil)
		if math.Abs(shift-m.SessionShift[1]) > half {
			t.Errorf("%s: shift %.4g ± %.4g misses the truth %g", m.Measure, shift, half, m.SessionShift[1])
		}
		if learned := math.Abs(shift) > half; learned != (m.Measure == "cable_pull") {
			t.Errorf("%s: shift %.4g ± %.4g", m.Measure, shift, half)
		}
	}
}

// The error of the press grows with the value, and the log cures it. The slope
// of |difference| on mean is judged by its t value, over both sides: their
// errors are independent.
func TestErrorThatGrowsShows(t *testing.T) {
	for _, tt := range []struct {
		scale string
		logs  bool
		grows bool
	}{{"raw", false, true}, {"log", true, false}} {
		s := scores(t, func(string) bool { return tt.logs })
		d, m := s.differences("cable_press.left")
		other, mean := s.differences("cable_press.right")
		d, m = append(d, other...), append(m, mean...)
		for i := range d {
			d[i] = math.Abs(d[i])
		}
		r := stat.Correlation(d, m, nil)
		n := float64(len(d))
		value := r * math.Sqrt((n-2)/(1-r*r))
		limit := distuv.StudentsT{Sigma: 1, Nu: n - 2}.Quantile(0.975)
		if grows := value > limit; grows != tt.grows || value < -limit {
			t.Errorf("%s scale: |difference| on mean has t = %.2f (limit %.2f)", tt.scale, value, limit)
		}
	}
}

// Mixing the levels lifts the correlation of a sagittal test with ball speed
// far above that within a level, in the table itself.
func TestMixingLevelsInflates(t *testing.T) {
	s := scores(t, func(string) bool { return false })
	level := map[string]string{}
	for _, row := range table(t)[1:] {
		level[row[0]] = row[1]
	}
	var x, y, dx, dy []float64 // as they are, and less the level's mean
	for _, l := range []string{"school", "academy", "senior"} {
		var a, b []float64
		for i := 1; i <= 60; i++ {
			code := "C" + strconv.Itoa(i/10) + strconv.Itoa(i%10)
			jump, ball := s["jump_height"][code], s["ball_speed"][code]
			if level[code] != l || ball == nil || math.IsNaN(jump[0]+ball[0]) || jump[0] == 0 {
				continue
			}
			a, b = append(a, jump[0]), append(b, ball[0])
		}
		x, y = append(x, a...), append(y, b...)
		for i, ma, mb := 0, stat.Mean(a, nil), stat.Mean(b, nil); i < len(a); i++ {
			dx, dy = append(dx, a[i]-ma), append(dy, b[i]-mb)
		}
	}
	pooled, within := stat.Correlation(x, y, nil), stat.Correlation(dx, dy, nil)
	t.Logf("jump_height and ball_speed, n = %d: r %.2f over all, %.2f within level", len(x), pooled, within)
	if pooled-within < 0.2 {
		t.Errorf("r is %.2f over all and %.2f within level: no lesson in that", pooled, within)
	}
}
