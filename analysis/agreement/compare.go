package agreement

import (
	"errors"
	"fmt"
	"math"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/moment"
)

// MinPairs is the fewest athletes with both occasions: two give a standard
// deviation, the third leaves a degree of freedom for the slopes.
const MinPairs = 3

// Errors that callers test with errors.Is.
var (
	ErrFewPairs  = errors.New("too few athletes with both occasions")
	ErrLength    = errors.New("the columns differ in length")
	ErrNonFinite = errors.New("not a finite number")
	ErrLevel     = errors.New("a level must lie between 0 and 1")
)

// Compare measures the agreement of two occasions of one test. With the
// differences d = second - first, their mean D and their standard deviation s
// (divisor n-1), the limits of agreement are
//
//	D - z s  and  D + z s,   z = the (1+coverage)/2 quantile of the normal law.
//
// The exact interval of D + z s is D + s q/sqrt(n), where q are the two
// quantiles of the noncentral t with n-1 degrees of freedom and noncentrality
// z sqrt(n); that of D - z s mirrors it. The approximate interval is
// limit -+ t sqrt(3 s²/n). The prediction limits are D -+ t s sqrt(1+1/n).
//
// Slope is that of d on the mean of the pair. Spread is the slope, on the mean
// of the pair, of the absolute residual of that first line: the error with the
// proportional bias taken out. When the interval of Spread lies above zero and
// every score is positive, the log scale is advised, Spread is refitted on
// logarithms, and Cured says whether its interval then holds zero.
//
// All results are in the unit of the scores; Slope and Spread have none. The
// two columns run along athletes; pairs with a NaN are dropped and counted in
// Caveats. The arguments are not modified.
//
// Special cases are:
//
//	Compare = ErrLength    if the three columns differ in length
//	Compare = ErrNonFinite if a score is infinite
//	Compare = ErrLevel     if Level or Coverage is outside (0, 1)
//	Compare = ErrFewPairs  if fewer than MinPairs pairs are left
//
// Sources: Bland & Altman (1986), Lancet 327, 307-310 (limits, approximate
// intervals); Bland & Altman (1999), Stat Methods Med Res 8, 135-160 (slopes);
// Carkeet (2015), Optom Vis Sci 92(3), e71-e80 (exact intervals).
func Compare(athletes []string, first, second []float64, from, to string, o Options) (Result, error) {
	if err := o.fill(); err != nil {
		return Result{}, err
	}
	if len(first) != len(athletes) || len(second) != len(athletes) {
		return Result{}, fmt.Errorf("%w: %d athletes, %d scores in %s, %d in %s",
			ErrLength, len(athletes), len(first), from, len(second), to)
	}
	p, err := pairUp(athletes, first, second, from, to)
	if err != nil {
		return Result{}, err
	}
	r := Result{From: from, To: to, N: len(p.difference), Level: o.Level, Coverage: o.Coverage, Points: p.points()}
	if dropped := len(athletes) - r.N; dropped > 0 {
		r.doubt(PairsLeftOut, float64(dropped), float64(len(athletes)))
	}
	if r.N < MinPairs {
		return Result{}, fmt.Errorf("%w: have %d, need %d", ErrFewPairs, r.N, MinPairs)
	}
	r.limits(p)
	r.slopes(p, o)
	return r, nil
}

func (r *Result) doubt(kind caveat.Kind, numbers ...float64) {
	r.Caveats = append(r.Caveats, caveat.New(kind, numbers...).With(r.From, r.To))
}

// fill puts the defaults in and checks the levels.
func (o *Options) fill() error {
	for _, level := range []*float64{&o.Level, &o.Coverage} {
		if *level == 0 {
			*level = 0.95
		}
		if !(*level > 0 && *level < 1) {
			return fmt.Errorf("%w: %g", ErrLevel, *level)
		}
	}
	return nil
}

// limits fills the bias, the limits of agreement and the prediction limits.
func (r *Result) limits(p pairs) {
	n := float64(r.N)
	bias, sd := moment.Mean(p.difference), moment.SD(p.difference)
	if sd <= 16*0x1p-52*p.largest() {
		sd = 0
		r.doubt(AllAlike)
	}
	r.SD = sd
	tLevel := dist.TQuantile((1+r.Level)/2, n-1)
	r.Bias = estimate.Around(bias, tLevel*sd/math.Sqrt(n), sd/math.Sqrt(n), n-1, r.Level, estimate.StudentT)

	z := dist.NormalQuantile((1 + r.Coverage) / 2)
	half := z * sd
	wide := tLevel * sd * math.Sqrt(3/n)
	se := sd * math.Sqrt(3/n)
	r.LowerApprox = estimate.Around(bias-half, wide, se, n-1, r.Level, estimate.LargeSample1986)
	r.UpperApprox = estimate.Around(bias+half, wide, se, n-1, r.Level, estimate.LargeSample1986)
	r.Lower, r.Upper = exactLimits(bias, sd, z, n, r.Level)

	ahead := dist.TQuantile((1+r.Coverage)/2, n-1) * sd * math.Sqrt(1+1/n)
	r.PredictionLower, r.PredictionUpper = bias-ahead, bias+ahead
}

// exactLimits gives bias -+ z sd with noncentral t intervals. All four ends
// come from two quantiles: q/sqrt(n) is how many standard deviations the end
// lies from the bias.
func exactLimits(bias, sd, z, n, level float64) (lower, upper estimate.Estimate) {
	delta := z * math.Sqrt(n)
	near := sd * dist.NoncentralTQuantile((1-level)/2, n-1, delta) / math.Sqrt(n)
	far := sd * dist.NoncentralTQuantile((1+level)/2, n-1, delta) / math.Sqrt(n)
	if math.IsNaN(near) || math.IsNaN(far) {
		return estimate.Bare(bias-z*sd, estimate.Failed), estimate.Bare(bias+z*sd, estimate.Failed)
	}
	lower = estimate.Estimate{Value: bias - z*sd, Lower: bias - far, Upper: bias - near, DF: n - 1, Level: level,
		Kind: estimate.NoncentralT}
	upper = estimate.Estimate{Value: bias + z*sd, Lower: bias + near, Upper: bias + far, DF: n - 1, Level: level,
		Kind: estimate.NoncentralT}
	return lower, upper
}
