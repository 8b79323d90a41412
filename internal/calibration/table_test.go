package calibration

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"noisefloor/analysis/retest"
	"noisefloor/internal/numtest"
)

func isReal(c retest.Change) bool { return c.Past() }

func changesOf(real ...bool) (changes []retest.Change) {
	for _, r := range real {
		state := retest.InsideNoise
		if r {
			state = retest.PastNoise
		}
		changes = append(changes, retest.Change{State: state})
	}
	return changes
}

const keptFolder = "../../testdata/calibration/"

// kept reads the table that the documentation shows.
func kept(t *testing.T) Table {
	t.Helper()
	data, err := os.ReadFile(keptFolder + "calibration.csv")
	if err != nil {
		t.Fatal(err)
	}
	got, err := ReadCSV(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return got
}

const again = "; make the kept table again: go run ./internal/calibration/run -studies 10000 -out testdata/calibration"

// The kept table has the rows of [Full], each with its number of studies, and
// the counts of the first studies of one experiment of each kind come out
// again from the code as it is.
func TestKeptTableComesFromThisCode(t *testing.T) {
	got := kept(t)
	plan := Full(10000)
	at := 0
	for _, e := range plan {
		for _, r := range e.Rows {
			if at >= len(got.Rows) {
				t.Fatalf("the kept table ends before %s%s", e.Name, again)
			}
			k := got.Rows[at]
			if diff := cmp.Diff(r, k, cmpopts.IgnoreFields(Row{}, "Tally", "First"), cmpopts.EquateNaNs()); diff != "" {
				t.Fatalf("row %d (-code +kept):\n%s%s", at+1, diff, again)
			}
			if k.Kind == Claims { // counts claims, of which a study makes several or none
				if k.First.Studies == 0 || k.Studies <= k.First.Studies {
					t.Errorf("%s, %s: %d claims, %d at first", r.Name, e.Name, k.Studies, k.First.Studies)
				}
			} else if k.Studies+k.Undefined != e.Studies || k.First.Studies+k.First.Undefined != FirstStudies {
				t.Errorf("%s, %s: %d studies, %d at first", r.Name, e.Name, k.Studies+k.Undefined, k.First.Studies)
			}
			at++
		}
	}
	if at != len(got.Rows) || got.Seed != Seed {
		t.Errorf("%d rows kept, %d in the code; seed %d%s", len(got.Rows), at, got.Seed, again)
	}
	for _, e := range []Experiment{
		Beliefs(12, FirstStudies), OwnNoise(8, FirstStudies),
		Reliability(8, 2, 0.5, FirstStudies), Reliability(20, 3, 0.95, FirstStudies), TrueSD(8, 3, 0.95, FirstStudies),
		Components(12, 2, 0.8, FirstStudies), FalseAlarms(20, 3, FirstStudies), Families(12, FirstStudies),
		Correlations(12, 0, FirstStudies), Comparisons(40, 0.6, 0.3, 0.4, FirstStudies), Resampled(8, 0.5,
			FirstStudies, resamples),
		Agreement(8, 2, 0.5, FirstStudies), Levels(20, 8, 2, FirstStudies),
		Seasons(20, 2, 12, FirstStudies), Practice(8, 2, FirstStudies),
	} {
		compareFirst(t, got, table(t, e))
	}
}

// compareFirst compares what an experiment finds with the kept beginnings.
func compareFirst(t *testing.T, kept, now Table) {
	t.Helper()
	for _, r := range now.Rows {
		i := slices.IndexFunc(kept.Rows, func(k Row) bool {
			return cmp.Equal(r, k, cmpopts.IgnoreFields(Row{}, "Tally", "First"), cmpopts.EquateNaNs())
		})
		if i < 0 {
			t.Errorf("%s, %s: not in the kept table%s", r.Name, r.place(), again)
			continue
		}
		k := kept.Rows[i].First
		if k.Studies != r.First.Studies || k.Undefined != r.First.Undefined || math.Abs(k.Sum-r.First.Sum) > 1e-9 {
			t.Errorf("%s %s, %s: the first studies have %+v, in the kept table %+v%s", r.Name, r.Setting, r.place(),
				r.First, k, again)
		}
	}
}

// The kept table against probabilities computed in R 4.2.2: false alarms by
// 1.96, 2*pt(-qnorm(.975), (n-1)*(k-1)); coverage of the 1986 interval of a
// limit of agreement, with z = qnorm(.975) and h = qt(.975, n-1)*sqrt(3/n)
// pt((z+h)*sqrt(n), n-1, z*sqrt(n)) - pt((z-h)*sqrt(n), n-1, z*sqrt(n)); and
// against its own simulation in R of false alarms with a baseline from the
// noise study (testdata/oracle.R of analysis/retest, standard error 0.0003).
func TestKeptTableAgainstR(t *testing.T) {
	normal := map[[2]int]float64{
		{8, 2}: 0.090824514846132, {12, 2}: 0.075819086171976, {20, 2}: 0.064833477102712, {40, 2}: 0.057173301457260,
		{8, 3}: 0.070214852312306, {12, 3}: 0.062787781486667, {20, 3}: 0.057363600770242, {40, 3}: 0.053571680663146,
	}
	limits := map[int]float64{8: 0.922529075792, 12: 0.932078731969, 20: 0.940508393692, 40: 0.946882700002}
	shared := map[int]float64{8: 0.0428325, 12: 0.0442408, 20: 0.0463830}
	seen := 0
	for _, r := range kept(t).Rows {
		want, some := math.NaN(), false
		last := strings.Contains(r.Setting, "last noise session alone")
		switch {
		case r.Name == calledRealNormal && !last:
			want, some = normal[[2]int{r.N, r.K}]
		case r.Name == calledReal && last && r.K == 2:
			want, some = shared[r.N]
		case strings.HasSuffix(r.Name, "limit of agreement, 1986"):
			want, some = limits[r.N]
		}
		if !some {
			continue
		}
		seen++
		if se := math.Sqrt(want * (1 - want) / float64(r.Studies)); math.Abs(r.Rate()-want) > chance*se {
			t.Errorf("%s, %s: %.4f, R has %.4f", r.Name, r.place(), r.Rate(), want)
		}
	}
	if seen != 16+3+48 {
		t.Errorf("%d rows compared", seen)
	}
}

// Every row of the kept table that promises exactness lies within 4 standard
// errors. With so many rows some must lie outside 3: each was drawn again five
// times as long and lies inside then, and there are not more of them than
// chance allows. ICC(k) and ICC(C,k) hit and miss with ICC(1) and ICC(C,1) and
// are not counted again; of the other 392 rows 1.06 are expected outside, and
// 5 at most with 99.9 % (R 4.2.2, qpois(.999, 392*2*pnorm(-3))).
func TestKeptTableKeepsItsPromise(t *testing.T) {
	got := kept(t)
	for _, r := range got.Rows {
		if (r.Promise == Exact || r.Promise == AtMost) && !r.Within(chance) {
			t.Errorf("%s %s, %s: %.4f, %.1f standard errors", r.Name, r.Setting, r.place(), r.Rate(), r.Z())
		}
	}
	at, distinct := 0, 0
	for _, r := range got.Rows {
		if r.Promise != Exact || r.Within(limit) {
			continue
		}
		if at >= len(got.Again) || got.Again[at].Name != r.Name || got.Again[at].place() != r.place() ||
			got.Again[at].Studies != longer*r.Studies {
			t.Fatalf("%s, %s lies outside and was not drawn again", r.Name, r.place())
		}
		if !got.Again[at].Within(limit) {
			t.Errorf("%s, %s lies outside again: %.4f", r.Name, r.place(), got.Again[at].Rate())
		}
		if at++; !strings.Contains(r.Name, "k)") {
			distinct++
		}
	}
	rows, outside, far := got.kept()
	t.Logf("%d rows promise exactness, %d of them outside 3 standard errors; farthest %s, %s: %.4f (%.1f)", rows,
		outside, far.Name, far.place(), far.Rate(), far.Z())
	if distinct > 5 || rows != 474 {
		t.Errorf("%d of %d rows outside, %d of them distinct", outside, rows, distinct)
	}
}

var svg = regexp.MustCompile(`(?s)<svg.*?</svg>`)

// Summary and page say what the table says. The drawings are left out: their
// last digits may differ between processors.
func TestKeptReportsFollowFromTheTable(t *testing.T) {
	got := kept(t)
	for name, render := range map[string]func(io.Writer) error{"calibration.md": got.WriteMarkdown,
		"calibration.html": got.WriteHTML} {
		var b bytes.Buffer
		if err := render(&b); err != nil {
			t.Fatal(err)
		}
		want, err := os.ReadFile(keptFolder + name)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(string(svg.ReplaceAll(want, nil)), string(svg.ReplaceAll(b.Bytes(), nil))); diff != "" {
			t.Errorf("%s (-kept +now):\n%s\nrender it again: go run ./internal/calibration/run -render testdata/calibration", name, diff)
		}
	}
}

// A table by hand: two designs of an approximate interval, one that promises
// exactness, a contrast.
func small() Table {
	d := Design{N: 8, K: 2, ICC: 0.5}
	other := Design{N: 8, K: 3, ICC: 0.8}
	hits := func(r Row, sum float64) Row {
		r.Tally = Tally{Studies: 1000, Undefined: 2, Sum: sum, Squares: sum}
		r.First = Tally{Studies: 200, Sum: 190, Squares: 190}
		return r
	}
	return Table{Seed: 18446744073709551615, Rows: []Row{
		hits(d.row(interval("a|b <i>", Approximate), 1.5), 930),
		hits(other.row(interval("a|b <i>", Approximate), 1.5), 951),
		hits(Design{N: 12, ICC: math.NaN()}.row(interval("sure", Exact), 0), 900),
		hits(d.with("far").row(alarm(calledReal, Exact), math.NaN()), 52),
		hits(d.with("far").row(alarm(calledRealNormal, Contrast), math.NaN()), 91),
	}, Again: []Row{hits(Design{N: 12, ICC: math.NaN()}.row(interval("sure", Exact), 0), 944)}}
}

func TestCSVRoundTrip(t *testing.T) {
	var b bytes.Buffer
	want := small()
	if err := want.WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	got, err := ReadCSV(&b)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got, cmpopts.EquateNaNs()); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if !strings.Contains(text, "\nsure,coverage,exact,0.95,12,,,,0,1000,2,0.9,") {
		t.Errorf("row of three:\n%s", text)
	}
}

