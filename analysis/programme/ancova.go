// Package programme says whether a group changed over a block of training, against a
// control group where there is one, and how far the athletes' responses differ.
package programme

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
)

// BellMcCaffrey is the kind of an interval on HC2 with Bell & McCaffrey's degrees of freedom.
const BellMcCaffrey estimate.Kind = "bell-mccaffrey"

// A Coefficient is one of a linear model with robust standard errors.
type Coefficient struct {
	HC2 estimate.Estimate // Student t on Bell & McCaffrey's degrees of freedom
	HC3 estimate.Estimate // Student t on N - p
	P   float64           // of HC2
}

// A model is a least-squares fit of which one coefficient is wanted, ready for other
// responses and the permutation of labels.
type model struct {
	n, p int
	x    *mat.Dense
	c    []float64  // row of (X'X)⁻¹X' of the coefficient
	h    []float64  // leverages
	hat  *mat.Dense // H
	all  *mat.Dense // (X'X)⁻¹X'
}

// fit prepares the coefficient at of the columns; ok is false where they are collinear, or
// some athlete's score is reached exactly.
func fit(columns [][]float64, at int) (m model, ok bool) {
	m = model{n: len(columns[0]), p: len(columns)}
	if m.n <= m.p {
		return m, false
	}
	m.x = mat.NewDense(m.n, m.p, nil)
	for j, c := range columns {
		m.x.SetCol(j, c)
	}
	var qr mat.QR
	qr.Factorize(m.x)
	if qr.Cond() > 1e10 {
		return m, false
	}
	identity := mat.NewDense(m.n, m.n, nil)
	for i := range m.n {
		identity.Set(i, i, 1)
	}
	m.all = &mat.Dense{}
	if qr.SolveTo(m.all, false, identity) != nil {
		return m, false
	}
	m.hat = &mat.Dense{}
	m.hat.Mul(m.x, m.all)
	m.c = mat.Row(nil, at, m.all)
	for i := range m.n {
		h := m.hat.At(i, i)
		if h > 1-1e-9 && math.Abs(m.c[i]) > 1e-12 {
			return m, false
		}
		m.h = append(m.h, h)
	}
	return m, true
}

// robust is the coefficient of y with its HC2 and HC3 standard errors,
//
//	SE² = Σ c_i² e_i²/(1-h_i)^d    d = 1 (HC2), 2 (HC3)
//
// c the coefficient's row of (X'X)⁻¹X', e the residuals, h the leverages.
func (m model) robust(y []float64) (b, hc2, hc3 float64) {
	for i, v := range y {
		b += float64(m.c[i] * v)
	}
	for i := range y {
		e := y[i]
		for j, v := range y {
			e -= float64(m.hat.At(i, j) * v)
		}
		if free := 1 - m.h[i]; free > 1e-9 {
			s := float64(m.c[i]*m.c[i]) * float64(e*e) / free
			hc2 += s
			hc3 += s / free
		}
	}
	return b, math.Sqrt(hc2), math.Sqrt(hc3)
}

// df are the degrees of freedom of HC2 for the coefficient, of Bell & McCaffrey,
//
//	(Σ A_ii)²/Σ A_ij²    A = (I - H)∘(w w')    w_i = c_i/√(1-h_i)
//
// those of a Satterthwaite approximation for errors of one variance.
func (m model) df() float64 {
	w := make([]float64, m.n)
	for i := range w {
		if free := 1 - m.h[i]; free > 1e-9 {
			w[i] = m.c[i] / math.Sqrt(free)
		}
	}
	trace, square := 0.0, 0.0
	for i := range m.n {
		for j := range m.n {
			a := -m.hat.At(i, j)
			if i == j {
				a++
			}
			a *= w[i] * w[j]
			if i == j {
				trace += a
			}
			square += a * a
		}
	}
	return trace * trace / square
}

// coefficient is that of y with its intervals.
//
// Sources: MacKinnon JG, White H (1985), Journal of Econometrics 29:305-325 (HC2, HC3); Bell
// RM, McCaffrey DF (2002), Survey Methodology 28:169-181.
func (m model) coefficient(y []float64, level float64) Coefficient {
	b, hc2, hc3 := m.robust(y)
	df := m.df()
	if !(hc2 > 0) {
		return Coefficient{HC2: estimate.Bare(b, estimate.NoError), HC3: estimate.Bare(b, estimate.NoError), P: math.NaN()}
	}
	rest := float64(m.n - m.p)
	return Coefficient{
		HC2: estimate.Around(b, dist.TQuantile((1+level)/2, df)*hc2, hc2, df, level, BellMcCaffrey),
		HC3: estimate.Around(b, dist.TQuantile((1+level)/2, rest)*hc3, hc3, rest, level, estimate.StudentT),
		P:   dist.TTwoSided(b/hc2, df),
	}
}
