package association_test

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"log"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"noisefloor/analysis/association"
	"noisefloor/internal/numtest"
	"noisefloor/internal/oracle"
)

// Values of R 4.2.2: anova and lm with athlete and session as factors
// (testdata/oracle/repeated.R), two whole tables, one with gaps, and one of two
// groups of athletes that share no session.
func TestSessionAdjustedAgainstRecordedR(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "oracle", "repeated.csv"))
	if err != nil {
		t.Fatal(err)
	}
	sessionAdjustedAgainstR(t, data)
}

func TestSessionAdjustedAgainstLiveR(t *testing.T) {
	sessionAdjustedAgainstR(t, oracle.R(t, "repeated.R", ""))
}

func sessionAdjustedAgainstR(t *testing.T, data []byte) {
	t.Helper()
	parts := bytes.Split(data, []byte("#\n"))
	tables, want := csvRows(t, parts[0]), csvRows(t, parts[1])
	if len(want) != 68 {
		t.Fatalf("%d values from R, want 68", len(want))
	}
	fewest := 16.0
	for _, w := range want {
		var mine []row
		for _, r := range tables {
			if r["table"] == w["table"] {
				mine = append(mine, r)
			}
		}
		c := columns(t, mine, "x", "y", "athlete", "session")
		s := must[association.SessionAdjusted](t)(association.RepeatedOverSessions(c[0], c[1], integers(c[2]),
			integers(c[3]), 0))
		got := map[string]float64{"r": s.Value, "p": s.P, "df": s.DF, "F": s.F, "ssx": s.SSX,
			"ssresidual": s.SSResidual, "slope": s.Slope.Value, "slope_lower": s.Slope.Lower,
			"slope_upper": s.Slope.Upper, "moves_x": s.MovesX.Statistic, "moves_x_p": s.MovesX.P,
			"moves_x_df": s.MovesX.DF, "moves_y": s.MovesY.Statistic, "moves_y_p": s.MovesY.P,
			"moves_y_df": s.MovesY.DF, "only": s.AthletesOnly.Value, "only_p": s.AthletesOnly.P}[w["name"]]
		numtest.Close(t, "table "+w["table"]+" "+w["name"], got, w.f(t, "value"), 1e-10)
		fewest = min(fewest, numtest.Digits(got, w.f(t, "value")))
	}
	t.Logf("%d values agree with R to %.1f digits or more", len(want), fewest)
}

func csvRows(t testing.TB, data []byte) []row {
	t.Helper()
	records, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return toRows(records)
}

// What a session adds to everybody changes nothing, nor does what an athlete has
// in every session; numbering does not matter; gaps or none.
func TestSessionAdjustedProperties(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		const athletes, sessions = 6, 3
		var x, y []float64
		var who, when []int
		for a := range athletes {
			for s := range sessions {
				if a > 2 && s == 2 && rapid.Bool().Draw(rt, "gap") {
					continue
				}
				x = append(x, rapid.Float64Range(-3, 3).Draw(rt, "x"))
				y = append(y, rapid.Float64Range(-3, 3).Draw(rt, "y"))
				who, when = append(who, a), append(when, s)
			}
		}
		want, err := association.RepeatedOverSessions(x, y, who, when, 0)
		if err != nil || want.Kind == "no-variation" {
			rt.Skip("nothing varies")
		}
		for i := range x {
			x[i] += float64(7*who[i]) - float64(30*when[i]*when[i])
			y[i] += float64(40*when[i]) - float64(3*who[i])
			who[i], when[i] = 50-3*who[i], 9-when[i]
		}
		got := must[association.SessionAdjusted](t)(association.RepeatedOverSessions(x, y, who, when, 0))
		numtest.CloseAbs(rt, "r", got.Value, want.Value, 1e-8)
		numtest.CloseAbs(rt, "df", got.DF, want.DF, 0)
		numtest.CloseAbs(rt, "df of the formula", got.DF, float64(len(x)-athletes-sessions), 0)
		numtest.CloseAbs(rt, "p", got.P, want.P, 1e-7)
	})
}

