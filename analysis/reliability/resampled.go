package reliability

import (
	"fmt"

	"noisefloor/analysis/anova"
	"noisefloor/analysis/bootstrap"
	"noisefloor/analysis/estimate"
)

// ResampledICC returns an intraclass correlation of a complete table, n athletes
// by k sessions, row-major, with a BCa bootstrap interval (Efron 1987): athletes
// are drawn with all their sessions, the mean squares and the coefficient are
// computed anew. form is one of [ICC.Form]. It makes no assumption of normal
// errors, where the F intervals do; in small studies it is narrower than it
// should be. y is not modified; the same options give the same bits on any
// number of cores.
//
// It fails as [anova.AnalyseTwoWay] does, and with [ErrOption] on another form.
func ResampledICC(y []float64, n, k int, form string, o bootstrap.Options) (estimate.Estimate, error) {
	a, err := anova.AnalyseTwoWay(y, n, k)
	if err != nil {
		return estimate.Estimate{}, err
	}
	value := coefficient(form, k)
	if value == nil {
		return estimate.Estimate{}, fmt.Errorf("%w: form %q", ErrOption, form)
	}
	stat := resampler(y, n, k, a.GrandMean, value)
	theta := value(sampleSquares{float64(n), a.MSR, a.MSC, a.MSE, a.MSW})
	o = o.WithDefaults()
	return bootstrap.BCa(theta, bootstrap.Distribution(n, stat, o), bootstrap.Jackknife(n, stat), o.Level), nil
}

// addBCa fills the bootstrap intervals of a complete table's coefficients.
func (r *Result) addBCa(s study) error {
	o := s.options
	if !o.Bootstrap {
		return nil
	}
	for i := range r.ICC {
		e, err := ResampledICC(s.table.Value, len(s.table.Athletes), len(s.table.Sessions), r.ICC[i].Form,
			bootstrap.Options{Replicates: o.Replicates, Seed: o.Seed, Level: o.Level})
		if err != nil {
			return err
		}
		r.ICC[i].BCa = &e
	}
	return nil
}

// sampleSquares are the mean squares of n athletes.
type sampleSquares struct{ n, msr, msc, mse, msw float64 }

// coefficient returns the estimate of a form, nil for no such form; see [FromANOVA].
func coefficient(form string, sessions int) func(sampleSquares) float64 {
	k := float64(sessions)
	switch form {
	case "1":
		return func(s sampleSquares) float64 { return (s.msr - s.msw) / (s.msr + (k-1)*s.msw) }
	case "k":
		return func(s sampleSquares) float64 { return (s.msr - s.msw) / s.msr }
	case "A,1":
		return func(s sampleSquares) float64 { return (s.msr - s.mse) / (s.msr + (k-1)*s.mse + k/s.n*(s.msc-s.mse)) }
	case "A,k":
		return func(s sampleSquares) float64 { return (s.msr - s.mse) / (s.msr + (s.msc-s.mse)/s.n) }
	case "C,1":
		return func(s sampleSquares) float64 { return (s.msr - s.mse) / (s.msr + (k-1)*s.mse) }
	case "C,k":
		return func(s sampleSquares) float64 { return (s.msr - s.mse) / s.msr }
	}
	return nil
}

// resampler returns the coefficient of a resample. The table is centred once;
// each athlete then counts with k scores, the square of their sum and the sum
// of their squares, so that a resample costs n (k + 2) additions.
func resampler(y []float64, n, k int, centre float64, value func(sampleSquares) float64) func([]int) float64 {
	width := k + 2
	d := make([]float64, n*width)
	for i := range n {
		row, sum := d[i*width:(i+1)*width], 0.0
		for j := range k {
			v := y[i*k+j] - centre
			row[j] = v
			sum += v
			row[k+1] += float64(v * v)
		}
		row[k] = sum * sum
	}
	add := addRows
	if k == 2 {
		add = addPairs
	}
	return func(index []int) float64 {
		var fixed [16]float64
		sums := fixed[:]
		if width > len(fixed) {
			sums = make([]float64, width)
		}
		sums = sums[:width]
		add(sums, d, index)
		return value(meanSquares(float64(len(index)), sums[:k], sums[k], sums[k+1]))
	}
}

func addRows(sums, d []float64, index []int) {
	width := len(sums)
	for _, i := range index {
		for j, v := range d[i*width : (i+1)*width] {
			sums[j] += v
		}
	}
}

// addPairs is addRows for two sessions.
func addPairs(sums, d []float64, index []int) {
	var a, b, c, e float64
	for _, i := range index {
		row := d[4*i : 4*i+4 : 4*i+4]
		a += row[0]
		b += row[1]
		c += row[2]
		e += row[3]
	}
	sums[0], sums[1], sums[2], sums[3] = a, b, c, e
}

// meanSquares are those of centred scores: from the sums of the sessions, of the
// squared sums of athletes, and of all squares.
func meanSquares(n float64, columns []float64, rowSquares, all float64) sampleSquares {
	k := float64(len(columns))
	var total, columnSquares float64
	for _, c := range columns {
		total += c
		columnSquares += float64(c * c)
	}
	correction := total * total / (n * k)
	ssr, ssc := rowSquares/k-correction, columnSquares/n-correction
	within := max(0, all-rowSquares/k)
	s := sampleSquares{n: n, msr: max(0, ssr) / (n - 1), msc: max(0, ssc) / (k - 1), msw: within / (n * (k - 1))}
	s.mse = max(0, within-ssc) / ((n - 1) * (k - 1))
	return s
}
