package cli

import (
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"noisefloor/analysis/association"
	"noisefloor/analysis/reliability"
	"noisefloor/internal/cohort"
	"noisefloor/reports"
)

type correlateOptions struct {
	table      tableFlags
	output     outputFlags
	outcome    string
	covariates []string
	by         string
	planes     []string
	noise      string
	study      string
	change     []string
	repeated   bool
	bootstrap  bool
	replicates int
	scoreGiven bool
	studyTable *cohort.Table // of --study
	every      *cohort.Table // before --sessions, for --change
	path       string
}

func newCorrelate(s streams) *cobra.Command {
	var o correlateOptions
	cmd := &cobra.Command{
		Use:   "correlate TABLE",
		Short: "Which tests go with throwing or bat speed?",
		Long: `correlate tells which tests go with an outcome such as throwing or bat speed:
over all athletes, within a level, with covariates held constant, and corrected
for unreliability; and whether rotational tests go with it more closely than
straight-line ones. One row per athlete: the mean over the chosen sessions.`,
		Example: `  noisefloor correlate tests.csv --outcome ball_speed --sessions 1,2
  noisefloor correlate tests.csv --outcome bat_speed --by level --covariate body_mass`,
		Args: oneTable,
		RunE: func(cmd *cobra.Command, args []string) error {
			o.path, o.scoreGiven = args[0], cmd.Flags().Changed("score")
			if err := errors.Join(o.table.check(), o.output.check(), checkReplicates(o.replicates)); err != nil {
				return err
			}
			if n := len(o.change); n != 0 && n != 2 {
				return usage("--change wants two sessions, such as 2,3")
			}
			if o.noise != "" && o.study != "" {
				return usage("--noise and --study exclude each other")
			}
			if len(o.planes) != 2 {
				return usage("--planes wants two planes, such as transverse,sagittal")
			}
			return work(runCorrelate(s, o))
		},
	}
	o.table.register(cmd)
	o.output.register(cmd)
	fl := cmd.Flags()
	fl.StringSliceVar(&o.table.sessions, "sessions", nil, "`sessions` to use (default: all)")
	o.table.scale = "auto"
	fl.StringVar(&o.outcome, "outcome", "", "the `measure` to compare with (default: the dictionary's outcome)")
	fl.StringSliceVar(&o.covariates, "covariate", nil, "hold this `column` or measure constant; repeatable")
	fl.StringVar(&o.by, "by", "", "`column` of the levels for the within-level analysis (default: the level column; none: leave it out)")
	fl.StringSliceVar(&o.planes, "planes", []string{"transverse", "sagittal"}, "the two `planes` whose tests are compared")
	fl.StringVar(&o.noise, "noise", "", "noise `file` with the reliabilities for the corrected r (default: from the sessions used, when there are two or more)")
	fl.StringVar(&o.study, "study", "", "a further `table` of other athletes whose sessions, with no training between, show the reliabilities for the corrected r")
	fl.StringSliceVar(&o.change, "change", nil, "two `sessions`: also compare the change of each test with the change of the outcome")
	fl.BoolVar(&o.repeated, "repeated", false, "also the correlation inside athletes, over the sessions used")
	fl.BoolVar(&o.bootstrap, "bootstrap", false, "also BCa bootstrap intervals of every correlation and comparison")
	fl.IntVar(&o.replicates, "replicates", 2000, "`number` of bootstrap resamples")
	return cmd
}

func runCorrelate(s streams, o correlateOptions) error {
	whole, err := o.table.read(s, o.path, o.output.quiet)
	if err != nil {
		return err
	}
	if o.every, err = o.table.rows(whole); err != nil {
		return err
	}
	t, err := o.table.narrow(whole)
	if err != nil {
		return err
	}
	if o.study != "" {
		f := o.table
		f.where, f.sessions, f.dictionary = nil, nil, ""
		if o.studyTable, err = f.load(s, o.study, o.output.quiet); err != nil {
			return err
		}
	}
	v, err := correlateOf(t, o)
	if err != nil {
		return err
	}
	return o.output.deliver(s, v, v.Input, v.Settings)
}

func correlateOf(t *cohort.Table, o correlateOptions) (reports.Correlate, error) {
	v := reports.Correlate{Input: input(t), Labels: labels(t), Planes: [2]string{o.planes[0], o.planes[1]}}
	outcome, err := o.outcomeOf(t)
	if err != nil {
		return v, err
	}
	measures, err := o.table.tests(t)
	if err != nil {
		return v, err
	}
	v.Caveats = o.table.caveats(t, measures)
	rel, err := o.reliabilities(t)
	if err != nil {
		return v, err
	}
	in := association.Input{Athletes: t.Athletes}
	if o.studyTable != nil {
		in.StudyAthletes = o.studyTable.Athletes
	}
	if in.Outcome, err = o.variable(t, outcome, rel); err != nil {
		return v, err
	}
	for _, m := range measures {
		if m.Name == outcome.Name || m.Role == "outcome" || slices.Contains(o.covariates, m.Name) {
			continue
		}
		x, err := o.variable(t, m, rel)
		if err != nil {
			return v, err
		}
		in.Tests = append(in.Tests, x)
	}
	if in.Covariates, err = o.covariateColumns(t); err != nil {
		return v, err
	}
	if in.LevelName, in.Level, err = o.levels(t); err != nil {
		return v, err
	}
	options := association.Options{Level: float64(o.table.confidence), Planes: v.Planes, Seed: o.table.seed, Replicates: o.replicates, Bootstrap: o.bootstrap}
	if v.Result, err = association.Analyse(in, options); err != nil {
		return v, err
	}
	if err := o.addDepth(&v, t, outcome, in, options); err != nil {
		return v, err
	}
	v.Settings = o.table.settings()
	v.Settings.Sessions, v.Settings.By, v.Settings.Covariates, v.Settings.Planes = t.Sessions, in.LevelName, o.covariates, o.planes
	v.Settings.Replicates, v.Settings.Scale = o.replicates, ""
	return v, nil
}

