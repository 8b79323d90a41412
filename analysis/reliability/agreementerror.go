package reliability

import (
	"math"

	"noisefloor/analysis/estimate"
)

// agreementError is the error of one score with the shifts of the sessions counted
// in, sqrt(MSE + max(0, (MSC-MSE)/n)), with a generalized interval: with the pivots
// c = (k-1) MSC/W_c and e = df MSE/W_e of [squares.generalized] the limits are the
// quantiles of
//
//	sqrt(c/n + (1 - 1/n) e)
//
// that is of sqrt(σ²e + σ²c), the sessions taken as a sample of those that there may
// be. The part of the sessions is not cut at 0. They cover 94.3 to 96.2 % at 8 to 40
// athletes, 2 to 4 sessions, session SD 0 to 2 times the error; the modified
// large-sample limits of Graybill & Wang (1980, JASA 75:869-873, from memory) covered
// 94.4 to 96.9 %. With two sessions the upper limit is far off: two sessions say
// little about how much sessions differ.
//
// Source of the pivots: Weerahandi (1993), JASA 88:899-905 (from memory).
func (s squares) agreementError(level float64) estimate.Estimate {
	value := math.Sqrt(s.error + max(0, (s.sessions-s.error)/s.n))
	if !(s.error > 0) {
		return estimate.Bare(value, estimate.NoError)
	}
	sessions, errors := pivots(3, s.k-1), pivots(5, s.df2)
	at := make([]float64, pivotPoints)
	for i := range at {
		at[i] = float64(s.sessions*sessions[i]/s.n) + float64((1-1/s.n)*s.error*errors[i])
	}
	low, high := places(level)
	e := estimate.Estimate{Value: value, Level: level, Kind: estimate.Generalized,
		Lower: math.Sqrt(max(0, atPlace(at, low))), Upper: math.Sqrt(max(0, atPlace(at, high)))}
	e.Lower, e.Upper = min(e.Lower, value), max(e.Upper, value)
	return e
}

// places are where the limits stand among the pivots in order.
func places(level float64) (low, high int) {
	tail := (1 - level) / 2 * (pivotPoints - 1)
	return int(math.Round(tail)), int(math.Round(pivotPoints - 1 - tail))
}
