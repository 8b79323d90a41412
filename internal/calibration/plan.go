package calibration

// Seed is the seed of the kept table.
const Seed = 20260109

// The designs of the table.
var (
	athletes = []int{8, 12, 20, 40}
	sessions = []int{2, 3}
	iccs     = []float64{0.5, 0.8, 0.95}
)

// resamples is how many each bootstrap makes: the default of the analyses.
const resamples = 2000

// Full returns the experiments of the whole table, with the number of studies
// given. Those that fit several models or by iteration, or resample one statistic,
// make do with a fifth of it, and those that resample several with a tenth.
func Full(studies int) []Experiment {
	fewer, fewest := max(1, studies/5), max(1, studies/10)
	var all []Experiment
	add := func(e Experiment) { all = append(all, e) }
	for _, n := range athletes {
		for _, k := range sessions {
			for _, icc := range iccs {
				add(Reliability(n, k, icc, studies))
				add(Agreement(n, k, icc, fewer))
				add(TrueSD(n, k, icc, fewer))
				add(Components(n, k, icc, fewer))
			}
			add(FalseAlarms(n, k, studies))
		}
		add(Families(n, studies))
		add(Beliefs(n, max(1, studies/2)))
		add(Worths(n, fewer))
		add(OwnNoise(n, fewer))
		for _, rho := range []float64{0, 0.5, 0.8} {
			add(Correlations(n, rho, studies))
		}
		for _, r := range [][3]float64{{0.5, 0.5, 0.3}, {0.8, 0.8, 0.6}, {0.6, 0.3, 0.4}} {
			add(Comparisons(n, r[0], r[1], r[2], studies))
		}
		for _, icc := range iccs {
			add(Resampled(n, icc, fewest, resamples))
		}
	}
	all = append(all, noiseExperiments(studies, fewer, fewest)...)
	for _, n := range [][2]int{{8, 8}, {12, 12}, {20, 20}, {20, 8}} {
		for _, ratio := range []float64{1, 1.3, 2} {
			add(Levels(n[0], n[1], ratio, studies))
		}
	}
	for _, n := range athletes {
		add(Planes(n, 0.5, 0.5, fewer))
		add(Planes(n, 0.6, 0.3, fewer))
		for _, lift := range []float64{0, 1} {
			add(InsideAthletes(n, 3, lift, studies))
		}
	}
	for _, n := range []int{20, 40} { // fewer leave too few degrees of freedom for a model
		for _, r2 := range [][2]float64{{0.5, 0}, {0.5, 0.02}, {0.5, 0.1}, {0, 0.02}} {
			add(AddedValue(n, r2[0], r2[1], fewer))
		}
	}
	for _, n := range athletes {
		for _, k := range sessions {
			add(Practice(n, k, studies))
		}
	}
	for _, n := range []int{8, 20, 40} { // 7, 19, 39 degrees of freedom
		for _, planned := range []int{4, 8, 12} {
			add(Seasons(n, 2, planned, studies))
		}
	}
	for _, b := range []int{1, 3} {
		for _, planned := range []int{4, 12} {
			add(Seasons(20, b, planned, studies))
		}
	}
	return all
}