func TestReadCSVRefuses(t *testing.T) {
	var b bytes.Buffer
	if err := small().WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	good := b.String()
	for name, tt := range map[string]struct{ text, want string }{
		"empty":        {"", "missing"},
		"other header": {"a,b\n1,2\n", "header"},
		"ragged":       {good + "x,y\n", "wrong number of fields"},
		"number":       {strings.Replace(good, "0.95", "O.95", 1), `line 2: column nominal: "O.95" is not a number`},
		"whole":        {strings.Replace(good, ",8,2,", ",8.5,2,", 1), `line 2: column n: "8.5" is not a whole number`},
		"seed":         {strings.Replace(good, "18446744073709551615", "-1", 1), "line 2: column seed"},
	} {
		if _, err := ReadCSV(strings.NewReader(tt.text)); !errors.Is(err, ErrTable) || !strings.Contains(err.Error(),
			tt.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// By hand from the table above.
func TestLines(t *testing.T) {
	lines := small().Lines()
	if len(lines) != 4 {
		t.Fatalf("%d lines", len(lines))
	}
	l := lines[0]
	if diff := cmp.Diff([]Span{{8, 0.93, 0.951}}, l.Spans); diff != "" || l.Rows != 2 || l.Outside != 0 ||
		l.Farthest.Rate() != 0.93 {
		t.Errorf("%+v %s", l, diff)
	}
	if s := lines[1]; s.Outside != 1 || s.Spans[0].N != 12 {
		t.Errorf("%+v", s)
	}
	var b bytes.Buffer
	if err := small().WriteMarkdown(&b); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"| a\\|b <i> | approximate 95 | 93.0–95.1 |  | 0 of 2 | 93.0 % (n 8, k 2, ICC 0.5) |",
		"| sure | exact 95 |  | 90.0 | 1 of 1 | 90.0 % (n 12, truth 0) |",
		"| change called real, had the factor been 1.96 (far) | for contrast 5 | 9.1 |  | – |",
		"8 athletes and 2 sessions in the noise study: 5.20 % (standard error 0.70) with Student's t, which it uses; 9.10 % had the factor been 1.96.",
		"Of the 2 rows that promise exactness 1 lies outside",
		"Drawn again, with other random numbers and 1000 studies, 0 of these 1 rows lie outside (sure, n 12, truth 0: 94.40 %).",
	} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("no %q in:\n%s", want, b.String())
		}
	}
}

