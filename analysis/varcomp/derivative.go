package varcomp

// derivatives gathers the sums over patterns from which slope, curve and info
// are made. With V_a the derivative of V by component a, and P as in REML,
//
//	slope_a   = tr(P V_a) - y'P V_a P y
//	curve_ab  = 2 y'P V_a P V_b P y - tr(P V_a P V_b)
//	info_ab   = tr(P V_a P V_b)
//
// (for ML the traces have V⁻¹ in place of P). Source: Harville DA (1977).
// Maximum likelihood approaches to variance component estimation and to
// related problems. Journal of the American Statistical Association 72:320-338.
type derivatives struct {
	*likelihood
	p       *point
	inverse square // (X'V⁻¹X)⁻¹
	trace   [3]float64
	squares [3]float64    // y'P V_a P y
	double  [3][3]float64 // y'P V_a P V_b P y
	traces  [3][3]float64
	seen    [3]square    // X'V⁻¹V_aV⁻¹X
	pulled  [3][]float64 // X'V⁻¹V_aPy

	a, r  []float64 // k by k: U⁻¹, and U⁻¹ inverse U⁻¹ of the pattern's cells
	z     [3][]float64
	equal []float64 // ones
}

// differentiate fills the derivatives of p, which at made.
func (l *likelihood) differentiate(p *point) {
	d := l.gather(p)
	d.finish()
}

// gather sums over the patterns.
func (l *likelihood) gather(p *point) *derivatives {
	d := &derivatives{likelihood: l, p: p, inverse: p.m.inverse()}
	k := len(l.w)
	d.a, d.r, d.equal = make([]float64, k*k), make([]float64, k*k), make([]float64, k)
	for j := range d.equal {
		d.equal[j] = 1
	}
	for c := range 3 {
		d.seen[c], d.pulled[c], d.z[c] = newSquare(l.means), make([]float64, l.means), make([]float64, k)
	}
	for i := range l.patterns {
		d.pattern(&l.patterns[i])
	}
	return d
}

func (d *derivatives) pattern(g *pattern) {
	total, c := d.weigh(g, d.p.v)
	d.vectors(g, d.residual(g, d.p.beta), total, true)
	for k, rest := len(g.mean), g.deviations; len(rest) > 0; rest = rest[k:] {
		d.vectors(g, rest[:k], total, false)
	}
	shrink := 1 / (1 + float64(d.p.v[athlete]*total))
	for j := range g.mean {
		d.h[j] = d.w[j] * shrink // A 1
	}
	d.matrix(g, c)
	d.direct(g, total*shrink)
	if d.restricted {
		d.indirect(g, c, total*shrink)
	}
}

// vectors adds what a row r of cell means contributes to the quadratic forms.
func (d *derivatives) vectors(g *pattern, r []float64, total float64, mean bool) {
	k, between, times := len(r), d.p.v[athlete], 1.0
	if mean {
		times = g.size
	}
	_, sum := d.quadratic(r, total, between)
	for j, x := range d.x[:k] {
		d.z[trial][j], d.z[session][j] = g.share[j]*x, x
	}
	for j := range k {
		d.z[athlete][j] = sum
	}
	d.squares[trial] += float64(times * dot(d.x[:k], d.z[trial][:k]))
	d.squares[session] += float64(times * dot(d.x[:k], d.x[:k]))
	d.squares[athlete] += float64(times * sum * sum)
	for a := range 3 {
		_, pulled := d.quadratic(d.z[a][:k], total, between) // x = A z_a
		for b := range a + 1 {
			d.double[a][b] += float64(times * dot(d.x[:k], d.z[b][:k]))
		}
		if !mean {
			continue
		}
		d.pulled[a][0] += float64(times * pulled)
		for j, col := range g.column {
			if col > 0 {
				d.pulled[a][col] += float64(times * d.x[j])
			}
		}
	}
}

// matrix writes A of the pattern.
func (d *derivatives) matrix(g *pattern, c float64) {
	k := len(g.mean)
	for i := range k {
		for j := range k {
			d.a[i*k+j] = -float64(c * d.w[i] * d.w[j])
		}
		d.a[i*k+i] += d.w[i]
	}
}

// weights returns the diagonal of V_a for the cells of g, a trial or session.
func (d *derivatives) weights(g *pattern, a int) []float64 {
	if a == trial {
		return g.share
	}
	return d.equal[:len(g.share)]
}

// direct adds tr(A V_a) and tr(A V_a A V_b); ones is 1'A1.
func (d *derivatives) direct(g *pattern, ones float64) {
	k := len(g.mean)
	for a := range athlete {
		u := d.weights(g, a)
		for j := range k {
			d.trace[a] += float64(g.size * u[j] * d.a[j*k+j])
			d.traces[athlete][a] += float64(g.size * u[j] * d.h[j] * d.h[j])
		}
		for b := range a + 1 {
			d.traces[a][b] += float64(g.size * sandwich(d.a, d.a, u, d.weights(g, b)))
		}
	}
	d.trace[athlete] += float64(g.size * ones)
	d.traces[athlete][athlete] += float64(g.size * ones * ones)
}

