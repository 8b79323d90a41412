package cli_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"noisefloor/internal/cli"
	"noisefloor/internal/numtest"
	"noisefloor/internal/oracle"
	"noisefloor/internal/published"
	"noisefloor/reports/schema"
)

// An invented cohort with a dictionary, in the folder of this test: tests.csv
// (four sessions, of which some athletes lack some; numbers of attempts that
// differ; a lower-is-better measure on the log scale; athletes without a level)
// and study/tests.csv (fourteen other athletes, two sessions). How they were
// drawn: testdata/oracle/cli_cohort.R.
func cohortFolder(t testing.TB) string {
	t.Helper()
	folder := t.TempDir()
	if err := os.Mkdir(filepath.Join(folder, "study"), 0o700); err != nil {
		t.Fatal(err)
	}
	dictionary := readFile(t, published.Path(t, "oracle/cli_cohort_dictionary.json"))
	parts := map[string]*strings.Builder{"cohort": {}, "study": {}}
	for line := range strings.Lines(readFile(t, published.Path(t, "oracle/cli_cohort_attempts.csv"))) {
		part, row, _ := strings.Cut(line, ",")
		for name, text := range parts {
			if part == name || part == "part" {
				text.WriteString(row)
			}
		}
	}
	for name, text := range map[string]string{"tests.csv": parts["cohort"].String(), "datapackage.json": dictionary,
		"study/tests.csv": parts["study"].String(), "study/datapackage.json": dictionary} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return folder
}

