package varcomp

import (
	"encoding/binary"
	"fmt"
	"math"
	"slices"

	"noisefloor/analysis/cell"
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

func newDesign(d cell.Grid, single bool) (*design, error) {
	if err := check(d); err != nil {
		return nil, err
	}
	s := &design{n: d.N()}
	column := s.columns(d, single)
	s.centre(d, column)
	s.group(d, column)
	if s.athletes < 2 {
		return nil, fmt.Errorf("%w: athletes: %d, need 2 or more to see how they differ", ErrTooFew, s.athletes)
	}
	s.compress()
	return s, nil
}

// largest is the magnitude above which the squares of values overflow.
const largest = 1e290

func check(d cell.Grid) error {
	if d.Rows < 0 || d.Columns < 0 || len(d.Cells) != d.Rows*d.Columns {
		return fmt.Errorf("%w: %d athletes by %d sessions, %d cells", ErrShape, d.Rows, d.Columns, len(d.Cells))
	}
	for at, c := range d.Cells {
		if c.N > 0 && !c.Finite(largest) {
			return fmt.Errorf("%w: athlete %d, session %d holds %g to %g", ErrNonFinite,
				at/d.Columns+1, at%d.Columns+1, c.Min, c.Max)
		}
	}
	return nil
}

// columns numbers the fixed means and returns the one of each session.
func (s *design) columns(d cell.Grid, single bool) []int32 {
	count := make([]int, d.Columns)
	for at, c := range d.Cells {
		count[at%d.Columns] += int(c.N)
	}
	column := make([]int32, d.Columns)
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
func (s *design) centre(d cell.Grid, column []int32) {
	sums := make([]compensated.Number, s.means)
	most := 0.0
	for at, c := range d.Cells {
		if c.N > 0 {
			j := column[at%d.Columns]
			sums[j] = sums[j].Add(c.Sum())
			most = max(most, math.Abs(c.Min), math.Abs(c.Max))
		}
	}
	s.offset = make([]float64, s.means)
	for c := range sums {
		s.offset[c] = sums[c].Over(float64(s.attempts[c])).Float()
	}
	spread := 0.0
	for at, c := range d.Cells {
		if c.N > 0 {
			offset := s.offset[column[at%d.Columns]]
			spread = max(spread, math.Abs(c.Min-offset), math.Abs(c.Max-offset))
		}
	}
	s.scale = 1
	if spread > 0 {
		_, exponent := math.Frexp(spread)
		s.scale = math.Ldexp(1, max(exponent, -1000))
	}
	unit := 16 * 0x1p-52 * (most / s.scale)
	s.noise = unit * unit
}

// group files the cells of each athlete under their pattern.
func (s *design) group(d cell.Grid, column []int32) {
	g := gatherer{design: s, column: column, known: map[string]int{},
		count: make([]int, d.Columns), mean: make([]float64, d.Columns)}
	for a := range d.Rows {
		g.athlete(d.Cells[a*d.Columns : (a+1)*d.Columns])
	}
	s.within = g.within.Float()
	s.dfWithin = float64(s.n - s.cells)
}

// A gatherer holds what is reused from athlete to athlete.
type gatherer struct {
	*design
	column []int32
	known  map[string]int // pattern by its key
	count  []int          // of the athlete's attempts, by session
	mean   []float64
	seen   []int // sessions of the athlete
	key    []byte
	within compensated.Number
}

// athlete files the cells of one athlete.
func (g *gatherer) athlete(cells []cell.Cell) {
	g.seen = g.seen[:0]
	squares := 0.0
	for j, c := range cells {
		if c.N == 0 {
			continue
		}
		g.seen = append(g.seen, j)
		g.count[j] = int(c.N)
		g.mean[j] = c.MeanLess(g.offset[g.column[j]]) / g.scale
		squares += c.M2() / g.scale / g.scale
	}
	if len(g.seen) > 0 {
		g.within = g.within.Plus(squares)
		g.file()
	}
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