// sandwich returns tr(R diag(u) A diag(v)) of symmetric k by k matrices.
func sandwich(r, a, u, v []float64) float64 {
	k, sum := len(u), 0.0
	for i := range k {
		for j := range k {
			sum += float64(r[i*k+j] * a[i*k+j] * u[j] * v[i])
		}
	}
	return sum
}

// indirect adds what estimating the means takes away.
func (d *derivatives) indirect(g *pattern, c, ones float64) {
	k := len(g.mean)
	d.project(g, c)
	rest := 0.0 // 1'R1
	var weighted [2]float64
	for i := range k {
		row := 0.0
		for _, v := range d.r[i*k : (i+1)*k] {
			row += v
		}
		rest += row
		weighted[trial] += float64(g.share[i] * row * d.h[i])
		weighted[session] += float64(row * d.h[i])
	}
	for a := range athlete {
		for b := range a + 1 {
			d.traces[a][b] -= float64(2 * g.size * sandwich(d.r, d.a, d.weights(g, a), d.weights(g, b)))
		}
		d.traces[athlete][a] -= float64(2 * g.size * weighted[a])
	}
	d.traces[athlete][athlete] -= float64(2 * g.size * rest * ones)
	d.collect(g, c, ones)
}

// project writes R = A N A, where N is X inverse X' at the cells of g.
func (d *derivatives) project(g *pattern, c float64) {
	k := len(g.mean)
	for i, ci := range g.column {
		for j, cj := range g.column {
			d.r[i*k+j] = d.inverse.between(int(ci), int(cj))
		}
	}
	pull := d.x[:k]
	for i := range k { // columns from the right: N A
		row := d.r[i*k : (i+1)*k]
		pulled := dot(row, d.w[:k])
		for j := range row {
			row[j] = float64(d.w[j] * (row[j] - float64(c*pulled)))
		}
	}
	for j := range k { // rows from the left: A (N A)
		pull[j] = 0
		for i := range k {
			pull[j] += float64(d.w[i] * d.r[i*k+j])
		}
	}
	for i := range k {
		for j := range k {
			d.r[i*k+j] = float64(d.w[i] * (d.r[i*k+j] - float64(c*pull[j])))
		}
	}
}

// collect adds X'A V_a AX. Of a diagonal V_a, diag(u), A V_a A is
// diag(w²u) - c w (w²u)' - c (w²u) w' + c² (Σ w²u) ww'; h = A1 stands for the
// column of ones.
func (d *derivatives) collect(g *pattern, c, ones float64) {
	for a := range athlete {
		u, spread, pull, corner := d.weights(g, a), 0.0, 0.0, 0.0
		for j, uj := range u {
			spread += float64(d.w[j] * d.w[j] * uj)
			pull += float64(d.w[j] * uj * d.h[j])
			corner += float64(d.h[j] * uj * d.h[j])
		}
		d.seen[a].add(0, 0, g.size*corner)
		for i, ci := range g.column {
			if ci == 0 {
				continue
			}
			edge := float64(d.w[i] * (float64(u[i]*d.h[i]) - float64(c*pull)))
			d.seen[a].addBoth(0, int(ci), g.size*edge)
			d.seen[a].add(int(ci), int(ci), g.size*d.w[i]*d.w[i]*u[i])
			for j, cj := range g.column {
				if cj > 0 {
					inner := float64(c*spread) - float64(d.w[i]*u[i]) - float64(d.w[j]*u[j])
					d.seen[a].add(int(ci), int(cj), g.size*c*d.w[i]*d.w[j]*inner)
				}
			}
		}
	}
	d.seen[athlete].add(0, 0, g.size*ones*ones)
	for i, ci := range g.column {
		if ci == 0 {
			continue
		}
		d.seen[athlete].addBoth(0, int(ci), g.size*ones*d.h[i])
		for j, cj := range g.column {
			if cj > 0 {
				d.seen[athlete].add(int(ci), int(cj), g.size*d.h[i]*d.h[j])
			}
		}
	}
}

func (d *derivatives) finish() {
	var moved [3]square
	if d.restricted {
		for a := range 3 {
			moved[a] = d.inverse.times(d.seen[a])
			for i := range d.means {
				d.trace[a] -= moved[a].at(i, i)
			}
		}
	}
	for a := range 3 {
		back := d.p.m.solve(append([]float64(nil), d.pulled[a]...))
		for b := range a + 1 {
			if d.restricted {
				d.traces[a][b] += traceOf(moved[a], moved[b])
			}
			d.double[a][b] -= dot(back, d.pulled[b])
		}
	}
	if v := d.p.v[trial]; d.dfWithin > 0 {
		d.trace[trial] += d.dfWithin / v
		d.squares[trial] += d.within / (v * v)
		d.traces[trial][trial] += d.dfWithin / (v * v)
		d.double[trial][trial] += d.within / (v * v * v)
	}
	for a := range 3 {
		d.p.slope[a] = d.trace[a] - d.squares[a]
		for b := range a + 1 {
			d.p.info[a][b], d.p.info[b][a] = d.traces[a][b], d.traces[a][b]
			curve := float64(2*d.double[a][b]) - d.traces[a][b]
			d.p.curve[a][b], d.p.curve[b][a] = curve, curve
		}
	}
}