func readFile(t testing.TB, name string) string {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// ending runs a command line and returns the exit code and what it prints.
func ending(args ...string) (code int, out, stderr string) {
	var o, e bytes.Buffer
	code = cli.Main(args, strings.NewReader(""), &o, &e)
	return code, o.String(), e.String()
}

// document runs a command line, checks the JSON against its schema and
// returns it.
func document(t testing.TB, args ...string) map[string]any {
	t.Helper()
	code, out, stderr := ending(append(args, "--format", "json", "--quiet")...)
	if code != 0 {
		t.Fatalf("%q: exit %d\n%s", args, code, stderr)
	}
	if err := schema.Validate([]byte(out)); err != nil {
		t.Errorf("%q: %v", args, err)
	}
	var d map[string]any
	if err := json.Unmarshal([]byte(out), &d); err != nil {
		t.Fatal(err)
	}
	return d
}

// at follows a path such as "noise.0.df"; ok is false where it ends nowhere.
func at(value any, path string) (_ any, ok bool) {
	if path == "" {
		return value, true
	}
	key, rest, _ := strings.Cut(path, ".")
	switch v := value.(type) {
	case map[string]any:
		if value, ok = v[key]; !ok {
			return nil, false
		}
	case []any:
		i, err := strconv.Atoi(key)
		if err != nil || i >= len(v) {
			return nil, false
		}
		value = v[i]
	default:
		return nil, false
	}
	return at(value, rest)
}

func text(value any, path string) string {
	v, _ := at(value, path)
	s, _ := v.(string)
	return s
}

func items(value any, path string) []any {
	v, _ := at(value, path)
	all, _ := v.([]any)
	return all
}

// itemsOf names what a document holds as the R script does: measure or
// measure@group, measure/athlete/session, test or testA/testB; "" is the whole.
func itemsOf(t testing.TB, d map[string]any) map[string]any {
	t.Helper()
	all := map[string]any{"": d}
	add := func(name string, item any) {
		if all[name] != nil {
			t.Errorf("%q stands twice", name)
		}
		all[name] = item
	}
	for _, m := range items(d, "measures") {
		name := text(m, "measure")
		if g := text(m, "group"); g != "" {
			name += "@" + g
		}
		forms := map[string]any{} // by their names, less the comma
		for _, c := range items(m, "icc") {
			forms[strings.ReplaceAll(text(c, "form"), ",", "")] = c
		}
		m.(map[string]any)["icc"] = forms
		add(name, m)
	}
	for _, c := range items(d, "changes") {
		add(text(c, "measure")+"/"+text(c, "athlete")+"/"+text(c, "to.0"), c)
	}
	for _, a := range items(d, "associations") {
		add(text(a, "measure"), a)
	}
	for _, c := range items(d, "comparisons") {
		add(text(c, "a")+"/"+text(c, "b"), c)
	}
	return all
}

// A saying is one value that R gives.
type saying struct{ item, path, value string }

func sayings(t testing.TB, table []byte) map[string][]saying {
	t.Helper()
	rows, err := csv.NewReader(bytes.NewReader(table)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]saying{}
	for _, row := range rows[1:] {
		out[row[0]] = append(out[row[0]], saying{row[1], row[2], row[3]})
	}
	return out
}

// cohortCases are the command lines, by the names that R has for them. study
// is the noise file of the mean, best of the best attempts, bare of the mean
// without a worthwhile change.
func cohortCases(t testing.TB, folder string) map[string][]string {
	t.Helper()
	in := func(name string) string { return filepath.Join(folder, name) }
	for _, how := range []string{"mean", "best"} {
		if code, _, stderr := ending("reliability", in("study/tests.csv"), "--quiet", "--missing-sessions",
			"complete", "--score", how, "--save-noise", in(how+".json")); code != 0 {
			t.Fatal(stderr)
		}
	}
	withoutWorthwhile(t, in("mean.json"), in("bare.json"))
	tests, early := in("tests.csv"), []string{"--sessions", "1,2,3"}
	with := func(command string, more ...string) []string {
		return append([]string{command, tests, "--missing-sessions", "complete"}, more...)
	}
	return map[string][]string{
		"reliability-all": append([]string{"reliability", tests, "--by", "none"}, early...),
		// every score, as is the default
		"reliability": with("reliability", append(early, "--by", "level")...),
		"anchored": with("reliability", append(early, "--by", "level", "--measure", "sprint,throw",
			"--worthwhile", "outcome:ball_speed:1")...),
		"retest": with("retest", "--by", "none", "--noise-from", "1,2", "--confidence", "0.9", "--narrow", "0.5",
			"--regression", "--measure", "sprint,throw", "--score", "median"),
		"retest-file": with("retest", "--by", "none", "--noise", in("best.json"), "--baseline", "2", "--worthwhile", "fixed:2",
			"--measure", "sprint,jump"),
		"retest-dictionary": with("retest", "--by", "none", "--noise", in("bare.json"), "--follow-up", "4", "--measure", "sprint"),
		"correlate":         with("correlate", append(early, "--covariate", "age,body_mass")...),
		"correlate-file": with("correlate", append(early, "--covariate", "age,body_mass", "--by", "none",
			"--noise", in("mean.json"))...),
	}
}

// withoutWorthwhile copies a noise file and takes out what change matters, and
// the variance components, by which other numbers of attempts would be judged
// (R here judges all alike; so do scores that are no means).
func withoutWorthwhile(t testing.TB, from, to string) {
	t.Helper()
	var d map[string]any
	if err := json.Unmarshal([]byte(readFile(t, from)), &d); err != nil {
		t.Fatal(err)
	}
	for _, m := range items(d, "measures") {
		for _, key := range []string{"worthwhile", "worthwhile_basis", "components"} {
			delete(m.(map[string]any), key)
		}
	}
	out, err := json.Marshal(d)
	if err == nil {
		err = os.WriteFile(to, out, 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// From the command line to the JSON, against values of R 4.2.2 (aov, lm,
// confint, cor.test, p.adjust, pt, qchisq; lmer of lme4: testdata/oracle/cli_cohort.R).
func TestCohortAgainstRecordedR(t *testing.T) {
	cohortAgainstR(t, []byte(readFile(t, published.Path(t, "oracle/cli_cohort.csv"))))
}

// The same script, run now by the R at hand.
func TestCohortAgainstLiveR(t *testing.T) {
	cohortAgainstR(t, oracle.R(t, "cli_cohort.R", readFile(t, published.Path(t, "oracle/cli_cohort_attempts.csv"))))
}

func cohortAgainstR(t *testing.T, table []byte) {
	want := sayings(t, table)
	cases := cohortCases(t, cohortFolder(t))
	if len(want) != len(cases) {
		t.Fatalf("R speaks of %d cases, here are %d", len(want), len(cases))
	}
	for name, args := range cases {
		t.Run(name, func(t *testing.T) {
			got := itemsOf(t, document(t, args...))
			named, fewest, tolerance := map[string]bool{"": true}, 16.0, 1e-9
			if name == "reliability-all" {
				tolerance = 1e-5 // the precision of lme4's optimiser
			}
			for _, w := range want[name] {
				named[w.item] = true
				fewest = min(fewest, w.compare(t, got, tolerance))
			}
			for item := range got {
				if !named[item] {
					t.Errorf("%q: R has no such thing here", item)
				}
			}
			t.Logf("%d values, %d items, at least %.1f digits", len(want[name]), len(named), fewest)
		})
	}
}

// compare returns the digits that agree.
func (w saying) compare(t *testing.T, got map[string]any, tolerance float64) float64 {
	t.Helper()
	value, ok := at(got[w.item], w.path)
	if !ok {
		t.Errorf("%s %s is not there; R has %s", w.item, w.path, w.value)
		return 0
	}
	x, err := strconv.ParseFloat(w.value, 64)
	switch v := value.(type) {
	case string:
		if v != w.value {
			t.Errorf("%s %s: %q, R has %q", w.item, w.path, v, w.value)
		}
	case bool:
		if v != (x == 1) {
			t.Errorf("%s %s: %t, R has %s", w.item, w.path, v, w.value)
		}
	case float64:
		if err != nil {
			t.Errorf("%s %s: %g, R has %q", w.item, w.path, v, w.value)
			return 0
		}
		if strings.Contains(w.path, "chance") || abs(x) < 1e-6 && strings.Contains(w.path, "regression") {
			// differences of numbers that are nearly equal
			numtest.CloseAbs(t, w.item+" "+w.path, v, x, 1e-10)
			return 16
		}
		numtest.Close(t, w.item+" "+w.path, v, x, tolerance)
		return numtest.Digits(v, x)
	}
	return 16
}

func abs(x float64) float64 { return max(x, -x) }

// refused wants an exit code and words on standard error.
func refused(t *testing.T, code int, words string, args ...string) {
	t.Helper()
	got, out, stderr := ending(args...)
	if got != code || !strings.Contains(stderr, words) || out != "" {
		t.Errorf("%q: exit %d, want %d with %q\n%s%s", args, got, code, words, stderr, out)
	}
}

// A noise file that does not fit the table is refused by retest and correlate,
// on the log scale too, where the judge itself does not mind the unit.
func TestNoiseFileMustFit(t *testing.T) {
	folder := cohortFolder(t)
	cohortCases(t, folder)
	tests, best := filepath.Join(folder, "tests.csv"), filepath.Join(folder, "best.json")
	inMilliseconds := filepath.Join(folder, "ms.json")
	if err := os.WriteFile(inMilliseconds, []byte(strings.ReplaceAll(readFile(t, best), `"unit": "s"`,
		`"unit": "ms"`)), 0o600); err != nil {
		t.Fatal(err)
	}
	const unit = "sprint is in ms there and in s in the table"
	refused(t, 1, unit, "retest", tests, "--noise", inMilliseconds, "--measure", "sprint")
	refused(t, 1, unit, "correlate", tests, "--noise", inMilliseconds)
	refused(t, 2, "--scale raw, but best.json holds sprint on the log scale", "retest", tests, "--noise", best,
		"--scale", "raw", "--measure", "sprint")
	refused(t, 2, "--scale log, but best.json holds throw on the raw scale", "retest", tests, "--noise", best,
		"--scale", "log", "--measure", "throw")
	for _, command := range []string{"retest", "correlate"} {
		refused(t, 2, "--score mean, but best.json holds the noise of the best of the attempts", command, tests,
			"--noise", best, "--score", "mean")
	}
	if code, _, stderr := ending("retest", tests, "--noise", best, "--score", "best", "--scale", "log", "--measure",
		"sprint", "--quiet"); code != 0 {
		t.Errorf("a noise file that fits is refused: %s", stderr)
	}
}

// The attempts become scores as those of the noise file did, test by test: a
// file of two studies gives what each of them gives (values: recorded R).
func TestScoresAsInTheNoiseFile(t *testing.T) {
	folder := cohortFolder(t)
	cohortCases(t, folder)
	in := func(name string) string { return filepath.Join(folder, name) }
	var best, mean map[string]any
	for name, d := range map[string]*map[string]any{"best.json": &best, "mean.json": &mean} {
		if err := json.Unmarshal([]byte(readFile(t, in(name))), d); err != nil {
			t.Fatal(err)
		}
	}
	var both []any
	for _, m := range append(items(best, "measures"), items(mean, "measures")...) {
		if (text(m, "measure") == "sprint") == (text(m, "summary") == "best") {
			both = append(both, m)
		}
	}
	mean["measures"] = both
	mixed, err := json.Marshal(mean)
	if err == nil {
		err = os.WriteFile(in("both.json"), mixed, 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
	judged := func(noise, measures string) (map[string]any, string) {
		d := document(t, "retest", in("tests.csv"), "--by", "none", "--noise", in(noise), "--baseline", "2", "--measure", measures)
		return itemsOf(t, d), text(d, "settings.score")
	}
	got, score := judged("both.json", "sprint,jump")
	if score != "" {
		t.Errorf("the score of two kinds is said to be %q", score)
	}
	for measure, noise := range map[string]string{"sprint": "best", "jump": "mean"} {
		want, score := judged(noise+".json", measure)
		if score != noise {
			t.Errorf("the score is said to be %q, the noise is of the %s", score, noise)
		}
		for item := range want {
			for _, path := range []string{"baseline", "follow_up", "lower"} {
				a, _ := at(got[item], path)
				if b, _ := at(want[item], path); item != "" && (a == nil || a != b) {
					t.Errorf("%s %s: %v with both studies, %v with its own", item, path, a, b)
				}
			}
		}
	}
}

// What was chosen stands in the settings, and a path of this machine nowhere.
func TestSettingsAndPath(t *testing.T) {
	folder := cohortFolder(t)
	tests := filepath.Join(folder, "tests.csv")
	cohortCases(t, folder)
	where := []string{"level=club", "age>=17"}
	common := append([]string{tests, "--seed", "7", "--confidence", "0.9", "--score", "median"}, "--where", where[0],
		"--where", where[1])
	for command, tt := range map[string]struct {
		args []string
		want map[string]any
	}{
		"reliability": {[]string{"--sessions", "1,2", "--measure", "throw,jump", "--replicates", "300", "--by",
			"none", "--scale", "raw", "--missing-sessions", "complete"},
			map[string]any{"sessions.1": "2", "sessions": 2, "measures": 2, "measures.1": "jump", "replicates": 300.0,
				"scale": "raw", "by": "none", "missing_sessions": "complete"}},
		"retest": {[]string{"--noise-from", "1,2", "--narrow", "0.6", "--follow-up", "3,3+4", "--worthwhile",
			"fixed:2"},
			map[string]any{"narrow": 0.6, "baseline": "1+2", "follow_up.0": "3", "follow_up.1": "3+4", "follow_up": 2,
				"noise_from": 2, "noise_from.1": "2",
				"worthwhile": "fixed:2", "scale": "auto"}},
		"correlate": {[]string{"--sessions", "1,2", "--covariate", "age", "--planes", "sagittal,transverse", "--by",
			"level"},
			map[string]any{"covariates": 1, "covariates.0": "age", "planes.0": "sagittal", "planes.1": "transverse",
				"by": "level", "replicates": 2000.0}},
	} {
		args := append(append([]string{command}, common...), tt.args...)
		d := document(t, args...)
		for path, want := range map[string]any{"table.where": 2, "table.where.0": where[0], "table.where.1": where[1],
			"seed": 7.0, "confidence": 0.9, "score": "median"} {
			tt.want[path] = want
		}
		for path, want := range tt.want {
			got, _ := at(d["settings"], path)
			if list, ok := got.([]any); ok {
				got = len(list)
			}
			if got != want {
				t.Errorf("%s: %s is %v, want %v", command, path, got, want)
			}
		}
		if got := text(d, "input.path"); got != "tests.csv" {
			t.Errorf("%s: the path in the report is %q", command, got)
		}
		out := filepath.Join(folder, "out-"+command)
		output(t, append(args, "--out", out)...)
		for name, content := range filesOf(t, out) {
			if strings.Contains(content, folder) {
				t.Errorf("%s: %s holds the path of this machine", command, name)
			}
		}
	}
	if strings.Contains(readFile(t, filepath.Join(folder, "mean.json")), folder) {
		t.Error("the noise file holds the path of this machine")
	}
	t.Chdir(folder)
	if got := text(document(t, "reliability", "study/tests.csv"), "input.path"); got != "study/tests.csv" {
		t.Errorf("a path from here is written as %q", got)
	}
}

// --by none leaves the levels out; without --by the level column is taken.
func TestByNone(t *testing.T) {
	tests := filepath.Join(cohortFolder(t), "tests.csv")
	for by, want := range map[string]struct {
		within, groups bool
	}{"": {true, true}, "none": {false, false}, "level": {true, true}} {
		args := []string{tests, "--sessions", "1,2"}
		if by != "" {
			args = append(args, "--by", by)
		}
		d := document(t, append([]string{"correlate"}, args...)...)
		_, within := at(d, "associations.0.within_level")
		_, compared := at(d, "comparisons_within_level")
		if within != want.within || compared != want.within || (text(d, "settings.by") == "level") != want.within {
			t.Errorf("correlate --by %q: within level %t, compared %t, settings %q", by, within, compared, text(d,
				"settings.by"))
		}
		d = document(t, append([]string{"reliability", "--measure", "throw"}, args...)...)
		_, groups := at(d, "measures.0.groups")
		_, tested := at(d, "measures.0.group_test")
		if groups != want.groups || tested != want.groups {
			t.Errorf("reliability --by %q: groups %t, tested %t", by, groups, tested)
		}
	}
}

// The covariates of the dictionary are no tests, unless asked for.
func TestCovariatesAreNoTests(t *testing.T) {
	tests := filepath.Join(cohortFolder(t), "tests.csv")
	for list, args := range map[string][]string{
		"measures":     {"reliability", tests, "--sessions", "1,2"},
		"noise":        {"retest", tests, "--noise-from", "1,2"},
		"associations": {"correlate", tests, "--sessions", "1,2"},
	} {
		for _, asked := range []bool{false, true} {
			if asked {
				args = append(args, "--measure", "body_mass,throw")
			}
			found := slices.ContainsFunc(items(document(t, args...), list), func(m any) bool {
				return text(m,
					"measure") == "body_mass"
			})
			if found != asked {
				t.Errorf("%s: body mass is there: %t, asked for: %t", args[0], found, asked)
			}
		}
	}
}

// Without --follow-up every session after the baseline is judged, and none
// before it.
func TestDefaultFollowUps(t *testing.T) {
	folder := cohortFolder(t)
	cohortCases(t, folder)
	tests, noise := filepath.Join(folder, "tests.csv"), filepath.Join(folder, "mean.json")
	for _, tt := range []struct{ args, baseline, followUp string }{
		{"--noise " + noise, "1", "[2 3 4]"},
		{"--noise " + noise + " --baseline 2", "2", "[3 4]"},
		{"--noise " + noise + " --baseline 2+3", "2+3", "[4]"},
		{"--noise-from 2,3", "2+3", "[4]"},
		{"--noise-from 1,2 --baseline 2", "2", "[3 4]"},
		{"--noise-from 1,2 --baseline 1", "1", "[3 4]"},
	} {
		d := document(t, append([]string{"retest", tests, "--measure", "throw", "--by", "none"}, strings.Fields(tt.args)...)...)
		followUp, _ := at(d, "settings.follow_up")
		judged := map[string]bool{}
		for _, c := range items(d, "changes") {
			judged[strings.Join(textsAt(c, "to"), "+")] = true
		}
		if text(d, "settings.baseline") != tt.baseline || fmt.Sprint(followUp) != tt.followUp ||
			len(judged) != len(items(d, "settings.follow_up")) {
			t.Errorf("%s: %s to %v, judged %v; want %s to %s", tt.args, text(d, "settings.baseline"), followUp,
				judged, tt.baseline, tt.followUp)
		}
	}
	refused(t, 1, "no session after 4 to judge", "retest", tests, "--noise", noise, "--baseline", "4", "--quiet")
}

func textsAt(value any, path string) []string {
	var out []string
	for i := range items(value, path) {
		out = append(out, text(value, fmt.Sprintf("%s.%d", path, i)))
	}
	return out
}
