package noise

// A Together is the covariances of the errors of several quantities of one session: the
// scores of tests, or the indices that are made of pairs of them. What makes one high on
// a day may make the others high too.
type Together struct {
	Kind  string   // "scores", "side_difference" or "countermovement_gain"
	Group string   // of the athletes; "" for all
	Of    []string // names: tests; of an index its first test

	Covariance [][]float64 // symmetric, on the scale of each model (indices: percent); NaN where not known
	DF         [][]float64 // behind each
}
