package reliability_test

import (
	"fmt"
	"math"
	"testing"

	"noisefloor/analysis/anova"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
	"noisefloor/internal/published"
)

// tableOf makes a score table of rows, athletes A01 on, sessions 1 on.
func tableOf(rows [][]float64) score.Table {
	var t score.Table
	for j := range rows[0] {
		t.Sessions = append(t.Sessions, fmt.Sprint(j+1))
	}
	for i, row := range rows {
		t.Athletes = append(t.Athletes, fmt.Sprintf("A%02d", i+1))
		for _, v := range row {
			t.Value = append(t.Value, v)
			t.Trials = append(t.Trials, 1)
			if math.IsNaN(v) {
				t.Trials[len(t.Trials)-1] = 0
			}
		}
	}
	return t
}

func analyse(t testing.TB, table score.Table, o reliability.Options) reliability.Result {
	t.Helper()
	r, err := reliability.Analyse(table, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// A wantICC is an exact value with its limits.
type wantICC struct {
	form                string
	value, lower, upper float64
}

func checkICC(t *testing.T, got []reliability.ICC, want []wantICC, rel float64) {
	t.Helper()
	if len(got) != 6 {
		t.Fatalf("%d forms, want 6", len(got))
	}
	for i, w := range want {
		if got[i].Form != w.form {
			t.Errorf("form %d is %q, want %q", i, got[i].Form, w.form)
		}
		numtest.Close(t, "ICC("+w.form+")", got[i].Value.Value, w.value, 1e-14)
		limits := got[i].Value
		if got[i].Satterthwaite != nil { // what published tables have
			limits = *got[i].Satterthwaite
		}
		numtest.Close(t, "ICC("+w.form+") lower", limits.Lower, w.lower, rel)
		numtest.Close(t, "ICC("+w.form+") upper", limits.Upper, w.upper, rel)
	}
}

// Source: Shrout & Fleiss (1979), Psychological Bulletin 86:420-428: six
// printed ICCs. Exact fractions by rational arithmetic; limits recomputed from
// the table with 40-digit arithmetic (mpmath), the single forms also with R.
func TestShroutFleiss(t *testing.T) {
	r := analyse(t, tableOf(published.Rows(t, "icc/shrout_fleiss_1979.csv")), reliability.Options{})
	for _, c := range []struct {
		name            string
		got, want, text float64
	}{
		{"MSR", r.ANOVA.MSR, 1349.0 / 120, 11.24}, {"MSC", r.ANOVA.MSC, 2339.0 / 72, 32.49},
		{"MSE", r.ANOVA.MSE, 367.0 / 360, 1.02}, {"MSW", r.ANOVA.MSW, 451.0 / 72, 6.26},
	} {
		numtest.Close(t, c.name, c.got, c.want, 1e-14)
		numtest.CloseAbs(t, c.name+" as printed (from memory)", c.got, c.text, 0.005)
	}
	checkICC(t, r.ICC, []wantICC{
		{"1", 448.0 / 2703, -0.13293232487475098, 0.7225600623281211},
		{"k", 1792.0 / 4047, -0.8844421552381202, 0.9124154203407755},
		{"A,1", 184.0 / 635, 0.01878651337471199, 0.7610843696489529},
		{"A,k", 736.0 / 1187, 0.07113681530250326, 0.927232040167722},
		{"C,1", 920.0 / 1287, 0.3424647650339251, 0.9458582599553595},
		{"C,k", 3680.0 / 4047, 0.6756747138163045, 0.9858916781690623},
	}, 1e-11)
	for i, printed := range []float64{.17, .44, .29, .62, .71, .91} {
		numtest.CloseAbs(t, "printed ICC("+r.ICC[i].ShroutFleiss+")", r.ICC[i].Value.Value, printed, 0.005)
	}
	for i, c := range []struct {
		sf             string
		f, df1, df2, p float64
	}{ // F and p: mpmath
		{"1,1", 1.7946784922394678, 5, 18, 0.16476880834463972},
		{"1,k", 1.7946784922394678, 5, 18, 0.16476880834463972},
		{"2,1", 11.02724795640327, 5, 15, 0.0001345665164843369},
		{"2,k", 11.02724795640327, 5, 15, 0.0001345665164843369},
		{"3,1", 11.02724795640327, 5, 15, 0.0001345665164843369},
		{"3,k", 11.02724795640327, 5, 15, 0.0001345665164843369},
	} {
		got := r.ICC[i]
		if got.ShroutFleiss != c.sf || got.DF1 != c.df1 || got.DF2 != c.df2 {
			t.Errorf("form %s: %+v, want %+v", got.Form, got, c)
		}
		numtest.Close(t, "F", got.F, c.f, 1e-14)
		numtest.Close(t, "p", got.P, c.p, 1e-11)
	}
}

// The same table at 90 %, mpmath.
func TestShroutFleissAt90(t *testing.T) {
	r := analyse(t, tableOf(published.Rows(t, "icc/shrout_fleiss_1979.csv")), reliability.Options{Level: 0.9})
	checkICC(t, r.ICC, []wantICC{
		{"1", 448.0 / 2703, -0.0967222036577423, 0.6433983107044232},
		{"k", 1792.0 / 4047, -0.5450417247368688, 0.8783010354064076},
		{"A,1", 184.0 / 635, 0.042901191540539826, 0.6910706066183567},
		{"A,k", 736.0 / 1187, 0.15203705385595787, 0.8994767001136251},
		{"C,1", 920.0 / 1287, 0.41183413091904403, 0.9258328076802795},
		{"C,k", 3680.0 / 4047, 0.7368976785770521, 0.9803660560472143},
	}, 1e-11)
}

// Source: Winer (1971), pp. 288-289: printed one-way ICC 0.73770, between
// variance 5.625, residual 2.0. Fractions exact, limits mpmath.
func TestWiner(t *testing.T) {
	r := analyse(t, tableOf(published.Rows(t, "icc/winer_1971.csv")), reliability.Options{})
	numtest.CloseAbs(t, "printed", r.ICC[0].Value.Value, 0.73770, 0.000005)
	numtest.Close(t, "between", (r.ANOVA.MSR-r.ANOVA.MSW)/4, 5.625, 1e-14)
	numtest.Close(t, "residual", r.ANOVA.MSW, 2, 1e-14)
	checkICC(t, r.ICC, []wantICC{
		{"1", 45.0 / 61, 0.39596671001650935, 0.9505764449968237},
		{"k", 45.0 / 49, 0.7239209954387557, 0.9871684766231638},
		{"A,1", 349.0 / 469, 0.37704495585946557, 0.9522677761244973},
		{"A,k", 349.0 / 379, 0.707688587138365, 0.9876238895760255},
		{"C,1", 349.0 / 423, 0.5324047350832859, 0.9693922724185764},
		{"C,k", 698.0 / 735, 0.8199627647301697, 0.9921682848518313},
	}, 1e-11)
}

// Source: Weir (2005), data sets A and B, from memory; printed SEM 7.6 of A,
// from memory. Fractions exact, the rest mpmath.
func TestWeir(t *testing.T) {
	for _, tt := range []struct {
		file string
		msr  float64
		icc  []wantICC
		cv   float64
	}{
		{"icc/weir_2005_a.csv", 58759.0 / 28, []wantICC{
			{"1", 28627.0 / 30132, 0.7921299443054945, 0.9895986444178542},
			{"k", 57254.0 / 58759, 0.8840094958766723, 0.9947721337610836},
			{"A,1", 5716.0 / 6017, 0.786958514439067, 0.9896368914402328},
			{"A,k", 11432.0 / 11733, 0.8807798368907251, 0.9947914573737796},
			{"C,1", 28580.0 / 30179, 0.7606784942084971, 0.9891628072311172},
			{"C,k", 57160.0 / 58759, 0.8640742721747797, 0.9945518824655846},
		}, 5.16162741535332},
		{"icc/weir_2005_b.csv", 5319.0 / 28, []wantICC{
			{"1", 1907.0 / 3412, -0.12332504465891815, 0.890801942548868},
			{"k", 3814.0 / 5319, -0.281347251698178, 0.9422477547786263},
			{"A,1", 372.0 / 673, -0.18317165461000012, 0.8911749403616503},
			{"A,k", 744.0 / 1045, -0.4484948536464994, 0.9424563760254041},
			{"C,1", 620.0 / 1153, -0.20050262614408035, 0.8864625682374346},
			{"C,k", 1240.0 / 1773, -0.5015716941684756, 0.9398146384273895},
		}, 5.057719609449044},
	} {
		table := tableOf(published.Rows(t, tt.file))
		r := analyse(t, table, reliability.Options{})
		checkICC(t, r.ICC, tt.icc, 1e-11)
		numtest.Close(t, "MSR", r.ANOVA.MSR, tt.msr, 1e-14)
		numtest.Close(t, "TE", r.TypicalError.Value, 7.556926813006916, 1e-14)
		numtest.CloseAbs(t, "printed SEM", r.TypicalError.Value, 7.6, 0.05)
		numtest.Close(t, "TE lower", r.TypicalError.Lower, 4.996444653370585, 1e-12)
		numtest.Close(t, "TE upper", r.TypicalError.Upper, 15.380402234581299, 1e-12)
		numtest.Close(t, "TE of the pair", r.MeanChanges[0].TypicalError.Value, 7.556926813006916, 1e-14)
		numtest.Close(t, "agreement error", r.AgreementError.Value, 7.556926813006916, 1e-14)
		numtest.Close(t, "detectable, large sample", r.DetectableChange.LargeSample, 20.946347540953816, 1e-13)
		numtest.Close(t, "F of the sessions", r.SessionTest.F, 30.25/(1599.0/28), 1e-13)
		numtest.Close(t, "p of the sessions", r.SessionTest.P, 0.4903526104534451, 1e-11)
		logs := analyse(t, table, reliability.Options{Scale: score.Log})
		numtest.Close(t, "CV from logs", logs.TypicalErrorPercent.Value, tt.cv, 1e-11)
	}
	// Log scale of B, mpmath: the interval, and the large-sample change.
	b := analyse(t, tableOf(published.Rows(t, "icc/weir_2005_b.csv")), reliability.Options{Scale: score.Log})
	numtest.Close(t, "log TE", b.TypicalError.Value, 0.0493397237001081, 1e-11)
	numtest.Close(t, "CV lower", b.TypicalErrorPercent.Lower, 3.3160085756144926, 1e-11)
	numtest.Close(t, "CV upper", b.TypicalErrorPercent.Upper, 10.563492488827526, 1e-11)
	numtest.Close(t, "up", 100*math.Expm1(b.DetectableChange.LargeSample), 14.655319908742017, 1e-11)
	numtest.Close(t, "down", 100*math.Expm1(-b.DetectableChange.LargeSample), -12.782067086295406, 1e-11)
	// t(0.975, 7) = 2.364624251592785, mpmath and every table to 2.365.
	numtest.Close(t, "detectable", b.DetectableChange.Value, 2.364624251592785*math.Sqrt2*0.0493397237001081, 1e-11)
	numtest.Close(t, "detectable up", b.DetectableChange.PercentUp, 100*math.Expm1(b.DetectableChange.Value), 1e-14)
	numtest.Close(t, "detectable down", b.DetectableChange.PercentDown, 100*math.Expm1(-b.DetectableChange.Value),
		1e-14)
}

// The two meters of Bland & Altman (1986) as occasions of one test: typical
// errors 15.36 and 20.42 l/min, mpmath.
func TestPeakFlowRepeatability(t *testing.T) {
	d := published.Columns(t, "agreement/pefr.csv")
	for _, tt := range []struct {
		meter                                string
		te, lower, upper, icc, iccLower, msc float64
		cv, cvLower, observed, trueSD        float64
	}{
		{meter: "wright", te: 15.361214527657177, lower: 11.440569237748337, upper: 23.378677079472954,
			icc: 0.9830458419744517, iccLower: 0.953872223470123, msc: 207.52941176470588,
			cv: 3.5117668741601658, cvLower: 2.6039056450651406, observed: 117.47320564331956,
			trueSD: math.Sqrt(13681.970588235294)},
		{meter: "mini", te: 20.415806304401094, lower: 15.205076730712292, upper: 31.071406629229347,
			icc: 0.966904804789113, iccLower: 0.911200456031455, msc: 70.61764705882354,
			cv: 5.3584574898624595, cvLower: 3.964121489946729, observed: 111.29117711185005,
			trueSD: math.Sqrt(12177.323529411764)},
	} {
		var rows [][]float64
		for i, v := range d[tt.meter+"1"] {
			rows = append(rows, []float64{v, d[tt.meter+"2"][i]})
		}
		r := analyse(t, tableOf(rows),
			reliability.Options{Worthwhile: reliability.Worthwhile{Basis: reliability.ObservedSD}})
		numtest.Close(t, "TE", r.TypicalError.Value, tt.te, 1e-13)
		numtest.Close(t, "TE lower", r.TypicalError.Lower, tt.lower, 1e-12)
		numtest.Close(t, "TE upper", r.TypicalError.Upper, tt.upper, 1e-12)
		numtest.Close(t, "ICC(C,1)", r.ICC[4].Value.Value, tt.icc, 1e-13)
		numtest.Close(t, "ICC(C,1) lower", r.ICC[4].Value.Lower, tt.iccLower, 1e-12)
		numtest.Close(t, "MSC", r.ANOVA.MSC, tt.msc, 1e-13)
		numtest.Close(t, "observed SD", r.ObservedSD, tt.observed, 1e-13)
		numtest.Close(t, "true SD", r.TrueSD, tt.trueSD, 1e-13)
		logs := analyse(t, tableOf(rows), reliability.Options{Scale: score.Log})
		numtest.Close(t, "CV", logs.TypicalErrorPercent.Value, tt.cv, 1e-11)
		numtest.Close(t, "CV lower", logs.TypicalErrorPercent.Lower, tt.cvLower, 1e-11)
	}
}

// The documentation of a general statistics package prints, for 30 rows, 5
// columns, MS_rows 48.2 and MS_error 11.3: ICC(C,1) 0.3951 (0.2311, 0.5853) and
// ICC(C,k) 0.7656 (0.6005, 0.8759).
func TestFromMeanSquaresOnly(t *testing.T) {
	a := anova.TwoWay{N: 30, K: 5, MSR: 48.2, MSE: 11.3, MSC: 11.3, MSW: 11.3,
		SSRows: 48.2 * 29, SSError: 11.3 * 116, SSCols: 11.3 * 4, SSWithin: 11.3 * 120,
		DFRows: 29, DFCols: 4, DFError: 116, DFWithin: 120}
	icc := reliability.FromANOVA(a, 0.95)
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"C,1", icc[4].Value.Value, 0.3951}, {"C,1 lower", icc[4].Value.Lower, 0.2311}, {"C,1 upper",
			icc[4].Value.Upper, 0.5853},
		{"C,k", icc[5].Value.Value, 0.7656}, {"C,k lower", icc[5].Value.Lower, 0.6005}, {"C,k upper",
			icc[5].Value.Upper, 0.8759},
	} {
		numtest.CloseAbs(t, c.name, c.got, c.want, 0.00005)
	}
}

