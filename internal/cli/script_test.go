package cli_test

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"noisefloor/internal/cli"
	"noisefloor/reports/schema"
)

func TestMain(m *testing.M) {
	testscript.Main(cleaner{m}, map[string]func(){
		"noisefloor": func() { os.Exit(cli.Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) },
	})
}

// A cleaner removes the demo's folder when all tests have run.
type cleaner struct{ *testing.M }

func (c cleaner) Run() int {
	code := c.M.Run()
	if demoFolder != "" {
		os.RemoveAll(demoFolder)
	}
	return code
}

var demoFolder string

// TestScripts runs testdata/script: each file is one behaviour of the command
// line, failures included. 'conforms FILE' validates a JSON file against the
// published schemas; 'exits CODE COMMAND' runs a command that ends with CODE.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error { // $COAST is the demo's table with its dictionary
			e.Setenv("COAST", filepath.Join(demo(t), "data", "tests.csv"))
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"conforms": conforms,
			"exits":    exits,
		},
	})
}

func conforms(ts *testscript.TestScript, neg bool, args []string) {
	for _, name := range args {
		err := schema.Validate([]byte(ts.ReadFile(name)))
		if (err == nil) == neg {
			ts.Fatalf("%s: conforms %t, error %v", name, err == nil, err)
		}
	}
}

// exits runs a command and checks its exit code: exits 2 noisefloor ...
func exits(ts *testscript.TestScript, _ bool, args []string) {
	want := args[0]
	err := ts.Exec(args[1], args[2:]...)
	got := "0"
	if e := (*exec.ExitError)(nil); errors.As(err, &e) {
		got = strconv.Itoa(e.ExitCode())
	} else if err != nil {
		ts.Fatalf("%v", err)
	}
	if got != want {
		ts.Fatalf("exit code %s, want %s", got, want)
	}
}

var demoOnce = sync.OnceValues(func() (string, error) {
	folder, err := os.MkdirTemp("", "noisefloor-test-*")
	if err != nil {
		return "", err
	}
	demoFolder = folder
	var errs bytes.Buffer
	if code := cli.Main([]string{"demo", "--out", folder}, nil, io.Discard, &errs); code != 0 {
		return folder, fmt.Errorf("demo: exit %d: %s", code, errs.String())
	}
	return folder, nil
})

// demo is a folder with everything that the demo writes, made once.
func demo(t *testing.T) string {
	t.Helper()
	folder, err := demoOnce()
	if err != nil {
		t.Fatal(err)
	}
	return folder
}

// output runs a command line that must succeed, and returns what it prints.
func output(t *testing.T, args ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	if code := cli.Main(args, strings.NewReader(""), &out, &errs); code != 0 {
		t.Fatalf("%v: exit %d\n%s", args, code, errs.String())
	}
	return out.String()
}
