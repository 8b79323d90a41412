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
	learning   bool
	scoreGiven bool
	study      string        // SHA-256 of the table of the noise file
	whole      *cohort.Table // before --where, to recognise a study's own sessions
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
		Args: oneTable,
		RunE: func(cmd *cobra.Command, args []string) error {
			o.path, o.scoreGiven = args[0], cmd.Flags().Changed("score")
			if err := errors.Join(o.table.check(), o.output.check(), o.check()); err != nil {
				return err
			}
			return work(runRetest(s, o))
		},
	}
	o.table.register(cmd)
	o.table.registerScale(cmd)
	o.output.register(cmd)
	o.worthwhile.register(cmd)
	fl := cmd.Flags()
	fl.StringVar(&o.noise, "noise", "", "noise `file` of a reliability study")
	fl.StringSliceVar(&o.noiseFrom, "noise-from", nil, "`sessions` of this table, with no training between them, that show the noise")
	fl.StringVar(&o.baseline, "baseline", "", "`session` before (default: the mean of the sessions that show the noise, else the first); a+b averages")
	fl.StringSliceVar(&o.followUp, "follow-up", nil, "`sessions` after, each judged on its own (default: all later ones); a+b averages")
	fl.StringSliceVar(&o.athletes, "athlete", nil, "judge only these `athletes`")
	fl.Var(&o.narrow, "narrow", "`level` of the second, narrower interval")
	fl.BoolVar(&o.learning, "learning", false, "add the change to be expected from practice with the test, and the change beyond it")
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
	case o.narrow >= o.table.confidence:
		return usage("--narrow %s: want a level below --confidence %s", o.narrow.String(), o.table.confidence.String())
	}
	return nil
}

func runRetest(s streams, o retestOptions) error {
	whole, err := o.table.read(s, o.path, o.output.quiet)
	if err != nil {
		return err
	}
	t, err := o.table.narrow(whole)
	if err != nil {
		return err
	}
	o.whole = whole
	v, err := retestOf(t, o)
	if err != nil {
		return err
	}
	return o.output.deliver(s, v, v.Input, v.Settings)
}

func retestOf(t *cohort.Table, o retestOptions) (reports.Retest, error) {
	v := reports.Retest{Input: input(t), Labels: labels(t), Better: o.table.directions(t), Runs: o.athletes}
	rows, err := o.rows(t)
	if err != nil {
		return v, err
	}
	models, warnings, err := o.models(t)
	if err != nil {
		return v, err
	}
	baseline, followUp, err := o.occasions(t, o.studied(t, models))
	if err != nil {
		return v, err
	}
	if err := o.refuseOwn(models, baseline, followUp); err != nil {
		return v, err
	}
	o.table.score = scoreOf(models)
	var tests []retest.Test
	judged := make([]*cohort.Measure, len(models))
	for i, m := range models {
		judged[i] = m.measure
	}
	v.Caveats = append(warnings, o.table.caveats(t, judged)...)
	for _, m := range models {
		test, err := o.test(t, m, rows)
		if err != nil {
			return v, err
		}
		test.Baseline, test.FollowUp = baseline, followUp
		tests = append(tests, test)
	}
	v.Result, err = retest.Judge(tests, retest.Options{Level: float64(o.table.confidence), Narrow: float64(o.narrow), Regression: o.regression, Learning: o.learning})
	v.Settings = o.settings(t, baseline, followUp)
	return v, err
}

// refuseOwn refuses noise that a file made from the very sessions that are
// judged, also when --where took another part of the table then or now.
func (o *retestOptions) refuseOwn(models []modelled, baseline []string, followUp [][]string) error {
	if o.noise == "" || o.whole == nil {
		return nil
	}
	for _, m := range models {
		sameTable := m.table != "" && m.table == o.whole.Source.SHA256
		for _, f := range followUp {
			own := func(s string) bool {
				if sameTable && slices.Contains(m.noise.Sessions, s) {
					return true
				}
				whole, err := o.whole.Measure(m.measure.Name)
				if err != nil {
					return false
				}
				d := whole.SessionDigest(slices.Index(o.whole.Sessions, s))
				return d != "" && slices.Contains(m.noise.Digests, d)
			}
			if all(baseline, own) && all(f, own) {
				return fmt.Errorf("%s: %w: session %s and %s are both in the study that made %s; judge a change outside it, or take the noise from other sessions",
					m.measure.Name, retest.ErrOwnNoise, strings.Join(baseline, "+"), strings.Join(f, "+"), filepath.Base(o.noise))
			}
		}
	}
	return nil
}

func all(names []string, f func(string) bool) bool {
	return !slices.ContainsFunc(names, func(s string) bool { return !f(s) })
}

// scoreOf is how the attempts became scores, "" when the tests differ.
func scoreOf(models []modelled) string {
	for _, m := range models {
		if m.noise.Summary != models[0].noise.Summary {
			return ""
		}
	}
	return string(models[0].noise.Summary)
}

// A modelled measure is one with its noise.
type modelled struct {
	measure *cohort.Measure
	noise   noise.Model
	table   string // SHA-256 of the study's table, "" when not known
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
		out = append(out, modelled{m, n, o.study})
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
		if !(result.TypicalError.Value > 0) {
			return noise.Model{}, fmt.Errorf("its typical error in %s is 0: every athlete changed alike", sessionList(study.Sessions))
		}
		return noiseModel(result, m.Name, m.Unit, score.Summary(o.table.score), sessionList(study.Sessions)+" of the same table", digests(study, m)), nil
	}, nil
}

