package cli

import (
	"errors"
	"fmt"
	"io"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/internal/cohort"
	"noisefloor/reports"
	"noisefloor/reports/table"
)

// tableFlags say how to read and narrow the table.
type tableFlags struct {
	columns, attributes, missing        []string
	dictionary                          string
	noDictionary                        bool
	encoding, delimiter, decimal, sheet string
	measures, where, sessions, lower    []string
	score, scale, missingSessions       string
	confidence                          level
	seed                                uint64
}

func (f *tableFlags) register(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.StringArrayVar(&f.columns, "column", nil, "the column of a role, `ROLE=NAME` (athlete, session, trial, measure, side, value, level, group, dominant); repeatable")
	fl.StringArrayVar(&f.attributes, "attribute", nil, "a further `column` that describes athletes and is not a measure; repeatable")
	fl.StringVar(&f.dictionary, "dictionary", "", "data dictionary `file` (default: datapackage.json beside the table)")
	fl.BoolVar(&f.noDictionary, "no-dictionary", false, "ignore a dictionary beside the table")
	fl.StringVar(&f.encoding, "encoding", "", "`name` of the text encoding: utf-8, utf-16, utf-16le, utf-16be, windows-1252")
	fl.StringVar(&f.delimiter, "delimiter", "", "`character` between cells (, ; | or tab)")
	fl.StringVar(&f.decimal, "decimal", "", "decimal `mark`: . or ,")
	fl.StringVar(&f.sheet, "sheet", "", "`name` of the sheet of a workbook")
	fl.StringArrayVar(&f.missing, "missing", nil, "a further `text` that stands for a missing value; repeatable")
	fl.StringSliceVar(&f.measures, "measure", nil, "only these measures, `names` or globs such as 'throw*'; repeatable")
	fl.StringSliceVar(&f.lower, "lower", nil, "`measures` where less is better (names or globs); all others then count as more is better (default: the dictionary's)")
	fl.StringArrayVar(&f.where, "where", nil, "only rows that meet a `condition` such as 'level=academy' or 'age>=16'; repeatable, all must hold")
	fl.StringVar(&f.score, "score", "mean", "`summary` that makes the attempts of a session its score: mean, best, median or first")
	fl.StringVar(&f.missingSessions, "missing-sessions", "all", "`way` to take athletes that lack a session when the noise is worked out: all (every score counts, by REML) or complete (leave them out)")
	f.confidence = 0.95
	fl.Var(&f.confidence, "confidence", "`level` of the intervals, such as 0.95 or 90%")
	fl.Uint64Var(&f.seed, "seed", 1, "`number` that starts the random numbers of resampling")
}

// registerScale adds the flag of the scale for the commands that have one.
func (f *tableFlags) registerScale(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.scale, "scale", "auto", "`scale` of the analysis: raw, log, or auto (the dictionary's, else raw)")
}

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

// check refuses values that make no sense before any work is done.
func (f *tableFlags) check() error {
	if !slices.Contains([]score.Summary{score.Mean, score.Best, score.Median, score.First}, score.Summary(f.score)) {
		return usage("--score %q: mean, best, median or first", f.score)
	}
	if f.scale != "auto" && f.scale != string(score.Raw) && f.scale != string(score.Log) {
		return usage("--scale %q: raw, log or auto", f.scale)
	}
	if f.missingSessions != "all" && f.missingSessions != "complete" {
		return usage("--missing-sessions %q: all or complete", f.missingSessions)
	}
	if f.dictionary != "" && f.noDictionary {
		return usage("--dictionary and --no-dictionary exclude each other")
	}
	if f.delimiter == "tab" || f.delimiter == `\t` {
		f.delimiter = "\t"
	}
	return nil
}

// load reads the table and narrows it.
func (f *tableFlags) load(s streams, path string, quiet bool) (*cohort.Table, error) {
	t, err := f.read(s, path, quiet)
	if err != nil {
		return nil, err
	}
	return f.narrow(t)
}

// read reads the table and says what was taken for what.
func (f *tableFlags) read(s streams, path string, quiet bool) (*cohort.Table, error) {
	columns := map[string]string{}
	for _, c := range f.columns {
		role, name, ok := strings.Cut(c, "=")
		if !ok || role == "" || name == "" {
			return nil, usage("--column %q: want ROLE=NAME, such as athlete=Code", c)
		}
		columns[strings.TrimSpace(role)] = strings.TrimSpace(name)
	}
	t, err := cohort.Open(path, s.in, cohort.Options{
		Columns: columns, Attributes: f.attributes, Dictionary: f.dictionary, NoDictionary: f.noDictionary,
		Encoding: f.encoding, Delimiter: f.delimiter, Decimal: f.decimal, Sheet: f.sheet, Missing: f.missing,
	})
	if err != nil {
		return nil, wrongOption(err)
	}
	if !quiet {
		announce(s.err, t)
	}
	return t, nil
}

func (f *tableFlags) narrow(t *cohort.Table) (_ *cohort.Table, err error) {
	if t, err = f.rows(t); err != nil {
		return nil, err
	}
	if len(f.sessions) > 0 {
		if t, err = t.SelectSessions(f.sessions); err != nil {
			return nil, wrongOption(err)
		}
	}
	return t, nil
}

// rows narrows the table by --where alone.
func (f *tableFlags) rows(t *cohort.Table) (_ *cohort.Table, err error) {
	if len(f.where) > 0 {
		if t, err = t.Where(f.where); err != nil {
			return nil, wrongOption(err)
		}
	}
	return t, nil
}

