package calibration

import (
	"fmt"
	"math"
	"strings"
)

// A Section is one part of the report: lines of one kind with what they show.
type Section struct {
	Title, Words string
	Header       []string
	Cells        [][]string // a row for each line
}

// Title heads the report.
const Title = "Calibration: do the intervals and decisions keep their promise?"

// Lede says what was done.
func (t Table) Lede() []string {
	rows, outside, far := t.kept()
	lede := []string{
		fmt.Sprintf("Simulated studies with a known truth, analysed as a user's would be and counted: %d studies "+
			"in a row (a fifth or a tenth of that where every study is resampled or fitted by iteration; the full "+
			"table says how many), %d rows, seed %d.",
			t.studies(), len(t.Rows), t.Seed),
		fmt.Sprintf("Athletes, errors and sessions are normal, the errors of one size, so a method called exact "+
			"has to reach its level. The Monte Carlo standard error of 95 %% is %.2f points with %d studies; a row "+
			"is called outside when it lies more than %d of them from the promise.",
			100*math.Sqrt(0.95*0.05/float64(t.studies())), t.studies(), limit),
		fmt.Sprintf("Of the %d rows that promise exactness %d %s outside (ICC(k) and ICC(C,k) repeat ICC(1) and "+
			"ICC(C,1), of which they are functions); by chance alone %.1f would. The farthest lies %.1f standard "+
			"errors off: %s, %s, %s %%.",
			rows, outside, wasWere(outside), 0.0026997960632601866*float64(rows), math.Abs(far.Z()), far.Name,
			far.place(), percent(far.Rate(), 2)),
	}
	if len(t.Again) > 0 {
		lede = append(lede, t.secondLook())
	}
	byT, byNormal := t.alarms()
	if byNormal.Studies == 0 {
		return lede
	}
	return append(lede, fmt.Sprintf("False alarms of retest with %d athletes and %d sessions in the noise study: "+
		"%s %% (standard error %s) with Student's t, which it uses; %s %% had the factor been 1.96.",
		byT.N, byT.K, percent(byT.Rate(), 2), percent(byT.SE(), 2), percent(byNormal.Rate(), 2)))
}

// secondLook says what came of the rows outside.
func (t Table) secondLook() string {
	still := 0
	var words []string
	for _, r := range t.Again {
		if !r.Within(limit) {
			still++
		}
		words = append(words, fmt.Sprintf("%s, %s: %s %%", r.Name, r.place(), percent(r.Rate(), 2)))
	}
	return fmt.Sprintf("Drawn again, with other random numbers and %d studies, %d of these %d rows %s outside (%s).",
		t.Again[0].Studies, still, len(t.Again), wasWere(still), strings.Join(words, "; "))
}

// alarms are the first rows of the retest decision, by t and by 1.96.
func (t Table) alarms() (byT, byNormal Row) {
	for i, r := range t.Rows {
		if r.Name == calledReal && t.Rows[i+1].Name == calledRealNormal {
			return r, t.Rows[i+1]
		}
	}
	return Row{}, Row{}
}

func wasWere(n int) string {
	if n == 1 {
		return "lies"
	}
	return "lie"
}

// place says where in the table a row stands.
func (d Design) place() string {
	words := []string{fmt.Sprintf("n %d", d.N)}
	if d.K > 0 {
		words = append(words, fmt.Sprintf("k %d", d.K))
	}
	if !math.IsNaN(d.ICC) {
		words = append(words, fmt.Sprintf("ICC %g", d.ICC))
	}
	if !math.IsNaN(d.Truth) && d.K == 0 {
		words = append(words, fmt.Sprintf("truth %.3g", d.Truth))
	}
	return strings.Join(words, ", ")
}

func percent(share float64, digits int) string { return fmt.Sprintf("%.*f", digits, 100*share) }

// Sections sorts the lines by what they promise.
func (t Table) Sections() []Section {
	parts := []struct {
		title, words string
		take         func(Line) bool
	}{
		{"Intervals that are exact for normal data",
			"Lowest and highest coverage in percent over sessions and true ICC, by number of athletes n. Nominal: " +
				"95 % unless said.",
			func(l Line) bool { return l.Kind == Coverage && l.Promise == Exact }},
		{"Intervals that are approximate",
			"The same. Read the lowest figure: it is what the interval is worth in the least favourable design.",
			func(l Line) bool { return l.Kind == Coverage && l.Promise == Approximate }},
		{"False alarms of the retest decision",
			"Percent of athletes without any true change whose change is called real. The toolkit's factor is " +
				"Student's t; beside it what 1.96 would give.",
			func(l Line) bool { return strings.HasPrefix(l.Name, calledReal) }},
		{"Chances of single athletes' true changes",
			"Of the chances printed as 85 to 95 %, percent that came true, rises and falls apart: the chance that is " +
				"shown, and beside it that of a retest alone (flat prior). True changes spread by 0 to 2 errors, or one " +
				"athlete in three has changed by 3 errors and the others not at all.",
			func(l Line) bool { return l.Kind == Claims }},
		{"False alarms of tests, false claims, and families of changes",
			"Percent of studies with a false finding where there is nothing to find; for a false claim, of changes " +
				"called small that are just large enough to matter; for a family, the mean share of athletes " +
				"without a change among those called real.",
			func(l Line) bool {
				return l.Kind != Coverage && l.Kind != Claims && l.Kind != Seen && l.Kind != Found &&
					!strings.HasPrefix(l.Name, calledReal)
			}},
		{"What the watch over a season sees",
			"Percent of seasons with an alarm, where the athlete has changed. Promised is the power that retest prints.",
			func(l Line) bool { return l.Kind == Seen }},
		{"What is found where there is something to find",
			"Percent of studies that find it. Nothing is promised: this is what a method is worth beside another.",
			func(l Line) bool { return l.Kind == Found }},
	}
	sizes := t.sizes()
	var out []Section
	for _, p := range parts {
		s := Section{Title: p.title, Words: p.words, Header: tableHeader(sizes)}
		for _, l := range t.Lines() {
			if p.take(l) {
				s.Cells = append(s.Cells, l.cells(sizes))
			}
		}
		if len(s.Cells) > 0 {
			out = append(out, s)
		}
	}
	return out
}

