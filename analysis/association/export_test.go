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

// WeightedStatistics are the statistics of the bootstrap as functions of how
// often each athlete counts, for the first test and the first comparison.
func WeightedStatistics(in Input, o Options) map[string]func(w []float64) float64 {
	o.Bootstrap = false
	r, err := Analyse(in, o)
	if err != nil {
		panic(err)
	}
	b := newBatch(o)
	resampleOne(in, in.Tests[0], &r.Associations[0], 0.95, b)
	resampleComparison(in, &r.Comparisons[0], 0.95, b)
	resampleComparison(in, &r.WithinComparisons[0], 0.95, b)
	if len(b.groups) != 1 {
		panic("the athletes differ between the statistics")
	}
	out := map[string]func(w []float64) float64{}
	names := []string{"pearson", "spearman", "partial", "within", "difference", "difference within"}
	for k, value := range b.groups[0].values {
		out[names[k]] = func(w []float64) float64 { return value(w, nil) }
	}
	return out
}

// Eliminated is what is left of the last of the columns once the others are
// taken out, where every row counts once.
func Eliminated(columns ...[]float64) float64 {
	g, last := gramOf(columns, ones(len(columns[0]))), len(columns)-1
	for j := range last {
		g.out(j)
	}
	return g.s[last][last]
}
