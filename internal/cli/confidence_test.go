package cli_test

import (
	"fmt"
	"strings"
	"testing"
)

// intervalsOf finds every pair lower and upper in a document, by path. Items of
// lists are told apart by their place: both documents have them in one order.
func intervalsOf(value any, path string, into map[string][2]float64) {
	switch v := value.(type) {
	case map[string]any:
		for key := range v {
			lower, has := v[key].(float64)
			other := strings.Replace(key, "lower", "upper", 1)
			if upper, ok := v[other].(float64); has && ok && other != key {
				into[path+"."+key] = [2]float64{lower, upper}
			}
			intervalsOf(v[key], path+"."+key, into)
		}
	case []any:
		for i, item := range v {
			intervalsOf(item, fmt.Sprintf("%s.%d", path, i), into)
		}
	}
}

// kindOf is a path without places, so that each kind of interval is counted once.
func kindOf(path string) string {
	var out []string
	for part := range strings.SplitSeq(path, ".") {
		if strings.Trim(part, "0123456789") != "" {
			out = append(out, part)
		}
	}
	return strings.Join(out, ".")
}

// Every interval of every command obeys --confidence: at 0.80 it is narrower
// than at 0.95, and lies inside it. What is stated at a level of its own (the
// narrow interval of retest, the coverage of limits of agreement) is named here.
func TestEveryIntervalObeysConfidence(t *testing.T) {
	folder := cohortFolder(t)
	tests := folder + "/tests.csv"
	ownLevel := map[string]bool{"changes.narrow.lower": true, "measures.limits_of_agreement.lower": true,
		"measures.limits_of_agreement.prediction_lower": true}
	moves := map[string]bool{"measures.detectable_change.lower": true, "measures.detectable_change.seen.lower": true} // the number itself goes by the level too
	for _, args := range [][]string{
		{"reliability", tests, "--sessions", "1,2,3", "--by", "level", "--bootstrap", "--replicates", "400"},
		{"reliability", tests, "--sessions", "1,2", "--measure", "sprint,throw", "--scale", "log", "--worthwhile",
			"outcome:ball_speed:1", "--missing-sessions", "complete"},
		{"retest", tests, "--noise-from", "1,2", "--learning", "--regression", "--narrow", "0.6"},
		{"retest", tests, "--noise-from", "1,2,3", "--scale", "log", "--measure", "sprint", "--narrow", "0.6"},
		{"correlate", tests, "--sessions", "1,2,3", "--covariate", "age", "--change", "2,3", "--repeated",
			"--bootstrap", "--replicates", "400"},
	} {
		t.Run(args[0], func(t *testing.T) {
			wide, narrow := map[string][2]float64{}, map[string][2]float64{}
			intervalsOf(document(t, append(args, "--confidence", "0.95")...), "", wide)
			intervalsOf(document(t, append(args, "--confidence", "0.8")...), "", narrow)
			kinds, still := map[string]int{}, map[string]string{}
			for path, w := range wide {
				kind := kindOf(path)
				kinds[kind]++
				n, ok := narrow[path]
				switch {
				case ownLevel[kind]:
					if n != w {
						t.Errorf("%s: %v at 0.95 and %v at 0.80, and it has a level of its own", path, w, n)
					}
				case !ok:
					still[kind] = "is not there at 0.80"
				case n[1]-n[0] >= w[1]-w[0] && w[1] > w[0], !moves[kind] && (n[0] < w[0] || n[1] > w[1]):
					still[kind] = fmt.Sprintf("%s: %v at 0.95, %v at 0.80", path, w, n)
				}
			}
			if len(kinds) < 3 {
				t.Errorf("only %d kinds of intervals", len(kinds))
			}
			for kind, words := range still {
				t.Errorf("%s does not narrow: %s", kind, words)
			}
			t.Logf("%d intervals of %d kinds", len(wide), len(kinds))
		})
	}
}