// A block lifts test and outcome together: 20 athletes, 3 sessions, both a step
// higher after the first. By hand from the deviations: the athletes' own are
// independent by design (x 1 -1 0, y 1 1 -2 from session to session and its
// negative in the next athlete).
func TestSessionsMoveBoth(t *testing.T) {
	var x, y []float64
	var who, when []int
	for a := range 20 {
		sign := float64(1 - 2*(a%2))
		for s := range 3 {
			lift := []float64{0, 4, 4}[s]
			x = append(x, 10*float64(a)+lift+sign*[]float64{1, -1, 0}[s])
			y = append(y, 5*float64(a)+lift+sign*[]float64{1, 1, -2}[s])
			who, when = append(who, a), append(when, s)
		}
	}
	s := must[association.SessionAdjusted](t)(association.RepeatedOverSessions(x, y, who, when, 0))
	numtest.CloseAbs(t, "r", s.Value, 0, 1e-12)
	numtest.Close(t, "df", s.DF, 60-20-3, 0)
	// Sums of squares inside an athlete: x 2 + 16 (4 4 0 about 8/3 is 32/3), so
	// 2 + 32/3; y 6 + 32/3; products 32/3.
	numtest.Close(t, "athletes only", s.AthletesOnly.Value, 32./3/math.Sqrt((2+32./3)*(6+32./3)), 1e-12)
	if got := said(s.Caveats); !strings.HasSuffix(got, fmt.Sprintf("sessions-move-both %.2f %.2f", s.Value,
		s.AthletesOnly.Value)) {
		t.Errorf("caveats %s", got)
	}
	for i := range y {
		y[i] -= []float64{0, 4, 4}[when[i]] // now only the test moves
	}
	s = must[association.SessionAdjusted](t)(association.RepeatedOverSessions(x, y, who, when, 0))
	if got := said(s.Caveats); strings.Contains(got, "sessions-move-both") {
		t.Errorf("only the test moves: %s", got)
	}
}

func TestSessionAdjustedErrors(t *testing.T) {
	x, y := []float64{1, 2, 3, 5, 4, 8}, []float64{2, 1, 4, 3, 5, 1}
	who, when := []int{1, 1, 2, 2, 3, 3}, []int{1, 2, 1, 2, 1, 2}
	if _, err := association.RepeatedOverSessions(x, y, who, when[:4], 0); !errors.Is(err, association.ErrLength) {
		t.Errorf("sessions: %v", err)
	}
	s, err := association.RepeatedOverSessions(x, y, []int{1, 2, 3, 4, 5, 6}, when, 0)
	if !errors.Is(err, association.ErrRepeats) || !allNaN(s.Value, s.P, s.F, s.AthletesOnly.Value) {
		t.Errorf("all single: %v, %+v", err, s)
	}
	// Two athletes in two sessions: r inside athletes has a degree of freedom, and
	// less the sessions none.
	s, err = association.RepeatedOverSessions(x[:4], y[:4], who[:4], when[:4], 0)
	if err != nil || !allNaN(s.Value, s.P, s.Slope.Value) || s.Kind != "too-few" || s.AthletesOnly.DF != 1 ||
		!slices.ContainsFunc(strings.Split(said(s.Caveats), "\n"), func(c string) bool {
			return c == "sessions-not-taken-out (too-few) 4.00 2.00 2.00"
		}) {
		t.Errorf("%v %+v %s", err, s, said(s.Caveats))
	}
	// The same change in every athlete: nothing is left of x.
	same := []float64{1, 2, 5, 6, 9, 10}
	s, err = association.RepeatedOverSessions(same, y, who, when, 0)
	if err != nil || !allNaN(s.Value) || s.Kind != "no-variation" {
		t.Errorf("%v %+v", err, s)
	}
}

// Is the ball faster in the sessions of a longer throw, once what a session did to
// everybody is out? Invented; both r are those of R.
func ExampleRepeatedOverSessions() {
	throw := []float64{9.1, 10.4, 11.0, 11.2, 11.9, 12.5, 10.1, 11.4, 11.8} // m
	speed := []float64{33.0, 34.4, 35.1, 31.0, 32.6, 33.1, 35.2, 36.3, 37.3}
	athlete := []int{1, 1, 1, 2, 2, 2, 3, 3, 3}
	session := []int{1, 2, 3, 1, 2, 3, 1, 2, 3}
	r, err := association.RepeatedOverSessions(throw, speed, athlete, session, 0.95)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("r = %.2f with the session means in, %.2f (df %.0f) with them out\n", r.AthletesOnly.Value, r.Value, r.DF)
	// Output: r = 0.96 with the session means in, -0.57 (df 3) with them out
}
