package reports_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"noisefloor/analysis/estimate"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/retest"
	"noisefloor/reports"
)

func changeOf(athlete, measure, from, to string, d float64) retest.Change {
	c := retest.Change{Athlete: athlete, Measure: measure, From: strings.Split(from, "+"), To: strings.Split(to, "+"),
		Baseline: 100, FollowUp: 100 + d, Change: estimate.Estimate{Value: d, Lower: d - 20, Upper: d + 20}, SE: 10,
		DF: 30, Detectable: 20, Worthwhile: 5,
		State: retest.InsideNoise, Matters: retest.MattersUnclear, Verdict: retest.Inside, P: 0.5}
	if d > 20 {
		c.State, c.Verdict = retest.StandsOut, retest.OutMay
	}
	return c
}

// at says which occasion a change answers.
func at(occasion int, c retest.Change) retest.Change {
	c.Occasion = occasion
	return c
}

func occasion(from, to string) retest.Occasion {
	return retest.Occasion{Baseline: strings.Split(from, "+"), FollowUp: strings.Split(to, "+")}
}

func retestView(occasions []retest.Occasion, changes ...retest.Change) reports.Retest {
	v := reports.Retest{About: reports.About{Labels: map[string]string{"throw": "Throw power"}},
		Result: retest.Result{Level: 0.95, Occasions: occasions, Changes: changes}}
	for _, m := range []string{"throw", "jump"} {
		v.Result.Noise = append(v.Result.Noise, noise.Model{Measure: m, Unit: "W", Source: "sessions 1, 2",
			TypicalError: 7, DF: 30})
	}
	return v
}

func titles(t *testing.T, v reports.View) []string {
	t.Helper()
	all, err := v.Pictures()
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, p := range all {
		out = append(out, fmt.Sprintf("%s, n = %d", p.Title, len(p.Table.Rows)))
	}
	return out
}

func expect(t *testing.T, name string, got, want []string) {
	t.Helper()
	if !slices.Equal(got, want) {
		t.Errorf("%s\n%s\nwant\n%s", name, strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// Who lacks some of the sessions stays on the picture of the others: the occasion
// says which.
func TestOnePictureForPartBaselines(t *testing.T) {
	v := retestView([]retest.Occasion{occasion("1+2", "3"), occasion("1+2", "4")},
		changeOf("C1", "throw", "1+2", "3", 30), changeOf("C2", "throw", "2", "3", 10), changeOf("C3", "throw", "1+2",
			"3", 1),
		at(1, changeOf("C1", "throw", "1+2", "4", 30)), at(1, changeOf("C2", "throw", "2", "4", 10)),
		changeOf("C2", "jump", "2", "3", 10))
	expect(t, "part of the baseline", titles(t, v), []string{"Changes in Throw power, sessions 1+2 to 3, n = 3",
		"Changes in Throw power, sessions 1+2 to 4, n = 2", "Changes in jump, sessions 1+2 to 3, n = 1"})

	v = retestView([]retest.Occasion{occasion("1", "3+4")},
		changeOf("C1", "throw", "1", "3+4", 30), changeOf("C2", "throw", "1", "3", 10), changeOf("C3", "throw", "1",
			"4", 1))
	expect(t, "part of the follow-up", titles(t, v), []string{"Changes in Throw power, session 1 to 3+4, n = 3"})

	// 3 and 3+4 were both asked for; C2 lacks session 4, so both of its changes are to 3
	v = retestView([]retest.Occasion{occasion("1", "3"), occasion("1", "3+4")},
		changeOf("C1", "throw", "1", "3", 30), changeOf("C2", "throw", "1", "3", 10), at(1, changeOf("C1", "throw",
			"1", "3+4", 1)), at(1, changeOf("C2", "throw", "1", "3", 10)))
	expect(t, "a follow-up inside another", titles(t, v), []string{"Changes in Throw power, session 1 to 3, n = 2",
		"Changes in Throw power, session 1 to 3+4, n = 2"})
}

func TestAthletesAskedFor(t *testing.T) {
	both := []retest.Occasion{occasion("1+2", "3"), occasion("1+2", "4")}
	var all []retest.Change
	var names []string
	for i := range 14 {
		names = append(names, fmt.Sprintf("C%02d", i+1))
	}
	for _, m := range []string{"throw", "jump"} {
		for o, to := range []string{"3", "4"} {
			for i, who := range names {
				all = append(all, at(o, changeOf(who, m, "1+2", to, float64(5*i))))
			}
		}
	}
	of := func(asked ...string) reports.Retest {
		v := retestView(both, slices.DeleteFunc(slices.Clone(all),
			func(c retest.Change) bool { return !slices.Contains(asked, c.Athlete) })...)
		v.Asked = asked
		return v
	}
	expect(t, "one athlete", titles(t, of("C01")),
		[]string{"Athlete C01: change in 2 tests, sessions 1+2 to 3, n = 2",
			"Athlete C01: change in 2 tests, sessions 1+2 to 4, n = 2"})
	expect(t, "two athletes", titles(t, of("C02", "C01", "C02")),
		[]string{"Athlete C02: change in 2 tests, sessions 1+2 to 3, n = 2",
			"Athlete C02: change in 2 tests, sessions 1+2 to 4, n = 2",
			"Athlete C01: change in 2 tests, sessions 1+2 to 3, n = 2",
			"Athlete C01: change in 2 tests, sessions 1+2 to 4, n = 2"})
	three := titles(t, of("C01", "C02", "C03"))
	if len(three) != 6+4 || three[6] != "Changes in Throw power, sessions 1+2 to 3, n = 3" {
		t.Errorf("three athletes: %q", three)
	}
	pictures, err := of(names...).Pictures()
	if err != nil {
		t.Fatal(err)
	}
	n, said := 0, 0
	for _, p := range pictures {
		if strings.HasPrefix(p.Name, "athlete-") {
			n++
		}
		if strings.Contains(p.Caption, "The first 12 of the 14 athletes asked for are drawn like this.") {
			said++
		}
	}
	if n != 24 || said != 1 {
		t.Errorf("%d pictures of single athletes, want 24; said %d times that some are not drawn", n, said)
	}
	if first := titles(t, retestView(both, all...))[0]; first != "Changes in Throw power, sessions 1+2 to 3, n = 14" {
		t.Errorf("nobody asked for: %q", first)
	}
}
