package cli

import (
	"strings"
	"testing"

	"noisefloor/analysis/reliability"
)

func TestLevel(t *testing.T) {
	for text, want := range map[string]float64{"0.95": 0.95, "95": 0.95, "95%": 0.95, " 90 % ": 0.9, "0.5": 0.5, "99.9": 0.999} {
		var l level
		if err := l.Set(text); err != nil || float64(l) != want {
			t.Errorf("%q: %v, %v; want %v", text, float64(l), err, want)
		}
	}
	for _, text := range []string{"", "1", "0", "100", "0.4", "-0.95", "NaN", "Inf", "high", "0.95x", "1e400"} {
		var l level
		if err := l.Set(text); err == nil {
			t.Errorf("%q: no error, level %v", text, float64(l))
		}
	}
}

func TestWorthwhile(t *testing.T) {
	for text, want := range map[string]reliability.Worthwhile{
		"true:0.3":               {Basis: reliability.TrueSD, Fraction: 0.3},
		"observed:0.2":           {Basis: reliability.ObservedSD, Fraction: 0.2},
		"fixed:15":               {Basis: reliability.Fixed, Value: 15},
		"outcome:ball_speed:1.5": {Basis: reliability.Anchored, OutcomeName: "ball_speed", OutcomeChange: 1.5},
		"outcome:a:b:2":          {Basis: reliability.Anchored, OutcomeName: "a:b", OutcomeChange: 2},
	} {
		var w worthwhile
		if err := w.Set(text); err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		if w.Basis != want.Basis || w.Fraction != want.Fraction || w.Value != want.Value || w.OutcomeName != want.OutcomeName || w.OutcomeChange != want.OutcomeChange {
			t.Errorf("%q: %+v", text, w.Worthwhile)
		}
	}
	for _, text := range []string{"", "0.2", "true", "true:", "true:0", "true:-1", "true:NaN", "true:Inf", "fixed:x", "outcome:1", "outcome::1", "outcome:x:", "sd:0.2"} {
		var w worthwhile
		if err := w.Set(text); err == nil {
			t.Errorf("%q: no error", text)
		}
	}
}

func TestSessionList(t *testing.T) {
	if got := sessionList([]string{"1"}) + "; " + sessionList([]string{"1", "2"}); got != "session 1; sessions 1, 2" {
		t.Error(got)
	}
	if strings.Contains(version(), " ") {
		t.Errorf("version %q", version())
	}
}
