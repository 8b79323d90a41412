package varcomp

import (
	"encoding/binary"
	"fmt"
	"math"
	"slices"

	"noisefloor/analysis/compensated"
)

// A pattern holds the athletes that have the same numbers of trials in the
// same sessions, and therefore the same covariance matrix. Their cell means
// enter the likelihood through their average and the squares and products of
// the deviations from it alone.
type pattern struct {
	column []int32   // of the fixed mean of each cell
	share  []float64 // 1/trials of each cell
	size   float64   // athletes
	mean   []float64 // average of the athletes' cell means

	// deviations from mean, row by row; where there are more athletes than
	// cells, a triangle with the same squares and products takes their place.
	deviations []float64
}

// A design is what the likelihood needs of the data: centred on session means
// and scaled by a power of two, so that neither an offset nor the unit costs digits.
type design struct {
	patterns     []pattern
	means        int       // fixed means, p
	offset       []float64 // taken from each column before anything else, in the unit of the data
	scale        float64   // the unit of everything else
	n            int       // attempts
	cells        int
	athletes     int
	sessions     []int // of each column; -1 for the single mean
	attempts     []int // in each column
	within       float64
	dfWithin     float64
	logTrials    float64 // Σ ln trials over cells
	noise        float64 // mean square that rounding of the data can explain
	sessionCount int
}

// maxCompress is the largest number of cells for which making a triangle is
// worth its squared cost.
const maxCompress = 64

func newDesign(d Data, single bool) (*design, error) {
	if err := check(d); err != nil {
		return nil, err
	}
	s := &design{n: len(d.Value)}
	column := s.columns(d, single)
	if err := s.centre(d, column); err != nil {
		return nil, err
	}
	s.group(d, column)
	if s.athletes < 2 {
		return nil, fmt.Errorf("%w: athletes: %d, need 2 or more to see how they differ", ErrTooFew, s.athletes)
	}
	s.compress()
	return s, nil
}

func check(d Data) error {
	if len(d.Athlete) != len(d.Value) || len(d.Session) != len(d.Value) {
		return fmt.Errorf("%w: %d athletes, %d sessions, %d values", ErrShape, len(d.Athlete), len(d.Session),
			len(d.Value))
	}
	for i, v := range d.Value {
		switch {
		case d.Athlete[i] < 0 || int(d.Athlete[i]) >= d.Athletes:
			return fmt.Errorf("%w: attempt %d has athlete %d of %d", ErrShape, i+1, d.Athlete[i], d.Athletes)
		case d.Session[i] < 0 || int(d.Session[i]) >= d.Sessions:
			return fmt.Errorf("%w: attempt %d has session %d of %d", ErrShape, i+1, d.Session[i], d.Sessions)
		case math.IsNaN(v) || math.Abs(v) > 1e290:
			return fmt.Errorf("%w: attempt %d is %g", ErrNonFinite, i+1, v)
		}
	}
	return nil
}

// columns numbers the fixed means and returns the one of each session.
func (s *design) columns(d Data, single bool) []int32 {
	count := make([]int, d.Sessions)
	for _, j := range d.Session {
		count[j]++
	}
	column := make([]int32, d.Sessions)
	for _, c := range count {
		if c > 0 {
			s.sessionCount++
		}
	}
	if single {
		s.means, s.sessions, s.attempts = 1, []int{-1}, []int{s.n}
		return column
	}
	for j, c := range count {
		if c > 0 {
			column[j] = int32(s.means)
			s.means++
			s.sessions, s.attempts = append(s.sessions, j), append(s.attempts, c)
		}
	}
	return column
}

// centre sets the offsets and the scale.
func (s *design) centre(d Data, column []int32) error {
	sums := make([]compensated.Number, s.means)
	largest := 0.0
	for i, v := range d.Value {
		c := column[d.Session[i]]
		sums[c] = sums[c].Plus(v)
		largest = max(largest, math.Abs(v))
	}
	s.offset = make([]float64, s.means)
	for c := range sums {
		s.offset[c] = sums[c].Over(float64(s.attempts[c])).Float()
	}
	spread := 0.0
	for i, v := range d.Value {
		spread = max(spread, math.Abs(v-s.offset[column[d.Session[i]]]))
	}
	s.scale = 1
	if spread > 0 {
		_, exponent := math.Frexp(spread)
		s.scale = math.Ldexp(1, max(exponent, -1000))
	}
	unit := 16 * 0x1p-52 * (largest / s.scale)
	s.noise = unit * unit
	return nil
}

