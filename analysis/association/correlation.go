package association

import (
	"math"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/rank"
)

// Pearson returns the product-moment correlation of x and y,
//
//	r = Σ(x-x̄)(y-ȳ) / √(Σ(x-x̄)² Σ(y-ȳ)²)
//
// with Fisher's interval at the confidence level (0 means 0.95),
//
//	tanh(atanh r ± z/√(n-3))
//
// and the two-sided p value of t = r √((n-2)/(1-r²)) on n-2 degrees of
// freedom. z is the standard normal quantile. r has no unit and keeps its
// value under any rising linear change of x or y. The sums are compensated
// two-pass. x and y are not modified.
//
// Special cases: r = ±1 has p = 0 and no interval, since atanh 1 is not
// finite. The errors are [ErrTooFew] below 4 values, [ErrConstant],
// [ErrNonFinite] (missing values must be left out first), [ErrLength] and
// [ErrLevel].
//
// Source: Fisher RA (1921). On the "probable error" of a coefficient of
// correlation deduced from a small sample. Metron 1:3-32.
func Pearson(x, y []float64, level float64) (Correlation, error) {
	level, err := confidence(level)
	if err == nil {
		err = check(minN, series{"x", x}, series{"y", y})
	}
	if err != nil {
		return missing(len(x), reasonOf(err)), err
	}
	return fromR(cosine(centre(x).d, centre(y).d), len(x), 0, level), nil
}

// Spearman returns Pearson's r of the mid-ranks of x and y, with the interval
//
//	tanh(atanh r ± z √((1 + r²/2)/(n-3)))
//
// which keeps its level where Fisher's is too narrow for ranks. The p value is
// two-sided: up to n = 9 the exact share of the n! orders of y with |r| at
// least as large (ties kept), above that the t approximation of [Pearson], but
// never less than the share of the orders that rank as the one seen, which is
// one of them: p is never 0. PMethod says which. r = ±1 has no interval. Errors
// are those of [Pearson].
//
// Source: Bonett DG, Wright TA (2000). Sample size requirements for estimating
// Pearson, Kendall and Spearman correlations. Psychometrika 65:23-28.
func Spearman(x, y []float64, level float64) (Correlation, error) {
	level, err := confidence(level)
	if err == nil {
		err = check(minN, series{"x", x}, series{"y", y})
	}
	if err != nil {
		return missing(len(x), reasonOf(err)), err
	}
	rx, ry := rank.Mid(x), rank.Mid(y)
	n := len(x)
	c := fromR(cosine(centre(rx).d, centre(ry).d), n, 0, level)
	c.Estimate = bonettWright(c.Value, n, level)
	if n <= exactN {
		c.P, c.PMethod = permutationP(rx, ry), ExactP
	} else {
		c.P = max(c.P, leastP(c.Value, rx, ry))
	}
	return c, nil
}

// fromR completes a correlation that has q columns held constant.
func fromR(r float64, n, q int, level float64) Correlation {
	df := float64(n - q - 2)
	c := Correlation{N: n, DF: df, P: tailP(r, df), PMethod: StudentP, PHolm: math.NaN(), PBH: math.NaN()}
	if n-q-3 < 1 {
		c.Estimate = estimate.Bare(r, estimate.TooFew)
		return c
	}
	c.Estimate = fisher(r, 1/math.Sqrt(float64(n-q-3)), level, estimate.FisherZ)
	return c
}

// fisher is the interval tanh(atanh r ± z se).
func fisher(r, se, level float64, kind estimate.Kind) estimate.Estimate {
	if math.Abs(r) >= 1 {
		return estimate.Bare(r, estimate.OnALine)
	}
	half := dist.NormalQuantile((1+level)/2) * se
	z := math.Atanh(r)
	return estimate.Estimate{Value: r, Lower: math.Tanh(z - half), Upper: math.Tanh(z + half), Level: level, Kind: kind}
}

// bonettWright is the interval of [Spearman].
func bonettWright(r float64, n int, level float64) estimate.Estimate {
	return fisher(r, math.Sqrt((1+r*r/2)/float64(n-3)), level, estimate.BonettWright)
}

// tailP is the two-sided p value of r on df degrees of freedom.
func tailP(r, df float64) float64 {
	return dist.TTwoSided(r*math.Sqrt(df/((1-r)*(1+r))), df)
}

// missing is the correlation that there is not, and why.
func missing(n int, reason estimate.Kind) Correlation {
	nan := math.NaN()
	return Correlation{Estimate: estimate.Bare(nan, reason), N: n, DF: nan, P: nan, PHolm: nan, PBH: nan}
}

// slope returns the least-squares slope of y on x with its t interval on n-2
// degrees of freedom. x must vary.
func slope(x, y []float64, level float64) estimate.Estimate {
	cx, cy := centre(x), centre(y)
	sxx := crossProduct(cx.d, cx.d)
	b := crossProduct(cx.d, cy.d) / sxx
	var rss float64
	for i, dx := range cx.d {
		e := cy.d[i] - float64(b*dx)
		rss += float64(e * e)
	}
	df := float64(len(x) - 2)
	se := math.Sqrt(rss / df / sxx)
	half := dist.TQuantile((1+level)/2, df) * se
	unit := func(v float64) float64 { return math.Ldexp(v, cy.exponent-cx.exponent) }
	return estimate.Estimate{Value: unit(b), Lower: unit(b - half), Upper: unit(b + half),
		SE: unit(se), DF: df, Level: level, Kind: estimate.StudentT}
}
