package varcomp

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"noisefloor/analysis/cell"
	"noisefloor/analysis/estimate"
	"noisefloor/internal/numtest"
)

// uneven draws 9 athletes by up to 3 sessions by 1 to 3 trials.
func uneven(seed uint64) cell.Values {
	rng := rand.New(rand.NewPCG(seed, 1))
	d := cell.Values{Athletes: 9, Sessions: 3}
	for i := range 9 {
		level := 4 * rng.NormFloat64()
		for j := range 3 {
			day := level + 2*rng.NormFloat64()
			for range rng.IntN(4) {
				d.Athlete, d.Session = append(d.Athlete, int32(i)), append(d.Session, int32(j))
				d.Value = append(d.Value, day+rng.NormFloat64())
			}
		}
	}
	return d
}

// The slope against differences of the criterion, the curvature against
// differences of the slope, the information against tr(P V_a P V_b) with whole
// matrices (gonum).
func TestDerivatives(t *testing.T) {
	for _, restricted := range []bool{true, false} {
		for seed := range uint64(5) {
			d := uneven(seed)
			s, err := newDesign(d.Grid(), seed == 4)
			if err != nil {
				t.Fatal(err)
			}
			l := newLikelihood(s, restricted)
			v := [3]float64{0.05, 0.02 + 0.01*float64(seed), 0.1}
			p, ok := l.at(v)
			if !ok {
				t.Fatal("no criterion")
			}
			l.differentiate(&p)
			for a := range 3 {
				up, down := v, v
				h := 1e-5 * v[a]
				up[a] += h
				down[a] -= h
				u, _ := l.at(up)
				w, _ := l.at(down)
				l.differentiate(&u)
				l.differentiate(&w)
				numtest.CloseAbs(t, "slope", p.slope[a], (u.value-w.value)/(2*h), 1e-6*(1+math.Abs(p.slope[a])))
				for b := range 3 {
					numtest.CloseAbs(t, "curve", p.curve[a][b], (u.slope[b]-w.slope[b])/(2*h),
						1e-5*(1+math.Abs(p.curve[a][a])))
				}
			}
			want := wholeInformation(d, v, restricted, seed == 4)
			for a := range 3 {
				for b := range 3 {
					numtest.Close(t, "information", p.info[a][b], want[a][b], 1e-10)
				}
			}
		}
	}
}

// wholeInformation returns tr(P V_a P V_b) (V⁻¹ for ML) on the design's scale.
func wholeInformation(d cell.Values, v [3]float64, restricted, single bool) (out [3][3]float64) {
	n := len(d.Value)
	parts := [3]*mat.Dense{}
	for c := range parts {
		parts[c] = mat.NewDense(n, n, nil)
	}
	x, total := mat.NewDense(n, d.Sessions, nil), mat.NewDense(n, n, nil)
	if single {
		x = mat.NewDense(n, 1, nil)
	}
	for i := range n {
		_, cols := x.Dims()
		x.Set(i, int(d.Session[i])%cols, 1)
		parts[trial].Set(i, i, 1)
		for j := range n {
			if d.Athlete[i] == d.Athlete[j] {
				parts[athlete].Set(i, j, 1)
				if d.Session[i] == d.Session[j] {
					parts[session].Set(i, j, 1)
				}
			}
		}
	}
	for c := range parts {
		var scaled mat.Dense
		scaled.Scale(v[c], parts[c])
		total.Add(total, &scaled)
	}
	var p, vx, m, mi, t1, t2 mat.Dense
	_ = p.Inverse(total)
	if restricted {
		vx.Mul(&p, x)
		m.Mul(x.T(), &vx)
		_ = mi.Inverse(&m)
		t1.Mul(&vx, &mi)
		t2.Mul(&t1, vx.T())
		p.Sub(&p, &t2)
	}
	for a := range parts {
		for b := range parts {
			var pa, pb, both mat.Dense
			pa.Mul(&p, parts[a])
			pb.Mul(&p, parts[b])
			both.Mul(&pa, &pb)
			out[a][b] = mat.Trace(&both)
		}
	}
	return out
}

