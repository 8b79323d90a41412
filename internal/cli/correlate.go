package cli

import (
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"noisefloor/internal/study"
)

func newCorrelate(s streams) *cobra.Command {
	r := new(study.Correlate)
	return question{Use: "correlate", Short: "Which tests go with throwing or bat speed?",
		Long: `correlate tells which tests go with an outcome such as throwing or bat speed:
over all athletes, within a level, with covariates held constant, and corrected
for unreliability; and whether rotational tests go with it more closely than
straight-line ones, where the dictionary or --lower says which way each is
better. One row per athlete: the mean over the chosen sessions.`,
		Example: `  noisefloor correlate tests.csv --outcome ball_speed --sessions 1,2
  noisefloor correlate tests.csv --outcome bat_speed --by level --covariate body_mass`}.command(s, r, func(fl *pflag.FlagSet) {
		fl.StringVar(&r.Outcome, "outcome", "", "the `measure` to compare with (default: the dictionary's outcome)")
		fl.StringSliceVar(&r.Sessions, "sessions", nil, "`sessions` to use (default: all)")
		fl.StringSliceVar(&r.Covariates, "covariate", nil, "hold this `column` or measure constant; repeatable")
		fl.StringVar(&r.By, "by", "", "`column` of the levels for the within-level analysis (default: the level "+
			"column; none: leave it out)")
		grouped(fl, groupAnalysis, func(fl *pflag.FlagSet) {
			fl.StringSliceVar(&r.Planes, "planes", nil, "the two `planes` whose tests are compared (default "+
				"transverse,sagittal)")
			fl.StringVar(&r.Noise, "noise", "", "noise `file` with the reliabilities for the corrected r (default: "+
				"from the sessions used, when there are two or more)")
			fl.StringVar(&r.Study, "study", "", "a further `table` of other athletes whose sessions, with no training "+
				"between, show the reliabilities for the corrected r")
			fl.StringSliceVar(&r.Change, "change", nil, "two `sessions`: also compare the change of each test with the "+
				"change of the outcome")
			fl.BoolVar(&r.Repeated, "repeated", false, "also the correlation inside athletes, over the sessions used, "+
				"with the session means taken out")
			fl.BoolVar(&r.Bootstrap, "bootstrap", false, "also BCa bootstrap intervals of every correlation and, "+
				"from 40 athletes, of every comparison")
			registerReplicates(fl, &r.Common)
		})
	})
}
