package cli

import (
	"errors"
	"fmt"
	"io"
	"slices"

	"github.com/spf13/cobra"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/internal/cohort"
	"noisefloor/internal/noisefile"
	"noisefloor/internal/outfile"
	"noisefloor/reports"
)

type reliabilityOptions struct {
	table      tableFlags
	output     outputFlags
	worthwhile worthwhile
	by         string
	pair       []string
	replicates int
	bootstrap  bool
	saveNoise  string
	path       string
}

func newReliability(s streams) *cobra.Command {
	var o reliabilityOptions
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
		RunE: func(_ *cobra.Command, args []string) error {
			o.path = args[0]
			if err := errors.Join(o.table.check(), o.output.check(), checkReplicates(o.replicates)); err != nil {
				return err
			}
			return work(runReliability(s, o))
		},
	}
	o.table.register(cmd)
	o.table.registerScale(cmd)
	o.output.register(cmd)
	o.worthwhile.register(cmd)
	fl := cmd.Flags()
	fl.StringSliceVar(&o.table.sessions, "sessions", nil, "`sessions` to use; they stay in the order of time (default: all)")
	fl.StringVar(&o.by, "by", "", "`column` of groups: each on its own too (default: the level column, for the tests between groups only; none: no groups)")
	fl.StringSliceVar(&o.pair, "agreement", nil, "the two `sessions` whose agreement is shown (default: the last two)")
	fl.BoolVar(&o.bootstrap, "bootstrap", false, "also BCa bootstrap intervals of the intraclass correlations")
	fl.IntVar(&o.replicates, "replicates", 2000, "`number` of bootstrap resamples")
	fl.StringVar(&o.saveNoise, "save-noise", "", "write the noise of each test to a `file` for retest")
	return cmd
}

func runReliability(s streams, o reliabilityOptions) error {
	t, err := o.table.load(s, o.path, o.output.quiet)
	if err != nil {
		return err
	}
	v, models, err := reliabilityOf(t, o)
	if err != nil {
		return err
	}
	if len(v.Measures) == 0 {
		if t.NoSessionColumn {
			return fmt.Errorf("reliability needs sessions, and no column was taken for them: name it with --column session=NAME")
		}
		return errors.New(v.Answer()[0])
	}
	if o.saveNoise == "" {
		return o.output.deliver(s, v, v.About.Input, o.settings(t))
	}
	file, err := noiseFile(o, v, models)
	if err != nil {
		return err
	}
	return o.output.deliver(s, v, v.About.Input, o.settings(t), file)
}

// noiseFile renders the noise for later retests.
func noiseFile(o reliabilityOptions, v reports.Reliability, models noisefile.File) (outfile.File, error) {
	models.Measures = slices.DeleteFunc(models.Measures, func(m noise.Model) bool { return !(m.TypicalError > 0) })
	if len(models.Measures) == 0 {
		return outfile.File{}, fmt.Errorf("%s: no test has a typical error above zero to save", o.saveNoise)
	}
	models.Settings = map[string]any{"version": v.About.Version, "confidence": v.About.Confidence, "worthwhile": v.About.Worthwhile}
	models.CreatedFrom = noisefile.Origin{Path: v.About.Input.Path, SHA256: v.About.Input.SHA256, Rows: v.About.Input.Rows}
	return outfile.NewFile(o.saveNoise, func(w io.Writer) error { return noisefile.Write(w, models) })
}

// reliabilityOf analyses every measure, and again each group on its own.
func reliabilityOf(t *cohort.Table, o reliabilityOptions) (reports.Reliability, noisefile.File, error) {
	v := reports.Reliability{About: o.about(t), AllSessions: len(o.table.sessions) == 0}
	var file noisefile.File
	measures, err := o.table.tests(t)
	if err != nil {
		return v, file, err
	}
	if o.pair != nil && len(o.pair) != 2 {
		return v, file, usage("--agreement wants two sessions, such as 1,2")
	}
	for _, text := range o.table.caveats(t, measures) {
		v.About.Caveats = append(v.About.Caveats, caveat.New(reports.TableCaveat).With(text))
	}
	groups, err := o.groups(t, &v.About)
	if err != nil {
		return v, file, err
	}
	set := o.settings(t)
	set.By = v.About.By
	v.About.Settings = set
	for _, m := range measures {
		scores, err := o.table.scores(t, m)
		if err != nil {
			return v, file, err
		}
		a, err := o.options(t, m, scores)
		if err != nil {
			return v, file, err
		}
		a.Group = groups
		r, err := reliability.Analyse(scores, a)
		if err != nil {
			v.Failed = append(v.Failed, reports.Failed{Measure: label(m), Reason: err.Error()})
			continue
		}
		v.Measures = append(v.Measures, reports.ReliabilityMeasure{Measure: m.Name, Label: label(m), Unit: m.Unit, Result: r})
		model := noiseModel(r, m.Name, m.Unit, score.Summary(o.table.score), noiseSource(t), digests(t, m))
		file.Measures = append(file.Measures, model)
		a.Group = nil
		if o.by != "" && o.by != "none" {
			addGroups(&v, m, scores, groups, a)
		}
	}
	return v, file, nil
}

