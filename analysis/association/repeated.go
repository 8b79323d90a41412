package association

import (
	"errors"
	"fmt"
	"math"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
)

// ErrRepeats says that no athlete was measured twice.
var ErrRepeats = errors.New("no athlete has two observations")

// Repeated is the correlation inside athletes who were measured several times.
type Repeated struct {
	Correlation                   // within athletes, df N - athletes - 1
	Athletes    int               // with any observation
	Single      int               // of them with one only, who say nothing here
	Slope       estimate.Estimate // unit of y for one unit of x, the same for all athletes

	// The analysis of covariance of y: what x explains inside athletes, and
	// what is left, with F = SSX/(SSResidual/DF) on 1 and DF.
	SSX, SSResidual, F float64

	// Ignoring is r over all observations as if each were another athlete, and
	// Means r of the athletes' means: other questions, and often other answers.
	Ignoring, Means float64
	Caveats         []caveat.Caveat
}

// RepeatedMeasures asks whether, inside an athlete, y rises when x does: the
// parallel lines, one for each athlete, with a common slope,
//
//	r = sign(slope) √( SSX / (SSX + SSResidual) )
//
// from the analysis of covariance of y with athlete as factor and x as
// covariate. It is r of x and y less the means of their athlete. The p value is
// that of F on 1 and N - athletes - 1 degrees of freedom; the interval is
// tanh(atanh r ± z/√(df-1)); the slope has Student t on df. athlete numbers the
// athletes in any way. Whether athletes with a high x have a high y is another
// question (Means). The arguments are not modified.
//
// The errors are [ErrRepeats] when no athlete has two observations,
// [ErrTooFew] when N - athletes - 1 < 1, [ErrConstant] when x or y does not vary
// inside any athlete, [ErrNonFinite], [ErrLength] and [ErrLevel].
//
// Source: Bland JM, Altman DG (1995). Calculating correlation coefficients
// with repeated observations: part 1, correlation within subjects. BMJ 310:446.
func RepeatedMeasures(x, y []float64, athlete []int, level float64) (Repeated, error) {
	level, err := confidence(level)
	if err != nil {
		return missingRepeated(len(x), err), err
	}
	if len(athlete) != len(x) {
		err := fmt.Errorf("%w: %d values, %d athletes", ErrLength, len(x), len(athlete))
		return missingRepeated(len(x), err), err
	}
	sx, sy := series{"x", x}, series{"y", y}
	if err := check(minN, sx, sy); err != nil {
		return missingRepeated(len(x), err), err
	}
	members := byAthlete(athlete)
	r := Repeated{Athletes: len(members), Single: singles(members)}
	if err := r.enough(len(x)); err != nil {
		return missingRepeated(len(x), err), err
	}
	dx, err := withoutMeans(sx, members)
	if err != nil {
		return missingRepeated(len(x), err), err
	}
	dy, err := withoutMeans(sy, members)
	if err != nil {
		return missingRepeated(len(x), err), err
	}
	r.Correlation = fromR(cosine(dx, dy), len(x), len(members)-1, level)
	r.covariance(centre(x).exponent, centre(y).exponent, dx, dy, level)
	r.contrast(x, y, members)
	return r, nil
}

func (r Repeated) enough(n int) error {
	if r.Single == r.Athletes {
		return ErrRepeats
	}
	if df := n - r.Athletes - 1; df < 1 {
		return fmt.Errorf("%w: %d observations of %d athletes leave no degree of freedom", ErrTooFew, n, r.Athletes)
	}
	return nil
}

// covariance fills the sums of squares and the slope. dx and dy are the
// deviations times 2^-ex and 2^-ey.
func (r *Repeated) covariance(ex, ey int, dx, dy []float64, level float64) {
	sxx, syy := crossProduct(dx, dx), crossProduct(dy, dy)
	b := crossProduct(dx, dy) / sxx
	var left float64
	for i, d := range dx {
		e := dy[i] - float64(b*d)
		left += float64(e * e)
	}
	r.SSX, r.SSResidual = math.Ldexp(max(0, syy-left), 2*ey), math.Ldexp(left, 2*ey)
	r.F = max(0, syy-left) / (left / r.DF)
	se := math.Sqrt(left / r.DF / sxx)
	half := dist.TQuantile((1+level)/2, r.DF) * se
	unit := func(v float64) float64 { return math.Ldexp(v, ey-ex) }
	r.Slope = estimate.Estimate{Value: unit(b), Lower: unit(b - half), Upper: unit(b + half),
		SE: unit(se), DF: r.DF, Level: level, Kind: estimate.StudentT}
}

// contrast fills the answers to the other questions, and their doubts.
func (r *Repeated) contrast(x, y []float64, members [][]int) {
	r.Ignoring = cosine(centre(x).d, centre(y).d)
	mx, my := make([]float64, len(members)), make([]float64, len(members))
	for g, m := range members {
		for _, i := range m {
			mx[g] += x[i] / float64(len(m))
			my[g] += y[i] / float64(len(m))
		}
	}
	r.Means = math.NaN()
	if len(members) > 2 && !constant(mx) && !constant(my) {
		r.Means = cosine(centre(mx).d, centre(my).d)
	}
	if r.Single > 0 {
		r.Caveats = append(r.Caveats, caveat.New(OneScore, float64(r.Single), float64(r.Athletes)))
	}
	r.Caveats = append(r.Caveats, r.mixed(r.Value)...)
}

// mixed is the doubt that r ignoring who is who answers another question than
// the r inside athletes given.
func (r Repeated) mixed(inside float64) []caveat.Caveat {
	if math.Abs(r.Ignoring-inside) >= partedAlways {
		return []caveat.Caveat{caveat.New(TwoQuestions, inside, r.Ignoring)}
	}
	return nil
}

// byAthlete returns the positions of each athlete, in order of appearance.
func byAthlete(athlete []int) [][]int {
	at := map[int]int{}
	var members [][]int
	for i, a := range athlete {
		g, ok := at[a]
		if !ok {
			g = len(members)
			at[a] = g
			members = append(members, nil)
		}
		members[g] = append(members[g], i)
	}
	return members
}

func singles(members [][]int) int {
	n := 0
	for _, m := range members {
		if len(m) == 1 {
			n++
		}
	}
	return n
}

func missingRepeated(n int, err error) Repeated {
	nan := math.NaN()
	return Repeated{Correlation: missing(n, reasonOf(err)), Slope: estimate.Bare(nan, reasonOf(err)),
		SSX: nan, SSResidual: nan, F: nan, Ignoring: nan, Means: nan}
}
