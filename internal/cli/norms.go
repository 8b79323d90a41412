package cli

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"noisefloor/internal/normsfile"
	"noisefloor/internal/outfile"
	"noisefloor/internal/study"
	"noisefloor/reports"
	"noisefloor/reports/table"
)

func newNorms(s streams) *cobra.Command {
	var r study.Norms
	var out outputFlags
	var save string
	cmd := &cobra.Command{
		Use:   "norms TABLE",
		Short: "What do groups reach, and where does an athlete stand in them?",
		Long: `norms makes reference values of each group (the level of play, or any --by)
and of the whole cohort: mean, spread and percentiles, with limits where the
group is large enough for them. Then it says where athletes stand: between
which percentiles, counting the noise of the score and that the group is a
sample. The own group comes first, the whole cohort beside it: in a mixed
cohort the same score stands very differently.

Percentiles always count towards better, also where less is better.

It speaks of one session, the last unless --session says another. The noise of
the scores comes from where retest takes it. Without any the bands are too
narrow, and that is said.

--save keeps the reference values as a file for other tables. The file holds
nobody: no group under 10 athletes, few percentiles, rounded to half the noise.
Hand on one file of the same athletes: several can be set against each other.
--against FILE stands the athletes of TABLE in such a file.`,
		Example: `  noisefloor norms tests.csv --noise-from 1,2
  noisefloor norms tests.csv --noise noise.json --athlete C21
  noisefloor norms tests.csv --noise-from 1,2 --session 2 --save norms.json
  noisefloor norms new.csv --against norms.json --athlete N04`,
		Args: oneTable,
		RunE: func(cmd *cobra.Command, args []string) error {
			r.Table.Path = args[0]
			return ask(s, cmd, &r, out, save)
		},
	}
	fl := cmd.Flags()
	fl.StringSliceVar(&r.Athletes, "athlete", nil, "say where these `athletes` stand: codes, or globs such as 'B*'; "+
		"repeatable (default: all)")
	fl.StringVar(&r.Session, "session", "", "the `session` whose scores are used (default: the last)")
	fl.StringVar(&r.By, "by", "", "`column` of the groups (default: the level of play, or the norms file's; none: the "+
		"whole "+
		"cohort alone)")
	registerNoise(fl, &r.Noise, &r.NoiseFrom, &r.TypicalErrors)
	fl.StringVar(&r.Against, "against", "", "norms `file` of other athletes to stand in, in place of the table's own "+
		"groups")
	fl.StringVar(&save, "save", "", "write the reference values to a norms `file` that holds nobody")
	registerCommon(cmd, &r.Common, true)
	out.register(cmd)
	return cmd
}

// normsOutput renders the norms file, and says on w what it leaves out.
func normsOutput(w io.Writer, o study.Outcome, about reports.About, name string, quiet bool) (outfile.File, error) {
	file, left, err := o.NormsFile()
	if err != nil {
		return outfile.File{}, fmt.Errorf("%s: %w", name, err)
	}
	if !quiet {
		fmt.Fprintf(w, "%s: %s\n", table.Clean(name), counted(len(file.Cells), "group")+" of tests kept")
		for _, line := range about.Say(left) {
			fmt.Fprintln(w, "  not kept: "+table.Clean(line))
		}
	}
	return outfile.NewFile(name, func(w io.Writer) error { return normsfile.Write(w, file) })
}
