package association

// CorrectedStatistic is the statistic that the bootstrap of a corrected r
// resamples, for the first test of in, and the numbers of athletes of the two
// studies.
func CorrectedStatistic(in Input) (stat func(index, study []int) float64, n, m int) {
	c := newCorrection(in, in.Tests[0])
	count := func(n int, index []int) []float64 {
		w := make([]float64, n)
		for _, i := range index {
			w[i]++
		}
		return w
	}
	n, m = len(c.units), len(c.study)
	return func(index, study []int) float64 { return c.r(count(n, index), count(m, study)) }, n, m
}

// DeltaStatistic computes ΔR² of every step of Models for a resample of its
// athletes, and says who they are.
func DeltaStatistic(in Input, o Options) (stat func(index []int) []float64, athletes []string) {
	o, err := o.withDefaults()
	if err != nil {
		panic(err)
	}
	s := &ModelSet{Level: o.Level}
	d := newDesign(in, o, s)
	d.takeForm(o.Blocks, s)
	d.fitAll(s)
	f, theta := d.deltas(len(d.models()))
	return func(index []int) []float64 {
		w, out := make([]float64, len(d.y)), make([]float64, len(theta))
		for _, i := range index {
			w[i]++
		}
		f([][]float64{w}, out)
		return out
	}, d.athletes
}
