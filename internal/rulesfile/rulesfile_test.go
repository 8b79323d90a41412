package rulesfile_test

import (
	"errors"
	"strings"
	"testing"

	"noisefloor/analysis/profile"
	"noisefloor/internal/rulesfile"
)

// The program's own rules are a file of rules, and come back as they are.
func TestReadDefault(t *testing.T) {
	got, err := rulesfile.Read(strings.NewReader(string(profile.DefaultRulesText())), "rules.json")
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Rules) != len(profile.DefaultRules().Rules) || got.Grades != profile.DefaultRules().Grades {
		t.Errorf("%+v", got)
	}
}

func TestReadRefuses(t *testing.T) {
	valid := string(profile.DefaultRulesText())
	for name, tt := range map[string]struct{ old, new, want string }{
		"unknown key":       {`"threshold": 10,`, `"treshold": 10,`, `did you mean "threshold"`},
		"unknown at top":    {`"grades"`, `"grade"`, `did you mean "grades"`},
		"another schema":    {"noisefloor/rules/1", "noisefloor/noise/4", "its schema is"},
		"text for a number": {`"threshold": 10,`, `"threshold": "10",`, "must be of type number"},
		"wrong emphasis":    {`"even the sides"`, `"rest"`, `"rest"`},
		"wrong direction":   {`"direction": "above"`, `"direction": "up"`, `"up"`},
		"wrong index":       {`"countermovement_gain"`, `"stiffness"`, `"stiffness"`},
		"key twice":         {`"key": "gain_large"`, `"key": "gain_small"`, `"gain_small" stands twice`},
		"NaN":               {`"threshold": 10,`, `"threshold": NaN,`, "not JSON"},
		"member twice":      {`"threshold": 10,`, `"threshold": 10, "threshold": 11,`, "stands twice"},
		"alpha 0":           {`"alpha": 0.11`, `"alpha": 0`, "above 0"},
	} {
		if !strings.Contains(valid, tt.old) {
			t.Fatalf("%s: the valid file has no %s", name, tt.old)
		}
		_, err := rulesfile.Read(strings.NewReader(strings.Replace(valid, tt.old, tt.new, 1)), "my.json")
		if !errors.Is(err, rulesfile.ErrInvalid) || !strings.Contains(err.Error(), tt.want) || !strings.HasPrefix(err.Error(), "my.json: ") {
			t.Errorf("%s: %v", name, err)
		}
	}
	for name, text := range map[string]string{"empty": "", "array": "[]", "no JSON": "{", "too long": strings.Repeat(" ", 1<<20+1)} {
		if _, err := rulesfile.Read(strings.NewReader(text), "my.json"); !errors.Is(err, rulesfile.ErrInvalid) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Whatever a file holds, it is read or refused.
func FuzzRead(f *testing.F) {
	f.Add(string(profile.DefaultRulesText()))
	f.Add(`{"schema":"noisefloor/rules/1"}`)
	f.Fuzz(func(t *testing.T, text string) {
		if r, err := rulesfile.Read(strings.NewReader(text), "f"); err == nil && r.Check() != nil {
			t.Error("read, and not usable")
		}
	})
}
