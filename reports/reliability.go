package reports

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/reliability"
	"noisefloor/reports/number"
)

// Reliability shows how noisy each test is.
type Reliability struct {
	About    About
	Measures []ReliabilityMeasure
	Failed   []Failed

	AllSessions bool  // nobody named sessions: those of the table were taken
	Days        []int // between each session and the next; empty when not known
}

// A ReliabilityMeasure is one measure, over all athletes or of one group.
type ReliabilityMeasure struct {
	Measure, Label, Unit string
	Group                string // "" for all athletes
	Result               reliability.Result
}

// Failed says why a measure has no result.
type Failed struct{ Measure, Group, Reason string }

func (f Failed) name() string {
	if f.Group == "" {
		return f.Measure
	}
	return f.Measure + " (" + f.Group + ")"
}

// Name implements [View].
func (v Reliability) Name() string { return "reliability" }

// Stem implements [View].
func (v Reliability) Stem() string { return v.Name() }

// Title implements [View].
func (v Reliability) Title() string { return "How noisy is each test?" }

// Document implements [View].
func (v Reliability) Document() any { return ReliabilityFields().JSON(v) }

// about is what the result says of itself, the caveats of the measures among
// it: those of groups stand with the group.
func (v Reliability) about() About {
	a := v.About
	a.Caveats = slices.Clone(a.Caveats)
	a.Labels, a.Units = map[string]string{}, map[string]string{}
	for _, m := range v.Measures {
		a.Labels[m.Measure], a.Units[m.Measure] = m.Label, m.Unit
		if m.Group == "" {
			a.Caveats = append(a.Caveats, m.caveats()...)
		}
	}
	return a
}

// caveats are those of the measure, by its name.
func (m ReliabilityMeasure) caveats() []caveat.Caveat {
	out := make([]caveat.Caveat, len(m.Result.Caveats))
	for i, c := range m.Result.Caveats {
		out[i] = c.About(m.Measure)
	}
	return out
}

// warnings are the words of the caveats, without the measure's name.
func (m ReliabilityMeasure) warnings() []string {
	a, words := About{Units: map[string]string{m.Measure: m.Unit}}, sayers()
	var out []string
	for _, c := range m.caveats() {
		if say, ok := words[c.Kind]; ok {
			out = append(out, say(c, a))
		}
	}
	return out
}

// Answer implements [View].
func (v Reliability) Answer() []string {
	all := v.pooled()
	switch len(all) {
	case 0:
		return []string{"No test could be analysed: " + v.reasons() + "."}
	case 1:
		return append(v.answerOne(all[0]), v.studied(all))
	}
	return append(v.answerMany(all), v.studied(all))
}

func (v Reliability) answerOne(m ReliabilityMeasure) []string {
	if m.flat() {
		return []string{fmt.Sprintf("%s has no error at all: every athlete has the same score in every session. If "+
			"it is no test, take it out with --attribute.", m.Label)}
	}
	out := []string{fmt.Sprintf("In %s, %s: they may be noise.", m.Label, m.ignore()), m.matters()}
	if d := m.design(); d != "" && m.Result.Sees == reliability.SeesNot {
		out = append(out, fmt.Sprintf("What it takes to see it in %s of one athlete: %s.", m.oddsWords(), d))
	}
	return append(out, v.groupAnswer([]ReliabilityMeasure{m})...)
}

func (v Reliability) answerMany(all []ReliabilityMeasure) []string {
	var sees, judged, apart []string
	for _, m := range all {
		switch m.Result.Sees {
		case reliability.Sees:
			sees, judged = append(sees, m.Label), append(judged, m.Label)
		case reliability.SeesNot:
			judged = append(judged, m.Label)
		}
		if m.Result.Tells == reliability.NotShownApart {
			apart = append(apart, m.Label)
		}
	}
	out := []string{seesWords(sees, len(judged), "in "+all[0].oddsWords())}
	out = append(out, extremes(all)...)
	out = append(out, v.groupAnswer(all)...)
	if len(apart) > 0 {
		out = append(out, fmt.Sprintf("Not shown to tell athletes apart: %s.", some(apart)))
	}
	return out
}

