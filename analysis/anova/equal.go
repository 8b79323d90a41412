package anova

import (
	"math"

	"noisefloor/analysis/dist"
)

// VarianceRatio compares two variances, v1 on d1 and v2 on d2 degrees of freedom:
// F is the larger over the smaller, p two-sided, twice the smaller tail of the F
// distribution. It is exact for normal errors and sensitive to others. Source:
// Snedecor GW, Cochran WG (1989), Statistical Methods, 8th edition.
func VarianceRatio(v1, d1, v2, d2 float64) (f, p float64) {
	if v2 > v1 {
		v1, d1, v2, d2 = v2, d2, v1, d1
	}
	f = v1 / v2
	return f, min(1, 2*min(dist.FSurvival(f, d1, d2), dist.FSurvival(1/f, d2, d1)))
}

// Bartlett tests that g variances s_i² on ν_i degrees of freedom are equal,
//
//	[ν ln s² - Σ ν_i ln s_i²] / [1 + (Σ 1/ν_i - 1/ν)/(3(g-1))],  ν = Σ ν_i,  s² = Σ ν_i s_i²/ν
//
// as chi-square with g-1 degrees of freedom. It is nearly exact for normal errors
// and sensitive to others. Source: Bartlett MS (1937), Proceedings of the Royal
// Society of London A 160:268-282.
func Bartlett(variance, df []float64) (statistic, p float64) {
	var total, pooled, logs, inverse float64
	for i, v := range variance {
		total += df[i]
		pooled += float64(df[i] * v)
		inverse += 1 / df[i]
	}
	pooled /= total
	for i, v := range variance {
		logs += float64(df[i] * math.Log(v/pooled))
	}
	g := float64(len(variance))
	statistic = max(0, -logs/(1+(inverse-1/total)/(3*(g-1))))
	return statistic, dist.ChiSquareSurvival(statistic, g-1)
}
