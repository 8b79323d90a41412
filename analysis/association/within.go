package association

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/dist"
)

// Differences of two r that [Within] calls large. Common practice, no source.
const (
	partedAlways  = 0.2 // whatever the interval says
	partedOutside = 0.1 // when the interval within a level leaves out the other
)

// Within returns the correlation of x and y inside the groups: both columns
// less the mean of their own group, pooled over the groups,
//
//	r = Σ(x-x̄g)(y-ȳg) / √(Σ(x-x̄g)² Σ(y-ȳg)²)
//
// It is the partial correlation with the g-1 indicator columns of the g
// groups held constant, q = g-1 in [Partial], so its t has n-q-2 = n-g-1
// degrees of freedom and its Fisher standard error is 1/√(n-q-3) = 1/√(n-g-2).
//
// Beside it stand the r of every group with 4 or more athletes, in the order
// of their names, and the chi-square test that these are equal (see
// [Homogeneity]); Differ is set where they are not, by that test alone at one
// less the confidence level. Parted is set when r over all, groups ignored, differs from r
// within by 0.2 or more, or by 0.1 or more and lies outside its interval;
// Says tells what that means. The arguments are not modified.
//
// The errors are [ErrTooFew] below 4 values, below g+2, or when every group is
// alone; [ErrConstant] when a column does not vary inside any group or there
// is one group only; and [ErrNonFinite], [ErrLength] and [ErrLevel].
//
// Source: Snedecor GW, Cochran WG (1989). Statistical Methods, 8th ed.,
// sections 10.5 to 10.7. Iowa State University Press.
func Within(x, y []float64, group []string, level float64) (WithinGroups, error) {
	level, err := confidence(level)
	if err != nil {
		return missingWithin(len(x), err), err
	}
	return within(series{"x", x}, series{"y", y}, group, level)
}

func within(x, y series, group []string, level float64) (WithinGroups, error) {
	n := len(x.x)
	fail := func(err error) (WithinGroups, error) { return missingWithin(n, err), err }
	if len(group) != n {
		return fail(fmt.Errorf("%w: %s has %d values, %d groups", ErrLength, x.name, n, len(group)))
	}
	if err := check(minN, x, y); err != nil {
		return fail(err)
	}
	names, members := groups(group)
	if len(names) < 2 {
		return fail(fmt.Errorf("level: %w: %q", ErrConstant, names[0]))
	}
	if need := len(names) + 2; n < need {
		return fail(fmt.Errorf("%w for %d levels: have %d, need %d", ErrTooFew, len(names), n, need))
	}
	rx, err := withoutMeans(x, members)
	if err != nil {
		return fail(err)
	}
	ry, err := withoutMeans(y, members)
	if err != nil {
		return fail(err)
	}
	w := WithinGroups{
		Correlation: fromR(cosine(rx, ry), n, len(names)-1, level),
		Across:      cosine(centre(x.x).d, centre(y.x).d),
		Groups:      make([]GroupR, len(names)),
	}
	for i, m := range members {
		w.Groups[i] = oneLevel(names[i], pick(x.x, m), pick(y.x, m), level)
	}
	w.Homogeneity = homogeneityOf(w.Groups)
	w.Differ = w.Homogeneity.P < 1-level
	gap := math.Abs(w.Across - w.Value)
	w.Parted = gap >= partedAlways || (gap >= partedOutside && w.Excludes(w.Across))
	w.Says = mixing(w)
	return w, nil
}

// oneLevel is the correlation inside one group.
func oneLevel(name string, x, y []float64, level float64) GroupR {
	l := GroupR{Group: name}
	var err error
	if l.Correlation, err = Pearson(x, y, level); err == nil {
		return l
	}
	l.Correlation = missing(len(x), reasonOf(err))
	return l
}

