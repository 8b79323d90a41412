package cli_test

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// arrows says what each part of the house may import from the house itself;
// the longest matching folder counts. See DEVELOPERS.md.
var arrows = map[string][]string{
	"cmd":                        {"internal/cli"},
	"internal/cli":               {"internal", "analysis", "reports", "datasets"},
	"internal/study":             {"internal/cohort", "internal/names", "internal/noisefile", "internal/normsfile", "internal/rulesfile", "analysis"},
	"internal/names":             {},
	"internal/cohort":            {"internal/cohort/dictionary", "internal/names"},
	"internal/cohort/dictionary": {},
	"internal/noisefile":         {"analysis", "internal/strictjson"},
	"internal/normsfile":         {"analysis", "internal/strictjson"},
	"internal/rulesfile":         {"analysis", "internal/names", "internal/strictjson"},
	"internal/strictjson":        {},
	"internal/outfile":           {},
	"internal/seeded":            {},
	"internal/numtest":           {"analysis/estimate"},
	"internal/published":         {},
	"internal/calibration": {"analysis", "reports/picture", "reports/number", "reports/table",
		"internal/calibration", "internal/outfile"},
	"internal/oracle": {"internal/published"},
	"analysis":        {"analysis"},
	"reports":         {"reports", "analysis"},
	"datasets":        {"datasets"},
}

// layers are those of analysis, the lowest first: a package imports packages of
// lower layers only.
var layers = [][]string{
	{"caveat", "compensated", "dist", "estimate", "multiplicity", "rank"},
	{"cell"},
	{"score"},
	{"anova", "linear", "moment"},
	{"bootstrap"},
	{"varcomp"},
	{"agreement", "decision", "noise", "norms", "season"},
}

// layer is the layer of a package of analysis: of one that is not listed the highest,
// which answers questions of users and which no other package of analysis imports.
func layer(path string) int {
	name := strings.TrimPrefix(path, "analysis/")
	if i := slices.IndexFunc(layers, func(all []string) bool { return slices.Contains(all, name) }); i >= 0 {
		return i
	}
	return len(layers)
}

// TestArrows reads the imports of every file that is not a test.
func TestArrows(t *testing.T) {
	seen := 0
	err := fs.WalkDir(os.DirFS(top), ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() && strings.HasPrefix(d.Name(), ".") && path != "." {
			return fs.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		file, err := parser.ParseFile(token.NewFileSet(), filepath.Join(top, path), nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		for _, i := range file.Imports {
			name, _ := strconv.Unquote(i.Path.Value)
			if to, ok := strings.CutPrefix(name, "noisefloor/"); ok {
				seen++
				from := filepath.ToSlash(filepath.Dir(path))
				checkArrow(t, from, to)
				if strings.HasPrefix(from, "analysis/") && layer(to) >= layer(from) {
					t.Errorf("%s imports %s, which is not in a lower layer: what others stand on is listed in layers", from, to)
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if seen < 50 {
		t.Errorf("only %d imports seen", seen)
	}
}

func checkArrow(t *testing.T, from, to string) {
	t.Helper()
	rule := ""
	for folder := range arrows {
		if (from == folder || strings.HasPrefix(from, folder+"/")) && len(folder) > len(rule) {
			rule = folder
		}
	}
	for _, allowed := range arrows[rule] {
		if to == allowed || strings.HasPrefix(to, allowed+"/") {
			return
		}
	}
	t.Errorf("%s imports %s: the arrow runs backwards (rule %q)", from, to, rule)
}

// TestTopLevel keeps the top level of the repository as agreed. It asks git
// which files belong to it, so that what a user puts there does not count.
func TestTopLevel(t *testing.T) {
	listed, err := exec.Command("git", "-C", top, "ls-files").Output()
	if err != nil {
		t.Skipf("the top level was not checked: git ls-files: %v", err)
	}
	agreed := " cmd analysis internal datasets reports testdata go.mod go.sum README.md DEVELOPERS.md "
	for name := range strings.Lines(string(listed)) {
		first, _, _ := strings.Cut(strings.TrimSpace(name), "/")
		if !strings.HasPrefix(first, ".") && !strings.Contains(agreed, " "+first+" ") {
			t.Errorf("%s does not belong at the top level", first)
		}
	}
}

// TestSeeded: property tests that draw new cases in every run would fail now
// and then on somebody else's change.
func TestSeeded(t *testing.T) {
	rapid, seeded := map[string]bool{}, map[string]bool{}
	err := fs.WalkDir(os.DirFS(top), ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, "_test.go") {
			return err
		}
		text, err := os.ReadFile(filepath.Join(top, path))
		if strings.Contains(string(text), `"pgregory.net/rapid"`) {
			rapid[filepath.Dir(path)] = true
		}
		if strings.Contains(string(text), `import _ "noisefloor/internal/seeded"`) {
			seeded[filepath.Dir(path)] = true
		}
		return err
	})
	if err != nil || len(rapid) < 5 {
		t.Fatalf("%d packages with property tests, %v", len(rapid), err)
	}
	for folder := range rapid {
		if !seeded[folder] && folder != filepath.Join("internal", "cli") {
			t.Errorf("%s has property tests and does not import internal/seeded", folder)
		}
	}
}
