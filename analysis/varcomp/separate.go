package varcomp

import (
	"fmt"
	"math"
)

// separate drops the components that the data cannot tell from others. What
// can be told apart is read off the REML information at equal variances: its
// rows are linearly dependent where two components do the same to the data.
func (f *fitted) separate(r *Result) error {
	s := f.like.design
	at := [3]float64{1, 1, 1}
	if !f.free[trial] {
		at[trial] = 0
	}
	if f.o.Model == Scores {
		f.free[session], at[session], r.Merged = false, 0, NotInTheFit
	}
	info, err := newLikelihood(s, true).information(at)
	if err != nil {
		return err
	}
	residual := []int{trial}
	if !f.free[trial] {
		residual = []int{session}
	}
	if f.free[session] && f.free[trial] && !apartFrom(info, trial, session) {
		r.Merged, f.free[session] = WithTrial, false
	}
	if !apartFrom(info, append(residual, athlete)...) {
		if !f.free[trial] { // one session each, no difference between trials
			r.Merged, f.free[session] = WithAthlete, false
			return nil
		}
		return fmt.Errorf("%w: %d athletes, %d sessions and %d attempts do not tell athletes from error",
			ErrTooFew, s.athletes, s.sessionCount, s.n)
	}
	return nil
}

// information returns tr(P V_a P V_b) at v.
func (l *likelihood) information(v [3]float64) (info [3][3]float64, err error) {
	p, ok := l.at(v)
	if !ok {
		return info, fmt.Errorf("%w: the session means cannot be estimated", ErrTooFew)
	}
	l.differentiate(&p)
	return p.info, nil
}

// apartFrom reports whether the last of the components listed is linearly
// independent of the others in info.
func apartFrom(info [3][3]float64, components ...int) bool {
	a := newSquare(len(components))
	for i, c := range components {
		if !(info[c][c] > 1e-9) {
			return false
		}
		for j, e := range components {
			a.row(i)[j] = info[c][e] / math.Sqrt(info[c][c]*info[e][e])
		}
	}
	_, ok := a.cholesky()
	last := len(components) - 1
	return ok && a.at(last, last) > 1e-5
}
