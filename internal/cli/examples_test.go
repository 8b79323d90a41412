package cli_test

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"
)

var update = flag.Bool("update", false, "rewrite the golden files and the pictures of README.md")

// TestExamples keeps the pictures that README.md shows what the program draws.
func TestExamples(t *testing.T) {
	folder := demo(t)
	retest := filepath.Join(t.TempDir(), "out")
	output(t, "retest", filepath.Join(folder, "data", "tests.csv"), "--noise-from", "1,2", "--follow-up", "3",
		"--measure", "side_throw_speed.left", "--out", retest)
	for name, from := range map[string]string{
		"changes.svg": filepath.Join(retest, "pictures", "retest", "changes-side-throw-speed-left-3.svg"),
		"planes.svg":  filepath.Join(folder, "pictures", "correlate-ball_speed", "planes-ball-speed.svg"),
	} {
		got, err := os.ReadFile(from)
		if err != nil {
			t.Fatal(err)
		}
		golden(t, filepath.Join(top, "reports", "examples", name), got)
	}
}

// TestGolden keeps the layout of what the commands print. The numbers in these
// files are not checks of the numbers; those are in the analysis packages.
func TestGolden(t *testing.T) {
	table := filepath.Join(demo(t), "data", "tests.csv")
	for name, args := range map[string][]string{
		"reliability.txt": {"reliability", table, "--sessions", "1,2", "--measure",
			"side_throw_speed.*,cable_press.left", "--details"},
		"reliability.md": {"reliability", table, "--sessions", "1,2", "--measure", "jump_height", "--by", "level",
			"--format", "markdown"},
		"retest.txt": {"retest", table, "--noise-from", "1,2", "--athlete", "C15,C21", "--measure",
			"side_throw_speed.*"},
		"norms.txt": {"norms", table, "--noise-from", "1,2", "--athlete", "C21", "--measure", "side_throw_speed.*"},
		"correlate.txt": {"correlate", table, "--outcome", "bat_speed", "--sessions", "1,2", "--covariate", "age",
			"--measure", "side_throw_speed.*,jump_height", "--details"},
	} {
		golden(t, filepath.Join("testdata", "golden", name), []byte(output(t, args...)))
	}
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	if *update {
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(want, got) {
		t.Errorf("%s is not what comes out now; look at it, then -update rewrites it\n%s", filepath.Base(name),
			firstDifference(want, got))
	}
}

func firstDifference(want, got []byte) string {
	a, b := bytes.Split(want, []byte("\n")), bytes.Split(got, []byte("\n"))
	for i := range min(len(a), len(b)) {
		if !bytes.Equal(a[i], b[i]) {
			return "want " + string(a[i]) + "\ngot  " + string(b[i])
		}
	}
	return "one is longer"
}