// A triangle keeps the squares and products of the rows it stands for.
func TestTriangle(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	const n, k = 40, 5
	x := make([]float64, n*k)
	for i := range x {
		x[i] = rng.NormFloat64() * math.Pow(10, float64(i%k-2))
		if i%k == 3 {
			x[i] = 0 // a column of nothing
		}
	}
	var want, got [k][k]float64
	sums := func(x []float64, to *[k][k]float64) {
		for row := x; len(row) > 0; row = row[k:] {
			for i := range k {
				for j := range k {
					to[i][j] += row[i] * row[j]
				}
			}
		}
	}
	sums(x, &want)
	r := triangle(x, k)
	if len(r) != k*k {
		t.Fatalf("%d numbers", len(r))
	}
	sums(r, &got)
	for i := range k {
		for j := range k {
			numtest.CloseAbs(t, "product", got[i][j], want[i][j], 1e-12*math.Sqrt(want[i][i]*want[j][j]))
			if j < i && r[i*k+j] != 0 {
				t.Errorf("below the diagonal: %g", r[i*k+j])
			}
		}
	}
}

// Where the criterion is not convex the step is that of scoring; where even
// the information is singular, down the slope; and it is always downhill.
func TestStep(t *testing.T) {
	all := [3]bool{true, true, true}
	diagonal := func(a, b, c float64) (m [3][3]float64) {
		m[0][0], m[1][1], m[2][2] = a, b, c
		return m
	}
	singular := diagonal(1, 1, 1)
	singular[0][1], singular[1][0] = 1, 1
	for _, tt := range []struct {
		name        string
		curve, info [3][3]float64
		want        [3]float64
		gain        float64
		newton      bool
	}{
		{"Newton", diagonal(2, 4, 8), diagonal(1, 1, 1), [3]float64{-0.5, 0.5, -0.125}, 0.5*0.5 + 0.5 + 0.0625, true},
		{"scoring", diagonal(2, -4, 8), diagonal(1, 2, 4), [3]float64{-1, 1, -0.25}, 0.5 + 1 + 0.125, false},
		{"slope", singular, singular, [3]float64{-1, 2, -1}, 0.5 + 2 + 0.5, false},
	} {
		p := point{slope: [3]float64{1, -2, 1}, curve: tt.curve, info: tt.info}
		step, gain, newton := p.step(all)
		for c := range step {
			numtest.Close(t, tt.name+": step", step[c], tt.want[c], 1e-12)
		}
		if newton != tt.newton {
			t.Errorf("%s: Newton %v", tt.name, newton)
		}
		numtest.Close(t, tt.name+": gain", gain, tt.gain, 1e-12)
	}
	p := point{slope: [3]float64{1, -2, 1}, v: [3]float64{0, 0, 3}}
	if got := p.active(all); got != [3]bool{false, true, true} {
		t.Errorf("active %v", got)
	}
}

func TestMinimiseSaysWhenItCannot(t *testing.T) {
	s, err := newDesign(uneven(1).Grid(), false)
	if err != nil {
		t.Fatal(err)
	}
	l := newLikelihood(s, true)
	if _, _, err := l.minimise([3]float64{0, 0, 0}, [3]bool{true, true, true}); !errors.Is(err, ErrDiverged) {
		t.Errorf("start at nothing: %v", err)
	}
	if _, _, err := l.minimise([3]float64{math.NaN(), 1, 1}, [3]bool{true, true, true}); !errors.Is(err, ErrDiverged) {
		t.Errorf("start at NaN: %v", err)
	}
	// From anywhere it gets to the same place.
	best, _, err := l.minimise([3]float64{0.1, 0.1, 0.1}, [3]bool{true, true, true})
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range [][3]float64{{1e-6, 1e3, 1e-3}, {1e3, 0, 0}, {1e-4, 0, 1e4}, {10, 1e-8, 1e-8}} {
		p, steps, err := l.minimise(v, [3]bool{true, true, true})
		if err != nil {
			t.Errorf("from %v: %v", v, err)
			continue
		}
		for c := range 3 {
			numtest.Close(t, "component", p.v[c], best.v[c], 1e-9)
		}
		t.Logf("from %v in %d steps", v, steps)
	}
}

