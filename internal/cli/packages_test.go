package cli_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestPackagesFromACheckout does what README.md says of the packages: a program of
// one's own beside a checkout, joined by go.work.
func TestPackagesFromACheckout(t *testing.T) {
	if testing.Short() {
		t.Skip("the use of the packages from another module was not checked: it builds a program")
	}
	text := readFile(t, filepath.Join(repo(t), "README.md"))
	program := regexp.MustCompile("(?s)```go\n(package main.*?)```").FindStringSubmatch(text)
	if program == nil {
		t.Fatal("README.md shows no program that uses the packages")
	}
	for _, line := range []string{"go mod init example.org/mine", "go work init . ../noisefloor", "go run ."} {
		if !strings.Contains(text, line) {
			t.Errorf("README.md does not say %q", line)
		}
	}
	folder := t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, "main.go"), []byte(program[1]), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"mod", "init", "example.org/mine"}, {"work", "init", ".", repo(t)}, {"run", "."}} {
		cmd := exec.Command("go", args...)
		cmd.Dir, cmd.Env = folder, append(os.Environ(), "GOFLAGS=-mod=readonly", "GOWORK=")
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatalf("go %s: %v\n%s", strings.Join(args, " "), err, out)
		}
		if args[0] == "run" && !strings.Contains(string(out), "typical error 3.9") {
			t.Errorf("the program says %s", out)
		}
	}
}
