package study

import "testing"

func TestParseWorthwhile(t *testing.T) {
	for text, want := range map[string]Worthwhile{
		"true:0.3":               {Basis: TrueSD, Number: 0.3},
		"observed:0.2":           {Basis: ObservedSD, Number: 0.2},
		"fixed:15":               {Basis: Fixed, Number: 15},
		"unit:0.5":               {Basis: InUnit, Number: 0.5},
		"outcome:ball_speed:1.5": {Basis: Anchored, Outcome: "ball_speed", Number: 1.5},
		"outcome:a:b:2":          {Basis: Anchored, Outcome: "a:b", Number: 2},
	} {
		if got, err := ParseWorthwhile(text); err != nil || got != want {
			t.Errorf("%q: %+v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "0.2", "true", "true:", "true:0", "true:-1", "true:NaN", "true:Inf", "fixed:x",
		"outcome:1", "outcome::1", "outcome:x:", "sd:0.2"} {
		if got, err := ParseWorthwhile(text); err == nil {
			t.Errorf("%q: no error, %+v", text, got)
		}
	}
}
