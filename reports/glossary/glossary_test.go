package glossary_test

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"

	"noisefloor/reports/glossary"
	"noisefloor/reports/schema"
)

func TestEveryFieldIsFilled(t *testing.T) {
	all := glossary.All()
	if len(all) < 100 {
		t.Errorf("%d terms", len(all))
	}
	for _, term := range all {
		for field, text := range map[string]string{"Name": term.Name, "Plain": term.Plain, "Formula": term.Formula,
			"Where": term.Where, "Source": term.Source, "Misleads": term.Misleads} {
			if strings.TrimSpace(text) == "" || text != strings.TrimSpace(text) {
				t.Errorf("%s: %s is %q", term.Name, field, text)
			}
		}
		if len(term.See) == 0 || len(term.Aliases) == 0 {
			t.Errorf("%s: See %v, Aliases %v", term.Name, term.See, term.Aliases)
		}
		for field, text := range map[string]string{"Plain": term.Plain, "Misleads": term.Misleads} {
			if !strings.HasSuffix(text, ".") {
				t.Errorf("%s: %s does not end its sentence", term.Name, field)
			}
		}
		if n := strings.Count(term.Plain, ". "); n > 2 {
			t.Errorf("%s: Plain is more than three sentences", term.Name)
		}
	}
}

func TestNamesAreDistinct(t *testing.T) {
	names, keys := map[string]string{}, map[string]string{}
	once := func(seen map[string]string, what, who string) {
		if other, ok := seen[what]; ok {
			t.Errorf("%q belongs to %q and to %q", what, other, who)
		}
		seen[what] = who
	}
	for _, term := range glossary.All() {
		for _, n := range append([]string{term.Name}, term.Aliases...) {
			once(names, letters(n), term.Name)
		}
		for _, k := range term.Keys {
			once(keys, k, term.Name)
		}
	}
}

// letters is what a name keeps when it is looked up, written down here anew.
func letters(s string) string {
	s = strings.NewReplacer("²", "2", "Δ", "delta", "÷", "to", "%", "percent").Replace(s)
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, s)
}

func TestSeeResolves(t *testing.T) {
	names := map[string]bool{}
	for _, term := range glossary.All() {
		names[term.Name] = true
	}
	for _, term := range glossary.All() {
		for _, see := range term.See {
			if !names[see] || see == term.Name {
				t.Errorf("%s: see %q", term.Name, see)
			}
		}
	}
}

// Words that grade, and that no source stands behind.
func TestNoGrades(t *testing.T) {
	grade := regexp.MustCompile(`(?i)\b(excellent|poor|good|moderate|moderately|strong|strongly|weak|fair|substantial|acceptable|unacceptable|almost certain|very likely|unlikely)\b`)
	for _, term := range glossary.All() {
		for _, text := range append([]string{term.Name, term.Plain, term.Formula, term.Where, term.Misleads},
			term.Aliases...) {
			if m := grade.FindString(text); m != "" {
				t.Errorf("%s grades with %q", term.Name, m)
			}
		}
	}
}

// What can be read as a judgement of a body carries the caution.
func TestCautions(t *testing.T) {
	for _, name := range []string{"chance", "verdict", "stands out", "past the noise", "matters", "inside the noise",
		"direction"} {
		term, ok := glossary.Find(name)
		if !ok || !strings.Contains(strings.ToLower(term.Misleads), "not a diagnosis") ||
			!strings.Contains(term.Misleads, "licensed clinician") {
			t.Errorf("%s: %s", name, term.Misleads)
		}
	}
}

// bookkeeping are the keys that name, count or carry and mean nothing more.
var bookkeeping = map[string]string{
	"schema": "name and version of the document", "input": "holds what follows", "input.path": "name of the table",
	"created_from.path": "name of the table", "sha256": "checksum of the table",
	"rows": "rows of the table", "input.left_out": "rows of the table not used",
	"left_out.reason": "the reason in words", "settings": "holds the choices made",
	"settings.version": "version of the program", "settings.where": "the rows asked for",
	"measures": "holds a measure each", "label": "the test's name for people", "unit": "unit of the test",
	"warnings": "sentences to read", "caveats": "sentences to read", "kind": "name of a kind of caveat",
	"text": "its sentence", "version": "version of the program", "answer": "the first sentence",
	"shown": "a count", "tests": "a count", "closest": "name of a test",
}

