package reliability_test

import (
	"math"
	"math/big"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
)

// drawTable draws scores of one decimal, so that rational arithmetic is exact.
func drawTable(t *rapid.T) (score.Table, [][]int64) {
	n, k := rapid.IntRange(4, 12).Draw(t, "n"), rapid.IntRange(2, 5).Draw(t, "k")
	tenths := make([][]int64, n)
	rows := make([][]float64, n)
	for i := range rows {
		tenths[i] = rapid.SliceOfN(rapid.Int64Range(100, 2000), k, k).Draw(t, "row")
		for _, v := range tenths[i] {
			rows[i] = append(rows[i], float64(v)/10)
		}
	}
	return tableOf(rows), tenths
}

func run(t *rapid.T, table score.Table, o reliability.Options) reliability.Result {
	t.Helper()
	o.Replicates = 20
	r, err := reliability.Analyse(table, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// near is numtest.Close for rapid's T, which is no testing.TB.
func near(t *rapid.T, name string, got, want, rel float64) {
	t.Helper()
	if math.IsNaN(got) && math.IsNaN(want) || got == want {
		return
	}
	if !(math.Abs(got-want) <= rel*max(1e-3, math.Abs(want))) {
		t.Fatalf("%s = %.17g, want %.17g", name, got, want)
	}
}

// The mean squares from their definitions in rational arithmetic, and the six
// forms from the formulas of McGraw & Wong (1996).
func TestAgainstRationalArithmetic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table, tenths := drawTable(t)
		msr, msc, mse, msw := rational(tenths)
		if mse.Sign() == 0 || msr.Sign() == 0 {
			t.Skip("degenerate")
		}
		r := run(t, table, reliability.Options{})
		n, k := big.NewRat(int64(len(tenths)), 1), big.NewRat(int64(len(tenths[0])), 1)
		less := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Sub(a, b) }
		plus := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Add(a, b) }
		mul := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a, b) }
		k1, shift := less(k, big.NewRat(1, 1)), less(msc, mse)
		below := []*big.Rat{
			plus(msr, mul(k1, msw)), msr,
			plus(plus(msr, mul(k1, mse)), mul(new(big.Rat).Quo(k, n), shift)), plus(msr, new(big.Rat).Quo(shift, n)),
			plus(msr, mul(k1, mse)), msr,
		}
		for i, error := range []*big.Rat{msw, msw, mse, mse, mse, mse} {
			if below[i].Sign() == 0 {
				continue
			}
			want, _ := new(big.Rat).Quo(less(msr, error), below[i]).Float64()
			near(t, "ICC("+r.ICC[i].Form+")", r.ICC[i].Value.Value, want, 1e-10)
		}
		te, _ := mse.Float64()
		near(t, "TE", r.TypicalError.Value, math.Sqrt(te)/10, 1e-12)
		// An identity: (MSC-MSE)/n + MSE = MSW.
		if plus(new(big.Rat).Quo(shift, n), mse).Cmp(msw) != 0 {
			t.Fatal("the rational mean squares are wrong")
		}
		near(t, "agreement error", r.AgreementError.Value, math.Sqrt(max(r.ANOVA.MSW, r.ANOVA.MSE)), 1e-12)
	})
}

// rational returns the mean squares of the table in tenths.
func rational(y [][]int64) (msr, msc, mse, msw *big.Rat) {
	n, k := len(y), len(y[0])
	row, col := make([]*big.Rat, n), make([]*big.Rat, k)
	grand := new(big.Rat)
	for j := range col {
		col[j] = new(big.Rat)
	}
	for i := range row {
		row[i] = new(big.Rat)
		for j := range k {
			row[i].Add(row[i], big.NewRat(y[i][j], int64(k)))
			col[j].Add(col[j], big.NewRat(y[i][j], int64(n)))
			grand.Add(grand, big.NewRat(y[i][j], int64(n*k)))
		}
	}
	square := func(sum *big.Rat, terms ...*big.Rat) { // of terms[0] - terms[1] - ...
		d := new(big.Rat).Set(terms[0])
		for _, v := range terms[1:] {
			d.Sub(d, v)
		}
		sum.Add(sum, d.Mul(d, d))
	}
	msr, msc, mse, msw = new(big.Rat), new(big.Rat), new(big.Rat), new(big.Rat)
	minus := new(big.Rat).Neg(grand)
	for i := range n {
		square(msr, row[i], grand)
		for j := range k {
			value := big.NewRat(y[i][j], 1)
			square(mse, value, row[i], col[j], minus)
			square(msw, value, row[i])
		}
	}
	for j := range k {
		square(msc, col[j], grand)
	}
	over := func(x *big.Rat, up, down int) { x.Mul(x, big.NewRat(int64(up), int64(down))) }
	over(msr, k, n-1)
	over(msc, n, k-1)
	over(mse, 1, (n-1)*(k-1))
	over(msw, 1, n*(k-1))
	return msr, msc, mse, msw
}

