package association

import (
	"errors"
	"math"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/linear"
)

// A BlockForm says how [Models] takes the tests of a plane.
type BlockForm int

// With BlockAuto every test is a term of its own while there are 10 athletes
// for each term of the largest model (common practice, no source); otherwise
// each plane is one term, its composite. The others ask for one or the other.
const (
	BlockAuto BlockForm = iota
	BlockTests
	BlockComposite
)

const (
	athletesForTerm = 10 // of BlockAuto
	spareDF         = 10 // residual degrees of freedom without which there is no model; common practice, no source
)

// A ModelSet is a sequence of linear models of the outcome, all of the same
// athletes, and what each block of terms adds.
type ModelSet struct {
	Outcome, OutcomeUnit string
	Level                float64
	N                    int       // athletes with the outcome and everything else
	Form                 BlockForm // how the tests were taken: BlockTests or BlockComposite
	Models               []Model   // covariates; + second plane of the options; + both planes; + first plane
	// second after covariates, first after that; first after covariates, second after that
	Added   []Added
	Caveats []caveat.Caveat
}

// A Model is one linear model of the outcome.
type Model struct {
	Name      string   // "covariates + sagittal"
	Blocks    []string // what its terms belong to
	Terms     []Term
	N         int
	DF        float64 // N - terms - 1
	Intercept estimate.Estimate

	R2, AdjustedR2 float64
	// R2LOO is 1 - PRESS/Σ(y - mean of the others)²: each athlete predicted
	// from all others, against the mean of all others. It is 0 for a model
	// without terms and below 0 for one that predicts worse than the mean.
	R2LOO        float64
	PRESS        float64 // Σ (error of predicting an athlete from the others)²
	ResidualSD   float64 // outcome's unit
	PredictionSD float64 // √(PRESS/N), outcome's unit: the size of error to expect for a new athlete
	Condition    float64 // of the terms, centred and scaled to length 1

	Reason  estimate.Kind // why there are no figures, "" when there are
	Caveats []caveat.Caveat
}

// A Term is one column of a model.
type Term struct {
	Name, Unit, Block string
	Tests             []string          // of a composite; nil otherwise
	Coefficient       estimate.Estimate // outcome's unit for one unit of the term, Student t
	PerSD             float64           // outcome's unit for one SD of the term
	P                 float64           // of the coefficient, two-sided
	// VIF is 1/(1 - R²) with R² of the term on all others; for the indicators
	// of a level with several it is the q-th root of their joint inflation.
	VIF float64
}

// Added says what a block of terms adds to a model.
type Added struct {
	Block    string // the plane
	After    string // the name of the model it is added to
	From, To int    // places in ModelSet.Models

	F, DF1, DF2, P float64           // F test of the block
	DeltaR2        estimate.Estimate // noncentral F, see [AddedR2]
	DeltaR2LOO     float64           // of the leave-one-out R²; below 0 when the block makes predictions worse
}

// Models fits the outcome by least squares to the covariates (and an
// indicator for each level but the first, when levels are given), then adds the
// tests of the second plane of the options (sagittal), then those of the first
// (transverse); and the same in the other order, since what a block adds
// depends on what is there before it. In all models the athletes are those who
// have the outcome and every term.
//
// Each block has the F test
//
//	F = ((RSS0 - RSS1)/q) / (RSS1/(n - p - 1))
//
// on q and n-p-1 degrees of freedom, and ΔR² = R²1 - R²0 with the interval of
// [AddedR2], which rests on the same F: its lower limit is 0 where F is too small
// to exclude that nothing is added. Whether a block helps with athletes not yet
// seen is for the leave-one-out R² (PRESS).
//
// A block of more tests than the athletes allow (see [BlockAuto]) is taken as
// one term, the mean of its standardised tests, each turned so that better is
// higher. It has no weights to fit, so nothing in it is chosen by looking at the
// outcome, as the best single test would be. R2LOO keeps the standardisation of
// all. Where nobody said which way one of its tests improves there is no such
// mean, and so no model, with a caveat that names them.
//
// A model with fewer than 10 residual degrees of freedom has no figures and
// says so in Reason. Constant terms, and terms that those before them
// determine, are left out with a caveat. Errors are those of [Analyse].
//
// Sources: Draper NR, Smith H (1998). Applied Regression Analysis, 3rd ed.,
// chapter 6. Allen DM (1974). Technometrics 16:125-127 (PRESS). Fox J, Monette G
// (1992). Journal of the American Statistical Association 87:178-183
// (inflation).
func Models(in Input, o Options) (ModelSet, error) {
	o, err := o.withDefaults()
	if err == nil {
		err = in.check()
	}
	if err != nil {
		return ModelSet{}, err
	}
	s := &ModelSet{Outcome: in.Outcome.Name, OutcomeUnit: in.Outcome.Unit, Level: o.Level}
	d := newDesign(in, o, s)
	if reason := d.unusable(); reason != "" {
		s.doubt(caveat.New(NoModels, float64(len(d.y)), spareDF+2).With(string(reason)))
		return *s, nil
	}
	if unknown := d.takeForm(o.Blocks, s); len(unknown) > 0 {
		s.doubt(caveat.New(NoModels, float64(len(d.y)), spareDF+2).About(unknown...).With(string(NoDirection)))
		return *s, nil
	}
	fits := d.fitAll(s)
	d.add(s, fits)
	for _, m := range s.Models {
		if m.Reason != "" {
			s.doubt(caveat.New(NoFigures, float64(m.N), float64(len(m.Terms)), max(0, m.DF), spareDF).With(m.Name,
				string(m.Reason)))
		}
	}
	return *s, nil
}