// TestEveryKeyIsExplained walks the published schemas: each property has a
// term, or is bookkeeping.
func TestEveryKeyIsExplained(t *testing.T) {
	paths := schemaPaths(t)
	if len(paths) < 200 {
		t.Fatalf("only %d paths found in the schemas", len(paths))
	}
	used := map[string]bool{}
	for _, p := range paths {
		if why := bookkeepingOf(p); why != "" {
			continue
		}
		term, ok := glossary.Covering(p)
		if !ok {
			t.Errorf("no term explains %s: give it to the Keys of a term, or to the bookkeeping of this test with the reason", p)
		}
		used[term.Name] = true
	}
	if len(used) < 50 {
		t.Errorf("only %d terms explain all keys", len(used))
	}
}

func bookkeepingOf(path string) string {
	for key, why := range bookkeeping {
		if path == key || strings.HasSuffix(path, "."+key) {
			return why
		}
	}
	return ""
}

// schemaPaths walks the properties of every published schema, and of the noise
// file: "reliability.measures.limits_of_agreement.lower". It leaves out the
// explain document, which says what this package is made of.
func schemaPaths(t *testing.T) []string {
	t.Helper()
	var out []string
	add := func(stem string, text []byte) {
		var root map[string]any
		if err := json.Unmarshal(text, &root); err != nil {
			t.Fatal(err)
		}
		out = append(out, properties(root, root, stem)...)
	}
	names, err := fs.Glob(schema.Files(), "*.schema.json")
	if err != nil || len(names) < 3 {
		t.Fatalf("schemas %v, %v", names, err)
	}
	for _, name := range names {
		if name == "explain.schema.json" || name == "common.schema.json" {
			continue
		}
		text, err := fs.ReadFile(schema.Files(), name)
		if err != nil {
			t.Fatal(err)
		}
		add(strings.TrimSuffix(name, ".schema.json"), text)
	}
	text, err := os.ReadFile("../../internal/noisefile/noise.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	add("noise-file", text)
	text, err = os.ReadFile("../../internal/normsfile/norms.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	add("norms-file", text)
	return out
}

// shared reads the file of definitions that several schemas share.
func shared(name string) map[string]any {
	text, err := fs.ReadFile(schema.Files(), name)
	if err != nil {
		panic(err)
	}
	var root map[string]any
	if err := json.Unmarshal(text, &root); err != nil {
		panic(err)
	}
	return root
}

func properties(root, node map[string]any, path string) []string {
	if ref, ok := node["$ref"].(string); ok {
		if file, place, ok := strings.Cut(ref, "#"); ok && file != "" {
			if strings.HasSuffix(place, "/settings") {
				return nil // the request: its members are the flags, and help says what they mean
			}
			root, ref = shared(file), "#"+place
		}
		var at any = root
		for _, step := range strings.Split(strings.TrimPrefix(ref, "#/"), "/") {
			at = at.(map[string]any)[step]
		}
		node = at.(map[string]any)
	}
	var out []string
	if items, ok := node["items"].(map[string]any); ok {
		out = append(out, properties(root, items, path)...)
	}
	if values, ok := node["additionalProperties"].(map[string]any); ok {
		out = append(out, properties(root, values, path)...)
	}
	props, _ := node["properties"].(map[string]any)
	for name, sub := range props {
		out = append(out, path+"."+name)
		out = append(out, properties(root, sub.(map[string]any), path+"."+name)...)
	}
	slices.Sort(out)
	return out
}

// TestCovering holds chosen keys against what they mean.
func TestCovering(t *testing.T) {
	for path, want := range map[string]string{
		"reliability.measures.limits_of_agreement.lower":      "limits of agreement",
		"reliability.measures.limits_of_agreement.bias":       "mean difference",
		"reliability.measures.limits_of_agreement.sd":         "standard deviation",
		"reliability.measures.typical_error.lower":            "confidence interval",
		"reliability.measures.detectable_change.level":        "confidence level",
		"reliability.measures.detectable_change.large_sample": "detectable change",
		"correlate.associations.within_level.levels.level":    "level of play",
		"correlate.comparisons.lower":                         "Zou's interval",
		"correlate.associations.slope.lower":                  "confidence interval",
		"retest.changes.chance.within":                        "chance",
		"retest.changes.stands_out":                           "stands out",
		"retest.family.past_noise":                            "past the noise",
		"reliability.typical_error_lower":                     "typical error",
		"reliability.typical_error_df":                        "typical error",
		"correlate.spearman_p_bh":                             "Spearman's r",
		"agreement.slope_upper":                               "proportional bias",
		"correlate.slope_upper":                               "slope",
		"p_bh":                                                "Benjamini–Hochberg",
		"reliability.measures.components.athlete":             "athlete variance",
		"noise-file.measures.components.trial":                "trial variance",
		"components.athlete_session_sd_lower":                 "athlete×session variance",
		"reliability.measures.decision_study.reliability":     "reliability",
		"reliability.measures.cheapest_design.never":          "cheapest design",
		"plane-contrast.difference_fisher_z":                  "contrast of two planes",
		"correlate.models.coefficients.per_sd":                "coefficient",
		"correlate.added.after":                               "block",
		"correlate.repeated_measures.slope":                   "slope",
		"change-against-change.corrected_lower":               "corrected r",
		"correlate.change_against_change.reliability_test":    "reliability of a change",
		"correlate.associations.pearson.bca":                  "BCa",
		"retest.changes.past_noise_beyond_practice":           "change beyond practice",
		"changes.from_components":                             "error from variance components",
	} {
		if got, ok := glossary.Covering(path); !ok || got.Name != want {
			t.Errorf("%s: %q, want %q", path, got.Name, want)
		}
	}
	for _, path := range []string{"", ".", "nothing", "measures.nothing", "_lower"} {
		if got, ok := glossary.Covering(path); ok {
			t.Errorf("%q: %q", path, got.Name)
		}
	}
}

func TestFind(t *testing.T) {
	for query, want := range map[string]string{
		"typical error": "typical error", "Typical  Error": "typical error", "SEM": "typical error",
		"typ":                           "typical error",
		"standard error of measurement": "typical error", "typical_error": "typical error",
		"measures.typical_error": "typical error",
		"ICC(A,1)":               "ICC(A,1)", "icc a1": "ICC(A,1)", "icc_a1": "ICC(A,1)", "ICC(2,1)": "ICC(A,1)",
		"icc(3,k)": "ICC(C,k)", "ICC": "intraclass correlation",
		"detectable": "detectable change", "mdc": "detectable change", "1.96": "detectable change",
		"p (Holm)": "Holm", "p (BH)": "Benjamini–Hochberg", "benjamini hochberg": "Benjamini–Hochberg", "p": "p value",
		"change (95 % interval)": "change", "change (90 % interval)": "change", "typical error (df)": "typical error",
		"plane ":   "plane",
		"delta R2": "ΔR²", "ΔR²": "ΔR²", "R2": "R²", "r": "Pearson's r", "limits agreement": "limits of agreement",
		"stands out and matters": "matters", "steady: too small to matter either way": "steady", "real": "stands out",
		"difference (Fisher's z)": "contrast of two planes", "difference": "comparison of two correlations",
		"coefficient": "coefficient",
		"reliability": "reliability", "design": "decision study", "between athletes": "athlete variance",
		"day to day":              "athlete×session variance",
		"detectable ÷ worthwhile": "detectable ÷ worthwhile", "σ²as": "athlete×session variance", "bland altman": "",
		"": "", "  ": "", "()": "", "zzzz": "", "i": "", "icc(9,9)": "",
	} {
		got, ok := glossary.Find(query)
		if ok != (want != "") || got.Name != want {
			t.Errorf("%q: %q, %t; want %q", query, got.Name, ok, want)
		}
	}
}

func TestNearest(t *testing.T) {
	for query, want := range map[string]string{
		"tipical eror": "typical error", "detctable change": "detectable change", "bonferoni holm": "",
		"Spaerman": "Spearman's r",
		"boostrap": "bootstrap", "hlom": "Holm", "wiliams": "Williams' t", "stand ot": "stands out",
		"variance": "variance components",
	} {
		got := glossary.Nearest(query, 5)
		if want == "" && len(got) > 5 || want != "" && !slices.Contains(got, want) {
			t.Errorf("%q: %q, want %q", query, got, want)
		}
	}
	if got := glossary.Nearest("qqqqqqqq", 5); len(got) != 0 {
		t.Errorf("nearest to nothing: %q", got)
	}
	if got := glossary.Nearest("icc", 3); len(got) != 3 || got[0] == got[1] {
		t.Errorf("three nearest: %q", got)
	}
}

func TestSearch(t *testing.T) {
	found := glossary.Search("carkeet 2015")
	if !slices.ContainsFunc(found, func(t glossary.Term) bool { return t.Name == "limits of agreement" }) ||
		len(found) > 5 {
		t.Errorf("carkeet 2015: %d terms", len(found))
	}
	if glossary.Search(" ") != nil || len(glossary.Search("typical zebra")) != 0 {
		t.Error("found what is not there")
	}
}

// Whatever the letter case and the signs between the letters, a name, alias or
// key finds its term.
func TestFindIgnoresSigns(t *testing.T) {
	all := glossary.All()
	rapid.Check(t, func(t *rapid.T) {
		term := rapid.SampledFrom(all).Draw(t, "term")
		name := rapid.SampledFrom(append([]string{term.Name}, term.Aliases...)).Draw(t, "name")
		sign := rapid.SampledFrom([]string{" ", "-", "_", "  ", ", "}).Draw(t, "sign")
		query := strings.ReplaceAll(strings.ToUpper(name), " ", sign)
		if got, ok := glossary.Find(query); !ok || got.Name != term.Name {
			t.Fatalf("%q finds %q, not %q", query, got.Name, term.Name)
		}
	})
}

func FuzzFind(f *testing.F) {
	for _, s := range []string{"", "(", ".", "a.b.c", "é (", "\xff", "icc(a,1)"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, query string) {
		if term, ok := glossary.Find(query); ok == (term.Name == "") {
			t.Errorf("%q: %q, %t", query, term.Name, ok)
		}
		if n := len(glossary.Nearest(query, 4)); n > 4 {
			t.Errorf("%q: %d names", query, n)
		}
	})
}

// TestSourcesAreCitedElsewhere holds every name and year of a source against
// the doc comments of the analyses and the citations of the published tables.
func TestSourcesAreCitedElsewhere(t *testing.T) {
	corpus := citations(t)
	cite := regexp.MustCompile(`(\p{Lu}[\p{L}]+)(?: et al\.| [A-Z][A-Z-]*)?(?:, (\p{Lu}[\p{L}]+) [A-Z]+)*(?: et al\.)? \((\d{4})\)`)
	seen := 0
	for _, term := range glossary.All() {
		for _, part := range strings.Split(term.Source, "; ") {
			m := cite.FindStringSubmatch(part)
			if m == nil {
				if regexp.MustCompile(`\d{4}`).MatchString(part) {
					t.Errorf("%s: no author and year understood in %q", term.Name, part)
				}
				continue
			}
			seen++
			key := m[1] + " " + m[3]
			near := regexp.MustCompile(`(?s)` + regexp.QuoteMeta(m[1]) + `.{0,80}?` + m[3])
			if !near.MatchString(corpus) {
				t.Errorf("%s: %s is cited nowhere in analysis or testdata", term.Name, key)
			}
		}
	}
	if seen < 60 {
		t.Errorf("only %d citations seen", seen)
	}
}

func citations(t *testing.T) string {
	t.Helper()
	var b strings.Builder
	for _, top := range []string{"../../analysis", "../../testdata"} {
		err := filepath.WalkDir(top, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !(strings.HasSuffix(path, ".go") || strings.HasSuffix(path, ".md")) {
				return err
			}
			text, err := os.ReadFile(path)
			b.Write(text)
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return regexp.MustCompile(`\n\s*//\s*`).ReplaceAllString(b.String(), " ")
}

func ExampleFind() {
	t, _ := glossary.Find("MDC")
	fmt.Println(t.Name)
	fmt.Println(t.Formula)
	fmt.Println(glossary.Nearest("tipical eror", 1))
	// Output:
	// detectable change
	// t(1−α/2, df)·√2·TE; the large-sample value puts 1.96 (at 95 %) for t; for means of b and f sessions t(1−α/2, df)·TE·√(1/b + 1/f)
	// [typical error]
}

func TestAnchorsAreDistinct(t *testing.T) {
	shape := regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)
	seen := map[string]string{}
	for _, term := range glossary.All() {
		a := term.Anchor()
		if !shape.MatchString(a) || seen[a] != "" {
			t.Errorf("%s: anchor %q, also of %q", term.Name, a, seen[a])
		}
		seen[a] = term.Name
	}
}

func TestGroupsHoldAll(t *testing.T) {
	n := 0
	for _, g := range glossary.Groups() {
		if g.Title == "" || len(g.Terms) == 0 {
			t.Errorf("group %q has %d terms", g.Title, len(g.Terms))
		}
		n += len(g.Terms)
	}
	if all := glossary.All(); n != len(all) {
		t.Errorf("%d terms in groups, %d in all", n, len(all))
	}
}

func TestLongestName(t *testing.T) {
	for _, term := range glossary.All() {
		for _, n := range append([]string{term.Name}, term.Aliases...) {
			if len(letters(n)) > 80 {
				t.Errorf("%q has more letters than are compared", n)
			}
		}
	}
}
