package study

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"noisefloor/analysis/association"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/internal/cohort"
)

// A comparing is what Resolve works out for a correlate, and Run uses.
type comparing struct {
	outcome    *cohort.Measure
	tests      []*cohort.Measure
	covariates []covariate
	noise      *noiseSource  // nil without a noise file
	study      *cohort.Table // of other athletes; nil without
}

// A covariate is held constant: a measure, or a column of the athletes.
type covariate struct {
	measure   *cohort.Measure // nil for a column
	attribute string
}

func (r *Correlate) settle(d *desk) error {
	if err := d.sessions(); err != nil {
		return err
	}
	c := &comparing{}
	d.comparing = c
	measures, err := d.tests(d.used)
	if err != nil {
		return err
	}
	if err := r.settleNoise(d, measures); err != nil {
		return err
	}
	if c.outcome, err = r.outcome(d.used); err != nil {
		return err
	}
	if err := r.settleCovariates(d); err != nil {
		return err
	}
	r.settleTests(c, measures)
	if err := r.settleChange(d); err != nil {
		return err
	}
	d.caveatBest(append(slices.Clone(c.tests), c.outcome))
	return d.levels(d.used)
}

func (r *Correlate) check() error {
	if r.Noise != "" && r.Study != "" {
		return missing("noise", "--noise and --study exclude each other")
	}
	r.origin("planes", len(r.Planes) > 0)
	if len(r.Planes) == 0 {
		r.Planes = []string{"transverse", "sagittal"}
	}
	if len(r.Planes) != 2 {
		return requestError("planes", "wants two planes, such as transverse,sagittal")
	}
	for i, p := range r.Planes {
		found, err := find("plane", planes, []string{p})
		if err != nil {
			return err
		}
		r.Planes[i] = found[0]
	}
	if n := len(r.Change); n != 0 && n != 2 {
		return requestError("change", "wants two sessions, such as 2,3")
	}
	return r.resamples()
}

// planes are the anatomical planes that a dictionary can name.
var planes = []string{"sagittal", "frontal", "transverse"}

// settleNoise settles where reliabilities come from.
func (r *Correlate) settleNoise(d *desk, measures []*cohort.Measure) (err error) {
	switch {
	case r.Noise != "":
		if d.comparing.noise, err = d.noiseFile(r.Noise, measures); err != nil {
			return err
		}
		if r.Score == "" {
			return fmt.Errorf("%s: its tests have different summaries of the attempts: one correlation table wants "+
				"one", r.Noise)
		}
		return nil
	case r.Study != "":
		r.summary()
		return r.otherTable(d)
	}
	r.summary()
	return nil
}

// otherTable reads the table of --study.
func (r *Correlate) otherTable(d *desk) error {
	t := r.Table
	t.Path, t.Where, t.Dictionary = r.Study, nil, ""
	study, err := d.host.table(t)
	if err != nil {
		return asRequest(err)
	}
	d.comparing.study = study
	return d.host.noteTable(&r.Common, "study", study)
}

// outcome is the request's measure, else the only one the dictionary calls an
// outcome.
func (r *Correlate) outcome(t *cohort.Table) (*cohort.Measure, error) {
	r.origin("outcome", r.Outcome != "")
	if r.Outcome != "" {
		found, err := measureNames(t, []string{r.Outcome})
		if err != nil {
			return nil, err
		}
		r.Outcome = found[0]
		return t.Measure(found[0])
	}
	var known []string
	for _, m := range t.Measures {
		if m.Role == "outcome" {
			known = append(known, m.Name)
		}
	}
	switch len(known) {
	case 1:
		r.Outcome, r.Origins["outcome"] = known[0], FromDictionary
		return t.Measure(known[0])
	case 0:
		return nil, missing("outcome", "which measure is the outcome? --outcome NAME (the dictionary names none)")
	}
	return nil, missing("outcome", "which outcome? --outcome "+strings.Join(known, " or --outcome "))
}

// settleCovariates resolves them among measures and columns together.
func (r *Correlate) settleCovariates(d *desk) error {
	var all []string
	for _, m := range d.used.Measures {
		all = append(all, m.Name)
	}
	measures := len(all)
	for _, a := range d.used.Attributes {
		all = append(all, a.Name)
	}
	for i, name := range r.Covariates {
		found, err := find("measure or column", all, []string{name})
		if err != nil {
			return err
		}
		r.Covariates[i] = found[0]
		if at := slices.Index(all, found[0]); at < measures {
			d.comparing.covariates = append(d.comparing.covariates, covariate{measure: d.used.Measures[at]})
			continue
		}
		d.comparing.covariates = append(d.comparing.covariates, covariate{attribute: found[0]})
	}
	return nil
}

// settleTests leaves the outcomes and the covariates out of the tests.
func (r *Correlate) settleTests(c *comparing, measures []*cohort.Measure) {
	r.Measures = nil
	for _, m := range measures {
		if m.Name == c.outcome.Name || m.Role == "outcome" || slices.Contains(r.Covariates, m.Name) {
			continue
		}
		c.tests = append(c.tests, m)
		r.Measures = append(r.Measures, m.Name)
	}
}

func (r *Correlate) settleChange(d *desk) error {
	for i, s := range r.Change {
		found, err := sessionNames(d.rows, []string{s})
		if err != nil {
			return err
		}
		r.Change[i] = found[0]
	}
	return nil
}