func TestPage(t *testing.T) {
	var b bytes.Buffer
	if err := small().WriteHTML(&b); err != nil {
		t.Fatal(err)
	}
	page := b.String()
	for _, want := range []string{"a|b &lt;i&gt;", "<td>93.00</td><td>0.69</td><td>yes</td>",
		"<td>9.10</td><td>0.69</td><td>–</td>", "<td>90.00</td><td>0.69</td><td>no</td>"} {
		if !strings.Contains(page, want) {
			t.Errorf("no %q", want)
		}
	}
	if n := len(svg.FindAllString(page, -1)); n != 3 {
		t.Errorf("%d pictures", n)
	}
	for _, s := range svg.FindAllString(page, -1) {
		wellFormed(t, s)
	}
	if strings.Contains(page, "http://") && strings.Count(page, "http://") != strings.Count(page,
		"http://www.w3.org/") || strings.Contains(page, "<script") {
		t.Error("the page asks for something outside itself")
	}
}

func wellFormed(t *testing.T, s string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(s))
	for {
		switch _, err := d.Token(); {
		case err == io.EOF:
			return
		case err != nil:
			t.Fatal(err)
		}
	}
}

func TestFigures(t *testing.T) {
	f := small().Figures()
	if len(f) != 3 {
		t.Fatalf("%d figures", len(f))
	}
	if want := "Coverage of the approximate intervals: 2 rates from 93.0 to 95.1 %, 2 of them inside the Monte Carlo band."; f[1].Alt != want {
		t.Errorf("%q, want %q", f[1].Alt, want)
	}
	lanes := small().lanes(func(l Line) bool { return l.Name == "sure" })
	if len(lanes) != 2 || lanes[0].name != "sure" || lanes[1].n != 12 || lanes[1].rates[0] != 90 {
		t.Errorf("%+v", lanes)
	}
	numtest.Close(t, "band", lanes[1].high-lanes[1].low, 600*math.Sqrt(0.95*0.05/1000), 1e-12)
	if (Table{}).Figures() != nil {
		t.Error("a picture of nothing")
	}
	for _, tt := range []struct{ low, high, first, count float64 }{{93, 97, 93, 5}, {70, 105, 70, 8}, {0, 9, 0, 10},
		{-300, 100, -300, 21}} {
		if got := percentTicks(tt.low, tt.high); float64(len(got)) != tt.count || got[0].Value != tt.first {
			t.Errorf("ticks from %g to %g: %v", tt.low, tt.high, got)
		}
	}
}

// No two experiments may share random numbers, and no two rows a place.
func TestPlanHasNoDoubles(t *testing.T) {
	seeds, rows := map[uint64]string{}, map[string]bool{}
	for _, e := range Full(10) {
		h := hash(e.Name)
		if other, ok := seeds[h]; ok {
			t.Errorf("%q and %q draw the same numbers", e.Name, other)
		}
		seeds[h] = e.Name
		for _, r := range e.Rows {
			place := fmt.Sprintf("%v %v", r.Method, r.Design)
			if rows[place] {
				t.Errorf("twice: %s", place)
			}
			rows[place] = true
		}
	}
	if len(seeds) != 4*(2*(3*4+1)+1+3+3+3+3)+12+4*(2+2)+2*4+8+13+2*12+2*4+7 {
		t.Errorf("%d experiments", len(seeds))
	}
}
