package reliability

import (
	"math"

	"noisefloor/analysis/anova"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/moment"
	"noisefloor/analysis/score"
)

// sessions fills the changes of the mean, their test, and from when on the
// test has settled. change gives that between two sessions by their numbers.
func (r *Result) sessions(change func(from, to int) MeanChange, test FTest) {
	for j := 1; j < len(r.Sessions); j++ {
		c := change(j-1, j)
		c.From, c.To = r.Sessions[j-1], r.Sessions[j]
		if r.Scale == score.Log {
			percent := c.Change.Map(estimate.Percent)
			c.Percent = &percent
		}
		r.MeanChanges = append(r.MeanChanges, c)
	}
	r.SessionTest = test
	r.Settling, r.SettledFrom = settled(r.MeanChanges, r.Worthwhile.Value)
}

// pairedChange compares two sessions of a complete table.
func pairedChange(t score.Table, level float64) func(from, to int) MeanChange {
	return func(from, to int) MeanChange { return meanChange(column(t, from), column(t, to), level) }
}

// meanChange is the paired comparison of two sessions: mean difference with
// its Student t interval, and the typical error SD(differences)/sqrt(2).
func meanChange(before, after []float64, level float64) MeanChange {
	n := len(before)
	d := make([]float64, n)
	var top float64
	for i := range d {
		d[i] = after[i] - before[i]
		top = max(top, math.Abs(before[i]), math.Abs(after[i]))
	}
	mean, df := moment.Mean(d), float64(n-1)
	sd := sdAround(d, mean)
	c := MeanChange{N: n, DF: df}
	if sd <= 16*0x1p-52*top {
		c.Change, c.P = estimate.Bare(mean, estimate.NoVariation), math.NaN()
		c.TypicalError = sdEstimate(0, df, level)
		return c
	}
	se := sd / math.Sqrt(float64(n))
	half := dist.TQuantile((1+level)/2, df) * se
	c.Change = estimate.Around(mean, half, se, df, level, estimate.PairedT)
	c.P = dist.TTwoSided(mean/se, df)
	c.TypicalError = sdEstimate(sd/math.Sqrt2, df, level)
	return c
}

// sdAround is the standard deviation of x, divisor n-1, given its mean.
func sdAround(x []float64, mean float64) float64 {
	var ss float64
	for _, v := range x {
		ss += float64((v - mean) * (v - mean))
	}
	return math.Sqrt(ss / float64(len(x)-1))
}

// sessionTest asks whether the session means are equal, F = MSC/MSE.
func sessionTest(a anova.TwoWay) FTest {
	t := FTest{F: a.MSC / a.MSE, DF1: a.DFCols, DF2: a.DFError}
	switch {
	case a.MSE > 0:
		t.P = dist.FSurvival(t.F, t.DF1, t.DF2)
	case a.MSC == 0:
		t.P = math.NaN() // and F = 0/0 is too
	}
	return t
}

func inside(e estimate.Estimate, limit float64) bool {
	return e.HasInterval() && e.Lower > -limit && e.Upper < limit
}
