package reports

import "noisefloor/analysis/estimate"

// The documents below are the JSON contract; reports/schema holds the schemas.
// A number without a value is left out, never null.

type interval struct {
	Estimate *float64 `json:"estimate,omitempty"`
	Lower    *float64 `json:"lower,omitempty"`
	Upper    *float64 `json:"upper,omitempty"`
	Method   string   `json:"method,omitempty"`
}

func newInterval(e estimate.Estimate) interval {
	return interval{number64(e.Value), number64(e.Lower), number64(e.Upper), string(e.Kind)}
}

func intervalOrNil(e *estimate.Estimate) *interval {
	if e == nil {
		return nil
	}
	i := newInterval(*e)
	return &i
}

// A caveatDocument is a doubt in JSON.
type caveatDocument struct {
	Kind     string   `json:"kind"`
	Measures []string `json:"measures,omitempty"`
	Text     string   `json:"text"`
}

// A verdictDocument says how many tests are shown to go with the outcome.
type verdictDocument struct {
	Shown   int    `json:"shown"`
	Tests   int    `json:"tests"`
	Closest string `json:"closest,omitempty"`
}

type correlateDocument struct {
	Schema       string           `json:"schema"`
	Version      string           `json:"version"`
	Caveats      []caveatDocument `json:"caveats"`
	Verdict      verdictDocument  `json:"verdict"`
	Input        Input            `json:"input"`
	Settings     any              `json:"settings"`
	Outcome      string           `json:"outcome"`
	OutcomeUnit  string           `json:"outcome_unit"`
	Athletes     int              `json:"athletes"`
	Associations []association    `json:"associations"`
	Comparisons  []comparison     `json:"comparisons"`
	Within       []comparison     `json:"comparisons_within_level,omitempty"`
	Planes       []planeSummary   `json:"planes,omitempty"`
	Contrast     *planeContrast   `json:"plane_contrast,omitempty"`
	ContrastIn   *planeContrast   `json:"plane_contrast_within_level,omitempty"`
	Models       []model          `json:"models,omitempty"`
	Added        []added          `json:"added,omitempty"`
	Repeated     []repeated       `json:"repeated_measures,omitempty"`
	Changes      []changeAgainst  `json:"change_against_change,omitempty"`
	Family       int              `json:"family"`
	Warnings     []string         `json:"warnings"`
}

type correlation struct {
	interval
	N     int       `json:"n"`
	DF    *float64  `json:"df,omitempty"`
	P     *float64  `json:"p,omitempty"`
	PHolm *float64  `json:"p_holm,omitempty"`
	PBH   *float64  `json:"p_bh,omitempty"`
	BCa   *interval `json:"bca,omitempty"`
}

type association struct {
	Measure   string       `json:"measure"`
	Unit      string       `json:"unit"`
	Plane     string       `json:"plane"`
	N         int          `json:"n"`
	Pearson   correlation  `json:"pearson"`
	Spearman  correlation  `json:"spearman"`
	Partial   *correlation `json:"partial,omitempty"`
	Within    *withinLevel `json:"within_level,omitempty"`
	Corrected *corrected   `json:"corrected,omitempty"`
	Slope     interval     `json:"slope"`
	Warnings  []string     `json:"warnings,omitempty"`
}

type withinLevel struct {
	correlation
	Levels      []levelR `json:"levels"`
	Homogeneity *chiTest `json:"homogeneity,omitempty"`
	Parted      bool     `json:"parted"`
	Words       string   `json:"words,omitempty"`
}

type levelR struct {
	Level string `json:"level"`
	correlation
	TooFew string `json:"too_few,omitempty"`
}

type chiTest struct {
	Statistic *float64 `json:"chi_square,omitempty"`
	DF        *float64 `json:"df,omitempty"`
	P         *float64 `json:"p,omitempty"`
}

type corrected struct {
	interval
	ReliabilityTest    *float64 `json:"reliability_test,omitempty"`
	ReliabilityOutcome *float64 `json:"reliability_outcome,omitempty"`
	AboveOne           bool     `json:"above_one"`
	Source             string   `json:"source,omitempty"`
}