func (o *retestOptions) noiseFromFile(measures []*cohort.Measure) (func(*cohort.Measure) (noise.Model, error), error) {
	file, err := readNoise(o.noise, o.table, o.scoreGiven, measures)
	if err != nil {
		return nil, err
	}
	o.study = file.CreatedFrom.SHA256
	name := filepath.Base(o.noise)
	return func(m *cohort.Measure) (noise.Model, error) {
		n, ok := file.Find(m.Name)
		if !ok {
			return n, fmt.Errorf("%s holds no noise for it", name)
		}
		n.Source = name + ", from " + n.Source
		return n, nil
	}, nil
}

// readNoise reads a noise file and refuses one that does not fit the measures
// and the flags.
func readNoise(path string, flags tableFlags, scoreGiven bool, measures []*cohort.Measure) (noisefile.File, error) {
	f, err := os.Open(path)
	if err != nil {
		return noisefile.File{}, err
	}
	defer f.Close()
	file, err := noisefile.Read(f, path)
	if err != nil {
		return file, err
	}
	name := filepath.Base(path)
	for _, m := range measures {
		n, ok := file.Find(m.Name)
		switch {
		case !ok:
			continue
		case scoreGiven && n.Summary != "" && string(n.Summary) != flags.score:
			return file, usage("--score %s, but %s holds the noise of the %s of the attempts: leave --score out, or make the noise anew", flags.score, name, n.Summary)
		case flags.scale != "auto" && flags.scale != string(n.Scale):
			return file, usage("--scale %s, but %s holds %s on the %s scale: leave --scale out, or make the noise anew", flags.scale, name, m.Name, n.Scale)
		case n.Unit != "" && m.Unit != "" && n.Unit != m.Unit:
			return file, fmt.Errorf("%s: %s is in %s there and in %s in the table", path, m.Name, n.Unit, m.Unit)
		}
	}
	return file, nil
}

// test builds one test for the judge.
func (o *retestOptions) test(t *cohort.Table, m modelled, rows []int) (retest.Test, error) {
	f := o.table
	if m.noise.Summary != "" {
		f.score = string(m.noise.Summary)
	}
	scores, err := f.scores(t, m.measure)
	if err != nil {
		return retest.Test{}, err
	}
	out := retest.Test{Summary: score.Summary(f.score), Measure: m.measure.Name, Unit: m.measure.Unit, Better: o.table.better(t, m.measure), Noise: m.noise, Digests: digests(t, m.measure)}
	if o.noise != "" {
		if out.Worthwhile, err = o.override(m); err != nil {
			return out, err
		}
	}
	if rows != nil {
		scores = scores.Rows(rows)
	}
	out.Scores = scores
	return out, nil
}

// override is the worthwhile change of the flag, else the dictionary's when the
// noise file has none; the file's stands otherwise.
func (o *retestOptions) override(m modelled) (*float64, error) {
	value := o.worthwhile.Value
	switch {
	case o.worthwhile.Basis == reliability.Fixed:
	case o.worthwhile.Basis != "":
		return nil, usage("--worthwhile %s belongs to the reliability study: make the noise file with it; here only fixed:VALUE", o.worthwhile.text)
	case m.noise.Worthwhile > 0 || m.measure.Worthwhile == nil:
		return nil, nil
	default:
		value = *m.measure.Worthwhile
		if m.noise.Scale == score.Log { // the dictionary speaks in the unit, the flag in percent
			value *= 100 / math.Exp(m.noise.Mean)
		}
	}
	if m.noise.Scale == score.Log {
		value = math.Log1p(value / 100)
	}
	return &value, nil
}

// studied are the sessions of this table that showed the noise: those of
// --noise-from, or of the noise file when it was made from this very table.
func (o *retestOptions) studied(t *cohort.Table, models []modelled) []string {
	if o.noise == "" {
		return o.noiseFrom
	}
	var out []string
	for _, s := range models[0].noise.Sessions {
		if models[0].table == t.Source.SHA256 && slices.Contains(t.Sessions, s) {
			out = append(out, s)
		}
	}
	return out
}

// occasions works out which sessions are compared.
func (o *retestOptions) occasions(t *cohort.Table, studied []string) (baseline []string, followUp [][]string, err error) {
	baseline = []string{t.Sessions[0]}
	if len(studied) > 0 {
		baseline = slices.Clone(studied)
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
			if i > last && !slices.Contains(studied, s) {
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

// split takes a+b apart, unless a session has that very name: names may hold
// a plus themselves.
func (o *retestOptions) split(t *cohort.Table, s string) []string {
	if parts := splitNames(t.Sessions, s); parts != nil {
		return parts
	}
	return strings.Split(s, "+")
}

// splitNames returns the names, joined by plus signs, that s is made of; nil
// when it is not.
func splitNames(names []string, s string) []string {
	if slices.Contains(names, s) {
		return []string{s}
	}
	for _, n := range names {
		if rest, ok := strings.CutPrefix(s, n+"+"); ok {
			if parts := splitNames(names, rest); parts != nil {
				return append([]string{n}, parts...)
			}
		}
	}
	return nil
}

// rows are the athletes asked for; nil means all.
func (o *retestOptions) rows(t *cohort.Table) ([]int, error) {
	var rows []int
	for _, a := range o.athletes {
		i := slices.Index(t.Athletes, a)
		if i < 0 {
			return nil, fmt.Errorf("no athlete %q in the table, which has %s", a, someOf(t.Athletes))
		}
		if !slices.Contains(rows, i) {
			rows = append(rows, i)
		}
	}
	return rows, nil
}

// someOf lists the first names of many.
func someOf(names []string) string {
	if len(names) > 8 {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:8], ", "), len(names)-8)
	}
	return strings.Join(names, ", ")
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
			set.Worthwhile = "the noise file's, else the dictionary's"
		}
	}
	return set
}
