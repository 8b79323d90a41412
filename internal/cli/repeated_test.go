package cli_test

import (
	"path/filepath"
	"testing"
)

// The r inside athletes of every test stands with it, session means out, adjusted
// over the tests; and the one with the session means in beside it.
func TestRepeatedStandsWithItsTest(t *testing.T) {
	d := document(t, "correlate", filepath.Join(repo(t), "testdata/before/tests.csv.gz"), "--outcome", "ball_speed",
		"--sessions", "1,2,3", "--repeated")
	for _, path := range []string{"associations.0.repeated.estimate", "associations.0.repeated.lower",
		"associations.0.repeated.p", "associations.0.repeated.p_holm", "repeated_measures.0.p_bh",
		"repeated_measures.0.athletes_only.p_holm", "repeated_measures.0.session_means_test.f"} {
		if v, ok := at(d, path); !ok {
			t.Errorf("no %s", path)
		} else if _, isNumber := v.(float64); !isNumber {
			t.Errorf("%s is %v", path, v)
		}
	}
	if yes, _ := at(d, "associations.0.repeated.session_adjusted"); yes != true {
		t.Error("not said to be adjusted for sessions")
	}
	one, _ := at(d, "repeated_measures.0.df")
	other, _ := at(d, "repeated_measures.0.athletes_only.df")
	if one.(float64) != other.(float64)-2 {
		t.Errorf("df %v and %v: three sessions cost two", one, other)
	}
}
