package linear

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"noisefloor/analysis/compensated"
)

// relations fills what the columns say of one another: standard errors, their
// correlations, the inverse of these, and the condition.
func (b basis) relations(f *Fit) {
	p := len(b.columns)
	inverse := b.inverse()
	length := make([]float64, p) // of the centred columns
	f.gram, f.inverse = square(p), square(p)
	f.scale, f.SlopeSE = make([]float64, p), make([]float64, p)
	for j, c := range b.columns {
		length[j] = math.Sqrt(c.square.Float())
		f.scale[j] = math.Ldexp(length[j]/math.Sqrt(float64(f.N-1)), c.exponent)
		f.SlopeSE[j] = math.Ldexp(f.ResidualSD*math.Sqrt(inverse[j][j].Float()), -c.exponent)
	}
	variance := compensated.Of(1).Over(float64(f.N)) // of the intercept, over that of y
	for j := range p {
		for k := range p {
			f.gram[j][k] = b.product(j, k).Float() / (length[j] * length[k])
			f.inverse[j][k] = inverse[j][k].Float() * length[j] * length[k]
			variance = variance.Add(inverse[j][k].Mul(b.columns[j].mean).Mul(b.columns[k].mean))
		}
	}
	f.InterceptSE = f.ResidualSD * math.Sqrt(variance.Float())
	f.Condition = b.condition(length)
}

func square(p int) [][]float64 {
	m := make([][]float64, p)
	for j := range m {
		m[j] = make([]float64, p)
	}
	return m
}

// inverse returns (X'X)⁻¹ = U⁻¹ D⁻¹ U⁻ᵀ of the centred, scaled columns.
func (b basis) inverse() [][]compensated.Number {
	p, u := len(b.columns), b.inverseUpper()
	out := make([][]compensated.Number, p)
	for j := range out {
		out[j] = make([]compensated.Number, p)
	}
	for j := range p {
		for k := j; k < p; k++ {
			var s compensated.Number
			for m := k; m < p; m++ {
				s = s.Add(u[j][m].Mul(u[k][m]).Divided(b.length[m]))
			}
			out[j][k], out[k][j] = s, s
		}
	}
	return out
}

// product returns Σ x_j x_k of the centred columns, (U'DU)_jk.
func (b basis) product(j, k int) compensated.Number {
	var s compensated.Number
	for m := 0; m <= min(j, k); m++ {
		s = s.Add(b.at(m, j).Mul(b.at(m, k)).Mul(b.length[m]))
	}
	return s
}

func (b basis) at(j, k int) compensated.Number {
	if j == k {
		return compensated.Of(1)
	}
	return b.upper[j][k]
}

// condition is that of √D U with its columns scaled to length 1.
func (b basis) condition(length []float64) float64 {
	p := len(b.columns)
	if p == 0 {
		return 1
	}
	r := mat.NewDense(p, p, nil)
	for j := range p {
		for k := j; k < p; k++ {
			r.Set(j, k, math.Sqrt(b.length[j].Float())*b.at(j, k).Float()/length[k])
		}
	}
	var svd mat.SVD
	if !svd.Factorize(r, mat.SVDNone) {
		return math.NaN()
	}
	return svd.Cond()
}

// prediction fills residuals, leverages and the errors of leaving out.
func (b basis) prediction(f *Fit) {
	f.Residual, f.Leverage = make([]float64, f.N), make([]float64, f.N)
	for j, c := range b.columns {
		f.orthonormal = append(f.orthonormal, make([]float64, f.N))
		length := math.Sqrt(b.length[j].Float())
		for i, v := range c.d {
			f.orthonormal[j][i] = v.Float() / length
		}
	}
	var press, base compensated.Number
	others := float64(f.N) / float64(f.N-1)
	for i, e := range b.y.d {
		left := compensated.Of(1).Sub(b.leverage(i))
		f.Residual[i] = math.Ldexp(e.Float(), b.y.exponent)
		f.Leverage[i] = compensated.Of(1).Sub(left).Float()
		if left.Float() < alone {
			f.Alone = append(f.Alone, i)
			continue
		}
		press = press.Add(e.Divided(left).Square())
	}
	base = b.y.square.Times(others).Times(others)
	f.PRESS = math.Ldexp(press.Float(), 2*b.y.exponent)
	f.RSquaredLOO = 1 - press.Divided(base).Float()
	f.PredictionSD = math.Ldexp(math.Sqrt(press.Float()/float64(f.N)), b.y.exponent)
	if len(f.Alone) > 0 {
		f.PRESS, f.RSquaredLOO, f.PredictionSD = math.NaN(), math.NaN(), math.NaN()
	}
}

// leverage is 1/n + Σ v_i²/Σv².
func (b basis) leverage(i int) compensated.Number {
	h := compensated.Of(1).Over(float64(len(b.y.d)))
	for j, c := range b.columns {
		h = h.Add(c.d[i].Square().Divided(b.length[j]))
	}
	return h
}

// Orthonormal returns p columns of length 1, at right angles to each other and
// to the intercept, of which the first k span the first k columns of the model.
func (f Fit) Orthonormal() [][]float64 { return f.orthonormal }

// Scale returns the standard deviation (divisor n-1) of a column, in its unit.
func (f Fit) Scale(column int) float64 { return f.scale[column] }

// Inflation returns by how much the other columns inflate the variance of the
// coefficient of a column,
//
//	VIF = 1/(1 - R²)
//
// with R² of that column on all others. For several columns that belong
// together, such as the indicators of one factor, it is the generalised
// inflation factor of their joint confidence region,
//
//	GVIF = det(R_set) det(R_others) / det(R)
//
// with R the correlations of the columns, which does not depend on how the
// factor was coded; its q-th root, for q columns, compares with a VIF. It is 1 for no column.
//
// Source: Fox J, Monette G (1992). Generalized collinearity diagnostics.
// Journal of the American Statistical Association 87:178-183.
func (f Fit) Inflation(columns ...int) float64 {
	if len(columns) == 0 {
		return 1
	}
	// det(R_others)/det(R) is the determinant of that part of the inverse.
	return determinant(f.gram, columns) * determinant(f.inverse, columns)
}

func determinant(m [][]float64, at []int) float64 {
	part := mat.NewDense(len(at), len(at), nil)
	for i, j := range at {
		for k, l := range at {
			part.Set(i, k, m[j][l])
		}
	}
	return mat.Det(part)
}