// fitAll fits the models: base, with each plane, with both. A term that the
// largest model cannot use is taken out of all of them.
func (d *design) fitAll(s *ModelSet) []linear.Fit {
	for {
		_, err := linear.LeastSquares(d.y, d.columns(d.base, d.second, d.first))
		var c *linear.ColumnError
		if !errors.As(err, &c) || c.Column < 0 {
			break
		}
		s.doubt(d.drop(c))
	}
	var fits []linear.Fit
	for _, b := range d.models() {
		m, fit := d.fit(b, s.Level)
		s.Models, fits = append(s.Models, m), append(fits, fit)
	}
	return fits
}

// models lists the blocks of each model. A plane without tests adds none.
func (d *design) models() [][]*block {
	out := [][]*block{{&d.base}}
	for _, more := range [][]*block{{&d.second}, {&d.second, &d.first}, {&d.first}} {
		present := true
		for _, b := range more {
			present = present && len(b.terms) > 0
		}
		if present {
			out = append(out, append([]*block{&d.base}, more...))
		}
	}
	return out
}

// fit is one model; without figures, and with a reason, when it has too many
// terms.
func (d *design) fit(blocks []*block, level float64) (Model, linear.Fit) {
	nan := math.NaN()
	m := Model{Name: nameOf(blocks), N: len(d.y), R2: nan, AdjustedR2: nan, R2LOO: nan, PRESS: nan,
		ResidualSD: nan, PredictionSD: nan, Condition: nan, Intercept: estimate.Bare(nan, estimate.None)}
	var terms []term
	for _, b := range blocks {
		m.Blocks = append(m.Blocks, b.name)
		terms = append(terms, b.terms...)
	}
	m.DF = float64(m.N - len(terms) - 1)
	for _, t := range terms {
		m.Terms = append(m.Terms, Term{Name: t.name, Unit: t.unit, Block: t.block, Tests: t.tests,
			Coefficient: estimate.Bare(nan, estimate.None), PerSD: nan, P: nan, VIF: nan})
	}
	if m.DF < spareDF {
		m.refuse(estimate.TooFew)
		return m, linear.Fit{}
	}
	f, err := linear.LeastSquares(d.y, columnsOf(terms))
	if err != nil {
		m.refuse(reasonOf(err))
		return m, linear.Fit{}
	}
	m.fill(f, terms, level)
	for _, i := range f.Alone {
		m.Caveats = append(m.Caveats, caveat.New(Alone).With(d.athletes[i], m.Name))
	}
	return m, f
}

// refuse gives the reason for figures that are not there.
func (m *Model) refuse(reason estimate.Kind) {
	m.Reason, m.Intercept.Kind = reason, reason
	for i := range m.Terms {
		m.Terms[i].Coefficient.Kind = reason
	}
}

func (m *Model) fill(f linear.Fit, terms []term, level float64) {
	m.R2, m.AdjustedR2, m.R2LOO, m.PRESS = f.RSquared, f.Adjusted, f.RSquaredLOO, f.PRESS
	m.ResidualSD, m.PredictionSD, m.Condition = f.ResidualSD, f.PredictionSD, f.Condition
	t := dist.TQuantile((1+level)/2, f.DF)
	with := func(value, se float64) estimate.Estimate {
		return estimate.Around(value, float64(t*se), se, f.DF, level, estimate.StudentT)
	}
	m.Intercept = with(f.Intercept, f.InterceptSE)
	for j := range m.Terms {
		k := &m.Terms[j]
		k.Coefficient = with(f.Slope[j], f.SlopeSE[j])
		k.PerSD = f.Slope[j] * f.Scale(j)
		k.P = dist.TTwoSided(f.Slope[j]/f.SlopeSE[j], f.DF)
		family := familyOf(terms, j)
		k.VIF = math.Pow(f.Inflation(family...), 1/float64(len(family)))
	}
	m.judgeInflation()
}

// familyOf are the columns that belong to term j: itself, or all indicators.
func familyOf(terms []term, j int) []int {
	if !terms[j].indicator {
		return []int{j}
	}
	var out []int
	for k, t := range terms {
		if t.indicator {
			out = append(out, k)
		}
	}
	return out
}

// Above these a model raises a doubt. Common practice, no source.
const (
	highVIF       = 10
	highCondition = 30
)

func (m *Model) judgeInflation() {
	var names []string
	for _, t := range m.Terms {
		if t.VIF > highVIF {
			names = append(names, t.Name)
		}
	}
	if len(names) > 0 || m.Condition > highCondition {
		m.Caveats = append(m.Caveats, caveat.New(NearlyDetermined, m.Condition).About(names...).With(m.Name))
	}
}

func (s *ModelSet) doubt(c caveat.Caveat) { s.Caveats = append(s.Caveats, c) }
