package reliability

import (
	"math"

	"noisefloor/analysis/anova"
)

// influence leaves out each athlete in turn and names the one whose removal
// moves the typical error most, and the one that moves ICC(C,1) most. nil if a
// study without one athlete would be too small. Leaving out athlete i takes
//
//	n/(n-1) k r_i²  from SSR  and  n/(n-1) Σ_j e_ij²  from SSE
//
// (r_i: its mean less the grand mean, e_ij: its residuals), so that all n
// studies cost no more than one.
func influence(athletes []string, p parts, a anova.TwoWay) *Influence {
	if p.n <= MinAthletes {
		return nil
	}
	n, k := float64(p.n), float64(p.k)
	te, icc := math.Sqrt(a.MSE), consistency(a.MSR, a.MSE, k)
	out := &Influence{ICCWithout: math.NaN(), By: ByEach, Athletes: p.n, OfTypicalError: te, OfICC: icc}
	farTE, farICC := -1.0, -1.0
	for i := range p.n {
		msr := max(0, a.SSRows-n/(n-1)*k*p.row[i]*p.row[i]) / (n - 2)
		mse := max(0, a.SSError-n/(n-1)*p.residualSS[i]) / ((n - 2) * (k - 1))
		if d := math.Abs(math.Sqrt(mse) - te); d > farTE {
			farTE, out.TypicalErrorAthlete, out.TypicalErrorWithout = d, athletes[i], math.Sqrt(mse)
		}
		without := consistency(msr, mse, k)
		if d := math.Abs(without - icc); d > farICC { // false for NaN
			farICC, out.ICCAthlete, out.ICCWithout = d, athletes[i], without
		}
	}
	return out
}

// consistency is ICC(C,1), NaN if nothing varies.
func consistency(msr, mse, k float64) float64 {
	return (msr - mse) / (msr + float64((k-1)*mse))
}
