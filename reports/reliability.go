package reports

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"noisefloor/analysis/estimate"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/reports/number"
	"noisefloor/reports/table"
)

// Reliability shows how noisy each test is.
type Reliability struct {
	About
	Measures []ReliabilityMeasure
	Failed   []Failed
}

// A ReliabilityMeasure is one measure, over all athletes or of one group.
type ReliabilityMeasure struct {
	Measure, Label, Unit string
	Group                string // "" for all athletes
	Result               reliability.Result
}

// Failed says why a measure has no result.
type Failed struct{ Measure, Group, Reason string }

// Name implements [View].
func (v Reliability) Name() string { return "reliability" }

// Stem implements [View].
func (v Reliability) Stem() string { return v.Name() }

// Title implements [View].
func (v Reliability) Title() string { return "How noisy is each test?" }

// Answer implements [View].
func (v Reliability) Answer() []string {
	all := v.pooled()
	switch len(all) {
	case 0:
		return []string{"No test could be analysed: " + v.reasons() + "."}
	case 1:
		return v.answerOne(all[0])
	}
	return v.answerMany(all)
}

func (v Reliability) answerOne(m ReliabilityMeasure) []string {
	r := m.Result
	if m.flat() {
		return []string{fmt.Sprintf("%s: every athlete has the same score in every session, so nothing can be said about its noise. If it is not a test, take it out with --attribute.", m.Label)}
	}
	s := fmt.Sprintf("%s: from session to session an athlete's score varies by a typical error of %s (%s, %s interval); "+
		"a change of one athlete is more than noise from %s on.",
		m.Label, m.typicalError(), m.typicalErrorLimits(), number.Level(r.Level), m.detectable())
	out := []string{s}
	if !math.IsNaN(r.Ratio) && !math.IsInf(r.Ratio, 0) {
		out = append(out, fmt.Sprintf("The smallest worthwhile change is %s, so the detectable change is %s times what matters%s",
			m.worthwhile(), number.Plain(r.Ratio, 1), seesIt(r.Ratio)))
	}
	if r.Cheapest != nil {
		out = append(out, "To see the worthwhile change of one athlete: "+m.design()+".")
	}
	return append(out, fmt.Sprintf("%s, %s.", number.Count(r.Athletes, "athlete", "athletes"), sessionWords(r.Sessions)))
}

// design says which numbers of sessions and trials see the worthwhile change.
func (m ReliabilityMeasure) design() string {
	a := m.Result.Cheapest
	switch {
	case a == nil:
		return ""
	case a.Found:
		return fmt.Sprintf("%s of %s on each occasion (detectable change %s)", number.Count(a.Row.Sessions, "session", "sessions"),
			number.Count(a.Row.Trials, "trial", "trials"), m.changeWords(a.Row.Detectable))
	case strings.HasPrefix(m.Result.DesignWords(), "not shown"):
		return m.Result.DesignWords()
	case a.Never:
		return fmt.Sprintf("no number of trials will do, because with 4 sessions the day-to-day part alone keeps the detectable change at %s", m.changeWords(a.Limit))
	case a.Needed > 0:
		return fmt.Sprintf("4 sessions of %s on each occasion", number.Count(a.Needed, "trial", "trials"))
	}
	return a.Words
}

func seesIt(ratio float64) string {
	if ratio <= 1 {
		return ": a single retest can see it."
	}
	return ": a single retest cannot see it."
}

func (v Reliability) answerMany(all []ReliabilityMeasure) []string {
	byError := slices.DeleteFunc(slices.Clone(all), func(m ReliabilityMeasure) bool {
		return math.IsNaN(m.Result.TypicalErrorPercent.Value) || m.flat()
	})
	slices.SortStableFunc(byError, func(a, b ReliabilityMeasure) int {
		return cmp.Compare(a.Result.TypicalErrorPercent.Value, b.Result.TypicalErrorPercent.Value)
	})
	var out []string
	if len(byError) > 0 {
		low, high := byError[0], byError[len(byError)-1]
		out = append(out, fmt.Sprintf("Of %d tests the least noisy is %s (typical error %s of the score, %s interval %s) and the noisiest %s (%s, %s).",
			len(all), low.Label, percent(low.Result.TypicalErrorPercent.Value), number.Level(low.Result.Level), percentLimits(low.Result.TypicalErrorPercent),
			high.Label, percent(high.Result.TypicalErrorPercent.Value), percentLimits(high.Result.TypicalErrorPercent)))
	}
	sees, judged, useless := 0, 0, []string{}
	for _, m := range all {
		if !math.IsNaN(m.Result.Ratio) && !m.flat() {
			judged++
			if m.Result.Ratio <= 1 {
				sees++
			}
		}
		if c := m.icc("C,1"); c.HasInterval() && c.Lower <= 0 {
			useless = append(useless, m.Label)
		}
	}
	out = append(out, seesWords(sees, judged))
	out = append(out, v.groupAnswer(all)...)
	if len(useless) > 0 {
		out = append(out, fmt.Sprintf("Not shown to tell athletes apart at all (the interval of the ICC holds 0): %s.", strings.Join(useless, ", ")))
	}
	r := all[0].Result
	return append(out, fmt.Sprintf("%s, %s.", athletesRange(all), sessionWords(r.Sessions)))
}