func seesWords(sees []string, judged int, odds string) string {
	switch {
	case judged == 0:
		return "No test has a smallest worthwhile change to compare with."
	case len(sees) == 0:
		return fmt.Sprintf("A single retest cannot see a change that matters in any of %d tests (%s): only larger "+
			"changes show.", judged, odds)
	case len(sees) == judged:
		return fmt.Sprintf("A single retest can see a change that matters in all %d tests (%s).", judged, odds)
	}
	return fmt.Sprintf("A single retest can see a change that matters in %d of %d tests (%s): %s.", len(sees), judged,
		odds, some(sees))
}

// extremes names the least noisy and the noisiest test, in percent of the score.
func extremes(all []ReliabilityMeasure) []string {
	by := slices.DeleteFunc(slices.Clone(all), func(m ReliabilityMeasure) bool {
		return math.IsNaN(m.Result.TypicalErrorPercent.Value) || m.flat()
	})
	if len(by) < 2 {
		return nil
	}
	slices.SortStableFunc(by, func(a, b ReliabilityMeasure) int {
		return cmp.Compare(a.Result.TypicalErrorPercent.Value, b.Result.TypicalErrorPercent.Value)
	})
	low, high := by[0], by[len(by)-1]
	return []string{fmt.Sprintf("Least noisy: %s (typical error %s of the score). Noisiest: %s (%s).", low.Label,
		percent(low.Result.TypicalErrorPercent.Value), high.Label, percent(high.Result.TypicalErrorPercent.Value))}
}

// flat reports a test without any residual error: a column that never changes
// within an athlete is not measured anew.
func (m ReliabilityMeasure) flat() bool { return m.Result.TypicalError.Value == 0 }

// groupAnswer says whether the groups are equally noisy.
func (v Reliability) groupAnswer(all []ReliabilityMeasure) []string {
	tested, differ, lifted := 0, []string{}, 0
	for _, m := range all {
		switch m.equality() {
		case reliability.GroupsDiffer:
			tested, differ = tested+1, append(differ, m.Label)
		case reliability.GroupsNotShown:
			tested++
		}
		if t := m.Result.GroupTest; t != nil && t.LiftedByGroups {
			lifted++
		}
	}
	if tested == 0 {
		return nil
	}
	words := fmt.Sprintf("By %s, no test is shown to be noisier in one group than in another.", v.About.By)
	switch {
	case len(all) == 1 && len(differ) == 1:
		words = fmt.Sprintf("By %s, the noise differs: judge each group by its own.", v.About.By)
	case len(differ) > 0:
		words = fmt.Sprintf("By %s, the noise differs in %d of %s, each judged on its own: %s.", v.About.By,
			len(differ), number.Count(tested, "test", "tests"), some(differ))
	case len(all) == 1:
		words = fmt.Sprintf("By %s, the noise is not shown to differ between the groups.", v.About.By)
	}
	switch {
	case lifted == 1 && len(all) == 1:
		words += " The ICC over all owes its height to the differences between the groups."
	case lifted > 0:
		words += fmt.Sprintf(" In %d the ICC over all owes its height to the differences between the groups.", lifted)
	}
	return []string{words}
}

// daysApart says how far sessions lie from each other.
func daysApart(days []int) string {
	least, most := slices.Min(days), slices.Max(days)
	if least == most {
		return number.Count(least, "day", "days") + " apart"
	}
	return fmt.Sprintf("%d to %s apart", least, number.Count(most, "day", "days"))
}