// wrongOption makes an option that no table can meet an error of the command
// line.
func wrongOption(err error) error {
	if o := (*cohort.OptionError)(nil); errors.As(err, &o) {
		return usage("%v", err)
	}
	return err
}

// announce says on standard error what was read and how it was understood.
func announce(w io.Writer, t *cohort.Table) {
	fmt.Fprintf(w, "%s: %s, %s, %s, %s, %s\n", table.Clean(t.Source.Path), t.Source.Format, counted(t.Source.Rows, "row"),
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

// input describes the table for reports. A path that starts at the root of
// the machine is cut to the file's name: reports travel.
func input(t *cohort.Table) reports.Input {
	in := reports.Input{Path: filepath.ToSlash(t.Source.Path), SHA256: t.Source.SHA256, Rows: t.Source.Rows, Taken: t.Taken, Notes: t.Notes}
	if filepath.IsAbs(t.Source.Path) {
		in.Path = filepath.Base(t.Source.Path)
	}
	in.Taken, in.Notes = named(t, in.Taken), named(t, in.Notes)
	for _, l := range t.LeftOut {
		if t.Source.Layout == "wide" {
			l.Reason += " (cells of a wide table)"
		}
		in.LeftOut = append(in.LeftOut, reports.LeftOut{Reason: l.Reason, Rows: l.Rows})
	}
	return in
}

// named cuts such paths of the table and its dictionary in sentences too.
func named(t *cohort.Table, sentences []string) []string {
	var out []string
	for _, s := range sentences {
		for _, path := range []string{t.Source.Path, t.Dictionary.Path} {
			if filepath.IsAbs(path) {
				s = strings.ReplaceAll(s, path, filepath.Base(path))
			}
		}
		out = append(out, s)
	}
	return out
}

// settings are the choices common to all commands.
func (f *tableFlags) settings() reports.Settings {
	return reports.Settings{Version: version(), Confidence: float64(f.confidence), Score: f.score, Scale: f.scale,
		Sessions: f.sessions, Measures: f.measures, Where: f.where, Seed: f.seed}
}

// attempts hands the columns of a measure over to the analysis.
func (f *tableFlags) attempts(t *cohort.Table, m *cohort.Measure) score.Attempts {
	return score.Attempts{Athletes: t.Athletes, Sessions: t.Sessions, Athlete: m.Athlete, Session: m.Session, Trial: m.Trial, Value: m.Value}
}

// absent is what the analysis does with athletes that lack a session.
func (f *tableFlags) absent() reliability.Missing {
	if f.missingSessions == "complete" {
		return reliability.CompleteCases
	}
	return reliability.AllScores
}

// scores makes the session scores of a measure.
func (f *tableFlags) scores(t *cohort.Table, m *cohort.Measure) (score.Table, error) {
	return score.Summarise(f.attempts(t, m), score.Summary(f.score), f.better(t, m))
}

// better is what --lower says, else the dictionary; without either nobody
// said which way a measure improves.
func (f *tableFlags) better(t *cohort.Table, m *cohort.Measure) score.Direction {
	if len(f.lower) > 0 {
		if slices.ContainsFunc(f.lower, func(glob string) bool { ok, _ := path.Match(glob, m.Name); return ok }) {
			return score.Lower
		}
		return score.Higher
	}
	_, described := t.Dictionary.Measure(m.Name)
	switch {
	case m.Better == "lower":
		return score.Lower
	case m.Better == "higher", described:
		return score.Higher
	}
	return score.Unknown
}

// scaleOf returns the scale of a measure: the flag's, else the dictionary's, else raw.
func (f *tableFlags) scaleOf(m *cohort.Measure) score.Scale {
	switch {
	case f.scale != "auto":
		return score.Scale(f.scale)
	case m.Scale == string(score.Log):
		return score.Log
	}
	return score.Raw
}

func label(m *cohort.Measure) string {
	if m.Label != "" {
		return m.Label
	}
	return m.Name
}

func labels(t *cohort.Table) map[string]string {
	out := map[string]string{}
	for _, m := range t.Measures {
		out[m.Name] = label(m)
	}
	return out
}

// tests returns the measures a command looks at: those named, else all but
// the covariates.
func (f *tableFlags) tests(t *cohort.Table) ([]*cohort.Measure, error) {
	if len(f.measures) > 0 {
		chosen, err := t.SelectMeasures(f.measures)
		if err != nil {
			return nil, err
		}
		return chosen.Measures, nil
	}
	return slices.DeleteFunc(slices.Clone(t.Measures), func(m *cohort.Measure) bool { return m.Role == "covariate" }), nil
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
func (l *level) String() string { return strconv.FormatFloat(float64(*l), 'g', -1, 64) }

// Type implements the flag.
func (l *level) Type() string { return "level" }

// caveats are what the reader of the results should know of how the table was
// understood.
func (f *tableFlags) caveats(t *cohort.Table, measures []*cohort.Measure) []string {
	var out []string
	if f.score == string(score.Best) {
		var names []string
		for _, m := range measures {
			if f.better(t, m) == score.Unknown {
				names = append(names, m.Name)
			}
		}
		if len(names) > 0 {
			out = append(out, fmt.Sprintf("the best attempt was taken as the highest in %s: nobody said which way is better (--lower NAME, or the dictionary)", strings.Join(names, ", ")))
		}
	}
	return out
}

func (f *tableFlags) directions(t *cohort.Table) map[string]score.Direction {
	out := map[string]score.Direction{}
	for _, m := range t.Measures {
		out[m.Name] = f.better(t, m)
	}
	return out
}
