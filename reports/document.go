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
	return interval{number64(e.Value), number64(e.Lower), number64(e.Upper), e.Method}
}

func intervalOrNil(e *estimate.Estimate) *interval {
	if e == nil {
		return nil
	}
	i := newInterval(*e)
	return &i
}

type reliabilityDocument struct {
	Schema   string               `json:"schema"`
	Input    Input                `json:"input"`
	Settings any                  `json:"settings"`
	Measures []reliabilityMeasure `json:"measures"`
	Failed   []failed             `json:"not_analysed,omitempty"`
	Warnings []string             `json:"warnings"`
}

type failed struct {
	Measure string `json:"measure"`
	Group   string `json:"group,omitempty"`
	Reason  string `json:"reason"`
}

type reliabilityMeasure struct {
	Measure      string          `json:"measure"`
	Label        string          `json:"label,omitempty"`
	Unit         string          `json:"unit"`
	Scale        string          `json:"scale"`
	Group        string          `json:"group,omitempty"`
	Athletes     int             `json:"athletes"`
	Sessions     int             `json:"sessions"`
	Complete     bool            `json:"complete"`
	Method       string          `json:"method,omitempty"`
	LeftOut      []athletesOut   `json:"left_out,omitempty"`
	Trials       *float64        `json:"trials,omitempty"`
	Mean         *float64        `json:"mean,omitempty"`
	SessionMeans []sessionMean   `json:"session_means"`
	MeanSquares  meanSquares     `json:"mean_squares"`
	ICC          []icc           `json:"icc"`
	TE           typicalError    `json:"typical_error"`
	TEPercent    *interval       `json:"typical_error_percent,omitempty"`
	Agreement    *float64        `json:"agreement_error,omitempty"`
	TrueSD       *float64        `json:"true_sd,omitempty"`
	ObservedSD   *float64        `json:"observed_sd,omitempty"`
	Detectable   detectable      `json:"detectable_change"`
	Worthwhile   *worthwhile     `json:"worthwhile_change,omitempty"`
	Ratio        *float64        `json:"detectable_to_worthwhile,omitempty"`
	MeanChanges  []meanChange    `json:"mean_changes"`
	SessionTest  *fTest          `json:"session_test,omitempty"`
	SettledFrom  string          `json:"settled_from,omitempty"`
	Components   *components     `json:"components,omitempty"`
	Decision     []decisionRow   `json:"decision_study,omitempty"`
	Cheapest     *cheapest       `json:"cheapest_design,omitempty"`
	Limits       *limits         `json:"limits_of_agreement,omitempty"`
	Groups       []groupDocument `json:"groups,omitempty"`
	GroupTest    *groupTest      `json:"group_test,omitempty"`
	Influence    *influence      `json:"influence,omitempty"`
	Warnings     []string        `json:"warnings"`
}

type athletesOut struct {
	Reason   string   `json:"reason"`
	Athletes []string `json:"athletes"`
}

type sessionMean struct {
	Session string   `json:"session"`
	N       int      `json:"n"`
	Mean    *float64 `json:"mean,omitempty"`
	SD      *float64 `json:"sd,omitempty"`
}

type meanSquares struct {
	Athletes *float64 `json:"athletes,omitempty"`
	Sessions *float64 `json:"sessions,omitempty"`
	Error    *float64 `json:"error,omitempty"`
	Within   *float64 `json:"within,omitempty"`
}

type icc struct {
	Form     string    `json:"form"`
	Model    string    `json:"model"`
	Estimate *float64  `json:"estimate,omitempty"`
	Lower    *float64  `json:"lower,omitempty"`
	Upper    *float64  `json:"upper,omitempty"`
	Method   string    `json:"method,omitempty"`
	BCa      *interval `json:"bca,omitempty"`
}

type typicalError struct {
	interval
	DF *float64 `json:"df,omitempty"`
}

type detectable struct {
	Level       float64  `json:"level"`
	Estimate    *float64 `json:"estimate,omitempty"`
	LargeSample *float64 `json:"large_sample,omitempty"`
	PercentUp   *float64 `json:"percent_up,omitempty"`
	PercentDown *float64 `json:"percent_down,omitempty"`
}

type worthwhile struct {
	interval
	Basis       string   `json:"basis"`
	PercentUp   *float64 `json:"percent_up,omitempty"`
	PercentDown *float64 `json:"percent_down,omitempty"`
}

type meanChange struct {
	From string `json:"from"`
	To   string `json:"to"`
	N    int    `json:"n"`
	interval
	P       *float64  `json:"p,omitempty"`
	TE      interval  `json:"typical_error"`
	Percent *interval `json:"percent,omitempty"`
}