// studied says who was tested when.
func (v Reliability) studied(all []ReliabilityMeasure) string {
	words := athletesRange(all) + ", " + sessionWords(all[0].Result.Sessions)
	if len(v.Days) > 0 {
		words += ", " + daysApart(v.Days)
	}
	if v.AllSessions {
		words += ": all of the table, since none were named (--sessions)"
	}
	return words + "."
}

func sessionWords(s []string) string {
	if len(s) < 2 {
		return "session " + strings.Join(s, "")
	}
	return "sessions " + strings.Join(s[:len(s)-1], ", ") + " and " + s[len(s)-1]
}

func athletesRange(all []ReliabilityMeasure) string {
	low, high := all[0].Result.Athletes, all[0].Result.Athletes
	for _, m := range all {
		low, high = min(low, m.Result.Athletes), max(high, m.Result.Athletes)
	}
	if low == high {
		return number.Count(low, "athlete", "athletes")
	}
	return fmt.Sprintf("%d to %d athletes", low, high)
}

func (v Reliability) reasons() string {
	var out []string
	for _, f := range v.Failed {
		out = append(out, f.name()+": "+f.Reason)
	}
	if len(out) > 3 {
		out = append(out[:3], fmt.Sprintf("and %d more", len(out)-3))
	}
	return strings.Join(out, "; ")
}

// pooled returns the measures over all athletes.
func (v Reliability) pooled() []ReliabilityMeasure {
	var out []ReliabilityMeasure
	for _, m := range v.Measures {
		if m.Group == "" {
			out = append(out, m)
		}
	}
	return out
}

// grouped reports whether some measures are of a group.
func (v Reliability) grouped() bool { return len(v.pooled()) < len(v.Measures) }

// groupDoubts are those about single groups.
func (v Reliability) groupDoubts() []string {
	var out []string
	for _, m := range v.Measures {
		if m.Group == "" {
			continue
		}
		for _, w := range m.warnings() {
			out = append(out, fmt.Sprintf("%s (%s): %s", m.Label, m.Group, w))
		}
	}
	return out
}

// Warnings implements [View].
func (v Reliability) Warnings() []string {
	a := v.about()
	out := a.sentences(a.Caveats)
	out = append(out, v.groupDoubts()...)
	for _, f := range v.Failed {
		out = append(out, f.name()+": not analysed: "+f.Reason)
	}
	return out
}

// Method implements [View].
func (v Reliability) Method() []string {
	return []string{
		fmt.Sprintf("A session score is the %s of an athlete's attempts in a session. Complete tables are analysed "+
			"by analysis of variance; where athletes lack a session every score is used by REML (Patterson & "+
			"Thompson 1971), which gives the same numbers on a complete table; --missing-sessions complete "+
			"leaves those athletes out.", v.About.Score),
		"Variance components: REML of athlete, athlete×session and trial with session means fixed, " +
			"profile-likelihood limits. Decision study: Cronbach et al. (1972), Brennan (2001).",
		"Mean squares are those of the athletes by sessions table. Intraclass correlations: McGraw & Wong (1996), " +
			"with Shrout & Fleiss's (1979) names beside; exact F intervals, for absolute agreement generalized " +
			"ones (Tian & Cappelleri 2004), which hold where sessions differ; with two sessions they are wide, because " +
			"two sessions say little about how much sessions differ.",
		"Typical error = √(residual mean square), with a chi-square interval. Detectable change = t(1−α/2, " +
			"df)·√2·typical error; the large-sample value puts 1.96 for t and is too small in small studies. A " +
			"true change is seen with the power asked for when it is as large as the noncentral t says; whether one retest is " +
			"enough and the cheapest design rest on that one. The agreement error has a generalized interval.",
		"Error growth: the athletes' own log variances, of sessions and of attempts, on the logs of their means, " +
			"weighted by their degrees of freedom (Bartlett & Kendall 1946). Equal noise: the score test on the athletes' " +
			"sums of squares, by simulated normal tables; an athlete's own typical error is moderated (Smyth 2004). Groups: " +
			"Brown & Forsythe (1974) on distances from medians. Robust typical error: Huber's (1964) proposal 2 over athletes, " +
			"bootstrap-t interval.",
		"Agreement: mean difference and limits of agreement (Bland & Altman 1986, 1999); exact intervals of the " +
			"limits by the noncentral t distribution (Carkeet 2015).",
		"On the log scale the typical error is a coefficient of variation, 100·(exp(x) − 1), and changes up and " +
			"down are given separately.",
		fmt.Sprintf("All intervals are at %s. Smallest worthwhile change: %s.", number.Level(v.About.Confidence),
			v.About.Worthwhile),
	}
}

