package cli

import (
	"strings"
	"testing"

	"noisefloor/internal/study"
)

func TestLevel(t *testing.T) {
	for text, want := range map[string]float64{"0.95": 0.95, "95": 0.95, "95%": 0.95, " 90 % ": 0.9, "0.5": 0.5,
		"99.9": 0.999} {
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

func TestCommandLine(t *testing.T) {
	for want, args := range map[string][]string{
		"noisefloor retest t.csv --where 'level=a b'":    {"retest", "/home/x/t.csv", "--where", "level=a b"},
		`noisefloor retest 'it'\''s.csv' --measure 'a*'`: {"retest", "it's.csv", "--measure", "a*"},
		"noisefloor reliability - --save-noise=n.json":   {"reliability", "-", "--save-noise=/home/x/n.json"},
	} {
		if got := commandLine(args); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

func TestSessionList(t *testing.T) {
	if got := study.SessionList([]string{"1"}) + "; " + study.SessionList([]string{"1",
		"2"}); got != "session 1; sessions 1, 2" {
		t.Error(got)
	}
	if strings.Contains(version(), " ") {
		t.Errorf("version %q", version())
	}
}