// groups are those of --by, else of the level column when it says one level
// for each athlete: pooled numbers over levels want that warning.
func (o reliabilityOptions) groups(t *cohort.Table, set *reports.About) ([]string, error) {
	switch o.by {
	case "none":
		set.By = ""
		return nil, nil
	case "":
	default:
		return t.AthleteTexts(o.by)
	}
	for _, a := range t.Attributes {
		if a.Role != "level" {
			continue
		}
		if groups, err := t.AthleteTexts(a.Name); err == nil && distinct(groups) > 1 {
			set.By = a.Name
			return groups, nil
		}
	}
	return nil, nil
}

// distinct counts the groups that are named.
func distinct(groups []string) int {
	seen := map[string]bool{}
	for _, g := range groups {
		if g != "" {
			seen[g] = true
		}
	}
	return len(seen)
}

func checkReplicates(n int) error {
	if n < 200 || n > 1_000_000 {
		return usage("--replicates %d: want 200 to 1000000; fewer resamples make no interval", n)
	}
	return nil
}

// addGroups analyses the athletes of each group on their own.
func addGroups(v *reports.Reliability, m *cohort.Measure, scores score.Table, groups []string, a reliability.Options) {
	names := slices.Compact(slices.Sorted(slices.Values(groups)))
	for _, g := range names {
		if g == "" {
			continue
		}
		var rows []int
		for i, name := range groups {
			if name == g {
				rows = append(rows, i)
			}
		}
		b := a
		b.Attempts = nil // the components of a group are for a study of its own: --where
		if a.Worthwhile.Outcome != nil {
			b.Worthwhile.Outcome = pick(a.Worthwhile.Outcome, rows)
		}
		r, err := reliability.Analyse(scores.Rows(rows), b)
		if err != nil {
			v.Failed = append(v.Failed, reports.Failed{Measure: label(m), Group: g, Reason: err.Error()})
			continue
		}
		v.Measures = append(v.Measures, reports.ReliabilityMeasure{Measure: m.Name, Label: label(m), Unit: m.Unit, Group: g, Result: r})
	}
}

func pick(x []float64, rows []int) []float64 {
	out := make([]float64, len(rows))
	for i, r := range rows {
		out[i] = x[r]
	}
	return out
}

// options are those of one measure.
func (o reliabilityOptions) options(t *cohort.Table, m *cohort.Measure, scores score.Table) (reliability.Options, error) {
	scale := o.table.scaleOf(m)
	w, err := o.worthwhile.of(t, m, scores, scale, o.table)
	if err != nil {
		return reliability.Options{}, err
	}
	a := reliability.Options{Level: float64(o.table.confidence), Scale: scale, Worthwhile: w, Seed: o.table.seed, Replicates: o.replicates, Bootstrap: o.bootstrap}
	a.Missing = o.table.absent()
	if o.table.score == string(score.Mean) {
		attempts := o.table.attempts(t, m)
		a.Attempts = &attempts
	}
	if len(o.pair) == 2 {
		a.Pair = [2]string{o.pair[0], o.pair[1]}
	}
	return a, nil
}

// about says where the numbers come from; its settings are those of version 1
// until the resolved request takes their place.
func (o reliabilityOptions) about(t *cohort.Table) reports.About {
	set := o.settings(t)
	return reports.About{Version: set.Version, Input: input(t), Settings: set, Confidence: set.Confidence, Score: set.Score,
		Missing: set.Missing, By: set.By, Worthwhile: set.Worthwhile, Seed: set.Seed, Replicates: set.Replicates}
}

// noiseModel is the noise of a result, with the basis of its worthwhile change
// in words.
func noiseModel(r reliability.Result, measure, unit string, summary score.Summary, source string, digests []string) noise.Model {
	m := reliability.Noise(r, measure, unit, summary, source, digests)
	if m.WorthwhileBasis != "" {
		m.WorthwhileBasis = reports.WorthwhileWords(r.Worthwhile)
	}
	return m
}

func (o reliabilityOptions) settings(t *cohort.Table) reports.Settings {
	set := o.table.settings()
	set.Sessions, set.By, set.Worthwhile, set.Missing = t.Sessions, o.by, o.worthwhile.words(t), o.table.missingSessions
	set.Replicates = o.replicates
	return set
}

func noiseSource(t *cohort.Table) string {
	return fmt.Sprintf("%s of %s", sessionList(t.Sessions), input(t).Path)
}

func sessionList(s []string) string {
	if len(s) == 1 {
		return "session " + s[0]
	}
	out := "sessions "
	for i, name := range s {
		if i > 0 {
			out += ", "
		}
		out += name
	}
	return out
}

// digests are those of every session of the table.
func digests(t *cohort.Table, m *cohort.Measure) []string {
	out := make([]string, len(t.Sessions))
	for i := range out {
		out[i] = m.SessionDigest(i)
	}
	return out
}
