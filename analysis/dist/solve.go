package dist

import "math"

// A tail returns a probability at x > 0 that rises or falls steadily with x,
// and its derivative by log x, whose sign is right even where it underflows (-0
// of a falling tail).
type tail func(x float64) (p, slope float64)

// solve returns the x > 0 at which f has probability p, from a first guess.
// It takes Newton steps in log x on log p, where the tails of the
// distributions here are nearly straight, and halves a bracket when a step
// leaves it. The last step, of relative size below 1e-8, doubles the digits.
func solve(f tail, p, guess float64) float64 {
	low, high := 0.0, math.Inf(1)
	x := guess
	for range 3000 {
		got, slope := f(x)
		if got == p {
			return x
		}
		if rising := !math.Signbit(slope); (got < p) == rising {
			low = x
		} else {
			high = x
		}
		step := math.Log1p((p-got)/got) * got / slope
		if math.Abs(step) < 1e-8 {
			return x + float64(x*step)
		}
		next := x * math.Exp(step)
		if !(next > low && next < high) {
			next = inside(x, low, high)
		}
		if next == x || next == 0 || math.IsInf(next, 1) {
			return next
		}
		x = next
	}
	return x
}

// inside returns a point between low and high, at their geometric mean if
// both are known.
func inside(x, low, high float64) float64 {
	switch {
	case low == 0:
		return x / 8
	case math.IsInf(high, 1):
		return x * 8
	}
	return math.Sqrt(low) * math.Sqrt(high)
}
