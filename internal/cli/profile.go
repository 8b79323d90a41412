package cli

import (
	"fmt"
	"io"

	"github.com/spf13/pflag"

	"noisefloor/analysis/profile"
	"noisefloor/internal/outfile"
	"noisefloor/internal/study"

	"github.com/spf13/cobra"
)

func newProfile(s streams) *cobra.Command {
	var r study.Profile
	var out outputFlags
	var rules string
	cmd := &cobra.Command{
		Use:   "profile TABLE",
		Short: "Where do athletes stand, and what do they need?",
		Long: `profile reads one session of each athlete: where the tests stand among the
athlete's own level and in the whole cohort, the difference between the sides,
the gain from a countermovement, power against quickness, the range from
strength to speed, regions and planes. An index is clear or possible where it
lies past its threshold by more than the noise, counting how many were looked
at; everything else is inside the noise, and is said to be.

What a test is (side, pair, countermovement, quickness, load, region, quality)
stands in the dictionary. The thresholds and their words stand in one file of
rules; --write-rules FILE writes that of the program, --rules FILE reads one of
yours in its place. They are common practice, with no source.

The noise comes from where retest takes it. --set-aside leaves tests out for an
athlete, with the reason: a test, a pattern or a region of the body.

The answer is no diagnosis and no prescription. A low, painful or one-sided
shoulder, back or hip goes to a licensed clinician first.`,
		Example: `  noisefloor profile tests.csv --noise-from 1,2
  noisefloor profile tests.csv --noise noise.json --athlete C43 --set-aside 'C43:lower=history of low back pain'
  noisefloor profile tests.csv --noise-from 1,2 --out profiles`,
		Args: tableOrRules(&rules),
		RunE: func(cmd *cobra.Command, args []string) error {
			if rules != "" {
				return work(writeRules(s, rules, out.force))
			}
			r.Table.Path = args[0]
			return ask(s, cmd, &r, out, "")
		},
	}
	fl := cmd.Flags()
	fl.StringSliceVar(&r.Athletes, "athlete", nil, "profile these `athletes`: codes, or globs such as 'B*'; repeatable "+
		"(default: all)")
	fl.StringVar(&r.Session, "session", "", "the `session` spoken of (default: the last)")
	fl.StringVar(&r.By, "by", "", "`column` of the groups (default: the level of play; none: the whole cohort alone)")
	registerNoise(fl, &r.Noise, &r.NoiseFrom, &r.TypicalErrors)
	fl.Var((*setAsides)(&r.SetAside), "set-aside", "leave tests out for an athlete, `ATHLETE:TEST=REASON`, such as "+
		"'C43:lower=history of low back pain'; repeatable")
	grouped(fl, groupAnalysis, func(fl *pflag.FlagSet) {
		fl.StringVar(&r.AsideColumn, "set-aside-column", "", "`column` that says so of each athlete: TESTS=REASON; TESTS=REASON")
		fl.StringVar(&r.Rules, "rules", "", "`file` of rules in place of the program's")
		fl.StringVar(&rules, "write-rules", "", "write the program's rules to a `file`, to be changed, and stop")
		fl.Float64Var(&r.OlderThan, "older-than", 0, "name tests to be done again whose last score is older than so many `days`")
	})
	registerCommon(cmd, &r.Common, true)
	out.register(cmd)
	return cmd
}

// tableOrRules wants the table, but not where only the rules are to be written.
func tableOrRules(rules *string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if *rules != "" && len(args) == 0 {
			return nil
		}
		return oneTable(cmd, args)
	}
}

func writeRules(s streams, name string, force bool) error {
	f, err := outfile.NewFile(name, func(w io.Writer) error {
		_, err := w.Write(profile.DefaultRulesText())
		return err
	})
	if err != nil {
		return err
	}
	if err := f.Check(force); err != nil {
		return err
	}
	if err := f.Write(force); err != nil {
		return err
	}
	_, err = fmt.Fprintf(s.err, "wrote %s: change thresholds and words there, and give it to profile --rules\n", name)
	return err
}

// setAsides are those given on the command line.
type setAsides []study.SetAside

// Set implements the flag.
func (a *setAsides) Set(s string) error {
	one, err := study.ParseSetAside(s)
	*a = append(*a, one)
	return err
}

// String implements the flag.
func (a *setAsides) String() string { return "" }

// Type implements the flag.
func (a *setAsides) Type() string { return "setAsideArray" }