func (t Table) sizes() (sizes []int) {
	seen := map[int]bool{}
	for _, r := range t.Rows {
		if !seen[r.N] {
			seen[r.N] = true
			sizes = append(sizes, r.N)
		}
	}
	return sizes
}

func tableHeader(sizes []int) []string {
	h := []string{"method", "promise, %"}
	for _, n := range sizes {
		h = append(h, fmt.Sprintf("n = %d", n))
	}
	return append(h, "outside", "farthest from the promise")
}

func (l Line) cells(sizes []int) []string {
	name := l.Name
	if l.Setting != "" {
		name += " (" + l.Setting + ")"
	}
	c := []string{name, fmt.Sprintf("%s %g", l.Promise, math.Round(1000*l.Nominal)/10)}
	for _, n := range sizes {
		c = append(c, l.at(n))
	}
	outside := fmt.Sprintf("%d of %d", l.Outside, l.Rows)
	if l.Promise == Contrast {
		outside = "–"
	}
	return append(c, outside, fmt.Sprintf("%s %% (%s)", percent(l.Farthest.Rate(), 1), l.Farthest.place()))
}

// at is the range of the rates with n athletes.
func (l Line) at(n int) string {
	for _, s := range l.Spans {
		if s.N != n {
			continue
		}
		low, high := percent(s.Low, 1), percent(s.High, 1)
		if low == high {
			return low
		}
		return low + "–" + high
	}
	return ""
}

// Notes say how to read the report and how to make it again.
func (t Table) Notes() []string {
	return []string{
		"The unit is the error of one session score. ICC is that of a single score; for the forms A it is ICC(A,1) " +
			"with the sessions as a random sample, otherwise ICC(C,1).",
		"ICC(A,1) and ICC(A,k) promise an interval for sessions like these, and two or three sessions say little " +
			"about how much sessions differ: where they differ much the interval misses, and more athletes do not " +
			"help.",
		"Resampling 8 or 12 athletes draws from too few to show how much athletes differ: bootstrap intervals that " +
			"rest on that spread are too narrow in small studies. The exact interval of the observed SD is the " +
			"safe one beside them.",
		"\"Settled\" and \"trivially small\" are tried where they are just false: the true change is exactly the " +
			"worthwhile one. Then 2.5 % is the most that is allowed.",
		"One session of the noise study alone as the baseline shares its error with the typical error, so its " +
			"false alarms are rarer than stated; retest says so.",
		"False claims and the retest rows do not depend on the ICC and are drawn at ICC 0.8. Rows of one study are " +
			"not independent: one set of deviates serves several methods.",
		"Not covered here: incomplete tables, the worthwhile change by an outcome, and other than normal data but for " +
			"the tests of groups.",
		"The error is said to grow where the lower limit of its slope lies above 0: 2.5 % is what is allowed. With three " +
			"sessions or fewer the test of the athletes and that of the tails are one. Brown–Forsythe is a little shy.",
		"Sources of the methods: McGraw & Wong 1996 (ICC), Carkeet 2015 and Bland & Altman 1986, 1999 (agreement), " +
			"Patterson & Thompson 1971 (REML), Efron 1979, 1987 (bootstrap), Fisher 1921, 1924 (r, partial r), " +
			"Weerahandi 1993 (agreement error), Bartlett & Kendall 1946 (error growth), Cox 1983 (equal athletes), Huber 1964 " +
			"(robust error), Brown & Forsythe 1974 (groups), " +
			"Bonett & Wright 2000 (rank r), Zou 2007, Williams 1959, Meng, Rosenthal & Rubin 1992 (differences " +
			"of r), Olkin & Siotani 1976 (planes), Smithson 2001 (added R²), Bland & Altman 1995 (inside athletes), " +
			"Spearman 1904 (correction), Holm 1979, Benjamini & Hochberg 1995 (families). Each is " +
			"in full in the package that computes it.",
		fmt.Sprintf("Made again with: go run ./internal/calibration/run -studies %d -seed %d -out "+
			"testdata/calibration. Same seed, same bytes, whatever the number of cores. calibration.csv holds "+
			"every row with full precision and the counts of the first %d studies, which a test "+
			"recomputes.", t.studies(), t.Seed, FirstStudies),
	}
}
