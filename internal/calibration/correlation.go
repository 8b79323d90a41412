package calibration

import (
	"fmt"
	"math"
	"math/rand/v2"

	"noisefloor/analysis/association"
	"noisefloor/analysis/score"
)

// Correlations are the correlations of two columns with the true correlation
// rho: as they are, with a covariate behind both, and inside two levels that
// differ widely.
func Correlations(n int, rho float64, studies int) Experiment {
	d := Design{N: n, ICC: math.NaN()}
	e := Experiment{Name: d.name(fmt.Sprintf("correlation %g", rho)), Studies: studies, Rows: []Row{
		d.row(interval("Pearson r, Fisher z", Approximate), rho),
		d.row(interval("Spearman r, Bonett-Wright", Approximate), 6/math.Pi*math.Asin(rho/2)),
		d.row(interval("slope of outcome on test", Exact), rho),
		d.row(interval("partial r, one covariate", Approximate), rho),
		d.row(interval("r within two levels", Approximate), rho),
	}}
	if rho == 0 {
		ranks := Approximate
		if n <= 9 { // over all orders
			ranks = AtMost
		}
		e.Rows = append(e.Rows,
			d.row(alarm("Pearson r, p", Exact), math.NaN()),
			d.row(alarm("Spearman r, p", ranks), math.NaN()),
			d.row(alarm("partial r, p", Exact), math.NaN()),
			d.row(alarm("r within two levels, p", Exact), math.NaN()))
	}
	e.Study = func(rng *rand.Rand, m *Marks) error {
		u, v := correlated(rng, n, rho)
		c := normals(rng, n)
		r, err := association.Analyse(association.Input{Athletes: numbered(n),
			Outcome: association.Variable{Name: "outcome", Value: v},
			Tests:   []association.Variable{{Name: "test", Value: u}}}, association.Options{Replicates: 1})
		if err != nil {
			return err
		}
		partial, err := association.Partial(plus(u, 0.3, c), plus(v, 0.4, c), [][]float64{c}, 0)
		if err != nil {
			return err
		}
		group := twoGroups(n)
		within, err := association.Within(raised(u, 5), raised(v, 3), group, 0)
		if err != nil {
			return err
		}
		a := r.Associations[0]
		m.covers(a.Pearson.Estimate)
		m.covers(a.Spearman.Estimate)
		m.covers(a.Slope)
		m.covers(partial.Estimate)
		m.covers(within.Estimate)
		if rho == 0 {
			m.rejects(a.Pearson.P)
			m.rejects(a.Spearman.P)
			m.rejects(partial.P)
			m.rejects(within.P)
		}
		return nil
	}
	return e
}

// plus returns x + b c.
func plus(x []float64, b float64, c []float64) []float64 {
	out := make([]float64, len(x))
	for i := range x {
		out[i] = x[i] + float64(b*c[i])
	}
	return out
}

// raised lifts the second of [twoGroups].
func raised(x []float64, by float64) []float64 {
	out := append([]float64(nil), x...)
	for i := 1; i < len(out); i += 2 {
		out[i] += by
	}
	return out
}

// Comparisons are the differences of two correlations with one outcome.
func Comparisons(n int, ra, rb, rab float64, studies int) Experiment {
	d := Design{N: n, ICC: math.NaN(), Setting: fmt.Sprintf("r = %g and %g, tests %g", ra, rb, rab)}
	e := Experiment{Name: d.name("comparison"), Studies: studies, Rows: []Row{
		d.row(interval("difference of two r, Zou", Approximate), ra-rb),
		d.row(interval("difference of two Fisher z, Meng", Approximate), math.Atanh(ra)-math.Atanh(rb)),
	}}
	if ra == rb {
		e.Rows = append(e.Rows,
			d.row(alarm("two r differ, Williams", Approximate), math.NaN()),
			d.row(alarm("two r differ, Meng", Approximate), math.NaN()))
	}
	e.Study = func(rng *rand.Rand, m *Marks) error {
		y, a, b := three(rng, n, ra, rb, rab)
		var r [3]float64
		for i, pair := range [][2][]float64{{y, a}, {y, b}, {a, b}} {
			c, err := association.Pearson(pair[0], pair[1], 0)
			if err != nil {
				return err
			}
			r[i] = c.Value
		}
		_, _, williams := association.Williams(r[0], r[1], r[2], n)
		_, meng, z := association.Meng(r[0], r[1], r[2], n, 0)
		m.covers(association.Zou(r[0], r[1], r[2], n, 0))
		m.covers(z)
		if ra == rb {
			m.rejects(williams)
			m.rejects(meng)
		}
		return nil
	}
	return e
}

// Resampled are the bootstrap intervals of correlations over athletes: two
// tests and an outcome, each the mean of two sessions with the ICC given, whose
// true scores correlate by 0.6 and 0.3 with the outcome's and by 0.4 with each
// other.
func Resampled(n int, icc float64, studies, resamples int) Experiment {
	const ra, rb, rab = 0.6, 0.3, 0.4
	rel := 2 * icc / (1 + icc) // of the mean of two sessions
	d := Design{N: n, K: 2, ICC: icc, Setting: "true scores: r = 0.6"}
	rows := []Row{d.row(interval("Pearson r, BCa bootstrap", Approximate), ra*rel)}
	if n >= 40 { // below, differences have none
		two := d.with("true scores: r = 0.6 and 0.3")
		rows = append(rows, two.row(interval("difference of two r, BCa bootstrap", Approximate), (ra-rb)*rel))
	}
	rows = append(rows, d.row(interval("r corrected for unreliability, BCa bootstrap", Approximate), ra))
	return Experiment{Name: d.name("resampled"), Studies: studies, Rows: rows,
		Study: func(rng *rand.Rand, m *Marks) error {
			y, a, b := three(rng, n, ra, rb, rab)
			in := association.Input{Athletes: numbered(n), Outcome: measured(rng, "outcome", "", y, icc),
				Tests: []association.Variable{measured(rng, "throw", "transverse", a, icc), measured(rng, "jump",
					"sagittal", b, icc)}}
			r, err := association.Analyse(in, association.Options{Bootstrap: true, Replicates: resamples,
				Seed: rng.Uint64()})
			if err != nil {
				return err
			}
			first := r.Associations[0]
			m.covers(*first.Pearson.BCa)
			if n >= 40 {
				m.covers(*r.Comparisons[0].BCa)
			}
			if first.Corrected == nil { // an estimated reliability is not above 0
				m.mark(math.NaN())
				return nil
			}
			m.covers(first.Corrected.Estimate)
			return nil
		}}
}

// measured is the mean of two sessions of the true scores, whose variance is 1.
func measured(rng *rand.Rand, name, plane string, truth []float64, icc float64) association.Variable {
	noise := math.Sqrt((1 - icc) / icc)
	v := association.Variable{Name: name, Plane: plane, Better: score.Higher, Reliability: math.NaN()}
	for _, x := range truth {
		one, other := x+float64(noise*rng.NormFloat64()), x+float64(noise*rng.NormFloat64())
		v.Sessions = append(v.Sessions, one, other)
		v.Value = append(v.Value, (one+other)/2)
	}
	return v
}
