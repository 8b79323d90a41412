// Package oracle lets tests ask a general statistics program, R, for the same
// numbers: live, where it is installed, and only when asked to.
package oracle

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"noisefloor/internal/published"
)

// Variable is the environment variable that turns the R checks on.
const Variable = "NOISEFLOOR_R"

// R runs testdata/oracle/script with Rscript on a file that holds input, and
// returns what it prints. Without NOISEFLOOR_R=1 the test is skipped, and says
// so; with it, an R that is missing or fails is a failure.
func R(t testing.TB, script, input string) []byte {
	t.Helper()
	if os.Getenv(Variable) != "1" {
		t.Skipf("NOT CHECKED against R: set %s=1 on a machine with R, lme4 and jsonlite to run %s", Variable, script)
	}
	file := filepath.Join(t.TempDir(), "input.csv")
	if err := os.WriteFile(file, []byte(input), 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("Rscript", "--vanilla", published.Path(t, filepath.Join("oracle", script)), file)
	var out, trouble bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &trouble
	if err := cmd.Run(); err != nil {
		t.Fatalf("Rscript %s: %v\n%s", script, err, trouble.String())
	}
	return out.Bytes()
}
