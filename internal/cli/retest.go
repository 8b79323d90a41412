package cli

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/internal/cohort"
	"noisefloor/internal/noisefile"
	"noisefloor/reports"
)

type retestOptions struct {
	table      tableFlags
	output     outputFlags
	worthwhile worthwhile
	noise      string
	noiseFrom  []string
	baseline   string
	followUp   []string
	athletes   []string
	narrow     level
	regression bool
	scoreGiven bool
	path       string
}

func newRetest(s streams) *cobra.Command {
	o := retestOptions{narrow: 0.80}
	cmd := &cobra.Command{
		Use:   "retest TABLE",
		Short: "Which changes of single athletes are real?",
		Long: `retest judges the change of every athlete in every test: is it more than
noise, and is it large enough to matter? The two questions are kept apart.

The noise comes from a file that 'reliability --save-noise' wrote, or from
sessions of the same table with no training between them; never from the
sessions that are judged.

Sessions joined by + are averaged: --baseline 1+2 --follow-up 3,4 judges session
3 and session 4, each against the mean of 1 and 2.`,
		Example: `  noisefloor retest tests.csv --noise-from 1,2
  noisefloor retest tests.csv --noise noise.json --baseline 2 --follow-up 3
  noisefloor retest tests.csv --noise-from 1,2 --athlete C07`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.path, o.scoreGiven = args[0], cmd.Flags().Changed("score")
			if err := errors.Join(o.table.check(), o.output.check(), o.check()); err != nil {
				return err
			}
			return work(runRetest(s, o))
		},
	}
	o.table.register(cmd)
	o.output.register(cmd)
	o.worthwhile.register(cmd)
	fl := cmd.Flags()
	fl.StringVar(&o.noise, "noise", "", "noise `file` of a reliability study")
	fl.StringSliceVar(&o.noiseFrom, "noise-from", nil, "`sessions` of this table, with no training between them, that show the noise")
	fl.StringVar(&o.baseline, "baseline", "", "`session` before (default: the mean of all of --noise-from, else the first); a+b averages")
	fl.StringSliceVar(&o.followUp, "follow-up", nil, "`sessions` after, each judged on its own (default: all later ones); a+b averages")
	fl.StringSliceVar(&o.athletes, "athlete", nil, "judge only these `athletes`")
	fl.Var(&o.narrow, "narrow", "`level` of the second, narrower interval")
	fl.BoolVar(&o.regression, "regression", false, "add the change to be expected from regression to the mean, and the change beyond it")
	return cmd
}

func (o retestOptions) check() error {
	switch {
	case o.noise == "" && len(o.noiseFrom) == 0:
		return usage("the noise is missing: --noise FILE (from 'noisefloor reliability --save-noise'), or --noise-from SESSIONS with no training between them")
	case o.noise != "" && len(o.noiseFrom) > 0:
		return usage("--noise and --noise-from exclude each other")
	case len(o.noiseFrom) == 1:
		return usage("--noise-from wants at least two sessions, such as 1,2")
	}
	return nil
}

func runRetest(s streams, o retestOptions) error {
	t, err := o.table.load(s, o.path, o.output.quiet)
	if err != nil {
		return err
	}
	v, err := retestOf(t, o)
	if err != nil {
		return err
	}
	return o.output.deliver(s, v, v.Input, v.Settings)
}

func retestOf(t *cohort.Table, o retestOptions) (reports.Retest, error) {
	v := reports.Retest{Input: input(t), Labels: labels(t), Better: directions(t), Runs: o.athletes}
	baseline, followUp, err := o.occasions(t)
	if err != nil {
		return v, err
	}
	rows, err := o.rows(t)
	if err != nil {
		return v, err
	}
	models, warnings, err := o.models(t)
	if err != nil {
		return v, err
	}
	var tests []retest.Test
	for _, m := range models {
		test, err := o.test(t, m, rows)
		if err != nil {
			return v, err
		}
		test.Baseline, test.FollowUp = baseline, followUp
		tests = append(tests, test)
	}
	v.Result, err = retest.Judge(tests, retest.Options{Level: float64(o.table.confidence), Narrow: float64(o.narrow), Regression: o.regression})
	v.Result.Warnings = append(warnings, v.Result.Warnings...)
	v.Settings = o.settings(t, baseline, followUp)
	return v, err
}