// Homogeneity tests whether independent correlations r, from n athletes each,
// are equal:
//
//	χ² = Σ (n-3)(z - z̄)²,  z = atanh r,  z̄ = Σ(n-3)z / Σ(n-3)
//
// on one degree of freedom less than there are correlations. Entries with
// n < 4, and those that are NaN or ±1, are left out; with fewer than two
// left Statistic and P are NaN and DF is 0. r and n have the same length.
//
// Source: Snedecor & Cochran (1989), section 10.7; for two groups it is the
// square of Fisher's z test.
func Homogeneity(r []float64, n []int) Test {
	var z, weight []float64
	var sum, total float64
	for i, v := range r {
		if n[i] < minN || !(math.Abs(v) < 1) {
			continue
		}
		w := float64(n[i] - 3)
		z, weight = append(z, math.Atanh(v)), append(weight, w)
		sum += float64(w * math.Atanh(v))
		total += w
	}
	if len(z) < 2 {
		return Test{Statistic: math.NaN(), P: math.NaN()}
	}
	test := Test{DF: float64(len(z) - 1)}
	for i := range z {
		d := z[i] - sum/total
		test.Statistic += float64(weight[i] * float64(d*d))
	}
	test.P = dist.ChiSquareSurvival(test.Statistic, test.DF)
	return test
}

func homogeneityOf(levels []GroupR) Test {
	r, n := make([]float64, len(levels)), make([]int, len(levels))
	for i, l := range levels {
		r[i], n[i] = l.Value, l.N
	}
	return Homogeneity(r, n)
}

// groups returns the distinct names, sorted, and the positions of each.
func groups(group []string) (names []string, members [][]int) {
	at := map[string]int{}
	for _, g := range group {
		if _, ok := at[g]; !ok {
			at[g] = 0
			names = append(names, g)
		}
	}
	slices.SortFunc(names, cmp.Compare[string])
	for i, g := range names {
		at[g] = i
	}
	members = make([][]int, len(names))
	for i, g := range group {
		members[at[g]] = append(members[at[g]], i)
	}
	return names, members
}

// withoutMeans returns s less the mean of each group, up to a common power of
// two.
func withoutMeans(s series, members [][]int) ([]float64, error) {
	d, varies := centre(s.x).d, false
	e := make([]float64, len(d))
	for _, m := range members {
		if constant(pick(s.x, m)) {
			continue
		}
		varies = true
		inside := centre(pick(d, m))
		for i, at := range m {
			e[at] = math.Ldexp(inside.d[i], inside.exponent)
		}
	}
	if !varies {
		return nil, fmt.Errorf("%s: %w of the same level", s.name, ErrConstant)
	}
	return e, nil
}

func pick[T any](x []T, at []int) []T {
	out := make([]T, len(at))
	for i, j := range at {
		out[i] = x[j]
	}
	return out
}

// A Mixing says what mixing the levels does to a correlation.
type Mixing string

// What mixing does.
const (
	MixesNothing   Mixing = ""           // no clear difference, or no r within a level
	MixesTurns     Mixing = "turns-it"   // within a level it goes the other way
	MixesMakes     Mixing = "makes-most" // the levels, not the test, make most of it
	MixesMakesSome Mixing = "makes-part" // the levels make part of it
	MixesHides     Mixing = "hides-part" // mixing hides part of it
)

// mixing says what the two r say together.
func mixing(w WithinGroups) Mixing {
	across, inside := w.Across, w.Value
	switch {
	case !w.Parted:
		return MixesNothing
	case across*inside < 0 && math.Abs(inside) >= partedOutside:
		return MixesTurns
	case math.Abs(inside) <= math.Abs(across)/2:
		return MixesMakes
	case math.Abs(inside) < math.Abs(across):
		return MixesMakesSome
	}
	return MixesHides
}

// missingWithin is the analysis within level that there is not, and why.
func missingWithin(n int, err error) WithinGroups {
	return WithinGroups{Correlation: missing(n, reasonOf(err)), Across: math.NaN(),
		Homogeneity: Test{Statistic: math.NaN(), P: math.NaN()}}
}

// levelsDiffer says that the levels' r differ: the p of the test, the pooled r,
// and the r of every level that has one.
func levelsDiffer(w WithinGroups) caveat.Caveat {
	numbers, names := []float64{w.Homogeneity.P, w.Value}, []string(nil)
	for _, g := range w.Groups {
		if !math.IsNaN(g.Value) {
			numbers, names = append(numbers, g.Value), append(names, g.Group)
		}
	}
	return caveat.New(NoCommonR, numbers...).With(names...)
}
