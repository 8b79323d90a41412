package cli

import (
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"noisefloor/internal/study"
)

func newRetest(s streams) *cobra.Command {
	r := new(study.Retest)
	return question{Use: "retest", Short: "Which changes of single athletes stand out from the noise?",
		Long: `retest judges the change of every athlete in every test: does it stand out
from the noise, and is it large enough to matter? The two questions are kept
apart.

The noise comes from a file that 'reliability --save-noise' wrote (several are
pooled), from sessions of the same table with no training between them, or from
elsewhere: a typical error that was published, or that your club knows, of a
test, in its unit or in percent of the score:

  --typical-error NAME=VALUE[ UNIT][; df=NUMBER][; level=LEVEL][; source=TEXT]

NAME is as the table has it, no pattern; one that holds = or ; stands in double
quotes. df is about (athletes - 1) times (sessions - 1) of the study; without it
the typical error is taken as known exactly. It replaces what a file or sessions
say of that test.

The noise is never from the sessions that are judged.

Sessions joined by + are averaged: --baseline 1+2 --follow-up 3,4 judges session
3 and session 4, each against the mean of 1 and 2.`,
		Example: `  noisefloor retest tests.csv --noise-from 1,2
  noisefloor retest tests.csv --noise noise.json --baseline 2 --follow-up 3
  noisefloor retest tests.csv --noise-from 1,2 --athlete C07
  noisefloor retest tests.csv --typical-error 'press=45; df=19; source=club manual'`, Scaled: true}.command(s, r, func(fl *pflag.FlagSet) {
		registerNoise(fl, &r.Noise, &r.NoiseFrom, &r.TypicalErrors)
		fl.StringVar(&r.Baseline, "baseline", "", "`session` before (default: the mean of the sessions that show the "+
			"noise, else the first); a+b averages")
		fl.StringSliceVar(&r.FollowUp, "follow-up", nil, "`sessions` after, each judged on its own (default: all later "+
			"ones); a+b averages")
		fl.StringSliceVar(&r.Athletes, "athlete", nil, "judge only these `athletes`: codes, or globs such as 'B*'; "+
			"repeatable")
		fl.StringVar(&r.By, "by", "", "`column` of groups: each athlete is judged by the noise of their own group "+
			"(default: the level of play); none judges all by one noise")
		registerWorthwhile(fl, &r.Common)
		grouped(fl, groupAnalysis, func(fl *pflag.FlagSet) {
			fl.Var((*level)(&r.Narrow), "narrow", "`level` of the second, narrower interval (default 0.8)")
			fl.BoolVar(&r.OwnNoise, "own-noise", false, "judge each athlete by their own typical error, moderated by "+
				"those of the others (with --noise-from)")
			fl.BoolVar(&r.Learning, "learning", false, "add the change to be expected from practice with the test, and "+
				"the change beyond it")
			fl.BoolVar(&r.Season, "season", false, "follow every athlete over all sessions after the baseline: a watch "+
				"with one false-alarm rate for the whole season, and the slope")
			fl.IntVar(&r.Planned, "planned", 0, "`sessions` of a season, set beforehand (default 12); with --season")
			fl.BoolVar(&r.Regression, "regression", false, "add the change to be expected from regression to the mean, "+
				"and the change beyond it")
		})
	})
}