// group gathers the cells of each athlete and files them under their pattern.
func (s *design) group(d Data, column []int32) {
	start := make([]int, d.Athletes+1)
	for _, a := range d.Athlete {
		start[a+1]++
	}
	for a := range d.Athletes {
		start[a+1] += start[a]
	}
	rows, next := make([]int32, s.n), slices.Clone(start)
	for i, a := range d.Athlete {
		rows[next[a]] = int32(i)
		next[a]++
	}
	g := gatherer{design: s, data: d, column: column, known: map[string]int{},
		count: make([]int, d.Sessions), sum: make([]float64, d.Sessions), mean: make([]float64, d.Sessions)}
	for a := range d.Athletes {
		if own := rows[start[a]:start[a+1]]; len(own) > 0 {
			g.athlete(own)
		}
	}
	s.within = g.within.Float()
	s.dfWithin = float64(s.n - s.cells)
}

// A gatherer holds what is reused from athlete to athlete.
type gatherer struct {
	*design
	data      Data
	column    []int32
	known     map[string]int // pattern by its key
	count     []int          // of the athlete's attempts, by session
	sum, mean []float64
	seen      []int // sessions of the athlete
	key       []byte
	within    compensated.Number
}

// athlete files the attempts of one athlete; two passes over them.
func (g *gatherer) athlete(rows []int32) {
	g.seen = g.seen[:0]
	for _, i := range rows {
		j := int(g.data.Session[i])
		if g.count[j] == 0 {
			g.seen = append(g.seen, j)
		}
		g.count[j]++
		g.sum[j] += g.centred(i)
	}
	slices.Sort(g.seen)
	for _, j := range g.seen {
		g.mean[j] = g.sum[j] / float64(g.count[j])
		g.sum[j] = 0
	}
	squares := 0.0
	for _, i := range rows {
		j := g.data.Session[i]
		e := g.centred(i) - g.mean[j]
		squares += float64(e * e)
	}
	g.within = g.within.Plus(squares)
	g.file()
}

func (g *gatherer) centred(i int32) float64 {
	return (g.data.Value[i] - g.offset[g.column[g.data.Session[i]]]) / g.scale
}

// file adds the athlete's cell means to the pattern and clears the scratch.
func (g *gatherer) file() {
	g.key = g.key[:0]
	for _, j := range g.seen {
		g.key = binary.AppendUvarint(g.key, uint64(j))
		g.key = binary.AppendUvarint(g.key, uint64(g.count[j]))
	}
	at, ok := g.known[string(g.key)]
	if !ok {
		at = len(g.patterns)
		g.known[string(g.key)] = at
		p := pattern{mean: make([]float64, len(g.seen))}
		for _, j := range g.seen {
			p.column = append(p.column, g.column[j])
			p.share = append(p.share, 1/float64(g.count[j]))
		}
		g.patterns = append(g.patterns, p)
	}
	p := &g.patterns[at]
	p.size++
	for _, j := range g.seen {
		p.deviations = append(p.deviations, g.mean[j])
		g.logTrials += math.Log(float64(g.count[j]))
		g.count[j] = 0
	}
	g.athletes++
	g.cells += len(g.seen)
}

// compress turns the cell means of each pattern into average and deviations.
func (s *design) compress() {
	for at := range s.patterns {
		p := &s.patterns[at]
		k := len(p.mean)
		for i, v := range p.deviations {
			p.mean[i%k] += v / p.size
		}
		for i := range p.deviations {
			p.deviations[i] -= p.mean[i%k]
		}
		switch {
		case p.size == 1:
			p.deviations = nil
		case int(p.size) > 2*k && k <= maxCompress:
			p.deviations = slices.Clone(triangle(p.deviations, k))
		}
	}
}