// flat reports a test without any residual error: a column that never changes
// within an athlete is not measured anew.
func (m ReliabilityMeasure) flat() bool { return m.Result.TypicalError.Value == 0 }

// groupAnswer says whether the groups are equally noisy.
func (v Reliability) groupAnswer(all []ReliabilityMeasure) []string {
	tested, differ, lifted := 0, []string{}, 0
	for _, m := range all {
		t := m.Result.GroupTest
		if t == nil || math.IsNaN(t.P) {
			continue
		}
		tested++
		if t.P < 1-m.Result.Level {
			differ = append(differ, m.Label)
		}
		if t.LiftedByGroups {
			lifted++
		}
	}
	if tested == 0 {
		return nil
	}
	words := fmt.Sprintf("By %s the typical error differs beyond chance in none of %s", v.By, number.Count(tested, "test", "tests"))
	if len(differ) > 0 {
		words = fmt.Sprintf("By %s the typical error differs beyond chance (%s, each test on its own) in %d of %s: %s", v.By,
			number.Level(v.Confidence), len(differ), number.Count(tested, "test", "tests"), strings.Join(differ, "; "))
	}
	if lifted > 0 {
		words += fmt.Sprintf("; in %d the ICC over all owes its height to the differences between the groups", lifted)
	}
	return []string{words + "."}
}

func seesWords(sees, judged int) string {
	switch {
	case judged == 0:
		return "No test has a smallest worthwhile change to compare with."
	case sees == 0:
		return "In none of them can a single retest of one athlete see the smallest worthwhile change: only larger changes, or the mean of more sessions, show past the noise."
	case sees == judged:
		return "In all of them a single retest of one athlete can see the smallest worthwhile change."
	}
	return fmt.Sprintf("In %d of %d a single retest of one athlete can see the smallest worthwhile change; in the others only larger changes, or the mean of more sessions, show past the noise.", sees, judged)
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

func sessionWords(s []string) string {
	if len(s) < 2 {
		return "session " + strings.Join(s, "")
	}
	return "sessions " + strings.Join(s[:len(s)-1], ", ") + " and " + s[len(s)-1]
}

func (v Reliability) reasons() string {
	var out []string
	for _, f := range v.Failed {
		out = append(out, f.Measure+": "+f.Reason)
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

// Warnings implements [View].
func (v Reliability) Warnings() []string {
	var said caveats
	for _, m := range v.Measures {
		name := m.Label
		if m.Group != "" {
			name += " (" + m.Group + ")"
		}
		for _, w := range m.Result.Warnings {
			said.add(name, w)
		}
	}
	for _, f := range v.Failed {
		name := f.Measure
		if f.Group != "" {
			name += " (" + f.Group + ")"
		}
		said.add(name, "not analysed: "+f.Reason)
	}
	return typographic(append(v.sentences(v.Caveats), said.lines()...))
}

// Method implements [View].
func (v Reliability) Method() []string {
	level := number.Level(v.Confidence)
	return []string{
		fmt.Sprintf("A session score is the %s of an athlete's attempts in a session. Complete tables are analysed by analysis of variance; where athletes lack a session every score is used by REML (Patterson & Thompson 1971), which gives the same numbers on a complete table; --missing-sessions complete leaves those athletes out.", v.Score),
		"Variance components: REML of athlete, athlete×session and trial with session means fixed, profile-likelihood limits. Decision study: Cronbach et al. (1972), Brennan (2001).",
		"Mean squares are those of the athletes by sessions table. Intraclass correlations: McGraw & Wong (1996), with Shrout & Fleiss's (1979) names beside; exact F intervals, for absolute agreement Satterthwaite's approximation.",
		"Typical error = √(residual mean square), with a chi-square interval. Detectable change = t(1−α/2, df)·√2·typical error; the large-sample value puts 1.96 for t and is too small in small studies.",
		"Agreement: mean difference and limits of agreement (Bland & Altman 1986, 1999); exact intervals of the limits by the noncentral t distribution (Carkeet 2015).",
		"On the log scale the typical error is a coefficient of variation, 100·(exp(x) − 1), and changes up and down are given separately.",
		fmt.Sprintf("All intervals are at %s. Smallest worthwhile change: %s.", level, v.Worthwhile),
	}
}

func (m ReliabilityMeasure) onLog() bool { return m.Result.Scale == score.Log }

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
	return estimate.Without(math.NaN(), "no such form")
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
	return number.Signed(up, percentDecimals(up)) + "/" + number.WithUnit(number.Signed(down, percentDecimals(down)), "%")
}

func correlationWords(e estimate.Estimate) string {
	if math.IsNaN(e.Value) {
		return number.Missing
	}
	if !e.HasInterval() {
		return number.Correlation(e.Value)
	}
	return fmt.Sprintf("%s (%s to %s)", number.Correlation(e.Value), number.Correlation(e.Lower), number.Correlation(e.Upper))
}

// Data implements [View].
func (v Reliability) Data() table.Table { return v.summaryTable() }
