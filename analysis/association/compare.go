package association

import (
	"fmt"
	"math"
	"slices"

	"noisefloor/analysis/estimate"
	"noisefloor/analysis/multiplicity"
	"noisefloor/analysis/score"
)

// compare compares every test of the first plane with every test of the
// second, on the athletes that have both and the outcome. With within, only
// athletes with a level take part, level means are removed first, and n in the
// tests is replaced by n-g+1: r within g levels is the partial correlation
// with g-1 indicators held constant, and a partial correlation from n athletes
// is distributed as a plain one from n-(g-1) (Fisher 1924).
//
// A test is turned where less is better in it (or in the outcome). Where nobody
// said which way one of the three improves, nothing is turned: the sizes |r| are
// compared, each test taken the way it goes with the outcome.
func compare(in Input, o Options, within bool) []Comparison {
	var out []Comparison
	for _, a := range in.Tests {
		if a.Plane != o.Planes[0] {
			continue
		}
		for _, b := range in.Tests {
			if b.Plane == o.Planes[1] {
				out = append(out, compareTwo(in, a, b, o.Level, within))
			}
		}
	}
	p := make([]float64, len(out))
	for i, c := range out {
		p[i] = c.PWilliams
	}
	for i, holm := range multiplicity.Holm(p) {
		out[i].PWilliamsHolm = holm
	}
	return out
}

// three reads the outcome and two tests of the athletes who have them, and with
// within a level, whose names it returns.
func (in Input) three(a, b Variable, within bool) (columns [3]series, group []string) {
	at := complete(len(in.Athletes), in.Outcome.Value, a.Value, b.Value)
	if within {
		at = slices.DeleteFunc(at, func(i int) bool { return in.Group[i] == "" })
	}
	return [3]series{column(in.Outcome, at), column(a, at), column(b, at)}, pickGroup(in, at, within)
}

func compareTwo(in Input, a, b Variable, level float64, within bool) Comparison {
	nan := math.NaN()
	c := Comparison{A: a.Name, B: b.Name, PlaneA: a.Plane, PlaneB: b.Plane, Within: within,
		Absolute: len(in.withoutDirection([]Variable{a, b})) > 0,
		RA:       nan, RB: nan, RAB: nan, T: nan, DF: nan, PWilliams: nan, PWilliamsHolm: nan, Z: nan, PMeng: nan}
	c.FlippedA, c.FlippedB = !c.Absolute && flipped(in.Outcome, a), !c.Absolute && flipped(in.Outcome, b)
	columns, group := in.three(a, b, within)
	c.N = len(columns[0].x)
	d, n, err := comparable3(columns, group)
	if err != nil {
		c.Difference = estimate.Bare(nan, reasonOf(err))
		return c
	}
	ra, rb := cosine(d[0], d[1]), cosine(d[0], d[2])
	signA, signB := sign(c.FlippedA), sign(c.FlippedB)
	if c.Absolute {
		signA, signB = math.Copysign(1, ra), math.Copysign(1, rb)
	}
	c.RA, c.RB, c.RAB = signA*ra, signB*rb, signA*signB*cosine(d[1], d[2])
	c.Difference = Zou(c.RA, c.RB, c.RAB, n, level)
	c.T, c.DF, c.PWilliams = Williams(c.RA, c.RB, c.RAB, n)
	c.Z, c.PMeng, _ = Meng(c.RA, c.RB, c.RAB, n, level)
	return c
}

// comparable3 returns the deviations of outcome and two tests, from their
// means or from those of the groups, and the n that the tests may use.
func comparable3(columns [3]series, group []string) (d [3][]float64, n int, err error) {
	if err := check(minN, columns[:]...); err != nil {
		return d, 0, err
	}
	n = len(columns[0].x)
	var members [][]int
	if group != nil {
		_, members = groups(group)
		n -= len(members) - 1
	}
	if n < minN {
		return d, 0, fmt.Errorf("%w for %d levels: have %d, need %d",
			ErrTooFew, len(members), len(group), minN+len(members)-1)
	}
	for i, s := range columns {
		if group == nil {
			d[i] = centre(s.x).d
		} else if d[i], err = withoutMeans(s, members); err != nil {
			return d, 0, err
		}
	}
	return d, n, nil
}

func pickGroup(in Input, at []int, within bool) []string {
	if !within {
		return nil
	}
	return pick(in.Group, at)
}

// flipped reports whether r must change its sign to say how better goes with
// better.
func flipped(outcome, test Variable) bool {
	return (outcome.Better == score.Lower) != (test.Better == score.Lower)
}

func sign(flipped bool) float64 {
	if flipped {
		return -1
	}
	return 1
}

// planes summarises the tests of each plane: those compared first, then the
// others by name. Tests without a plane or without an r are left out.
//
// MeanR is tanh of the mean of atanh r, all turned so that better is higher; of
// atanh |r|, in every plane, where nobody said so of the outcome or of any test.
func planes(as []Association, order [2]string) []PlaneSummary {
	names, absolute := order[:], false
	for _, a := range as {
		if a.Plane != "" && !slices.Contains(names, a.Plane) {
			names = append(names, a.Plane)
		}
		absolute = absolute || a.Plane != "" && a.Undirected && !math.IsNaN(a.Pearson.Value)
	}
	slices.Sort(names[2:])
	var out []PlaneSummary
	for _, name := range names {
		if p := plane(name, as, absolute); p.Tests > 0 {
			out = append(out, p)
		}
	}
	return out
}

func plane(name string, as []Association, absolute bool) PlaneSummary {
	p := PlaneSummary{Plane: name, Lowest: math.Inf(1), Highest: math.Inf(-1), Absolute: absolute}
	var z, best float64
	for _, a := range as {
		r := sign(a.Flipped) * a.Pearson.Value
		if absolute {
			r = math.Abs(r)
		}
		if a.Plane != name || math.IsNaN(r) {
			continue
		}
		p.Tests++
		z += math.Atanh(r)
		p.Lowest, p.Highest = min(p.Lowest, r), max(p.Highest, r)
		if p.Best == "" || math.Abs(r) > best {
			p.Best, best = a.Measure, math.Abs(r)
		}
	}
	p.MeanR = math.Tanh(z / float64(p.Tests))
	return p
}