// By hand from the formulas, where MSR < MSE: negative estimates as they are,
// and the ratio form A,k leaving its range.
func TestNegativeICC(t *testing.T) {
	square := func(msc, mse float64) []reliability.ICC {
		return reliability.FromANOVA(anova.TwoWay{N: 4, K: 2, MSR: 1, MSC: msc, MSE: mse, MSW: (msc + 3*mse) / 4,
			SSRows: 3, SSCols: msc, SSError: 3 * mse, SSWithin: msc + 3*mse,
			DFRows: 3, DFCols: 1, DFError: 3, DFWithin: 4}, 0.95)
	}
	icc := square(2, 4)
	for i, want := range []float64{-2.5 / 4.5, -2.5, -3.0 / 4, -6, -3.0 / 5, -3} {
		numtest.Close(t, "ICC("+icc[i].Form+")", icc[i].Value.Value, want, 1e-15)
		if e := icc[i].Value; !e.HasInterval() || e.Lower > e.Value || e.Upper < e.Value {
			t.Errorf("ICC(%s) = %+v", icc[i].Form, e)
		}
	}
	if lower := icc[3].Value.Lower; !math.IsInf(lower, -1) { // F1 > 2, so F1(2-4)+4 < 0
		t.Errorf("lower limit of ICC(A,k) = %g, want -Inf", lower)
	}
	out := square(0, 8)[3].Value // (1-8)/(1-8/4) = 7
	if out.Value != 7 || out.HasInterval() || out.Kind != estimate.NoRange {
		t.Errorf("ICC(A,k) = %+v, want 7 without limits", out)
	}
	hardly := reliability.FromANOVA(anova.TwoWay{N: 4, K: 2, MSR: 1e-12, MSC: 40, MSE: 4, MSW: 13, // v is 1e-24
		SSRows: 3e-12, SSCols: 40, SSError: 12, SSWithin: 52, DFRows: 3, DFCols: 1, DFError: 3, DFWithin: 4}, 0.95)
	for _, i := range []int{2, 3} {
		if e := *hardly[i].Satterthwaite; e.HasInterval() || math.IsNaN(e.Value) {
			t.Errorf("ICC(%s) = %+v, want a value without limits", hardly[i].Form, e)
		}
	}
	none := square(0, 4)[3].Value // (1-4)/0
	if !math.IsNaN(none.Value) || none.HasInterval() {
		t.Errorf("ICC(A,k) = %+v, want none", none)
	}
}