// What must not matter, does not.
func TestInvariants(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table, _ := drawTable(t)
		before := slices.Clone(table.Value)
		r := run(t, table, reliability.Options{})
		if !slices.Equal(before, table.Value) {
			t.Fatal("Analyse modified its argument")
		}
		if r.ANOVA.MSE == 0 || r.ANOVA.MSR == 0 {
			t.Skip("degenerate")
		}
		same := func(name string, other reliability.Result, unit float64) {
			for i := range r.ICC {
				a, b := r.ICC[i].Value, other.ICC[i].Value
				near(t, name+" ICC("+r.ICC[i].Form+")", b.Value, a.Value, 1e-8)
				near(t, name+" lower", b.Lower, a.Lower, 1e-7)
				near(t, name+" upper", b.Upper, a.Upper, 1e-7)
			}
			near(t, name+" TE", other.TypicalError.Value, unit*r.TypicalError.Value, 1e-10)
			near(t, name+" TE upper", other.TypicalError.Upper, unit*r.TypicalError.Upper, 1e-10)
			near(t, name+" detectable", other.DetectableChange.Value, unit*r.DetectableChange.Value, 1e-10)
			near(t, name+" true SD", other.TrueSD, unit*r.TrueSD, 1e-8)
			near(t, name+" F", other.SessionTest.F, r.SessionTest.F, 1e-8)
		}
		n, k := len(table.Athletes), len(table.Sessions)
		same("shifted", run(t, mapped(table, func(v float64) float64 { return v + 512 }), reliability.Options{}), 1)
		same("scaled", run(t, mapped(table, func(v float64) float64 { return 9.80665 * v }), reliability.Options{}),
			9.80665)
		same("mirrored", run(t, mapped(table, func(v float64) float64 { return -v }), reliability.Options{}), 1)
		athletes := rapid.Permutation(count(n)).Draw(t, "athletes")
		same("athletes", run(t, table.Rows(athletes), reliability.Options{}), 1)
		turned, err := table.Select(rapid.Permutation(slices.Clone(table.Sessions)).Draw(t, "sessions")...)
		if err != nil {
			t.Fatal(err)
		}
		same("sessions", run(t, turned, reliability.Options{}), 1)
		if k == 2 { // TE is SD(differences)/sqrt(2)
			near(t, "two sessions", r.Agreement.SD/math.Sqrt2, r.TypicalError.Value, 1e-10)
		}
	})
}

// On the log scale the unit of the measure does not matter.
func TestLogScaleHasNoUnit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table, _ := drawTable(t)
		o := reliability.Options{Scale: score.Log}
		a := run(t, table, o)
		b := run(t, mapped(table, func(v float64) float64 { return 4.44822 * v }), o)
		if a.ANOVA.MSE == 0 || a.ANOVA.MSR == 0 {
			t.Skip("degenerate")
		}
		near(t, "CV", b.TypicalErrorPercent.Value, a.TypicalErrorPercent.Value, 1e-9)
		near(t, "CV lower", b.TypicalErrorPercent.Lower, a.TypicalErrorPercent.Lower, 1e-9)
		near(t, "up", b.DetectableChange.PercentUp, a.DetectableChange.PercentUp, 1e-9)
		near(t, "down", b.DetectableChange.PercentDown, a.DetectableChange.PercentDown, 1e-9)
		near(t, "ICC", b.ICC[2].Value.Value, a.ICC[2].Value.Value, 1e-8)
		near(t, "mean", b.Mean, a.Mean+math.Log(4.44822), 1e-9)
		near(t, "change", b.MeanChanges[0].Percent.Upper, a.MeanChanges[0].Percent.Upper, 1e-8)
		near(t, "limit", b.Agreement.Upper.Upper, a.Agreement.Upper.Upper, 1e-8)
		if down := a.DetectableChange.PercentDown; down < -100 || -down > a.DetectableChange.PercentUp {
			t.Fatalf("change down %g %%, up %g %%", down, a.DetectableChange.PercentUp)
		}
	})
}

func mapped(t score.Table, f func(float64) float64) score.Table {
	t.Value = slices.Clone(t.Value)
	for i, v := range t.Value {
		t.Value[i] = f(v)
	}
	return t
}

func count(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}