func TestLimitsThatFail(t *testing.T) {
	r, err := Fit(uneven(2).Grid(), Options{Limits: NoLimits})
	if err != nil {
		t.Fatal(err)
	}
	r.fit.unlimited(&r)
	for _, c := range r.components() {
		if c.HasInterval() || c.SD.Kind != estimate.Failed || !(c.Value >= 0) {
			t.Errorf("%+v", c)
		}
	}
}

// The criterion of this study hardly bends on the way from here: scoring steps
// alone take more than 200.
func TestStride(t *testing.T) {
	s, err := newDesign(cell.Values{Athletes: 4, Sessions: 5,
		Athlete: []int32{0, 0, 0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 1, 1, 1, 1, 2, 2, 2, 2, 2, 2, 3, 3, 3},
		Session: []int32{0, 0, 1, 2, 2, 2, 3, 3, 0, 1, 2, 3, 3, 4, 4, 4, 0, 0, 0, 1, 3, 3, 3, 3, 3},
		Value: []float64{-0.587760078098971, -0.7032204813789472, 0.6503297679777974, 2.8523279254869602,
			2.7784305092295543, 2.766729886537907, 2.847667800624818, 2.7404916284358403, -0.9496122004781188,
			0.7586932623690391, 1.7045559672020136, 2.9533260839210436, 2.9943699448425645, 4.127179993800198,
			4.074537866213852, 3.9309867183326443, -0.1719722485531914, -0.35240332972670463,
			-0.449968853576742, 1.3735668305308062, 2.5688855380330726, 2.5908405008132225, 3.9360146099300217,
			3.9039848382229607, 3.9437161468702784}}.Grid(), false)
	if err != nil {
		t.Fatal(err)
	}
	p, steps, err := newLikelihood(s, false).minimise([3]float64{0.0016438238948999026, 0.12083356312906592,
		0.06634748230310472}, [3]bool{session: true, athlete: true})
	if err != nil || math.Abs(p.slope[session]) > 1e-6 {
		t.Errorf("%d steps, slope %v, %v", steps, p.slope, err)
	}
}

// A component that is nothing beside the others, and makes no difference, is 0.
func TestSnapped(t *testing.T) {
	s, err := newDesign(uneven(1).Grid(), false)
	if err != nil {
		t.Fatal(err)
	}
	l := newLikelihood(s, true)
	p, _ := l.at([3]float64{0.1, 0.1, 1e-17})
	if q := l.snapped(p); q.v != [3]float64{0.1, 0.1, 0} || q.m.n == 0 {
		t.Errorf("snapped to %v", q.v)
	}
	p, _ = l.at([3]float64{0.1, 0.1, 1e-5})
	if q := l.snapped(p); q.v != p.v {
		t.Errorf("%v became %v", p.v, q.v)
	}
}

// From a hair above 0, where the criterion rises, to 0: nothing changes that
// the criterion shows.
func TestLanding(t *testing.T) {
	s, err := newDesign(cell.Values{Athletes: 4, Sessions: 4,
		Athlete: []int32{0, 0, 0, 0, 1, 1, 1, 1, 2, 2, 2, 3, 3, 3, 3},
		Session: []int32{0, 1, 2, 3, 0, 1, 2, 3, 1, 2, 3, 0, 1, 2, 3},
		Value:   []float64{-1, -1, 3, 3, 0, 1, 2, 4, 2, 2, 2, 0, 0, 3, 4}}.Grid(), true)
	if err != nil {
		t.Fatal(err)
	}
	p, _, err := newLikelihood(s, true).minimise([3]float64{trial: 0.1131, athlete: 5e-18}, [3]bool{athlete: true})
	if err != nil || p.v[athlete] != 0 {
		t.Errorf("athlete %g, %v", p.v[athlete], err)
	}
}
