package reliability

// ResampleForTest is the coefficient of resamples of a table.
func ResampleForTest(y []float64, n, k int, form string) func([]int) float64 {
	var sum float64
	for _, v := range y {
		sum += v
	}
	return resampler(y, n, k, sum/float64(len(y)), coefficient(form, k))
}
