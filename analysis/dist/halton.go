package dist

// Halton is the i-th point, from 1, of the van der Corput sequence of a base: the digits
// of i, mirrored behind the point. Sequences of different prime bases together fill a
// cube evenly: a fixed set in place of random numbers.
//
// Source: Halton JH (1960), Numerische Mathematik 2:84-90.
func Halton(i, base int) float64 {
	x, part := 0.0, 1/float64(base)
	for ; i > 0; i /= base {
		x += float64(float64(i%base) * part)
		part /= float64(base)
	}
	return x
}
