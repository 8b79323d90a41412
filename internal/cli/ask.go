package cli

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"noisefloor/internal/cohort"
	"noisefloor/internal/names"
	"noisefloor/internal/noisefile"
	"noisefloor/internal/outfile"
	"noisefloor/internal/study"
	"noisefloor/reports/table"
)

// oneTable wants the table, and nothing else, on the command line.
func oneTable(cmd *cobra.Command, args []string) error {
	switch len(args) {
	case 0:
		return usage("which table? noisefloor %s TABLE (a CSV, TSV or Excel file, or - for standard input)", cmd.Name())
	case 1:
		return nil
	}
	return usage("one table at a time: %q and %q were given", args[0], args[1])
}

// ask works a request out and delivers the answer; save names the noise or norms file to
// write, "" for none.
func ask(s streams, cmd *cobra.Command, r study.Request, out outputFlags, save string) error {
	if err := out.check(); err != nil {
		return err
	}
	o, err := answer(s, r, out.quiet)
	if err != nil {
		return work(err)
	}
	about := newAbout(o, s.line)
	view := entryOf(cmd.Name()).view(o, about)
	if save == "" {
		return work(out.deliver(s, view, about))
	}
	var file outfile.File
	if _, ok := r.(*study.Norms); ok {
		file, err = normsOutput(s.err, o, about, save, out.quiet)
	} else {
		file, err = noiseOutput(o, save)
	}
	if err != nil {
		return work(err)
	}
	return work(out.deliver(s, view, about, file))
}

// answer runs a request on the machine's files.
func answer(s streams, r study.Request, quiet bool) (study.Outcome, error) {
	h := &study.Host{Version: version(), Stdin: s.in}
	if !quiet {
		h.Heard = func(t *cohort.Table) { announce(s.err, t) }
	}
	stop := progress(s.err, r.Question())
	defer stop()
	o, err := study.Run(r, h)
	if err == nil && !quiet && o.Table != nil {
		announceChoices(s.err, o)
	}
	return o, asUsage(err)
}

// announceChoices says which way tests improve, and what was taken for want of
// a word on it: a misspelt flag would show here.
func announceChoices(w io.Writer, o study.Outcome) {
	c := study.CommonOf(o.Request)
	fmt.Fprintf(w, "  better: %s (%s)\n", table.Clean(betterWords(c)), c.Origins["better"])
	if c.Origins["sessions"] == study.ByDefault && len(c.Sessions) > 1 {
		fmt.Fprintf(w, "  sessions: %s, all there are (--sessions names those without training between)\n",
			table.Clean(strings.Join(c.Sessions, ", ")))
	}
}

// asUsage marks what no data can mend as an error of the command line: a choice
// that makes no sense, and a name that matches nothing.
func asUsage(err error) error {
	var wrong *study.RequestError
	var unknown *names.Error
	if errors.As(err, &wrong) || errors.As(err, &unknown) {
		return &usageError{err.Error()}
	}
	return err
}

// noiseOutput renders the noise for later retests.
func noiseOutput(o study.Outcome, name string) (outfile.File, error) {
	noise, err := o.NoiseFile()
	if err != nil {
		return outfile.File{}, fmt.Errorf("%s: %w", name, err)
	}
	return outfile.NewFile(name, func(w io.Writer) error { return noisefile.Write(w, noise) })
}

// announce says on standard error what was read and how it was understood.
func announce(w io.Writer, t *cohort.Table) {
	fmt.Fprintf(w, "%s: %s, %s, %s, %s, %s\n", table.Clean(t.Source.Path), t.Source.Format, counted(t.Source.Rows,
		"row"),
		counted(len(t.Athletes), "athlete"), counted(len(t.Sessions), "session"), counted(len(t.Measures), "measure"))
	for _, s := range t.Taken {
		fmt.Fprintln(w, "  "+table.Clean(s))
	}
	for _, n := range t.Notes {
		fmt.Fprintln(w, "  note: "+table.Clean(n))
	}
}

func counted(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// commandLine writes the words of a command line so that a shell would read
// them again; paths from the root of the machine are cut to the file's name.
func commandLine(args []string) string {
	out := []string{"noisefloor"}
	for _, a := range args {
		out = append(out, quoted(cutPath(a)))
	}
	return strings.Join(out, " ")
}

// cutPath cuts a path, also one that stands behind a flag's equals sign.
func cutPath(a string) string {
	if flag, value, ok := strings.Cut(a, "="); ok && strings.HasPrefix(a, "--") {
		return flag + "=" + relative(value)
	}
	return relative(a)
}
