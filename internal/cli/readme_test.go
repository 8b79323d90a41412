package cli_test

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"noisefloor/internal/cli"
)

// TestReadme runs the command blocks of README.md in order, in an empty
// folder, and compares the output with what README.md shows: line by line from
// the first; a line "..." stands for any lines, and a line that ends in "…" for
// any rest of it. Blank lines do not count.
func TestReadme(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	blocks := regexp.MustCompile("(?s)```(sh|text)\n(.*?)```").FindAllStringSubmatch(string(text), -1)
	ran := 0
	var output string
	for _, b := range blocks {
		if b[1] == "text" {
			checkShown(t, output, b[2])
			continue
		}
		output = ""
		for line := range strings.Lines(b[2]) {
			line = strings.TrimSpace(strings.Replace(line, "go run ./cmd/noisefloor", "noisefloor", 1))
			if strings.HasPrefix(line, "noisefloor ") {
				output += runLine(t, line)
				ran++
			}
		}
	}
	if ran < 5 {
		t.Errorf("README.md shows %d commands; at least 5 expected", ran)
	}
	for _, name := range regexp.MustCompile(`\]\(([^)#]+)\)`).FindAllStringSubmatch(string(text), -1) {
		if strings.HasPrefix(name[1], "https://") {
			continue
		}
		if _, err := os.Stat(filepath.Join(repo(t), name[1])); err != nil {
			t.Errorf("README.md points to %s: %v", name[1], err)
		}
	}
}

// runLine runs a command line of README.md; quotes group words.
func runLine(t *testing.T, line string) string {
	t.Helper()
	var args []string
	for _, w := range regexp.MustCompile(`'[^']*'|\S+`).FindAllString(line, -1)[1:] {
		args = append(args, strings.Trim(w, "'"))
	}
	var out, errs bytes.Buffer
	if code := cli.Main(args, strings.NewReader(""), &out, &errs); code != 0 {
		t.Fatalf("%s: exit %d\n%s", line, code, errs.String())
	}
	return out.String()
}

func checkShown(t *testing.T, output, shown string) {
	t.Helper()
	rest, skip := texts(output), false
	for _, line := range texts(shown) {
		if line == "..." {
			skip = true
			continue
		}
		at := 0
		for skip && at < len(rest) && !fits(line, rest[at]) {
			at++
		}
		if at == len(rest) || !fits(line, rest[at]) {
			t.Errorf("README.md shows\n%s\nwhere the output has\n%.2000s", line, strings.Join(rest, "\n"))
			return
		}
		rest, skip = rest[at+1:], false
	}
	if !skip && len(rest) > 0 {
		t.Errorf("README.md stops before\n%.2000s", strings.Join(rest, "\n"))
	}
}

func fits(shown, line string) bool {
	start, cut := strings.CutSuffix(shown, "…")
	return shown == line || cut && strings.HasPrefix(line, start)
}

// texts are the lines that are not blank, without the blanks around them.
func texts(s string) []string {
	var out []string
	for line := range strings.Lines(s) {
		if line = strings.TrimSpace(line); line != "" {
			out = append(out, line)
		}
	}
	return out
}

var top, _ = filepath.Abs("../..")

func repo(t *testing.T) string {
	t.Helper()
	return top
}
