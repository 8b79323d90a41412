package cli

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"noisefloor/internal/study"
)

// The groups that help lists flags in, in this order. Those that matter first
// carry no annotation.
const (
	groupTable    = "How the table is read"
	groupPart     = "Which part of it is used"
	groupAnalysis = "How the numbers are made"
	groupOutput   = "What is written"
	groupKey      = "group"
)

// grouped registers flags and files them under a group of the help.
func grouped(fl *pflag.FlagSet, group string, register func(*pflag.FlagSet)) {
	own := pflag.NewFlagSet(group, pflag.ContinueOnError)
	register(own)
	own.VisitAll(func(f *pflag.Flag) {
		f.Annotations = map[string][]string{groupKey: {group}}
		fl.AddFlag(f)
	})
}

// A question is how help speaks of a command that asks one.
type question struct {
	Use, Short, Long, Example string
	Scaled                    bool // it has --scale
}

// command makes the command of a question: its own flags by own, then those that
// every question has.
func (q question) command(s streams, r study.Request, own func(*pflag.FlagSet)) *cobra.Command {
	var out outputFlags
	c := study.CommonOf(r)
	cmd := &cobra.Command{Use: q.Use + " TABLE", Short: q.Short, Long: q.Long, Example: q.Example, Args: oneTable,
		RunE: func(cmd *cobra.Command, args []string) error {
			c.Table.Path = args[0]
			return ask(s, cmd, r, out, "")
		}}
	own(cmd.Flags())
	registerCommon(cmd, c, q.Scaled)
	out.register(cmd)
	return cmd
}

// registerCommon binds the flags that every question has to its request.
func registerCommon(cmd *cobra.Command, c *study.Common, scaled bool) {
	fl := cmd.Flags()
	fl.StringSliceVar(&c.Measures, "measure", nil, "only these `measures`: names, or globs such as 'throw*'; "+
		"repeatable")
	grouped(fl, groupTable, func(fl *pflag.FlagSet) { registerTable(fl, &c.Table) })
	grouped(fl, groupPart, func(fl *pflag.FlagSet) {
		fl.StringArrayVar(&c.Table.Where, "where", nil, "only rows that meet a `condition` such as 'level=academy' "+
			"or 'age>=16'; repeatable, all must hold")
	})
	grouped(fl, groupAnalysis, func(fl *pflag.FlagSet) { registerAnalysis(fl, c, scaled) })
}

func registerTable(fl *pflag.FlagSet, t *study.Table) {
	fl.Var((*roles)(&t.Columns), "column", "the column of a role, `ROLE=NAME` (athlete, session, trial, measure, "+
		"side, value, level, group, dominant); repeatable")
	fl.StringArrayVar(&t.Attributes, "attribute", nil, "a further `column` that describes athletes and is not a "+
		"measure; repeatable")
	fl.StringVar(&t.Dictionary, "dictionary", "", "data dictionary `file` (default: datapackage.json beside the table)")
	fl.BoolVar(&t.NoDictionary, "no-dictionary", false, "ignore a dictionary beside the table")
	fl.StringVar(&t.Encoding, "encoding", "", "`name` of the text encoding: utf-8, utf-16, utf-16le, utf-16be, "+
		"windows-1252")
	fl.Var((*delimiter)(&t.Delimiter), "delimiter", "`character` between cells: , ; | or tab")
	fl.StringVar(&t.Decimal, "decimal", "", "decimal `mark`: . or ,")
	fl.StringVar(&t.Sheet, "sheet", "", "`name` of the sheet of a workbook")
	fl.StringArrayVar(&t.Missing, "missing", nil, "a further `text` that stands for a missing value; repeatable")
}

func registerAnalysis(fl *pflag.FlagSet, c *study.Common, scaled bool) {
	fl.StringSliceVar(&c.Lower, "lower", nil, "`measures` where less is better (names or globs); all others then "+
		"count as more is better (default: the dictionary's)")
	fl.StringVar(&c.Score, "score", "", "`summary` that makes the attempts of a session its score: mean (default), "+
		"best, median or first")
	fl.StringVar(&c.Missing, "missing-sessions", "", "`way` to take athletes that lack a session when the noise is "+
		"worked out: all (default; every score counts, by REML) or complete (leave them out)")
	if scaled {
		fl.StringVar(&c.Scale, "scale", "", "`scale` of the analysis: raw, log, or auto (default: the "+
			"dictionary's, else raw)")
	}
	fl.Var((*level)(&c.Confidence), "confidence", "`level` of the intervals, such as 0.95 (default) or 90%")
	c.Seed = 1
	fl.Uint64Var(&c.Seed, "seed", 1, "`number` that starts the random numbers of resampling")
}

