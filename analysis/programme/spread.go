package programme

import (
	"math"
	"slices"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/moment"
)

// MOVER is the kind of an interval put together from those of two variances.
const MOVER estimate.Kind = "mover"

// sharePoints is the size of the fixed set behind the limits of a share.
const sharePoints = 4096

// spread is how far true responses differ: V = s²(trained) - s²(control) of the changes,
// shown as sign·√|V|, with limits put together from the χ² limits of both variances,
//
//	L = V - √((s_T² - l_T)² + (u_C - s_C²)²)    U = V + √((u_T - s_T²)² + (s_C² - l_C)²)
//
// That responses differ needs L above 0 and Brown and Forsythe's test of the changes under
// 0.05. Without a control 2TE² of the noise study stands in, known exactly, and there is no
// verdict: V then holds whatever noise the weeks of the programme add. The share beyond what
// matters is Φ((m - w)/SD), m the mean response, its limits the quantiles of that over a
// fixed set of pivots of m and V; where L is not above 0 the interval alone is given. It
// takes responses to be bell-shaped.
//
// Source: Zou GY (2007), Psychological Methods 12:399-413.
func (r *Result) spread(in Input, o Options) *Spread {
	t := r.Groups[0].Changes
	vt, nt := moment.Variance(t), float64(len(t)-1)
	out := &Spread{BrownP: math.NaN(), Share: estimate.Bare(math.NaN(), estimate.None)}
	var vc, nc float64
	switch {
	case len(r.Groups) == 2:
		c := r.Groups[1].Changes
		vc, nc, out.Controlled = moment.Variance(c), float64(len(c)-1), true
		out.BrownP = brownForsythe(t, c)
	case in.TypicalError > 0:
		vc, nc = 2*in.TypicalError*in.TypicalError, math.Inf(1)
	default:
		return nil
	}
	a := (1 - o.Level) / 2
	lt, ut := vt*nt/dist.ChiSquareQuantile(1-a, nt), vt*nt/dist.ChiSquareQuantile(a, nt)
	lc, uc := vc, vc
	if out.Controlled {
		lc, uc = vc*nc/dist.ChiSquareQuantile(1-a, nc), vc*nc/dist.ChiSquareQuantile(a, nc)
	}
	v := vt - vc
	low, high := v-math.Hypot(vt-lt, uc-vc), v+math.Hypot(ut-vt, vc-lc)
	out.SD = estimate.Estimate{Value: root(v), Lower: root(low), Upper: root(high), Level: o.Level, Kind: MOVER}
	out.Differ = out.Controlled && low > 0 && out.BrownP < 0.05
	if in.Worthwhile > 0 {
		out.Share = r.share(in.Worthwhile, vt, nt, vc, nc, o.Level)
		if !(low > 0) {
			out.Share.Value = math.NaN()
		}
	}
	return out
}

// root is sign·√|v|.
func root(v float64) float64 { return math.Copysign(math.Sqrt(math.Abs(v)), v) }

// share is that of athletes whose true response is beyond w.
func (r *Result) share(w, vt, nt, vc, nc, level float64) estimate.Estimate {
	e := r.Groups[0].Change
	if r.Adjusted != nil {
		e = r.Adjusted.HC2
	}
	all := make([]float64, sharePoints)
	for i := range all {
		m := e.Value
		if e.SE > 0 {
			m += e.SE * dist.TQuantile(dist.Halton(i+1, 2), e.DF)
		}
		v := vt*nt/dist.ChiSquareQuantile(dist.Halton(i+1, 3), nt) - vc
		if !math.IsInf(nc, 1) {
			v = vt*nt/dist.ChiSquareQuantile(dist.Halton(i+1, 3), nt) - vc*nc/dist.ChiSquareQuantile(dist.Halton(i+1, 5), nc)
		}
		all[i] = beyond(m, w, v)
	}
	slices.Sort(all)
	at := func(p float64) float64 { return all[int(p*float64(len(all)-1))] }
	return estimate.Estimate{Value: beyond(e.Value, w, vt-vc), Lower: at((1 - level) / 2), Upper: at((1 + level) / 2), Level: level,
		Kind: estimate.Generalized}
}

func beyond(m, w, v float64) float64 {
	if v <= 0 {
		if m >= w {
			return 1
		}
		return 0
	}
	return dist.NormalCDF((m - w) / math.Sqrt(v))
}

// brownForsythe is the p of equal spread: the F test of the distances to the medians.
//
// Source: Brown MB, Forsythe AB (1974), Journal of the American Statistical Association
// 69:364-367.
func brownForsythe(a, b []float64) float64 {
	x, y := distances(a), distances(b)
	n, m := float64(len(x)), float64(len(y))
	within := (moment.Variance(x)*(n-1) + moment.Variance(y)*(m-1)) / (n + m - 2)
	if !(within > 0) {
		return math.NaN()
	}
	d := moment.Mean(x) - moment.Mean(y)
	return dist.FSurvival(d*d/(within*(1/n+1/m)), 1, n+m-2)
}

func distances(x []float64) []float64 {
	sorted := slices.Sorted(slices.Values(x))
	n := len(sorted)
	mid := (sorted[(n-1)/2] + sorted[n/2]) / 2
	out := make([]float64, n)
	for i, v := range x {
		out[i] = math.Abs(v - mid)
	}
	return out
}
