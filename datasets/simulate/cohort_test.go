package simulate_test

import (
	"bytes"
	"errors"
	"fmt"
	"log"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"noisefloor/datasets/simulate"
)

func cohort(t testing.TB, seed uint64, athletes int) *simulate.Study {
	t.Helper()
	s, err := simulate.Cohort(seed, athletes)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func ExampleCohort() {
	study, err := simulate.Cohort(simulate.CoastSeed, 8)
	if err != nil {
		log.Fatal(err)
	}
	m, _ := study.Truth.Measure("cable_turn")
	fmt.Printf("%d athletes, %d measures; typical error of %s %.1f %s\n",
		len(study.Athletes), len(study.Measures), m.Measure, m.TypicalError, m.Unit)
	// By hand: √(6² + 10²/3) = 8.3.
	// Output: 8 athletes, 21 measures; typical error of cable_turn 8.3 W
}

func TestCohortFollowsFromSeed(t *testing.T) {
	nan := cmpopts.EquateNaNs()
	a, b := cohort(t, 5, 20), cohort(t, 5, 20)
	if diff := cmp.Diff(a, b, nan); diff != "" {
		t.Errorf("the same seed gave two studies:\n%s", diff)
	}
	if c := cohort(t, 6, 20); cmp.Equal(a.Attempts, c.Attempts, nan) {
		t.Error("two seeds gave the same attempts")
	}
}

func TestCohortTooFew(t *testing.T) {
	for _, n := range []int{-1, 0, 1, simulate.MinAthletes - 1} {
		if _, err := simulate.Cohort(1, n); !errors.Is(err, simulate.ErrTooFew) {
			t.Errorf("%d athletes: got %v, want %v", n, err, simulate.ErrTooFew)
		}
	}
}

// The plan holds at every size: who is in which group does not hang on luck.
func TestRoster(t *testing.T) {
	for n := simulate.MinAthletes; n <= 100; n++ {
		s := cohort(t, uint64(n), n)
		count := map[string]int{}
		for i, a := range s.Athletes {
			count[a.Discipline]++
			count[a.Level]++
			count[a.Group]++
			count[a.Dominant]++
			if a.Code <= "C" || i > 0 && a.Code <= s.Athletes[i-1].Code {
				t.Fatalf("n = %d: codes out of order at %q", n, a.Code)
			}
			if a.Injured && (a.Discipline != "bowler" || a.Group != "trained" || a.Age < 18) {
				t.Errorf("n = %d: the injured athlete is %+v", n, a)
			}
			if a.Injured {
				count["injured"]++
			}
			if youth := a.Level == "school"; youth != (a.Age < 18) {
				t.Errorf("n = %d: age %d in level %s", n, a.Age, a.Level)
			}
		}
		near(t, n, "bowlers", count["bowler"], 0.6*float64(n), 0.5)
		near(t, n, "control", count["control"], float64(n)/3, 1.34)
		near(t, n, "left-handers", count["left"], 0.2*float64(n), 0.5)
		near(t, n, "absences", len(s.Truth.Missed), 0.1*float64(n), 0.5)
		near(t, n, "injured", count["injured"], 1, 0)
		for _, m := range s.Truth.Missed {
			if m.Session < 1 || m.Session > simulate.Sessions || m.Athlete == s.Truth.Injured {
				t.Errorf("n = %d: %s missed session %d", n, m.Athlete, m.Session)
			}
		}
		for _, level := range []string{"school", "academy", "senior"} {
			near(t, n, level, count[level], float64(n)/3, 1.34)
		}
	}
}

func near(t *testing.T, n int, what string, got int, want, within float64) {
	t.Helper()
	if math.Abs(float64(got)-want) > within {
		t.Errorf("n = %d: %d %s, want %.1f ± %.1f", n, got, what, want, within)
	}
}

// Every athlete has every trial of every measure of the discipline in every
// session that was not missed, and nothing else.
func TestAttemptsAreComplete(t *testing.T) {
	for _, n := range []int{8, 60} {
		s := cohort(t, 3, n)
		missed := map[string]int{}
		for _, m := range s.Truth.Missed {
			missed[m.Athlete] = m.Session
		}
		seen := map[simulate.Attempt]bool{}
		void := 0
		for _, a := range s.Attempts {
			if math.IsNaN(a.Value) {
				void++
			}
			a.Value = 0
			if seen[a] {
				t.Fatalf("twice: %+v", a)
			}
			seen[a] = true
		}
		want := 0
		for i, p := range s.Athletes {
			outcome := map[string]string{"bowler": "ball_speed", "batter": "bat_speed"}[p.Discipline]
			for m, measure := range s.Measures {
				if measure.Role == "outcome" && measure.Name != outcome {
					continue
				}
				for session := 1; session <= simulate.Sessions; session++ {
					for trial := 1; trial <= simulate.Trials; trial++ {
						there := seen[simulate.Attempt{Athlete: i, Measure: m, Session: session, Trial: trial}]
						if there == (missed[p.Code] == session) {
							t.Fatalf("%s %s session %d trial %d: present is %v", p.Code, measure.Name, session, trial,
								there)
						}
						if there {
							want++
						}
					}
				}
			}
		}
		if len(seen) != want {
			t.Errorf("%d attempts, want %d", len(seen), want)
		}
		rate := float64(void) / float64(want) // true rate 1 %: within 5 standard errors
		if se := math.Sqrt(0.01 * 0.99 / float64(want)); math.Abs(rate-0.01) > 5*se || void == 0 {
			t.Errorf("%d of %d attempts without a reading", void, want)
		}
	}
}

func TestDictionaryIsWholeAndSymmetric(t *testing.T) {
	s := cohort(t, 1, 8)
	if n := len(s.Measures) - 1; n < 18 || n > 20 { // no athlete has both outcomes
		t.Errorf("%d measures for an athlete, want 18 to 20", n)
	}
	byName := map[string]simulate.Measure{}
	for _, m := range s.Measures {
		byName[m.Name] = m
	}
	planes, part := map[string]int{}, map[string]int{}
	for _, m := range s.Measures {
		planes[m.Plane]++
		part[m.Better+" is better"]++
		part[m.Quantity]++
		if m.Load != nil {
			part["loads"]++
		}
		if m.Quickness != "" {
			part["quickness"]++
		}
		for _, text := range []string{m.Label, m.Unit, m.Region, m.Quality, m.Quantity, m.Better, m.Scale, m.Role} {
			if text == "" {
				t.Errorf("%s: not described in full: %+v", m.Name, m)
			}
		}
		if (m.Plane == "") != (m.Role == "outcome") {
			t.Errorf("%s: plane %q for a measure in the role %q", m.Name, m.Plane, m.Role)
		}
		if m.Minimum >= m.Maximum {
			t.Errorf("%s: plausible range %g to %g", m.Name, m.Minimum, m.Maximum)
		}
		if m.Pair != "" && (byName[m.Pair].Pair != m.Name || byName[m.Pair].Side == m.Side) {
			t.Errorf("%s: pair %q does not answer", m.Name, m.Pair)
		}
		if q := byName[m.Quickness]; m.Quickness != "" && (q.Name == "" || q.Side != m.Side || q.Quickness != "") {
			t.Errorf("%s: quickness %q is not a test of this side alone", m.Name, m.Quickness)
		}
		if m.Counterpart != "" && (byName[m.Counterpart].Counterpart != m.Name ||
			byName[m.Counterpart].Side != m.Side || byName[m.Counterpart].Countermovement == m.Countermovement) {
			t.Errorf("%s: counterpart %q does not answer", m.Name, m.Counterpart)
		}
		if _, ok := s.Truth.Measure(m.Name); !ok {
			t.Errorf("%s has no truth", m.Name)
		}
	}
	for _, plane := range []string{"sagittal", "frontal", "transverse"} {
		if planes[plane] < 2 {
			t.Errorf("%d measures in the %s plane", planes[plane], plane)
		}
	}
	for what, least := range map[string]int{"lower is better": 1, "time": 1, "power": 4, "loads": 3, "quickness": 1} {
		if part[what] < least {
			t.Errorf("%s: %d measures, want %d", what, part[what], least)
		}
	}
	if part["acceleration"] > 0 {
		t.Error("an acceleration: this battery has none")
	}
}

// Any seed gives values that the dictionary finds plausible.
func TestValuesAreInPlausibleRange(t *testing.T) {
	for seed := uint64(1); seed <= 30; seed++ {
		s := cohort(t, seed, 60)
		for _, a := range s.Attempts {
			if m := s.Measures[a.Measure]; a.Value < m.Minimum || a.Value > m.Maximum {
				t.Errorf("seed %d: %s is %g %s", seed, m.Name, a.Value, m.Unit)
			}
		}
	}
}

// The injury shows in the dominant side's throw and press, the overhead throw
// and the speed, and nowhere else.
func TestInjury(t *testing.T) {
	for seed := uint64(1); seed <= 20; seed++ {
		s := cohort(t, seed, 30)
		truth, ok := s.Truth.Athlete(s.Truth.Injured)
		if !ok {
			t.Fatalf("no truth of the injured athlete %q", s.Truth.Injured)
		}
		dominant := ""
		for _, a := range s.Athletes {
			if a.Injured != (a.Code == s.Truth.Injured) {
				t.Errorf("%s: injured is %v", a.Code, a.Injured)
			}
			if a.Injured {
				dominant = a.Dominant
			}
			for session, want := range []string{"available", "available", "returning", "returning"} {
				if got := a.Status(session + 1); (got == want) != (a.Injured || want == "available") {
					t.Errorf("%s: status %q in session %d", a.Code, got, session+1)
				}
			}
		}
		for _, m := range s.Measures {
			loaded := m.Name == "ball_speed" || m.Name == "overhead_throw" ||
				m.Name == "side_throw_speed."+dominant || m.Name == "cable_press."+dominant
			change, tested := truth.Changes[m.Name]
			if worse := change < 0 == (m.Better == "higher") && change != 0; tested && worse != loaded {
				t.Errorf("seed %d, %s, dominant %s: true change %g", seed, m.Name, dominant, change)
			}
		}
	}
}

func TestReadmeIsFilledIn(t *testing.T) {
	files, err := cohort(t, 2, 8).Files()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		text := string(f.Data)
		for _, bad := range []string{"%!", "<no value>", "NaN", "{{"} {
			if strings.Contains(text, bad) {
				t.Errorf("%s holds %q", f.Name, bad)
			}
		}
		if command := "-seed 2 -athletes 8"; f.Name == simulate.ReadmeFile && !strings.Contains(text, command) {
			t.Errorf("%s does not say how to make it again: %s", f.Name, command)
		}
		if !strings.HasSuffix(text, "\n") {
			t.Errorf("%s does not end in a line feed", f.Name)
		}
	}
}

// A writer that is full after so many bytes.
type full int

var errFull = errors.New("no space left")

func (f *full) Write(p []byte) (int, error) {
	if *f -= full(len(p)); *f < 0 {
		return 0, errFull
	}
	return len(p), nil
}

func TestWriteCSVReportsFullDisk(t *testing.T) {
	s := cohort(t, 1, 8)
	var whole bytes.Buffer
	if err := s.WriteCSV(&whole); err != nil {
		t.Fatal(err)
	}
	for _, room := range []full{0, 10_000, full(whole.Len() - 1)} {
		if err := s.WriteCSV(&room); !errors.Is(err, errFull) {
			t.Errorf("got %v, want %v", err, errFull)
		}
	}
}

func BenchmarkCohort(b *testing.B) {
	for b.Loop() {
		cohort(b, simulate.CoastSeed, simulate.CoastAthletes)
	}
}
