package cli_test

import (
	"compress/gzip"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// renamed are the members whose names changed since, by the end of their path.
var renamed = []struct{ old, now string }{
	{".chance.rise", ".chance_flat.above"}, {".chance.trivial", ".chance_flat.within"},
	{".chance.fall", ".chance_flat.below"},
	{".icc.2.lower", ".icc.2.satterthwaite.lower"}, {".icc.2.upper", ".icc.2.satterthwaite.upper"},
	{".icc.3.lower", ".icc.3.satterthwaite.lower"}, {".icc.3.upper", ".icc.3.satterthwaite.upper"},
	{".icc.2.df", ".icc.2.satterthwaite.df"}, {".icc.3.df", ".icc.3.satterthwaite.df"},
	{".group_test.statistic", ".group_test.normal_statistic"}, {".group_test.p", ".group_test.normal_p"},
	{".agreement_error", ".agreement_error.estimate"},
	{".family.real_after_bh", ".family.stand_out"}, {".family.real", ".family.past_noise"},
}

// gone are members that were left out on purpose, by the end of their path, and why.
var gone = map[string]string{
	"changes.reliable_change_index":     "change divided by se, both of which are there",
	"measures.cheapest_design.sessions": "no design looked at sees the worthwhile change with a power of 80 %",
	"measures.cheapest_design.trials":   "no design looked at sees the worthwhile change with a power of 80 %",
}

// numbersOf finds every number of a document by its path.
func numbersOf(value any, path string, into map[string]float64) {
	switch v := value.(type) {
	case map[string]any:
		for key, item := range v {
			numbersOf(item, path+"."+key, into)
		}
	case []any:
		for i, item := range v {
			numbersOf(item, fmt.Sprintf("%s.%d", path, i), into)
		}
	case float64:
		into[path] = v
	}
}

// The redesign changed names, not numbers: what the program said before of the
// demo table of that time, it says now. See testdata/before.
func TestSameNumbersAsBefore(t *testing.T) {
	table := filepath.Join(repo(t), "testdata/before/tests.csv.gz")
	for command, args := range map[string][]string{
		"reliability": {"--sessions", "1,2", "--by", "level"},
		"retest": {"--by", "none", "--noise-from", "1,2", "--learning", "--regression", "--measure",
			"jump*,press*,pull*,rotational_t*,side*"},
		"correlate": {"--outcome", "ball_speed", "--sessions", "1,2", "--change", "2,3", "--repeated",
			"--covariate", "body_mass"},
	} {
		t.Run(command, func(t *testing.T) {
			old, now := map[string]float64{}, map[string]float64{}
			was, is := before(t, command), document(t, append([]string{command, table}, args...)...)
			delete(was, "settings")
			delete(is, "settings")
			numbersOf(was, "", old)
			numbersOf(is, "", now)
			compareNumbers(t, old, now)
		})
	}
}

func before(t *testing.T, command string) map[string]any {
	t.Helper()
	f, err := os.Open(filepath.Join(repo(t), "testdata/before", command+".json.gz"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		t.Fatal(err)
	}
	var d map[string]any
	if err := json.NewDecoder(z).Decode(&d); err != nil {
		t.Fatal(err)
	}
	return d
}

func compareNumbers(t *testing.T, old, now map[string]float64) {
	compared, worst, lost := 0, 0.0, map[string]int{}
	for path, was := range old {
		is, ok := now[nameNow(path)]
		if !ok {
			if kind := kindOf(path); !left(kind) {
				lost[kind]++
			}
			continue
		}
		if changed(path) {
			continue
		}
		compared++
		off := math.Abs(is-was) / max(math.Abs(was), 1e-9)
		if worst = max(worst, off); off > 1e-11 {
			t.Errorf("%s was %g and is %g", path, was, is)
		}
	}
	for kind, n := range lost {
		t.Errorf("%s is gone (%d times)", kind, n)
	}
	if compared < 1000 {
		t.Errorf("only %d numbers compared", compared)
	}
	t.Logf("%d numbers, largest relative difference %.1e", compared, worst)
}

// changedSince are numbers that changed on purpose after the redesign.
var changedSince = map[string]string{
	".spearman.":          "means of the same attempts in another order are ties now",
	".decision_study.":    "more trials never a larger detectable change; as studied it is the study's own",
	".cheapest_design.":   "sees the worthwhile change with a power of 80 %",
	".error_growth.":      "from the athletes' own variances",
	".equal_noise.":       "of the athletes; that of the groups is group_test",
	"_by_regression":      "the reliability is that of the own attempts of the baseline",
	".beyond_regression.": "follows it",

	".delta_r2.lower":            "noncentral F in place of the bootstrap",
	".delta_r2.upper":            "noncentral F in place of the bootstrap",
	".mean_r_a.lower":            "by the covariances of dependent correlations in place of the bootstrap",
	".mean_r_a.upper":            "by the covariances of dependent correlations in place of the bootstrap",
	".mean_r_b.lower":            "by the covariances of dependent correlations in place of the bootstrap",
	".mean_r_b.upper":            "by the covariances of dependent correlations in place of the bootstrap",
	".difference_fisher_z.lower": "by the covariances of dependent correlations in place of the bootstrap",
	".difference_fisher_z.upper": "by the covariances of dependent correlations in place of the bootstrap",
	"_by_practice.":              "from the mean of sessions 1 and 2 to the next there are 1.5 exposures, not one",
	".beyond_practice.":          "follows it",
}

func changed(path string) bool {
	for part := range changedSince {
		if strings.Contains(path, part) {
			return true
		}
	}
	return false
}

// besideNow are the numbers of r inside athletes that stand beside the one with the
// session means taken out.
var besideNow = regexp.MustCompile(`^(\.repeated_measures\.\d+)\.((estimate|lower|upper|p|df)$|slope\.)`)

func nameNow(path string) string {
	if besideNow.MatchString(path) {
		return besideNow.ReplaceAllString(path, "$1.athletes_only.$2")
	}
	for _, r := range renamed {
		if strings.HasSuffix(path, r.old) {
			return strings.TrimSuffix(path, r.old) + r.now
		}
	}
	return path
}

func left(kind string) bool {
	for end := range gone {
		if strings.HasSuffix(kind, end) {
			return true
		}
	}
	return false
}
