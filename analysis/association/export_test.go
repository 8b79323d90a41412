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
