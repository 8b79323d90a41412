package reliability

import (
	"math"

	"noisefloor/analysis/decision"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
)

// noise fills the typical error, its companions and the detectable change.
func (r *Result) noise(o Options) {
	a := r.ANOVA
	n, k := float64(a.N), float64(a.K)
	r.DF = a.DFError
	r.TypicalError = sdEstimate(math.Sqrt(a.MSE), r.DF, r.Level)
	r.TypicalErrorPercent = percentError(r.TypicalError, r.Mean, r.Scale)
	r.AgreementError = estimate.Bare(math.Sqrt(a.MSE+max(0, (a.MSC-a.MSE)/n)), estimate.None)
	if !o.Lean {
		r.AgreementError = squares{n: n, k: k, sessions: a.MSC, error: a.MSE, df2: r.DF}.agreementError(r.Level)
	}
	r.TrueSD = math.Sqrt(max(0, (a.MSR-a.MSE)/k))
	r.ObservedSD = math.Sqrt(a.MSR / k)
	r.DetectableChange = detectable(r.TypicalError, r.DF, o)
}

// sdEstimate gives a standard deviation its chi-square interval, sd sqrt(df/q)
// with q the chi-square quantiles at (1+level)/2 and (1-level)/2.
func sdEstimate(sd, df, level float64) estimate.Estimate {
	if sd == 0 {
		return estimate.Bare(0, estimate.NoVariation)
	}
	return estimate.Estimate{
		Value: sd,
		Lower: sd * math.Sqrt(df/dist.ChiSquareQuantile((1+level)/2, df)),
		Upper: sd * math.Sqrt(df/dist.ChiSquareQuantile((1-level)/2, df)),
		DF:    df, Level: level, Kind: estimate.ChiSquare,
	}
}

// percentError is the typical error as a coefficient of variation: of the mean
// on the raw scale, 100 (exp(TE) - 1) on the log scale.
func percentError(te estimate.Estimate, mean float64, scale score.Scale) estimate.Estimate {
	if scale == score.Log {
		return te.Map(estimate.Percent)
	}
	if mean <= 0 {
		return estimate.Bare(math.NaN(), estimate.NotPositive)
	}
	return te.Map(func(v float64) float64 { return 100 * v / mean })
}

// detectable is the smallest change of one athlete that is more than noise.
// The error itself is estimated, so the factor is t with its df and not the
// normal quantile, which is kept beside it as the large-sample value.
func detectable(te estimate.Estimate, df float64, o Options) DetectableChange {
	q := (1 + o.Level) / 2
	times := dist.TQuantile(q, df) * math.Sqrt2
	d := DetectableChange{Level: o.Level, Power: o.Power,
		Value: times * te.Value, Lower: times * te.Lower, Upper: times * te.Upper,
		LargeSample: dist.NormalQuantile(q) * math.Sqrt2 * te.Value,
	}
	d.PercentUp, d.PercentDown = upAndDown(d.Value, o.Scale)
	seen := decision.Seen(o.Level, o.Power, df) * math.Sqrt2
	d.Seen = te.Map(func(v float64) float64 { return seen * v })
	d.Power80 = decision.Seen(o.Level, decision.DefaultPower, df) * math.Sqrt2 * te.Value
	return d
}

// upAndDown returns a change on the log scale in percent, up and down; NaN on
// the raw scale.
func upAndDown(change float64, scale score.Scale) (up, down float64) {
	if scale != score.Log {
		return math.NaN(), math.NaN()
	}
	return estimate.Percent(change), estimate.Percent(-change)
}
