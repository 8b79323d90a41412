package linear_test

import (
	"math"
	"testing"

	"noisefloor/analysis/linear"
	"noisefloor/internal/numtest"
	"noisefloor/internal/published"
)

// load returns a NIST set; powers of x are float64 products.
func load(t testing.TB, name string, degree int) (y []float64, x [][]float64) {
	t.Helper()
	if name == "Norris" { // one line for y, one for x
		rows := norris(t)
		return rows[0], rows[1:]
	}
	c := published.Columns(t, "nist/"+name+".csv")
	if degree == 0 {
		return c["y"], [][]float64{c["x1"], c["x2"], c["x3"], c["x4"], c["x5"], c["x6"]}
	}
	power := c["x"]
	for range degree {
		x = append(x, power)
		power = times(power, c["x"])
	}
	return c["y"], x
}

func times(a, b []float64) []float64 {
	out := make([]float64, len(a))
	for i := range a {
		out[i] = a[i] * b[i]
	}
	return out
}

// Certified values, 15 digits printed. Filip's powers of x, rounded to float64
// on the way in, allow 7 digits and no more; TestAgainstExact shows that the
// loss is in the numbers, not in the fit.
func TestAgainstNIST(t *testing.T) {
	for name, want := range certified {
		t.Run(name, func(t *testing.T) {
			digits := 1e-13
			if name == "Filip" {
				digits = 5e-8
			}
			y, x := load(t, name, want.degree)
			f, err := linear.LeastSquares(y, x)
			if err != nil {
				t.Fatal(err)
			}
			fewest := 16.0
			near := func(quantity string, got, want float64) {
				t.Helper()
				if want == 0 { // an exact fit: nothing left but the rounding of 32 digits
					numtest.CloseAbs(t, quantity, got, 0, 1e-15*math.Sqrt(f.SSTotal))
					return
				}
				numtest.Close(t, quantity, got, want, digits)
				fewest = min(fewest, numtest.Digits(got, want))
			}
			near("b0", f.Intercept, want.coefficient[0])
			near("se of b0", f.InterceptSE, want.se[0])
			for j, b := range f.Slope {
				near("b", b, want.coefficient[j+1])
				near("se", f.SlopeSE[j], want.se[j+1])
			}
			near("residual SD", f.ResidualSD, want.sd)
			near("R²", f.RSquared, want.r2)
			near("model SS", f.SSModel, want.model)
			near("residual SS", f.SSResidual, want.left)
			t.Logf("%.1f digits", fewest)
		})
	}
}

// exact holds values computed with 80 digits (mpmath, normal equations) from
// the same float64 numbers that the fit sees, powers rounded.
var exact = map[string]struct {
	lastB, lastSE, adjusted, press, loo, leverage0, condition, vifFirst, vifLast float64
}{
	"Norris": {1.0021168180204544, 0.00042979684819994117, 0.99999356193911501, 30.475091785932583,
		0.99999323174902416, 0.069198888513717127, 1, 1, 1},
	"Pontius": {-3.1608187134503055e-15, 4.8665284999202858e-17, 0.99999989478278241, 1.847238080035465e-6,
		0.99999988746304398, 0.18538961038961039, 8.2947964233635401, 17.704545454545455, 17.704545454545455},
	"Filip": {-4.0296253014568074e-5, 8.9663283536543461e-6, 0.99626648891324372, 0.0015788456477868416,
		0.99366508473018715, 0.065173028964264115, 3821498667.1056456, 5119492603441.1537, 272401041370484.01},
	"Longley": {1829.1514646135519, 455.47849914221201, 0.992465007628826, 2886892.5414521224, 0.98628547646823804,
		0.4245369306265358, 110.54415344231353, 135.53243828000325, 758.98059740689456},
	"Wampler3": {1, 0.11232485467931194, 0.99999407870109319, 180638669.44766884, 0.99999129153246985,
		0.83164661425530991, 1632.3257914101808, 772.22449091283524, 38324.850940166266},
	"Wampler5": {1, 1123.2485467931194, -0.33033774771233414, 18063866944766884.0, -0.95653069747171542,
		0.83164661425530991, 1632.3257914101808, 772.22449091283524, 38324.850940166266},
}

func TestAgainstExact(t *testing.T) {
	for name, want := range exact {
		t.Run(name, func(t *testing.T) {
			y, x := load(t, name, certified[name].degree)
			f, err := linear.LeastSquares(y, x)
			if err != nil {
				t.Fatal(err)
			}
			last := len(x) - 1
			numtest.Close(t, "b", f.Slope[last], want.lastB, 1e-14)
			numtest.Close(t, "se", f.SlopeSE[last], want.lastSE, 1e-14)
			numtest.Close(t, "adjusted R²", f.Adjusted, want.adjusted, 1e-14)
			numtest.Close(t, "PRESS", f.PRESS, want.press, 1e-14)
			numtest.Close(t, "leave-one-out R²", f.RSquaredLOO, want.loo, 1e-14)
			numtest.Close(t, "leverage", f.Leverage[0], want.leverage0, 1e-14)
			numtest.Close(t, "VIF", f.Inflation(0), want.vifFirst, 1e-14)
			numtest.Close(t, "VIF", f.Inflation(last), want.vifLast, 1e-14)
			// The singular values are float64: the smallest is right to eps times the condition.
			numtest.Close(t, "condition", f.Condition, want.condition, max(1e-14, 1e-15*want.condition))
		})
	}
	// Longley's first two columns as one factor: det of correlations, 80 digits.
	y, x := load(t, "Longley", 0)
	f, err := linear.LeastSquares(y, x)
	if err != nil {
		t.Fatal(err)
	}
	numtest.Close(t, "GVIF", f.Inflation(0, 1), 2347.9747988043876, 1e-12)
}