// A modelled measure is one with its noise.
type modelled struct {
	measure *cohort.Measure
	noise   noise.Model
}

// models pairs the measures with their noise and says which have none.
func (o *retestOptions) models(t *cohort.Table) ([]modelled, []string, error) {
	measures, err := o.table.tests(t)
	if err != nil {
		return nil, nil, err
	}
	find, err := o.noiseOf(t, measures)
	if err != nil {
		return nil, nil, err
	}
	var out []modelled
	var warnings []string
	for _, m := range measures {
		n, err := find(m)
		if err != nil {
			warnings = append(warnings, fmt.Sprintf("%s was not judged: %v", label(m), err))
			continue
		}
		out = append(out, modelled{m, n})
	}
	if len(out) == 0 {
		return nil, nil, errors.New("no test could be judged:\n  " + strings.Join(warnings, "\n  "))
	}
	return out, warnings, nil
}

// noiseOf returns a function that gives the noise of a measure.
func (o *retestOptions) noiseOf(t *cohort.Table, measures []*cohort.Measure) (func(*cohort.Measure) (noise.Model, error), error) {
	if o.noise != "" {
		return o.noiseFromFile(measures)
	}
	study, err := t.SelectSessions(o.noiseFrom)
	if err != nil {
		return nil, err
	}
	r := reliabilityOptions{table: o.table, worthwhile: o.worthwhile}
	return func(m *cohort.Measure) (noise.Model, error) {
		m, err := study.Measure(m.Name)
		if err != nil {
			return noise.Model{}, err
		}
		scores, err := o.table.scores(study, m)
		if err != nil {
			return noise.Model{}, err
		}
		a, err := r.options(study, m, scores)
		if err != nil {
			return noise.Model{}, err
		}
		result, err := reliability.Analyse(scores, a)
		if err != nil {
			return noise.Model{}, err
		}
		return reliability.Noise(result, m.Name, m.Unit, score.Summary(o.table.score), sessionList(study.Sessions)+" of the same table", digests(study, m)), nil
	}, nil
}

func (o *retestOptions) noiseFromFile(measures []*cohort.Measure) (func(*cohort.Measure) (noise.Model, error), error) {
	f, err := os.Open(o.noise)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	file, err := noisefile.Read(f, o.noise)
	if err != nil {
		return nil, err
	}
	name := filepath.Base(o.noise)
	for _, m := range measures {
		n, ok := file.Find(m.Name)
		switch {
		case !ok:
			continue
		case o.scoreGiven && string(n.Summary) != o.table.score:
			return nil, usage("--score %s, but %s holds the noise of the %s of the attempts: leave --score out, or make the noise anew", o.table.score, name, n.Summary)
		case o.table.scale != "auto" && o.table.scale != string(n.Scale):
			return nil, usage("--scale %s, but %s holds %s on the %s scale: leave --scale out, or make the noise anew", o.table.scale, name, m.Name, n.Scale)
		case n.Unit != "" && m.Unit != "" && n.Unit != m.Unit:
			return nil, fmt.Errorf("%s: %s is in %s there and in %s in the table", o.noise, m.Name, n.Unit, m.Unit)
		}
	}
	return func(m *cohort.Measure) (noise.Model, error) {
		n, ok := file.Find(m.Name)
		if !ok {
			return n, fmt.Errorf("%s holds no noise for it", name)
		}
		n.Source = name + ", from " + n.Source
		return n, nil
	}, nil
}