func (r *Correlate) run(d *desk) (Outcome, error) {
	in, err := r.input(d)
	if err != nil {
		return Outcome{}, err
	}
	o := association.Options{Level: r.Confidence, Planes: [2]string{r.Planes[0], r.Planes[1]}, Seed: r.Seed,
		Replicates: r.Replicates, Bootstrap: r.Bootstrap}
	out := &CorrelateResult{Planes: o.Planes}
	if out.Result, err = association.Analyse(in, o); err != nil {
		return Outcome{}, err
	}
	if out.Result.PlaneContrast != nil {
		models, err := association.Models(in, o)
		if err != nil {
			return Outcome{}, err
		}
		out.Models = &models
	}
	if r.Repeated {
		if err := r.repeated(d, out); err != nil {
			return Outcome{}, err
		}
	}
	if len(r.Change) == 2 {
		if err := r.changes(d, out, o); err != nil {
			return Outcome{}, err
		}
	}
	return Outcome{Result: out}, nil
}

// input makes one number for each athlete of every measure.
func (r *Correlate) input(d *desk) (in association.Input, err error) {
	c := d.comparing
	in.Athletes, in.GroupName, in.Group = d.used.Athletes, d.by, d.groups
	if c.study != nil {
		in.StudyAthletes = c.study.Athletes
	}
	if in.Outcome, err = r.variable(d, c.outcome); err != nil {
		return in, err
	}
	for _, m := range c.tests {
		x, err := r.variable(d, m)
		if err != nil {
			return in, err
		}
		in.Tests = append(in.Tests, x)
	}
	for _, v := range c.covariates {
		x, err := r.covariate(d, v)
		if err != nil {
			return in, err
		}
		in.Covariates = append(in.Covariates, x)
	}
	return in, nil
}

func (r *Correlate) covariate(d *desk, v covariate) (association.Variable, error) {
	if v.measure == nil {
		values, err := d.used.AthleteNumbers(v.attribute)
		return association.Variable{Name: v.attribute, Reliability: math.NaN(), Value: values}, err
	}
	s, err := d.scores(d.used, v.measure)
	if err != nil {
		return association.Variable{}, err
	}
	return association.Variable{Name: v.measure.Name, Unit: v.measure.Unit, Reliability: math.NaN(),
		Value: s.AthleteMeans()}, nil
}

// variable is a measure as one number for each athlete, with its reliability.
func (r *Correlate) variable(d *desk, m *cohort.Measure) (association.Variable, error) {
	scores, err := d.scores(d.used, m)
	if err != nil {
		return association.Variable{}, err
	}
	x := association.Variable{Name: m.Name, Unit: m.Unit, Plane: m.Plane, Better: r.better(m.Name),
		Reliability: math.NaN(),
		Value:       scores.AthleteMeans(), ValueSessions: len(d.used.Sessions)}
	return x, r.reliable(d, &x, m, scores)
}

// reliable fills the reliability of a variable: from the noise file, the table
// of another study, or the sessions used. Without any there is no correction,
// and the analysis says so.
func (r *Correlate) reliable(d *desk, x *association.Variable, m *cohort.Measure, scores score.Table) error {
	switch c := d.comparing; {
	case c.study != nil:
		return r.fromStudy(d, x, m)
	case c.noise != nil:
		if n, ok := c.noise.file.Find(m.Name, ""); ok {
			x.Reliability, x.ReliabilitySource = spearmanBrown(n.ICC, len(d.used.Sessions)), c.noise.name
		}
		return nil
	case len(d.used.Sessions) < 2:
		return nil
	}
	result, ok := r.consistency(scores)
	if ok {
		x.Reliability, x.ReliabilitySource = iccOf(result, "C,k"), SessionList(d.used.Sessions)+" of the same table"
		x.Sessions = scores.Value
	}
	return nil
}

// consistency analyses the reliability of scores; false when they show none.
func (r *Correlate) consistency(s score.Table) (reliability.Result, bool) {
	result, err := reliability.Analyse(s, reliability.Options{Level: r.Confidence, Replicates: 200, Seed: r.Seed,
		Missing: r.absent(), Lean: true})
	return result, err == nil
}

// iccOf is the value of one form, NaN when it is not there.
func iccOf(r reliability.Result, form string) float64 {
	for _, c := range r.ICC {
		if c.Form == form {
			return c.Value.Value
		}
	}
	return math.NaN()
}

// fromStudy takes the reliability of a variable from the table of --study.
func (r *Correlate) fromStudy(d *desk, x *association.Variable, m *cohort.Measure) error {
	study := d.comparing.study
	at := slices.IndexFunc(study.Measures, func(s *cohort.Measure) bool { return s.Name == m.Name })
	if at < 0 {
		return nil
	}
	s, err := d.scores(study, study.Measures[at])
	if err != nil {
		return err
	}
	if result, ok := r.consistency(s); ok {
		x.Reliability = spearmanBrown(iccOf(result, "C,1"), x.ValueSessions)
		x.ReliabilitySource, x.Study = SessionList(s.Sessions)+" of "+shown(study.Source.Path), s.Value
	}
	return nil
}

// spearmanBrown steps the reliability of one session up to the mean of k.
func spearmanBrown(one float64, k int) float64 {
	n := float64(k)
	return n * one / (1 + (n-1)*one)
}