func (m ReliabilityMeasure) decimals() int { return number.Decimals(m.Result.TypicalError.Value) }

func (m ReliabilityMeasure) value(x float64) string {
	return number.WithUnit(number.Plain(x, m.decimals()), m.Unit)
}

func (m ReliabilityMeasure) typicalError() string {
	if m.onLog() {
		return percent(m.Result.TypicalErrorPercent.Value)
	}
	return m.value(m.Result.TypicalError.Value)
}

func (m ReliabilityMeasure) typicalErrorLimits() string {
	if m.onLog() {
		return percentLimits(m.Result.TypicalErrorPercent)
	}
	return number.Interval(m.Result.TypicalError.Lower, m.Result.TypicalError.Upper, m.decimals())
}

func (m ReliabilityMeasure) detectable() string {
	d := m.Result.DetectableChange
	if m.onLog() {
		return upDown(d.PercentUp, d.PercentDown)
	}
	return m.value(d.Value)
}

func (m ReliabilityMeasure) largeSample() string {
	d := m.Result.DetectableChange
	if m.onLog() {
		return upDown(estimate.Percent(d.LargeSample), estimate.Percent(-d.LargeSample))
	}
	return m.value(d.LargeSample)
}

func (m ReliabilityMeasure) worthwhile() string {
	w := m.Result.Worthwhile
	if math.IsNaN(w.Value) {
		return number.Missing
	}
	if m.onLog() {
		return upDown(w.PercentUp, w.PercentDown)
	}
	return m.value(w.Value)
}

// worthwhileLimits is the interval of the worthwhile change, "" without one.
func (m ReliabilityMeasure) worthwhileLimits() string {
	e := m.Result.Worthwhile.Estimate
	if !e.HasInterval() || math.IsNaN(e.Value) {
		return ""
	}
	if m.onLog() {
		p := e.Map(estimate.Percent)
		return " (" + percentLimits(p) + ")"
	}
	return " (" + number.Interval(e.Lower, e.Upper, m.decimals()) + ")"
}

func (m ReliabilityMeasure) icc(form string) estimate.Estimate {
	for _, c := range m.Result.ICC {
		if c.Form == form {
			return c.Value
		}
	}
	return estimate.Bare(math.NaN(), estimate.None)
}

func percent(x float64) string {
	return number.WithUnit(number.Plain(x, percentDecimals(x)), "%")
}

func percentLimits(e estimate.Estimate) string {
	return number.Interval(e.Lower, e.Upper, percentDecimals(e.Value))
}

func percentDecimals(x float64) int {
	if math.Abs(x) < 10 {
		return 1
	}
	return 0
}

// upDown writes an asymmetric change on the log scale.
func upDown(up, down float64) string {
	return number.Signed(up, percentDecimals(up)) + "/" + number.WithUnit(number.Signed(down, percentDecimals(down)),
		"%")
}

func correlationWords(e estimate.Estimate) string {
	if math.IsNaN(e.Value) {
		return number.Missing
	}
	if !e.HasInterval() {
		return number.Correlation(e.Value)
	}
	return fmt.Sprintf("%s (%s to %s)", number.Correlation(e.Value), number.Correlation(e.Lower),
		number.Correlation(e.Upper))
}
