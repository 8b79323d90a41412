// Package cli is the command line: a file per command, each of which turns
// flags into a table, the table into results, results into output. Exit codes
// are decided here and nowhere else: 0 done, 1 the data or the work failed,
// 2 the command line was wrong.
package cli

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"noisefloor/internal/names"
	"noisefloor/reports/table"
)

const (
	exitDone  = 0
	exitFail  = 1
	exitUsage = 2
)

// streams are what a command reads from and writes to, and the line that
// started it.
type streams struct {
	in       io.Reader
	out, err io.Writer
	line     string
}

// Main runs the command line and returns the exit code.
func Main(args []string, in io.Reader, out, stderr io.Writer) int {
	root := newRoot(streams{in, out, stderr, commandLine(args)})
	root.SetArgs(args)
	root.SetIn(in)
	root.SetOut(out)
	root.SetErr(stderr)
	return exitCode(root.Execute(), stderr)
}

func newRoot(s streams) *cobra.Command {
	root := &cobra.Command{
		Use:   "noisefloor",
		Short: "How noisy is each test, which changes stand out, and what goes with throwing or bat speed",
		Long: `noisefloor reads a cohort table (CSV, TSV or an Excel workbook; one row per
attempt, or a column per measure) and answers:

` + answers() + `
Each answer begins with a sentence that says it. --out DIR writes a sheet of one
page, a working page with everything behind it, tables and JSON.

'noisefloor completion SHELL' prints a script that completes commands, flags,
measures, sessions and athletes; go run ./internal/cli/man DIR writes man pages.`,
		Version:            buildWords(),
		SilenceErrors:      true,
		SilenceUsage:       true,
		DisableSuggestions: true,
		Args:               knownCommand,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return cmd.Help()
		},
	}
	root.SetVersionTemplate("noisefloor {{.Version}}\n")
	root.SetFlagErrorFunc(unknownFlag)
	for _, e := range registry() {
		cmd := e.make(s)
		once(cmd)
		complete(cmd)
		root.AddCommand(cmd)
	}
	groupedHelp(root)
	return root
}

// answers lists the commands with the question that each answers.
func answers() string {
	var b strings.Builder
	for _, e := range registry() {
		fmt.Fprintf(&b, "  %-12s %s\n", e.name, e.answers)
	}
	return b.String()
}

// knownCommand says which command may have been meant.
func knownCommand(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	var all []string
	for _, c := range cmd.Commands() {
		all = append(all, c.Name())
	}
	_, err := names.Find("command", all, args[0])
	if err == nil {
		return usage("no command %q", args[0])
	}
	return &usageError{err.Error()}
}

// unknownFlag says which flag may have been meant.
func unknownFlag(cmd *cobra.Command, err error) error {
	var missing *pflag.NotExistError
	if !errors.As(err, &missing) {
		return &usageError{err.Error()}
	}
	var all []string
	cmd.Flags().VisitAll(func(f *pflag.Flag) { all = append(all, "--"+f.Name) })
	_, unknown := names.Find("flag", all, "--"+missing.GetSpecifiedName())
	if unknown == nil {
		unknown = err
	}
	return &usageError{unknown.Error()}
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

// Root is the command tree, for programs that describe it.
func Root() *cobra.Command { return newRoot(streams{}) }
