package bootstrap_test

import (
	"fmt"
	"math"
	"runtime"
	"slices"
	"testing"

	"noisefloor/analysis/bootstrap"
	"noisefloor/analysis/dist"
	"noisefloor/internal/numtest"
)

// weightedPearson is the correlation of the law schools, counted by weight.
func weightedPearson(weight [][]float64) float64 {
	var n, x, y, xx, yy, xy float64
	for i, w := range weight[0] {
		dx, dy := lsat[i]-600, gpa[i]-3
		n, x, y = n+w, x+w*dx, y+w*dy
		xx, yy, xy = xx+w*dx*dx, yy+w*dy*dy, xy+w*dx*dy
	}
	return (xy - x*y/n) / math.Sqrt((xx-x*x/n)*(yy-y*y/n))
}

// Two statistics at once: the law schools' r and how many units were drawn.
func lawAndCount(weight [][]float64, out []float64) {
	out[0], out[1] = weightedPearson(weight), 0
	for _, w := range weight[0] {
		out[1] += w
	}
}

func TestJointDrawsAsDistribution(t *testing.T) {
	o := bootstrap.Options{Replicates: 500, Seed: 11}
	want := bootstrap.Distribution(15, pearson, o)
	got := bootstrap.Joint([]int{15}, 2, lawAndCount, o)
	for b, r := range want {
		numtest.Close(t, "r of a resample", got[0][b], r, 1e-11)
		numtest.Close(t, "units drawn", got[1][b], 15, 0)
	}
}

// Acceleration and limits of the complete bootstrap distribution of the law
// schools (all 77,558,760 resamples, 40 digits; Efron 1979, 1987). With 100,000
// replicates the lower limit has a Monte Carlo error of about 0.004.
func TestJointAgainstCompleteEnumeration(t *testing.T) {
	sizes := []int{15}
	joint := bootstrap.Joint(sizes, 2, lawAndCount, bootstrap.Options{Replicates: 100000, Seed: 3})
	jackknife := bootstrap.JointJackknife(sizes, 2, lawAndCount)
	var squares, cubes float64
	for _, v := range jackknife[0] {
		squares, cubes = squares+v*v, cubes-v*v*v
	}
	numtest.Close(t, "acceleration", cubes/(6*math.Pow(squares, 1.5)), -0.07567156493787916, 1e-11)
	got := bootstrap.BCa(lawR, joint[0], jackknife[0], 0.90)
	numtest.CloseAbs(t, "lower", got.Lower, 0.429103103261979, 0.012)
	numtest.CloseAbs(t, "upper", got.Upper, 0.92685943143267, 0.003)
}

// Two samples, the difference of their means: l is then the distance from the
// sample's own mean. By hand: Σl³ = 162 and Σl² = 54 over 4 units, Σl³ = 6 and
// Σl² = 6 over 3, so a = (162/64 - 6/27)/(6 (54/16 + 6/9)^1.5).
func TestAccelerationOfTwoSamples(t *testing.T) {
	x := []float64{4 - 3, 4 - 3, 4 - 0, 4 + 6} // mean 4, l = -3 -3 0 6
	y := []float64{7 - 1, 7 - 1, 7 + 2}        // mean 7, l = -1 -1 2
	meanOf := func(v, w []float64) float64 {
		var sum, n float64
		for i := range v {
			sum, n = sum+w[i]*v[i], n+w[i]
		}
		return sum / n
	}
	jackknife := bootstrap.JointJackknife([]int{4, 3}, 1, func(w [][]float64, out []float64) {
		out[0] = meanOf(x, w[0]) - meanOf(y, w[1])
	})[0]
	var squares, cubes float64
	for _, v := range jackknife {
		squares, cubes = squares+v*v, cubes-v*v*v
	}
	numtest.Close(t, "a", cubes/(6*math.Pow(squares, 1.5)), (162./64-6./27)/(6*math.Pow(54./16+6./9, 1.5)), 1e-12)
}

