package association_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"noisefloor/analysis/association"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
)

// rel is the tolerance against recomputed values (40+ digits, see the README
// of testdata/published/correlation).
const rel = 1e-11

// row is a line of a file of expected values; empty cells are NaN.
type row map[string]string

func (r row) f(t testing.TB, name string) float64 {
	t.Helper()
	text, ok := r[name]
	if !ok {
		t.Fatalf("no column %q", name)
	}
	if text == "" || text == "NA" {
		return math.NaN()
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func rows(t testing.TB, path ...string) []row {
	t.Helper()
	f, err := os.Open(filepath.Join(append([]string{"..", "..", "testdata"}, path...)...))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	records, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return toRows(records)
}

func toRows(records [][]string) []row {
	var out []row
	for _, r := range records[1:] {
		line := row{}
		for i, name := range records[0] {
			line[name] = r[i]
		}
		out = append(out, line)
	}
	return out
}

func published(t testing.TB, name string) []row { return rows(t, "published", "correlation", name) }

func columns(t testing.TB, rs []row, names ...string) [][]float64 {
	t.Helper()
	out := make([][]float64, len(names))
	for i, name := range names {
		for _, r := range rs {
			out[i] = append(out[i], r.f(t, name))
		}
	}
	return out
}

func must[T any](t testing.TB) func(T, error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// Anscombe (1973): the printed r is .816 for all four sets.
func TestAnscombe(t *testing.T) {
	data := published(t, "anscombe.csv")
	for _, want := range published(t, "anscombe_results.csv") {
		var set []row
		for _, r := range data {
			if r["set"] == want["set"] {
				set = append(set, r)
			}
		}
		xy := columns(t, set, "x", "y")
		name := "set " + want["set"] + " "
		p := must[association.Correlation](t)(association.Pearson(xy[0], xy[1], 0.95))
		numtest.CloseAbs(t, name+"printed r", p.Value, 0.816, 0.0006)
		numtest.Close(t, name+"r", p.Value, want.f(t, "r"), rel)
		numtest.Close(t, name+"p", p.P, want.f(t, "p"), rel)
		numtest.Close(t, name+"lower", p.Lower, want.f(t, "fisher_lower"), rel)
		numtest.Close(t, name+"upper", p.Upper, want.f(t, "fisher_upper"), rel)
		s := must[association.Correlation](t)(association.Spearman(xy[0], xy[1], 0.95))
		numtest.Close(t, name+"Spearman", s.Value, want.f(t, "spearman"), rel)

		// The slope is seen through Analyse. Its half width is t(9, 0.975)
		// standard errors: 2.2621571628 in any t table (R 4.2.2 for the digits).
		in := plain(xy[1], xy[0])
		slope := must[association.Result](t)(association.Analyse(in, association.Options{})).Associations[0].Slope
		numtest.Close(t, name+"slope", slope.Value, want.f(t, "slope"), rel)
		numtest.Close(t, name+"slope half width", (slope.Upper-slope.Lower)/2, 2.2621571627982049*want.f(t,
			"slope_se"), rel)
	}
}

// Anscombe's x1 and y1 with y2 held constant; values recomputed.
func TestAnscombePartial(t *testing.T) {
	var sets [5][2][]float64
	for _, r := range published(t, "anscombe.csv") {
		set := int(r.f(t, "set"))
		sets[set][0] = append(sets[set][0], r.f(t, "x"))
		sets[set][1] = append(sets[set][1], r.f(t, "y"))
	}
	c := must[association.Correlation](t)(association.Partial(sets[1][0], sets[1][1], [][]float64{sets[2][1]}, 0))
	numtest.Close(t, "r", c.Value, 0.5344871568030631, rel)
	numtest.Close(t, "p", c.P, 0.11146245408965627, rel)
	numtest.Close(t, "df", c.DF, 8, 0)
}

// The encyclopedia's small example: .919145.
func TestPartialSmall(t *testing.T) {
	c := columns(t, published(t, "partial_small.csv"), "x", "y", "z")
	got := must[association.Correlation](t)(association.Partial(c[0], c[1], c[2:], 0.95))
	numtest.CloseAbs(t, "printed", got.Value, 0.919145, 5e-7)
	numtest.Close(t, "r", got.Value, 0.9191450300180579, rel)
	numtest.Close(t, "p", got.P, 0.2577621168183132, rel)
	numtest.Close(t, "df", got.DF, 1, 0)
	if got.HasInterval() {
		t.Errorf("an interval with n-q-3 = 0: %+v", got.Estimate)
	}
}

// Efron's law schools: the printed r is .776.
func TestLawSchool(t *testing.T) {
	c := columns(t, published(t, "law_school.csv"), "lsat", "gpa")
	p := must[association.Correlation](t)(association.Pearson(c[0], c[1], 0.90))
	numtest.CloseAbs(t, "printed r", p.Value, 0.776, 5e-4)
	numtest.Close(t, "r", p.Value, 0.7763744912894069, rel)
	numtest.Close(t, "p", p.P, 0.0006651020111028169, rel)
	numtest.Close(t, "90% lower", p.Lower, 0.5089784876920154, rel)
	numtest.Close(t, "90% upper", p.Upper, 0.9071175589731029, rel)
	p = must[association.Correlation](t)(association.Pearson(c[0], c[1], 0))
	numtest.Close(t, "95% lower", p.Lower, 0.4385108249627953, rel)
	numtest.Close(t, "95% upper", p.Upper, 0.9219647559645164, rel)
	s := must[association.Correlation](t)(association.Spearman(c[0], c[1], 0))
	numtest.Close(t, "Spearman", s.Value, 0.7964285714285714, rel)
}

// Hollander & Wolfe's tuna, p of Spearman exact: R 4.2.2 cor.test.
func TestTuna(t *testing.T) {
	c := columns(t, published(t, "tuna.csv"), "x", "y")
	p := must[association.Correlation](t)(association.Pearson(c[0], c[1], 0))
	numtest.Close(t, "r", p.Value, 0.5711815575638287, rel)
	numtest.Close(t, "p", p.P, 0.10817305434949387, rel)
	numtest.Close(t, "lower", p.Lower, -0.1497426330367573, rel)
	numtest.Close(t, "upper", p.Upper, 0.8955794618387394, rel)
	s := must[association.Correlation](t)(association.Spearman(c[0], c[1], 0))
	numtest.Close(t, "rs", s.Value, 0.6, rel)
	numtest.Close(t, "rs lower", s.Lower, -0.174244069778285, rel)
	numtest.Close(t, "rs upper", s.Upper, 0.9157978790133389, rel)
	numtest.Close(t, "exact p", s.P, 0.096797839506172836, 1e-14)
}

// Made-up tied ranks, n = 10: t approximation, values recomputed.
func TestSpearmanTies(t *testing.T) {
	c := columns(t, published(t, "ties.csv"), "x", "y", "rank_x", "rank_y")
	s := must[association.Correlation](t)(association.Spearman(c[0], c[1], 0))
	numtest.Close(t, "rs", s.Value, 0.934375, rel)
	numtest.Close(t, "p", s.P, 7.492681297860964e-05, rel)
	ranks := must[association.Correlation](t)(association.Pearson(c[2], c[3], 0))
	numtest.Close(t, "Pearson of the published ranks", s.Value, ranks.Value, rel)
	p := must[association.Correlation](t)(association.Pearson(c[0], c[1], 0))
	numtest.Close(t, "r", p.Value, 0.8945902822198858, rel)
}

// withR returns n points whose Pearson r is exactly r up to rounding: b is at
// right angles to a and of its length.
func withR(r float64, n int) (x, y []float64) {
	a, b := make([]float64, n), make([]float64, n)
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		a[i], b[i] = c, s
	}
	y = make([]float64, n)
	for i := range n {
		y[i] = r*a[i] + math.Sqrt(1-r*r)*b[i]
	}
	return a, y
}

// Fisher limits on a grid of r and n; recomputed. Limits near 0 are the
// difference of larger numbers, hence the absolute tolerance.
func TestFisherGrid(t *testing.T) {
	for _, g := range published(t, "fisher_grid.csv") {
		x, y := withR(g.f(t, "r"), int(g.f(t, "n")))
		c := must[association.Correlation](t)(association.Pearson(x, y, g.f(t, "level")/100))
		name := "r=" + g["r"] + " n=" + g["n"] + " " + g["level"] + "% "
		numtest.CloseAbs(t, name+"lower", c.Lower, g.f(t, "lower"), 1e-13)
		numtest.CloseAbs(t, name+"upper", c.Upper, g.f(t, "upper"), 1e-13)
	}
}

// Steiger 1980, Meng et al. 1992, Zou 2007, Silver et al. 2006: recomputed
// values of all statistics.
func TestDependentCorrelations(t *testing.T) {
	for _, c := range published(t, "dependent.csv") {
		name := c["case"] + " "
		r12, r13, r23, n := c.f(t, "r12"), c.f(t, "r13"), c.f(t, "r23"), int(c.f(t, "n"))
		wt, df, wp := association.Williams(r12, r13, r23, n)
		numtest.Close(t, name+"Williams t", wt, c.f(t, "williams_t"), rel)
		numtest.Close(t, name+"Williams df", df, float64(n-3), 0)
		numtest.Close(t, name+"Williams p", wp, c.f(t, "williams_p"), rel)
		z, p, ci := association.Meng(r12, r13, r23, n, 0.95)
		numtest.Close(t, name+"Meng z", z, c.f(t, "meng_z"), rel)
		numtest.Close(t, name+"Meng p", p, c.f(t, "meng_p"), rel)
		numtest.Close(t, name+"Meng lower", ci.Lower, c.f(t, "meng_lower"), rel)
		numtest.Close(t, name+"Meng upper", ci.Upper, c.f(t, "meng_upper"), rel)
		zou := association.Zou(r12, r13, r23, n, 0)
		numtest.Close(t, name+"Zou lower", zou.Lower, c.f(t, "zou_lower"), rel)
		numtest.Close(t, name+"Zou upper", zou.Upper, c.f(t, "zou_upper"), rel)
	}
}

// The values as the papers print them.
func TestDependentCorrelationsAsPrinted(t *testing.T) {
	z, p, ci := association.Meng(.63, -.03, -.19, 15, 0.95) // Meng et al. 1992
	numtest.CloseAbs(t, "Meng z", z, 1.68, 0.005)
	numtest.CloseAbs(t, "Meng one-sided p", p/2, 0.047, 5e-4)
	numtest.CloseAbs(t, "Meng lower", ci.Lower, -0.129, 5e-4)
	numtest.CloseAbs(t, "Meng upper", ci.Upper, 1.671, 1e-3) // 1.6717 here; the paper works with rounded z
	zou := association.Zou(.396, .179, .088, 66, 0.95)       // Zou 2007, example 2
	numtest.CloseAbs(t, "Zou lower", zou.Lower, -0.093, 5e-4)
	numtest.CloseAbs(t, "Zou upper", zou.Upper, 0.517, 5e-4)
	wt, _, wp := association.Williams(.3, .4, .5, 100) // Silver, Hittner & May 2006
	numtest.CloseAbs(t, "Williams t", wt, -1.0767, 5e-5)
	numtest.CloseAbs(t, "Williams p", wp, 0.2843, 5e-5)
	z, p, _ = association.Meng(.3, .4, .5, 100, 0.95)
	numtest.CloseAbs(t, "Meng z", z, -1.0707, 5e-5)
	numtest.CloseAbs(t, "Meng p", p, 0.2843, 5e-5)
}

// f in Meng's h is at most 1 (Meng et al. 1992); without that h would be
// below 1 here and z 5.37. Value: the formula in R 4.2.2.
func TestMengBound(t *testing.T) {
	z, _, _ := association.Meng(.9, .1, -.3, 40, 0)
	numtest.Close(t, "z", z, 5.1752534553547616, rel)
}

// May & Hittner (1997), 18 rows, n = 50; recomputed.
func TestMayHittner(t *testing.T) {
	got := 0
	for _, c := range published(t, "may_hittner.csv") {
		r12, r13, r23, n := c.f(t, "r12"), c.f(t, "r13"), c.f(t, "r23"), int(c.f(t, "n"))
		name := c["r12"] + "/" + c["r13"] + "/" + c["r23"] + " "
		wt, _, _ := association.Williams(r12, r13, r23, n)
		z, _, _ := association.Meng(r12, r13, r23, n, 0)
		numtest.Close(t, name+"Williams", wt, c.f(t, "williams_t"), rel)
		numtest.Close(t, name+"Meng", z, c.f(t, "meng_z"), rel)
		got++
	}
	if got != 18 {
		t.Errorf("%d rows, want 18", got)
	}
}

// For two groups the test of equal r is the square of Fisher's z test of two
// independent correlations: four published pairs, z recomputed.
func TestHomogeneityOfTwo(t *testing.T) {
	for _, c := range published(t, "independent.csv") {
		h := association.Homogeneity([]float64{c.f(t, "r1"), c.f(t, "r2")}, []int{int(c.f(t, "n1")), int(c.f(t, "n2"))})
		numtest.Close(t, c["case"]+" chi-square", h.Statistic, math.Pow(c.f(t, "z"), 2), rel)
		numtest.Close(t, c["case"]+" p", h.P, c.f(t, "p"), rel)
		numtest.Close(t, c["case"]+" df", h.DF, 1, 0)
	}
}

// Shrout & Fleiss (1979), 6 targets by 4 judges: ICC(3,4) = ICC(C,4) =
// 3680/4047, printed .91. Taken as the sessions of a test, it is the
// reliability by which r is corrected.
func TestReliabilityFromSessions(t *testing.T) {
	in := plain([]float64{1, 3, 2, 6, 5, 4}, []float64{6, 1, 7, 2.5, 5.75, 4})
	in.Tests[0].Reliability = math.NaN()
	in.Tests[0].Sessions = []float64{9, 2, 5, 8, 6, 1, 3, 2, 8, 4, 6, 8, 7, 1, 2, 6, 10, 5, 6, 9, 6, 2, 4, 7}
	in.Outcome.Reliability, in.Outcome.ReliabilitySource = 0.8, "by hand"
	a := must[association.Result](t)(association.Analyse(in, association.Options{})).Associations[0]
	if a.Corrected == nil {
		t.Fatalf("no correction: %s", said(a.Caveats))
	}
	numtest.Close(t, "ICC(C,4)", a.Corrected.ReliabilityTest, 3680.0/4047, rel)
	numtest.Close(t, "corrected", a.Corrected.Value, a.Pearson.Value/math.Sqrt(0.8*3680/4047), rel)
	if a.Corrected.HasInterval() {
		t.Error("an interval although the outcome has no sessions")
	}
}

// plain is an input of one test and nothing else.
func plain(outcome, test []float64) association.Input {
	in := association.Input{Athletes: make([]string, len(outcome)),
		Outcome: association.Variable{Name: "speed", Better: score.Higher, Value: outcome},
		Tests: []association.Variable{{Name: "throw", Plane: "transverse", Better: score.Higher,
			Value: test}}}
	for i := range in.Athletes {
		in.Athletes[i] = "P" + strconv.Itoa(i+1)
	}
	return in
}
