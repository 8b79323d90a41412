package cli_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"html"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"noisefloor/analysis/decision"
	"noisefloor/analysis/retest"
	"noisefloor/internal/cli"
	"noisefloor/reports/glossary"
	"noisefloor/reports/picture"
)

// richRuns are commands that between them print every table and picture there
// is, with every column.
var richRuns = map[string][]string{
	"reliability": {"reliability", "--sessions", "1,2", "--by", "level", "--measure",
		"side_throw_speed.left,cable_pull,cable_press.left,overhead_throw", "--replicates", "200"},
	"log": {"reliability", "--sessions", "1,2", "--scale", "log", "--measure", "cable_press.left",
		"--replicates", "200"},
	"complete": {"reliability", "--sessions", "1,2", "--missing-sessions", "complete", "--measure",
		"cable_press.left,cable_pull", "--replicates", "200"},
	"retest": {"retest", "--noise-from", "1,2", "--learning", "--regression", "--measure",
		"side_throw_speed.left,cable_pull,cable_press.left"},
	"correlate": {"correlate", "--outcome", "ball_speed", "--sessions", "1,2", "--covariate", "body_mass",
		"--measure", "side_throw_speed.*,jump_height,overhead_throw", "--replicates", "200"},
	"depth": {"correlate", "--outcome", "ball_speed", "--sessions", "1,2", "--change", "2,3", "--repeated",
		"--bootstrap", "--study", "STUDY",
		"--measure", "side_throw_speed.*,jump_height,overhead_throw", "--replicates", "200"},
}

// allRuns are those, and the sample of every command of the registry that none
// of them runs: a new command's heads and columns need terms at once.
func allRuns() map[string][]string {
	all, has := maps.Clone(richRuns), map[string]bool{}
	for _, run := range richRuns {
		has[run[0]] = true
	}
	for name, sample := range cli.Samples() {
		if !has[name] {
			all[name] = sample
		}
	}
	return all
}

// A richOutput is what those runs left.
type richOutput struct {
	folder  string            // with a folder for each, in the demo's
	printed map[string]string // as Markdown
	err     error
}

var richOnce = sync.OnceValue(func() richOutput {
	data, err := demoOnce()
	if err != nil {
		return richOutput{err: err}
	}
	r := richOutput{folder: filepath.Join(data, "explain"), printed: map[string]string{}}
	table := filepath.Join(data, "data", "tests.csv")
	for name, flags := range allRuns() {
		args := slices.Clone(flags)
		if !cli.Tableless(flags[0]) {
			args = append(args, table)
		}
		args = append(args, "--out", filepath.Join(r.folder, name), "--format", "markdown")
		if i := slices.Index(args, "STUDY"); i > 0 { // the same athletes: there is a warning for that
			args[i] = table
		}
		var out, errs bytes.Buffer
		if code := cli.Main(args, strings.NewReader(""), &out, &errs); code != 0 {
			r.err = fmt.Errorf("%s: exit %d: %s", name, code, errs.String())
			return r
		}
		r.printed[name] = out.String()
	}
	return r
})

func rich(t *testing.T) richOutput {
	t.Helper()
	r := richOnce()
	if r.err != nil {
		t.Fatal(r.err)
	}
	return r
}

func pages(t *testing.T) []string {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(rich(t).folder, "*", "*.html"))
	if err != nil || len(names) != 2*len(allRuns()) {
		t.Fatalf("pages %v, %v", names, err)
	}
	return append(names, filepath.Join(demo(t), "demo.html"))
}