type comparison struct {
	A          string    `json:"a"`
	B          string    `json:"b"`
	PlaneA     string    `json:"plane_a"`
	PlaneB     string    `json:"plane_b"`
	N          int       `json:"n"`
	TurnedA    bool      `json:"turned_a"` // lower is better: its correlations stand here with the other sign
	TurnedB    bool      `json:"turned_b"`
	RA         *float64  `json:"r_a,omitempty"`
	RB         *float64  `json:"r_b,omitempty"`
	RAB        *float64  `json:"r_ab,omitempty"`
	Difference *float64  `json:"difference,omitempty"`
	Lower      *float64  `json:"lower,omitempty"`
	Upper      *float64  `json:"upper,omitempty"`
	T          *float64  `json:"t,omitempty"`
	DF         *float64  `json:"df,omitempty"`
	PWilliams  *float64  `json:"p_williams,omitempty"`
	PHolm      *float64  `json:"p_williams_holm,omitempty"`
	Z          *float64  `json:"z,omitempty"`
	PMeng      *float64  `json:"p_meng,omitempty"`
	BCa        *interval `json:"bca,omitempty"`
}

type planeContrast struct {
	PlaneA     string   `json:"plane_a"`
	PlaneB     string   `json:"plane_b"`
	TestsA     []string `json:"tests_a"`
	TestsB     []string `json:"tests_b"`
	N          int      `json:"n"`
	RA         interval `json:"mean_r_a"`
	RB         interval `json:"mean_r_b"`
	Difference interval `json:"difference_fisher_z"`
	Warnings   []string `json:"warnings,omitempty"`
}

type model struct {
	Name         string   `json:"name"`
	Terms        []string `json:"terms"`
	N            int      `json:"n"`
	DF           *float64 `json:"df,omitempty"`
	R2           *float64 `json:"r2,omitempty"`
	AdjustedR2   *float64 `json:"adjusted_r2,omitempty"`
	R2LOO        *float64 `json:"r2_loo,omitempty"`
	ResidualSD   *float64 `json:"residual_sd,omitempty"`
	PredictionSD *float64 `json:"prediction_sd,omitempty"`
	Inflation    []term   `json:"coefficients,omitempty"`
	Reason       string   `json:"reason,omitempty"`
	Warnings     []string `json:"warnings,omitempty"`
}

type term struct {
	Term  string   `json:"term"`
	Unit  string   `json:"unit,omitempty"`
	Block string   `json:"block"`
	Tests []string `json:"tests,omitempty"`
	interval
	PerSD *float64 `json:"per_sd,omitempty"`
	P     *float64 `json:"p,omitempty"`
	VIF   *float64 `json:"variance_inflation,omitempty"`
}

type added struct {
	Block      string   `json:"block"`
	After      string   `json:"after"`
	F          *float64 `json:"f,omitempty"`
	DF1        *float64 `json:"df1,omitempty"`
	DF2        *float64 `json:"df2,omitempty"`
	P          *float64 `json:"p,omitempty"`
	DeltaR2    interval `json:"delta_r2"`
	DeltaR2LOO *float64 `json:"delta_r2_loo,omitempty"`
	Words      string   `json:"words,omitempty"`
}

type repeated struct {
	Measure string `json:"measure"`
	correlation
	Athletes int      `json:"athletes"`
	Slope    interval `json:"slope"`
	Ignoring *float64 `json:"r_ignoring_athletes,omitempty"`
	Means    *float64 `json:"r_of_means,omitempty"`
	Warnings []string `json:"warnings,omitempty"`
}

type changeAgainst struct {
	Measure            string      `json:"measure"`
	N                  int         `json:"n"`
	Pearson            correlation `json:"pearson"`
	Spearman           correlation `json:"spearman"`
	Slope              interval    `json:"slope"`
	ReliabilityTest    *float64    `json:"reliability_test,omitempty"`
	ReliabilityOutcome *float64    `json:"reliability_outcome,omitempty"`
	Corrected          *corrected  `json:"corrected,omitempty"`
	Warnings           []string    `json:"warnings,omitempty"`
}

type planeSummary struct {
	Plane   string   `json:"plane"`
	Tests   int      `json:"tests"`
	MeanR   *float64 `json:"mean_r,omitempty"`
	Lowest  *float64 `json:"lowest,omitempty"`
	Highest *float64 `json:"highest,omitempty"`
	Best    string   `json:"best,omitempty"`
}