// outcomeOf is the flag's measure, else the only one the dictionary calls an outcome.
func (o correlateOptions) outcomeOf(t *cohort.Table) (*cohort.Measure, error) {
	if o.outcome != "" {
		return t.Measure(o.outcome)
	}
	var names []string
	var found *cohort.Measure
	for _, m := range t.Measures {
		if m.Role == "outcome" {
			names, found = append(names, m.Name), m
		}
	}
	switch len(names) {
	case 1:
		return found, nil
	case 0:
		return nil, usage("which measure is the outcome? --outcome NAME (the dictionary names none)")
	}
	return nil, usage("which outcome? --outcome %s", strings.Join(names, " or --outcome "))
}

// variable is a measure as one number for each athlete, with its reliability.
func (o correlateOptions) variable(t *cohort.Table, m *cohort.Measure, rel func(*cohort.Measure, int) (float64, string)) (association.Variable, error) {
	x := association.Variable{Name: m.Name, Unit: m.Unit, Plane: m.Plane, Better: o.table.better(t, m), Reliability: math.NaN()}
	scores, err := o.table.scores(t, m)
	if err != nil {
		return x, err
	}
	x.Value, x.ValueSessions = scores.AthleteMeans(), len(t.Sessions)
	if o.studyTable != nil {
		return x, o.fromStudy(&x, m)
	}
	if rel != nil {
		x.Reliability, x.ReliabilitySource = rel(m, len(t.Sessions))
		return x, nil
	}
	if len(t.Sessions) < 2 {
		return x, nil
	}
	r, err := reliability.Analyse(scores, reliability.Options{Replicates: 100, Seed: o.table.seed, Missing: o.table.absent()})
	if err != nil {
		return x, nil // no reliability, no correction: the analysis says so
	}
	for _, c := range r.ICC {
		if c.Form == "C,k" {
			x.Reliability, x.ReliabilitySource = c.Value.Value, sessionList(t.Sessions)+" of the same table"
			x.Sessions = scores.Value
		}
	}
	return x, nil
}

// reliabilities reads the noise file, if one was named: the reliability of the
// mean of k sessions, stepped up from ICC(C,1) (Spearman & Brown 1910).
func (o *correlateOptions) reliabilities(t *cohort.Table) (func(*cohort.Measure, int) (float64, string), error) {
	if o.noise == "" {
		return nil, nil
	}
	file, err := readNoise(o.noise, o.table, o.scoreGiven, t.Measures)
	if err != nil {
		return nil, err
	}
	if s := file.Measures[0].Summary; s != "" { // scores as the study made them
		for _, m := range file.Measures {
			if m.Summary != s {
				return nil, fmt.Errorf("%s: its tests have different summaries of the attempts (%s, %s): one correlation table wants one", o.noise, s, m.Summary)
			}
		}
		o.table.score = string(s)
	}
	return func(m *cohort.Measure, sessions int) (float64, string) {
		n, ok := file.Find(m.Name)
		if !ok {
			return math.NaN(), ""
		}
		k := float64(sessions)
		return k * n.ICC / (1 + (k-1)*n.ICC), filepath.Base(o.noise)
	}, nil
}

func (o correlateOptions) covariateColumns(t *cohort.Table) ([]association.Variable, error) {
	var out []association.Variable
	for _, name := range o.covariates {
		x := association.Variable{Name: name, Reliability: math.NaN()}
		if m, err := t.Measure(name); err == nil {
			scores, err := o.table.scores(t, m)
			if err != nil {
				return nil, err
			}
			x.Unit, x.Value = m.Unit, scores.AthleteMeans()
		} else if x.Value, err = t.AthleteNumbers(name); err != nil {
			return nil, err
		}
		out = append(out, x)
	}
	return out, nil
}

// levels are those of the flag's column, else of the level column, else none.
func (o correlateOptions) levels(t *cohort.Table) (string, []string, error) {
	name := o.by
	switch name {
	case "none":
		return "", nil, nil
	case "":
		for _, a := range t.Attributes {
			if a.Role == "level" {
				name = a.Name
			}
		}
		if name == "" {
			return "", nil, nil
		}
	}
	texts, err := t.AthleteTexts(name)
	if err != nil {
		return name, nil, fmt.Errorf("%w (or --by none)", err)
	}
	return name, texts, nil
}