func read(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// TestEveryHeadIsExplained looks every column head of every table in the pages
// up, those of the pictures' numbers too.
func TestEveryHeadIsExplained(t *testing.T) {
	labels := testLabels(t)
	head := regexp.MustCompile(`<th scope="col"[^>]*>(.*?)</th>`)
	seen := map[string]bool{}
	for _, page := range pages(t) {
		for _, m := range head.FindAllStringSubmatch(read(t, page), -1) {
			text := html.UnescapeString(m[1])
			if text == "" || labels[text] || seen[text] {
				continue
			}
			seen[text] = true
			if _, ok := glossary.Find(text); !ok {
				t.Errorf("%s: no term explains the column head %q: make it an alias in reports/glossary",
					filepath.Base(page), text)
			}
		}
	}
	if len(seen) < 100 {
		t.Errorf("only %d heads seen", len(seen))
	}
}

// TestEveryHeadOfADesignPictureIsExplained does so for the numbers of the
// picture of a decision study.
func TestEveryHeadOfADesignPictureIsExplained(t *testing.T) {
	p, err := picture.DecisionStudy(picture.DecisionInput{Label: "throw", Unit: "W", Worthwhile: 12,
		Studied: decision.Design{Sessions: 1, Trials: 1},
		Rows: []decision.Row{{Design: decision.Design{Sessions: 1, Trials: 1}, Detectable: 30},
			{Design: decision.Design{Sessions: 2, Trials: 1}, Detectable: 21}}})
	if err != nil || len(p.Table.Header) < 10 {
		t.Fatalf("%v, heads %q", err, p.Table.Header)
	}
	for _, head := range p.Table.Header {
		if _, ok := glossary.Find(head); !ok {
			t.Errorf("no term explains the column head %q: make it an alias in reports/glossary", head)
		}
	}
}

// testLabels are the names of the tests, which head the columns of a scatter.
func testLabels(t *testing.T) map[string]bool {
	labels := map[string]bool{}
	for _, row := range records(t, filepath.Join(demo(t), "tables", "reliability", "reliability.csv"))[1:] {
		labels[row[0]] = true
	}
	if len(labels) < 10 {
		t.Fatalf("labels %v", labels)
	}
	return labels
}

func records(t *testing.T, name string) [][]string {
	t.Helper()
	all, err := csv.NewReader(strings.NewReader(read(t, name))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// TestEveryCSVColumnIsExplained does the same for the tables that spreadsheets
// open, by table and column.
func TestEveryCSVColumnIsExplained(t *testing.T) {
	folder := rich(t).folder
	names, err := filepath.Glob(filepath.Join(folder, "*", "tables", "*", "*.csv"))
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, name := range names {
		table := strings.TrimSuffix(filepath.Base(name), ".csv")
		for _, column := range records(t, name)[0] {
			path := table + "." + column
			if seen[path] || column == "label" || column == "unit" {
				continue
			}
			seen[path] = true
			if _, ok := glossary.Covering(path); !ok {
				t.Errorf("no term explains the column %s: give it to the Keys of a term in reports/glossary", path)
			}
		}
	}
	if len(seen) < 250 {
		t.Errorf("only %d columns seen", len(seen))
	}
	for _, table := range []string{"components", "decision-study", "detectable", "plane-contrast", "models",
		"added-value", "coefficients", "repeated-measures", "change-against-change"} {
		if !slices.ContainsFunc(names, func(name string) bool { return filepath.Base(name) == table+".csv" }) {
			t.Errorf("no run of this test writes the table %s", table)
		}
	}
}

// TestEveryModelAndVerdictIsExplained looks up what the cells say.
func TestEveryModelAndVerdictIsExplained(t *testing.T) {
	for _, v := range retest.Verdicts() {
		if _, ok := glossary.Find(string(v)); !ok {
			t.Errorf("no term explains the verdict %q", v)
		}
	}
	folder := rich(t).folder
	rows := records(t, filepath.Join(folder, "reliability", "tables", "reliability", "icc.csv"))
	column := map[string]int{}
	for i, key := range rows[0] {
		column[key] = i
	}
	sessions := regexp.MustCompile(`\d+ sessions`)
	for _, row := range rows[1:7] {
		model := sessions.ReplaceAllString(row[column["model"]], "k sessions")
		if got, ok := glossary.Find(model); !ok || got.Name != row[column["form"]] {
			t.Errorf("%s, %s: %q", row[column["form"]], model, got.Name)
		}
		if got, ok := glossary.Find("ICC(" + row[column["shrout_fleiss"]] + ")"); !ok ||
			got.Name != row[column["form"]] {
			t.Errorf("%s, Shrout & Fleiss %s: %q", row[column["form"]], row[column["shrout_fleiss"]], got.Name)
		}
	}
}

// warned says which term explains a kind of warning.
var warned = map[string]string{
	`owes its height to the differences between the groups`: "within-group ICC",
	`left out: not every session has a score`:               "complete cases",
	`the session means differ`:                              "test of equal session means",
	`the error grows with the value`:                        "error growth",
	`the error shrinks as the value grows`:                  "error growth",
	`only some of the baseline`:                             "baseline",
	`only some of the follow-up`:                            "follow-up",
	`as much of a change may be practice with the test`:     "practice",
	`no warning does not mean no practice`:                  "practice",
	`the best of more attempts is better by itself`:         "session score",
	`form comes in slow waves`:                              "slow waves",
	`fewer than 4 sessions after the baseline`:              "slope of a season",
	`the watch began anew`:                                  "watch",
	`are left out`:                                          "complete cases",
	`across levels r = `:                                    "parted",
	`[Ee]very score is used`:                                "REML",
	`their error is from its variance components`:           "error from variance components",
	`no variance components|variance components: |the day-to-day part comes out as 0`: "variance components",
	`the day-to-day part and the part from attempt to attempt cannot be told apart`:   "variance components",
	`no decision study`:                           "decision study",
	`the tests of a plane are taken as one term`:  "composite",
	`R² flatters`:                                 "PRESS R²",
	`lack a test, a covariate or a level`:         "added-value model",
	`left out of the models`:                      "added-value model",
	`nearly determined by the other terms`:        "variance inflation",
	`left out of the planes together`:             "contrast of two planes",
	`in both studies`:                             "corrected r",
	`may not carry over`:                          "corrected r",
	`share what those days did to an athlete`:     "change-against-change correlation",
	`each change carries the noise of two scores`: "change-against-change correlation",
	`the changes vary no more than their noise`:   "reliability of a change",
	`inside an athlete r = |have one score only|no correlation inside athletes`:             "repeated-measures correlation",
	`is taken as the practice of one more exposure|the reading beyond practice is left out`: "change beyond practice",
	`the smallest worthwhile change comes out as 0`:                                         "worthwhile change",
	`no smallest worthwhile change`:                                                         "worthwhile change",
	`in the noise study, so for its athletes a false alarm`:                                 "own noise",
	`attempts for a score`:                            "session score",
	`the athletes are not equally noisy`:              "equal noise",
	`the errors have wild ones among them`:            "robust typical error",
	`lies beyond 1`:                                   "corrected r",
	`the levels do not share one r`:                   "homogeneity",
	`no correction within level`:                      "corrected r",
	`differences of two r rest on fewer than`:         "Zou's interval",
	`the session means of test and outcome both move`: "r with the session means in",
	`too few to take the session means out`:           "repeated-measures correlation",
	`nobody said which way is better`:                 "direction",
	`no correction for unreliability`:                 "corrected r",
	`differs itself with the value|proportional bias`: "proportional bias",
	`the agreement form stays wide`:                   "assurance",
}

// TestEveryWarningIsExplained finds the term behind everything that the runs
// say to mind.
func TestEveryWarningIsExplained(t *testing.T) {
	seen := 0
	for name, text := range rich(t).printed {
		_, mind, ok := strings.Cut(text, "\n## What to watch out for\n")
		if !ok {
			continue
		}
		mind, _, _ = strings.Cut(mind, "\n## ")
		for line := range strings.Lines(mind) {
			if strings.TrimSpace(line) == "" {
				continue
			}
			seen++
			if !explained(t, line) {
				t.Errorf("%s: no term stands behind %q: add its kind to this test with its term", name, line)
			}
		}
	}
	if seen < 20 {
		t.Errorf("only %d warnings seen", seen)
	}
}

func explained(t *testing.T, line string) bool {
	t.Helper()
	for kind, name := range warned {
		if regexp.MustCompile(kind).MatchString(line) {
			if got, ok := glossary.Find(name); !ok || got.Name != name {
				t.Errorf("no term %q", name)
			}
			return true
		}
	}
	return false
}

// TestExplainPage checks what the page of terms promises: each term once, each
// link leads somewhere, nothing from the network.
func TestExplainPage(t *testing.T) {
	folder := t.TempDir()
	output(t, "explain", "--out", folder, "--quiet")
	page := read(t, filepath.Join(folder, "explain.html"))
	ids := map[string]int{}
	for _, m := range regexp.MustCompile(`\sid="([^"]+)"`).FindAllStringSubmatch(page, -1) {
		ids[m[1]]++
	}
	links := regexp.MustCompile(`href="([^"]+)"`).FindAllStringSubmatch(page, -1)
	for _, m := range links {
		if name, ok := strings.CutPrefix(m[1], "#"); !ok || ids[name] != 1 {
			t.Errorf("link %s leads to %d places", m[1], ids[name])
		}
	}
	for _, term := range glossary.All() {
		if ids[term.Anchor()] != 1 {
			t.Errorf("%s stands %d times in the page", term.Name, ids[term.Anchor()])
		}
		if !strings.Contains(html.UnescapeString(page), term.Plain) {
			t.Errorf("%s: the page does not say what it means", term.Name)
		}
	}
	if len(links) < 300 || strings.Contains(page, "<script") || strings.Contains(page, "ZgotmplZ") {
		t.Errorf("%d links", len(links))
	}
}
