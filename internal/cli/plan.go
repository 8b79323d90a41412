package cli

import (
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"noisefloor/internal/study"
	"noisefloor/reports"
)

func newPlan(s streams) *cobra.Command {
	var r study.Plan
	var out outputFlags
	cmd := &cobra.Command{
		Use:   "plan QUESTION",
		Short: "How many athletes, sessions and trials does the next study need?",
		Long: `plan says before a study how large it must be. It needs no table; a noise file
gives it the numbers of your own tests.

  plan icc          is the test repeatable?      --expected --width [--sessions]
  plan error        how noisy is it?             --within or --upper [--sessions]
  plan correlation  does it go with speed?       --expected --width
  plan change       did the group change?        --effect --sd [--power]
  plan programme    what did the block add?      --effect --sd [--r] [--power]
  plan design       how often to test one athlete, so that a change of --target
                    shows?                       --noise --measure --target

Each is planned for the interval or the test that the other commands make, and
the curve shows what more or fewer would do. --simulate N draws N such studies
and analyses each: a check of the formula.`,
		Example: `  noisefloor plan icc --expected 0.85 --width 0.2 --sessions 2
  noisefloor plan programme --effect 2 --sd 5 --noise noise.json --measure side_throw_speed.left
  noisefloor plan design --noise noise.json --measure side_throw_speed.left --target 3`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return usage("plan what? One of %s", strings.Join(study.Plans(), ", "))
			}
			return nil
		},
		ValidArgs: study.Plans(),
		RunE: func(cmd *cobra.Command, args []string) error {
			r.About, r.RKnown = args[0], cmd.Flags().Changed("r")
			return ask(s, cmd, &r, out, "")
		},
	}
	fl := cmd.Flags()
	fl.Float64Var(&r.Expected, "expected", 0, "the ICC or r that is `expected`")
	fl.Float64Var(&r.Width, "width", 0, "`width` that its interval may have")
	fl.Float64Var(&r.Within, "within", 0, "`factor` to which the typical error is to be known (default 1.2: about ±20 %)")
	fl.Float64Var(&r.Upper, "upper", 0, "`factor` of the typical error at which its upper limit may lie, in place of --within")
	fl.IntVar(&r.Repeats, "sessions", 0, "`sessions` of each athlete (default 2)")
	fl.Float64Var(&r.Effect, "effect", 0, "mean `change`, or difference between the arms, to be seen")
	fl.Float64Var(&r.SD, "sd", 0, "`SD` of the changes (change), of the scores within an arm (programme)")
	fl.Float64Var(&r.R, "r", 0, "`correlation` of the scores before and after, over the length of the programme")
	fl.Float64Var(&r.Target, "target", 0, "`change` of one athlete to be seen, in the unit (in percent on the log scale)")
	fl.StringVar(&r.Noise, "noise", "", "noise `file` of a reliability study")
	fl.StringVar(&r.Measure, "measure", "", "`test` of the noise file")
	grouped(fl, groupAnalysis, func(fl *pflag.FlagSet) {
		fl.StringVar(&r.Group, "group", "", "`level` of the noise file (default: all athletes)")
		fl.Var((*level)(&r.Power), "power", "`power`: the share of studies, or retests, that see it (default 0.8)")
		fl.Var((*level)(&r.Confidence), "confidence", "`level` of intervals (default 0.95)")
		fl.IntVar(&r.Simulate, "simulate", 0, "draw so many `studies` and analyse them")
		fl.Uint64Var(&r.Seed, "seed", 1, "`seed` of --simulate")
	})
	out.register(cmd)
	return cmd
}

func planView(o study.Outcome, a reports.About) reports.View {
	r, p := o.Request.(*study.Plan), o.Result.(*study.PlanResult)
	v := reports.Plan{About: a, Topic: r.About, Plan: p.Plan, Sessions: p.Sessions, Trials: p.Trials, Unit: p.Unit, Measure: r.Measure,
		Noise: p.Noise, RFrom: p.RFrom, Groups: p.Groups, RCurve: p.RCurve, Designs: p.Designs, Seen: p.Seen, Low: p.Low, High: p.High, Best: p.Best,
		Never: p.Never,
		Wish: reports.Wish{Expected: r.Expected, Width: r.Width, Upper: r.Upper, Within: r.Within, Effect: r.Effect, SD: r.SD, R: r.R,
			Power: r.Power, Target: r.Target}}
	if s := p.Simulated; s != nil {
		v.Simulated = &reports.PlanSimulated{Estimate: s.Estimate, StandardError: s.StandardError, Formula: s.Formula, Studies: s.Studies}
	}
	return v
}