type fTest struct {
	F   *float64 `json:"f,omitempty"`
	DF1 *float64 `json:"df1,omitempty"`
	DF2 *float64 `json:"df2,omitempty"`
	P   *float64 `json:"p,omitempty"`
}

type limits struct {
	From            string    `json:"from"`
	To              string    `json:"to"`
	N               int       `json:"n"`
	Coverage        float64   `json:"coverage"`
	Bias            *float64  `json:"bias,omitempty"`
	BiasInterval    interval  `json:"bias_interval"`
	SD              *float64  `json:"sd,omitempty"`
	Lower           *float64  `json:"lower,omitempty"`
	Upper           *float64  `json:"upper,omitempty"`
	LowerInterval   interval  `json:"lower_interval"`
	UpperInterval   interval  `json:"upper_interval"`
	LowerApprox     interval  `json:"lower_approximate"`
	UpperApprox     interval  `json:"upper_approximate"`
	PredictionLower *float64  `json:"prediction_lower,omitempty"`
	PredictionUpper *float64  `json:"prediction_upper,omitempty"`
	Slope           interval  `json:"slope_on_mean"`
	SlopeP          *float64  `json:"slope_p,omitempty"`
	Spread          interval  `json:"spread_on_mean"`
	SpreadP         *float64  `json:"spread_p,omitempty"`
	LogAdvised      bool      `json:"log_advised"`
	SpreadOnLog     *interval `json:"spread_on_log,omitempty"`
	Cured           bool      `json:"cured_on_log,omitempty"`
}

type groupDocument struct {
	Group     string    `json:"group"`
	Athletes  int       `json:"athletes"`
	Mean      *float64  `json:"mean,omitempty"`
	TE        *interval `json:"typical_error,omitempty"`
	TEPercent *interval `json:"typical_error_percent,omitempty"`
	DF        *float64  `json:"df,omitempty"`
	ICC       *interval `json:"icc,omitempty"`
	TooFew    string    `json:"too_few,omitempty"`
}

type groupTest struct {
	Method    string   `json:"method"`
	Statistic *float64 `json:"statistic,omitempty"`
	P         *float64 `json:"p,omitempty"`
	PooledICC *float64 `json:"pooled_icc,omitempty"`
	WithinICC *float64 `json:"within_icc,omitempty"`
	Words     string   `json:"words,omitempty"`
}

type influence struct {
	TEAthlete  string   `json:"typical_error_athlete"`
	TEWithout  *float64 `json:"typical_error_without,omitempty"`
	ICCAthlete string   `json:"icc_athlete"`
	ICCWithout *float64 `json:"icc_without,omitempty"`
}

type correlateDocument struct {
	Schema       string          `json:"schema"`
	Input        Input           `json:"input"`
	Settings     any             `json:"settings"`
	Outcome      string          `json:"outcome"`
	OutcomeUnit  string          `json:"outcome_unit"`
	Athletes     int             `json:"athletes"`
	Associations []association   `json:"associations"`
	Comparisons  []comparison    `json:"comparisons"`
	Within       []comparison    `json:"comparisons_within_level,omitempty"`
	Planes       []planeSummary  `json:"planes,omitempty"`
	Contrast     *planeContrast  `json:"plane_contrast,omitempty"`
	ContrastIn   *planeContrast  `json:"plane_contrast_within_level,omitempty"`
	Models       []model         `json:"models,omitempty"`
	Added        []added         `json:"added,omitempty"`
	Repeated     []repeated      `json:"repeated_measures,omitempty"`
	Changes      []changeAgainst `json:"change_against_change,omitempty"`
	Family       int             `json:"family"`
	Warnings     []string        `json:"warnings"`
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

type components struct {
	Athlete        interval `json:"athlete"`
	AthleteSession interval `json:"athlete_session"`
	Trial          interval `json:"trial"`
	Merged         string   `json:"merged,omitempty"`
	Singular       bool     `json:"singular"`
	Attempts       int      `json:"attempts"`
	Criterion      *float64 `json:"reml_criterion,omitempty"`
}

type decisionRow struct {
	Sessions    int      `json:"sessions"`
	Trials      int      `json:"trials"`
	TE          interval `json:"typical_error"`
	DF          *float64 `json:"df,omitempty"`
	Reliability interval `json:"reliability"`
	Detectable  *float64 `json:"detectable_change,omitempty"`
}

type cheapest struct {
	Found    bool     `json:"found"`
	Sessions int      `json:"sessions,omitempty"`
	Trials   int      `json:"trials,omitempty"`
	Never    bool     `json:"never"`
	Limit    *float64 `json:"limit,omitempty"`
	Words    string   `json:"words"`
}