func registerWorthwhile(fl *pflag.FlagSet, c *study.Common) {
	fl.Var((*basis)(&c.Worthwhile), "worthwhile", "the smallest worthwhile change: a `basis`; "+
		"true:0.2 (of the between-athlete SD freed of error; the default), observed:0.2 (of the observed SD), "+
		"fixed:15 (in the measure's unit; percent on the log scale), outcome:NAME:1 (the change that goes with 1 "+
		"unit of an outcome)")
}

func registerReplicates(fl *pflag.FlagSet, c *study.Common) {
	fl.IntVar(&c.Replicates, "replicates", 0, "`number` of bootstrap resamples (default 2000)")
}

// A level is a confidence level, written 0.95, 95 or 95%.
type level float64

// Set implements the flag.
func (l *level) Set(s string) error {
	text, percent := strings.CutSuffix(strings.TrimSpace(s), "%")
	text = strings.TrimSpace(text)
	x, err := strconv.ParseFloat(text, 64)
	if percent || x > 1 {
		x, err = strconv.ParseFloat(text+"e-2", 64) // so that 99.9 is 0.999 to the last bit
	}
	if err != nil || !(x >= 0.5 && x < 1) {
		return fmt.Errorf("want a level from 0.5 to below 1, such as 0.95 or 90%%")
	}
	*l = level(x)
	return nil
}

// String implements the flag.
func (l *level) String() string {
	if *l == 0 {
		return ""
	}
	return strconv.FormatFloat(float64(*l), 'g', -1, 64)
}

// Type implements the flag.
func (l *level) Type() string { return "level" }

// A basis is where the smallest worthwhile change comes from.
type basis string

// Set implements the flag.
func (b *basis) Set(s string) error {
	w, err := study.ParseWorthwhile(s)
	if err == nil && w.Basis == study.InUnit {
		err = fmt.Errorf("want true:0.2, observed:0.2, fixed:VALUE or outcome:NAME:CHANGE")
	}
	*b = basis(s)
	return err
}

// String implements the flag.
func (b *basis) String() string { return string(*b) }

// Type implements the flag.
func (b *basis) Type() string { return "basis" }

// roles are pairs of a role and its column.
type roles map[string]string

// Set implements the flag.
func (r *roles) Set(s string) error {
	role, name, ok := strings.Cut(s, "=")
	role, name = strings.TrimSpace(role), strings.TrimSpace(name)
	if !ok || role == "" || name == "" {
		return fmt.Errorf("want ROLE=NAME, such as athlete=Code")
	}
	if *r == nil {
		*r = roles{}
	}
	if old, twice := (*r)[role]; twice && old != name {
		return fmt.Errorf("the role %s is given twice, %q and %q", role, old, name)
	}
	(*r)[role] = name
	return nil
}

// String implements the flag.
func (r *roles) String() string { return "" }

// Type implements the flag.
func (r *roles) Type() string { return "pairArray" }

// A delimiter may be written as a word.
type delimiter string

// Set implements the flag.
func (d *delimiter) Set(s string) error {
	if s == "tab" || s == `\t` {
		s = "\t"
	}
	*d = delimiter(s)
	return nil
}

// String implements the flag.
func (d *delimiter) String() string { return string(*d) }

// Type implements the flag.
func (d *delimiter) Type() string { return "character" }

// once makes every flag that holds one value refuse a second one: which of two
// sheets was meant is not for the program to guess.
func once(cmd *cobra.Command) {
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		if t := f.Value.Type(); !strings.HasSuffix(t, "Slice") && !strings.HasSuffix(t, "Array") && t != "bool" {
			f.Value = &single{Value: f.Value}
		}
	})
}

// A single is a flag that can be given once.
type single struct {
	pflag.Value
	given bool
	first string
}

// Set implements the flag.
func (s *single) Set(text string) error {
	if s.given && text != s.first {
		return fmt.Errorf("given twice, %q and %q: one is taken", s.first, text)
	}
	s.given, s.first = true, text
	return s.Value.Set(text)
}
