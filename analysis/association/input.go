package association

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"noisefloor/analysis/caveat"
)

// check refuses an input that spoils every association.
func (in Input) check() error {
	if err := in.checkNames(); err != nil {
		return err
	}
	for _, v := range in.variables() {
		if err := in.checkColumn(v); err != nil {
			return err
		}
	}
	n := len(in.Athletes)
	if in.Group != nil && len(in.Group) != n {
		return fmt.Errorf("%w: %d athletes, %d levels", ErrLength, n, len(in.Group))
	}
	y := series{fmt.Sprintf("outcome %q", in.Outcome.Name), pick(in.Outcome.Value, complete(n, in.Outcome.Value))}
	if err := check(minN, y); errors.Is(err, ErrTooFew) {
		return fmt.Errorf("%s: %w", y.name, err)
	} else if err != nil {
		return err
	}
	return in.checkCovariates()
}

func (in Input) variables() []Variable {
	return slices.Concat([]Variable{in.Outcome}, in.Tests, in.Covariates)
}

func (in Input) checkNames() error {
	for _, list := range [][]string{in.Athletes, in.StudyAthletes} {
		seen := make(map[string]bool, len(list))
		for _, a := range list {
			if seen[a] {
				return fmt.Errorf("athlete %q: %w: one row for each athlete", a, ErrDuplicate)
			}
			seen[a] = true
		}
	}
	// A test may be a covariate of the others; its own partial r is then absent.
	for _, list := range [][]Variable{in.Tests, in.Covariates} {
		names := map[string]bool{in.Outcome.Name: true}
		for _, v := range list {
			if names[v.Name] {
				return fmt.Errorf("variable %q: %w", v.Name, ErrDuplicate)
			}
			names[v.Name] = true
		}
	}
	return nil
}

func (in Input) checkColumn(v Variable) error {
	n := len(in.Athletes)
	if len(v.Value) != n {
		return fmt.Errorf("%q: %w: %d athletes, %d values", v.Name, ErrLength, n, len(v.Value))
	}
	for i, x := range v.Value {
		if math.IsInf(x, 0) {
			return fmt.Errorf("%q, athlete %s: %w: %g", v.Name, in.Athletes[i], ErrNonFinite, x)
		}
	}
	if n == 0 || len(v.Sessions)%n != 0 {
		return fmt.Errorf("%q: %w: %d session scores of %d athletes", v.Name, ErrLength, len(v.Sessions), n)
	}
	for i, x := range v.Sessions {
		if k := len(v.Sessions) / n; math.IsInf(x, 0) {
			return fmt.Errorf("%q, athlete %s, session %d: %w: %g", v.Name, in.Athletes[i/k], i%k+1, ErrNonFinite, x)
		}
	}
	return in.checkStudy(v)
}

// checkStudy refuses scores of a separate study that no athlete has.
func (in Input) checkStudy(v Variable) error {
	m := len(in.StudyAthletes)
	if m == 0 && len(v.Study) > 0 || m > 0 && len(v.Study)%m != 0 {
		return fmt.Errorf("%q: %w: %d session scores of %d athletes of the study", v.Name, ErrLength, len(v.Study), m)
	}
	for i, x := range v.Study {
		if k := len(v.Study) / m; math.IsInf(x, 0) {
			return fmt.Errorf("%q, athlete %s of the study, session %d: %w: %g", v.Name, in.StudyAthletes[i/k], i%k+1,
				ErrNonFinite, x)
		}
	}
	return nil
}

// checkCovariates refuses covariates that no test could be adjusted for.
func (in Input) checkCovariates() error {
	values := [][]float64{in.Outcome.Value}
	for _, c := range in.Covariates {
		values = append(values, c.Value)
	}
	at := complete(len(in.Athletes), values...)
	if len(at) < len(in.Covariates)+3 {
		return nil // each association says so itself
	}
	z := make([]series, len(in.Covariates))
	for i, c := range in.Covariates {
		z[i] = column(c, at)
		if constant(z[i].x) {
			return fmt.Errorf("covariate %s: %w", z[i].name, ErrConstant)
		}
	}
	if _, err := orthonormal(z); err != nil {
		return fmt.Errorf("covariate %w", err)
	}
	return nil
}

// levels counts the levels of the athletes with an outcome.
func (in Input) levels() int {
	seen := map[string]bool{}
	for i, l := range in.Group {
		if l != "" && !math.IsNaN(in.Outcome.Value[i]) {
			seen[l] = true
		}
	}
	return len(seen)
}

// caveats are the doubts about the whole input.
func (in Input) caveats(o Options, r Result) []caveat.Caveat {
	var out []caveat.Caveat
	if lost := len(in.Athletes) - r.Athletes; lost > 0 {
		out = append(out, caveat.New(NoOutcome, float64(lost), float64(len(in.Athletes))).About(in.Outcome.Name))
	}
	if none := in.withoutLevel(); none > 0 {
		out = append(out, caveat.New(NoLevel, float64(none), float64(r.Athletes)))
	}
	if in.Group != nil && in.levels() < 2 {
		out = append(out, caveat.New(OneLevel))
	}
	if unknown := in.withoutDirection(comparedTests(in, o)); len(unknown) > 0 && len(r.Comparisons) > 0 {
		out = append(out, caveat.New(SizesCompared).About(unknown...))
	}
	if few := r.withoutBCa(); o.Bootstrap && few > 0 {
		out = append(out, caveat.New(NoBCaOfDifferences, float64(few), differenceN))
	}
	if both := in.inBoth(); both > 0 {
		out = append(out, caveat.New(InBothStudies, float64(both)))
	}
	hasPlane := func(plane string) bool {
		return slices.ContainsFunc(in.Tests, func(t Variable) bool { return t.Plane == plane })
	}
	if named := slices.ContainsFunc(in.Tests, func(t Variable) bool { return t.Plane != "" }); named {
		for _, p := range o.Planes {
			if !hasPlane(p) {
				out = append(out, caveat.New(NoTestOfPlane).With(p))
			}
		}
	}
	return out
}

func (in Input) withoutLevel() int {
	none := 0
	for i, l := range in.Group {
		if l == "" && !math.IsNaN(in.Outcome.Value[i]) {
			none++
		}
	}
	return none
}

// inBoth counts the athletes who are also in the separate study.
func (in Input) inBoth() int {
	both := 0
	for _, a := range in.StudyAthletes {
		if slices.Contains(in.Athletes, a) {
			both++
		}
	}
	return both
}

// comparedTests are the tests of the two planes of the options.
func comparedTests(in Input, o Options) (out []Variable) {
	for _, t := range in.Tests {
		if slices.Contains(o.Planes[:], t.Plane) {
			out = append(out, t)
		}
	}
	return out
}