// test builds one test for the judge.
func (o *retestOptions) test(t *cohort.Table, m modelled, rows []int) (retest.Test, error) {
	f := o.table
	f.score = string(m.noise.Summary)
	scores, err := f.scores(t, m.measure)
	if err != nil {
		return retest.Test{}, err
	}
	out := retest.Test{Summary: score.Summary(f.score), Measure: m.measure.Name, Unit: m.measure.Unit, Better: better(m.measure), Noise: m.noise, Digests: digests(t, m.measure)}
	if o.noise != "" {
		if out.Worthwhile, err = o.override(t, m, scores); err != nil {
			return out, err
		}
	}
	if rows != nil {
		scores = scores.Rows(rows)
	}
	out.Scores = scores
	return out, nil
}

// override is the worthwhile change that the user or the dictionary fixes; with
// any other basis the noise file's stands.
func (o *retestOptions) override(t *cohort.Table, m modelled, scores score.Table) (*float64, error) {
	if o.worthwhile.Basis != "" && o.worthwhile.Basis != reliability.Fixed {
		return nil, usage("--worthwhile %s belongs to the reliability study: make the noise file with it; here only fixed:VALUE", o.worthwhile.text)
	}
	w, err := o.worthwhile.of(t, m.measure, scores, m.noise.Scale, o.table)
	if err != nil || w.Basis != reliability.Fixed {
		return nil, err
	}
	if m.noise.Scale == score.Log {
		w.Value = math.Log1p(w.Value / 100)
	}
	return &w.Value, nil
}

// occasions works out which sessions are compared.
func (o *retestOptions) occasions(t *cohort.Table) (baseline []string, followUp [][]string, err error) {
	baseline = []string{t.Sessions[0]}
	if len(o.noiseFrom) > 0 {
		baseline = slices.Clone(o.noiseFrom)
	}
	if o.baseline != "" {
		baseline = o.split(t, o.baseline)
	}
	for _, f := range o.followUp {
		followUp = append(followUp, o.split(t, f))
	}
	if len(followUp) == 0 {
		last := slices.Index(t.Sessions, baseline[len(baseline)-1])
		for i, s := range t.Sessions {
			if i > last && !slices.Contains(o.noiseFrom, s) {
				followUp = append(followUp, []string{s})
			}
		}
	}
	if len(followUp) == 0 {
		return nil, nil, fmt.Errorf("no session after %s to judge; the table has %s", strings.Join(baseline, "+"), sessionList(t.Sessions))
	}
	for _, group := range append([][]string{baseline, o.noiseFrom}, followUp...) {
		for _, s := range group {
			if !slices.Contains(t.Sessions, s) {
				return nil, nil, fmt.Errorf("no session %q; the table has %s", s, sessionList(t.Sessions))
			}
		}
	}
	return baseline, followUp, nil
}

// split takes a+b apart, unless a session has that very name.
func (o *retestOptions) split(t *cohort.Table, s string) []string {
	if slices.Contains(t.Sessions, s) {
		return []string{s}
	}
	return strings.Split(s, "+")
}

// rows are the athletes asked for; nil means all.
func (o *retestOptions) rows(t *cohort.Table) ([]int, error) {
	var rows []int
	for _, a := range o.athletes {
		i := slices.Index(t.Athletes, a)
		if i < 0 {
			return nil, fmt.Errorf("no athlete %q in the table", a)
		}
		rows = append(rows, i)
	}
	return rows, nil
}

func (o *retestOptions) settings(t *cohort.Table, baseline []string, followUp [][]string) reports.Settings {
	set := o.table.settings()
	set.Sessions, set.Narrow, set.Baseline, set.Worthwhile = t.Sessions, float64(o.narrow), strings.Join(baseline, "+"), o.worthwhile.words(t)
	for _, f := range followUp {
		set.FollowUp = append(set.FollowUp, strings.Join(f, "+"))
	}
	set.Noise = "sessions " + strings.Join(o.noiseFrom, ", ") + " of the same table"
	if o.noise != "" {
		set.Noise = filepath.Base(o.noise)
		if o.worthwhile.Basis == "" {
			set.Worthwhile = "the dictionary's where it states one, else the noise file's"
		}
	}
	return set
}
