package association

// CorrectedStatistic is the statistic that the bootstrap of a corrected r
// resamples, for the first test of in, and the number of its athletes.
func CorrectedStatistic(in Input) (stat func(index []int) float64, n int) {
	m := newResampler(in.Tests[0], in.Outcome, len(in.Athletes))
	return m.corrected, m.athletes
}