// Of a large sample groups are left out, however it is ordered: 5000 quantiles
// of chi-square on 1 df in rising order, whose mean has the acceleration
// Σd³/(6 (Σd²)^1.5), d = value - mean. 1000 groups give the standard error to
// √(1/2000) = 2.2 %.
func TestAccelerationOfALargeSample(t *testing.T) {
	const n = 5000
	x := make([]float64, n)
	var mean, square, cube float64
	for i := range x {
		z := dist.NormalQuantile((float64(i) + 0.5) / n)
		x[i] = z * z
		mean += x[i] / n
	}
	for _, v := range x {
		square, cube = square+(v-mean)*(v-mean), cube+(v-mean)*(v-mean)*(v-mean)
	}
	jackknife := bootstrap.JointJackknife([]int{n}, 1, func(w [][]float64, out []float64) {
		var sum, count float64
		for i, v := range w[0] {
			sum, count = sum+v*x[i], count+v
		}
		out[0] = sum / count
	})[0]
	if len(jackknife) != 1000 {
		t.Fatalf("%d values", len(jackknife))
	}
	var squares, cubes float64
	for _, v := range jackknife {
		squares, cubes = squares+v*v, cubes-v*v*v
	}
	numtest.Close(t, "standard error", math.Sqrt(squares), math.Sqrt(square)/n, 0.07)
	numtest.CloseAbs(t, "a", cubes/(6*math.Pow(squares, 1.5)), cube/(6*math.Pow(square, 1.5)), 0.002)
}

func TestJointOfSeveralSamples(t *testing.T) {
	sizes := []int{5, 1, 30}
	drawn := func(w [][]float64, out []float64) {
		for s := range w {
			out[s] = 0
			for i, v := range w[s] {
				out[s] += v * float64(i)
			}
		}
	}
	o := bootstrap.Options{Replicates: 400, Seed: 5}
	many := bootstrap.Joint(sizes, 3, drawn, o)
	before := runtime.GOMAXPROCS(1)
	one := bootstrap.Joint(sizes, 3, drawn, o)
	runtime.GOMAXPROCS(before)
	for k := range many {
		if !slices.Equal(many[k], one[k]) {
			t.Errorf("sample %d depends on the number of cores", k)
		}
	}
	// Σ w i has mean n(n-1)/2 and variance n(n²-1)/12.
	for s, n := range []float64{5, 1, 30} {
		var sum float64
		for _, v := range many[s] {
			sum += v
		}
		want, se := n*(n-1)/2, math.Sqrt(n*(n*n-1)/12/400)
		numtest.CloseAbs(t, fmt.Sprintf("sample %d", s), sum/400, want, 4*se)
	}
}

func TestJointOfNothing(t *testing.T) {
	none := func([][]float64, []float64) { t.Error("called") }
	for _, sizes := range [][]int{nil, {0}, {4, 0}, {3, -1}} {
		for _, lists := range [][][]float64{bootstrap.Joint(sizes, 2, none, bootstrap.Options{}),
			bootstrap.JointJackknife(sizes, 2, none)} {
			if len(lists) != 2 || lists[0] != nil || lists[1] != nil {
				t.Errorf("%v gives %v", sizes, lists)
			}
		}
	}
}

// Limits of two statistics from the same resamples of the law schools.
func ExampleJoint() {
	sizes := []int{15}
	o := bootstrap.Options{Replicates: 4000, Seed: 1}
	replicates := bootstrap.Joint(sizes, 2, lawAndCount, o)
	jackknife := bootstrap.JointJackknife(sizes, 2, lawAndCount)
	e := bootstrap.BCa(lawR, replicates[0], jackknife[0], 0.95)
	fmt.Printf("r = %.2f, %.1f to %.2f\n", e.Value, e.Lower, e.Upper)
	// Output: r = 0.78, 0.3 to 0.94
}

func BenchmarkJoint(b *testing.B) {
	for b.Loop() {
		bootstrap.Joint([]int{15}, 2, lawAndCount, bootstrap.Options{Replicates: 10000})
	}
}
