package varcomp_test

import (
	"bufio"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"noisefloor/analysis/cell"
	"noisefloor/analysis/varcomp"
	"noisefloor/internal/numtest"
	"noisefloor/internal/published"
)

// exactSet says how a table of testdata/published/varcomp is fitted.
type exactSet struct {
	name                    string
	model                   varcomp.Model
	single                  bool
	athlete, session, value string // columns; session "" means one session
}

var exactSets = []exactSet{
	{"dyestuff", varcomp.Scores, true, "batch", "", "yield"},
	{"dyestuff2", varcomp.Scores, true, "batch", "", "yield"},
	{"twoway_balanced", varcomp.Scores, false, "athlete", "occasion", "y"},
	{"twoway_unbalanced", varcomp.Scores, false, "athlete", "occasion", "y"},
	{"nested_balanced", varcomp.Nested, true, "athlete", "session", "y"},
	{"nested_uneven", varcomp.Nested, false, "athlete", "session", "y"},
	{"nested_boundary", varcomp.Nested, false, "athlete", "session", "y"},
}

func (e exactSet) data(t testing.TB) cell.Values {
	columns := published.Columns(t, "varcomp/"+e.name+".csv")
	d := cell.Values{Value: columns[e.value]}
	for i := range d.Value {
		session := 1.0
		if e.session != "" {
			session = columns[e.session][i]
		}
		d.Athlete = append(d.Athlete, int32(columns[e.athlete][i])-1)
		d.Session = append(d.Session, int32(session)-1)
		d.Athletes = max(d.Athletes, int(d.Athlete[i])+1)
		d.Sessions = max(d.Sessions, int(d.Session[i])+1)
	}
	return d
}

// Variances to 1e-8, criterion, means and standard errors to 1e-10, profile
// limits to 1e-6 of exact results (40-digit arithmetic, see the README beside
// the tables); the tolerances here are tighter where the fit is.
func TestFitIsExact(t *testing.T) {
	worst := map[string]float64{}
	for _, set := range exactSets {
		want := exactResults(t, set.name)
		if len(want) < 18 {
			t.Fatalf("%s: only %d results to compare with", set.name, len(want))
		}
		for _, method := range []varcomp.Method{varcomp.REML, varcomp.ML} {
			r, err := varcomp.Fit(set.data(t).Grid(), varcomp.Options{Model: set.model, Method: method,
				SingleMean: set.single})
			if err != nil {
				t.Fatalf("%s %s: %v", set.name, method, err)
			}
			compareExact(t, set, method, r, want, worst)
		}
		// The convention of lme4: ML limits beside REML estimates.
		r, err := varcomp.Fit(set.data(t).Grid(), varcomp.Options{Model: set.model, Limits: varcomp.ProfileML,
			SingleMean: set.single})
		if err != nil {
			t.Fatal(err)
		}
		for name, c := range named(r) {
			for limit, got := range map[string]float64{"lower": c.SD.Lower, "upper": c.SD.Upper} {
				if v, ok := want["ML,"+limit+","+name]; ok {
					numtest.Close(t, set.name+" "+name+" "+limit+", ML limits of a REML fit", got, v, 1e-9)
				}
			}
		}
	}
	t.Logf("least digits of agreement: %.3v", worst)
}

func named(r varcomp.Result) map[string]varcomp.Component {
	return map[string]varcomp.Component{"athlete": r.Athlete, "session": r.AthleteSession, "trial": r.Trial}
}

func compareExact(t *testing.T, set exactSet, method varcomp.Method, r varcomp.Result, want, worst map[string]float64) {
	t.Helper()
	near := func(quantity, of string, got, rel float64) {
		t.Helper()
		v, ok := want[string(method)+","+quantity+","+of]
		if !ok {
			return
		}
		delete(want, string(method)+","+quantity+","+of)
		numtest.Close(t, set.name+" "+string(method)+" "+quantity+" "+of, got, v, rel)
		if d := numtest.Digits(got, v); worst[quantity] == 0 || d < worst[quantity] {
			worst[quantity] = d
		}
	}
	for name, c := range named(r) {
		near("variance", name, c.Value, 1e-11)
		near("lower", name, c.SD.Lower, 1e-9)
		near("upper", name, c.SD.Upper, 1e-9)
		if c.AtZero != (c.Value == 0) || math.Abs(c.SD.Value*c.SD.Value-c.Value) > 1e-14*c.Value {
			t.Errorf("%s %s: variance %g, SD %g, at zero %v", set.name, name, c.Value, c.SD.Value, c.AtZero)
		}
	}
	near("criterion", "all", r.Criterion, 1e-13)
	numtest.Close(t, "log likelihood", r.LogLik, -r.Criterion/2, 1e-15)
	near("mean", "1", r.Fixed[0].Value, 1e-13)
	near("se", "1", r.Fixed[0].SE, 1e-12)
	for j := 1; j < len(r.Fixed); j++ {
		change, se := r.Change(r.Fixed[0].Session, r.Fixed[j].Session)
		near("mean", strconv.Itoa(j+1), change, 1e-12)
		near("se", strconv.Itoa(j+1), se, 1e-12)
	}
	for left := range want {
		if strings.HasPrefix(left, string(method)+",") {
			t.Errorf("%s: %s was not compared", set.name, left)
		}
	}
	if method == varcomp.ML { // put back what the third fit needs
		for k, v := range exactResults(t, set.name) {
			want[k] = v
		}
	}
}

// exactResults returns the results of a table, by "criterion,quantity,of".
func exactResults(t *testing.T, name string) map[string]float64 {
	t.Helper()
	f, err := os.Open(published.Path(t, "published/varcomp/exact.txt"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	out := map[string]float64{}
	for s := bufio.NewScanner(f); s.Scan(); {
		cells := strings.Split(s.Text(), ",")
		if cells[0] != name || len(cells) != 5 {
			continue
		}
		v, err := strconv.ParseFloat(cells[4], 64)
		if err != nil {
			t.Fatal(err)
		}
		out[strings.Join(cells[1:4], ",")] = v
	}
	return out
}
