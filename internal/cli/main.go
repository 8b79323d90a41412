// Package cli is the command line: a file per command, each of which turns
// flags into a table, the table into results, results into output. Exit codes
// are decided here and nowhere else: 0 done, 1 the data or the work failed,
// 2 the command line was wrong.
package cli

import (
	"errors"
	"fmt"
	"io"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"

	"noisefloor/reports/table"
)

const (
	exitDone  = 0
	exitFail  = 1
	exitUsage = 2
)

// streams are what a command reads from and writes to.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

// Main runs the command line and returns the exit code.
func Main(args []string, in io.Reader, out, stderr io.Writer) int {
	root := newRoot(streams{in, out, stderr})
	root.SetArgs(args)
	root.SetIn(in)
	root.SetOut(out)
	root.SetErr(stderr)
	return exitCode(root.Execute(), stderr)
}

func newRoot(s streams) *cobra.Command {
	root := &cobra.Command{
		Use:   "noisefloor",
		Short: "How noisy is each test, which changes are real, and what goes with throwing or bat speed",
		Long: `noisefloor reads a cohort table (CSV, TSV or an Excel workbook; one row per
attempt, or a column per measure) and answers:

  reliability  how noisy is each test, in these hands?
  retest       which changes of single athletes are real?
  correlate    which tests go with throwing or bat speed?
  demo         all of this, on the cohort that comes with the program
  explain      what does a term of the output mean?

Each answer begins with a sentence that says it. --out DIR writes a page with
pictures, tables for a spreadsheet and JSON.`,
		Version:       version(),
		SilenceErrors: true,
		SilenceUsage:  true,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return cmd.Help()
		},
	}
	root.SetVersionTemplate("noisefloor {{.Version}}\n")
	root.CompletionOptions.HiddenDefaultCmd = true
	root.AddCommand(newDemo(s), newReliability(s), newRetest(s), newCorrelate(s), newExplain(s))
	return root
}

// version is the module's version as the toolchain knows it.
func version() string {
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" && info.Main.Version != "(devel)" {
		return info.Main.Version
	}
	return "devel"
}

// A workError is an error of the data or the work, not of the command line.
type workError struct{ err error }

func (e *workError) Error() string { return e.err.Error() }
func (e *workError) Unwrap() error { return e.err }

// work marks an error as one of the data or the work.
func work(err error) error {
	if err == nil {
		return nil
	}
	if u := (*usageError)(nil); errors.As(err, &u) {
		return err
	}
	return &workError{err}
}

// A usageError is a flag whose value makes no sense, found while working.
type usageError struct{ text string }

func (e *usageError) Error() string { return e.text }

func usage(format string, args ...any) error {
	return &usageError{fmt.Sprintf(format, args...)}
}

// cleanLines keeps what stands in files from driving the terminal.
func cleanLines(s string) string {
	lines := strings.Split(s, "\n")
	for i, l := range lines {
		lines[i] = table.Clean(l)
	}
	return strings.Join(lines, "\n")
}

func exitCode(err error, stderr io.Writer) int {
	if err == nil {
		return exitDone
	}
	if w := (*workError)(nil); errors.As(err, &w) {
		fmt.Fprintln(stderr, cleanLines(err.Error()))
		return exitFail
	}
	fmt.Fprintf(stderr, "%s\n'noisefloor COMMAND --help' lists what a command takes.\n", cleanLines(err.Error()))
	return exitUsage
}
