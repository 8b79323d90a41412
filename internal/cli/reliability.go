package cli

import (
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"noisefloor/internal/study"
)

func newReliability(s streams) *cobra.Command {
	var r study.Reliability
	var out outputFlags
	var save string
	cmd := &cobra.Command{
		Use:   "reliability TABLE",
		Short: "How noisy is each test?",
		Long: `reliability tells how noisy each test is: intraclass correlations, typical
error, the smallest change of one athlete that is more than noise, the smallest
change that matters, learning from session to session, and agreement of two
sessions. Give it sessions with no training between them.

TABLE is a CSV or TSV file (plain or gzip), an Excel workbook, or - for
standard input.`,
		Example: `  noisefloor reliability tests.csv --sessions 1,2
  noisefloor reliability tests.csv --sessions 1,2 --by level --out report
  noisefloor reliability tests.csv --sessions 1,2 --save-noise noise.json`,
		Args: oneTable,
		RunE: func(cmd *cobra.Command, args []string) error {
			r.Table.Path = args[0]
			return ask(s, cmd, &r, out, save)
		},
	}
	fl := cmd.Flags()
	fl.StringSliceVar(&r.Sessions, "sessions", nil, "`sessions` to use; they stay in the order of time (default: all)")
	fl.StringVar(&r.By, "by", "", "`column` of groups: each on its own too (default: the level column, for the "+
		"tests between groups only; none: no groups)")
	fl.StringVar(&save, "save-noise", "", "write the noise of each test to a `file` for retest")
	registerWorthwhile(fl, &r.Common)
	registerCommon(cmd, &r.Common, true)
	grouped(fl, groupAnalysis, func(fl *pflag.FlagSet) {
		fl.StringSliceVar(&r.Agreement, "agreement", nil,
			"the two `sessions` whose agreement is shown (default: the last two)")
		fl.Float64Var(&r.Power, "power", 0, "`share` of retests that are to see a true change, for 'one retest enough?' "+
			"and the cheapest design (default 0.8)")
		fl.BoolVar(&r.Bootstrap, "bootstrap", false, "also BCa bootstrap intervals of the intraclass correlations")
		registerReplicates(fl, &r.Common)
	})
	out.register(cmd)
	return cmd
}
