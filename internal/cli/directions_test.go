package cli_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A dictionary that forgets to say which way the time of a rotational throw is
// better: nothing turns it, planes as wholes are left open, its pairs are compared
// by size; and --lower says it after all. The demo table of testdata/before.
func TestForgottenDirection(t *testing.T) {
	folder := t.TempDir()
	data, err := os.ReadFile(filepath.Join(repo(t), "testdata/before/tests.csv.gz"))
	if err != nil {
		t.Fatal(err)
	}
	words := readFile(t, filepath.Join(repo(t), "testdata/before/datapackage.json"))
	cut := strings.Replace(words, `"better": "lower",`, "", 1)
	if cut == words {
		t.Fatal("nothing of the dictionary is better lower")
	}
	table := filepath.Join(folder, "tests.csv.gz")
	for name, text := range map[string]string{table: string(data), filepath.Join(folder, "datapackage.json"): cut} {
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	ask := []string{"correlate", table, "--outcome", "ball_speed", "--sessions", "1,2"}
	d := document(t, ask...)
	if _, ok := at(d, "plane_contrast.difference_fisher_z"); ok {
		t.Error("planes compared as wholes")
	}
	if _, ok := at(d, "models"); ok {
		t.Error("composites of tests whose direction nobody said")
	}
	sized := 0
	for _, c := range d["comparisons"].([]any) {
		if yes, _ := at(c, "absolute"); yes == true {
			sized++
			if r, _ := at(c, "r_a"); r.(float64) < 0 {
				t.Errorf("the size of r is %v", r)
			}
			if turned, _ := at(c, "turned_a"); turned == true {
				t.Error("turned, though nobody said so")
			}
		}
	}
	if sized == 0 || sized == len(d["comparisons"].([]any)) {
		t.Errorf("%d of %d pairs by size", sized, len(d["comparisons"].([]any)))
	}
	if text := output(t, ask...); !strings.Contains(strings.Join(strings.Fields(text), " "),
		`nobody said which way is better ("better" in the dictionary, or --lower)`) {
		t.Error("it is not said")
	}
	d = document(t, append(ask, "--lower", "rotational_time")...)
	if _, ok := at(d, "plane_contrast.difference_fisher_z"); !ok {
		t.Error("--lower says which way, and the planes are left open")
	}
}
