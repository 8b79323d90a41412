package noise

import (
	"crypto/sha256"
	"encoding/binary"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/score"
)

// Prints are what a noise study leaves behind of its scores: enough to recognise
// the study when a table holds it again, far too little to know a score by.
//
// For each session of n athletes there are 8n bits, all 0 at first. Each athlete
// sets one of them,
//
//	SHA-256(salt, measure, session, athlete, floor(x/h)) mod 8n,   h = TE/8
//
// with x the score on the scale of the model. The salt is that of the study's table,
// and public. Whoever asks for an athlete and a score looks at the two bits of the
// cells nearest to it, so that a change of less than h/2 = TE/16 by rounding does
// not matter; they say "yes" for the score itself, and for a share f of all other
// scores, 1 - (1 - d)² with d the share of bits set: about 0.22.
//
// So a "yes" says little of one athlete, and much when nearly all athletes of a
// table get it ([Model.Recognise]). No computing power gets a score back out of
// the prints, since they do not hold it: an eighth of all cells that a score could
// be in are marked for every code, whether it took part or not, about two of them
// within one typical error of any value, and which of them is the athlete's own is
// nowhere. Whoever knows all codes, the mean, the SD and the salt, and weighs both
// sessions by Bayes' rule, guesses a score with 0.96 of the error that they would have
// without the prints, finds its cell in 15 % for 2 %, and is never more than half sure
// (8,000 simulated scores, SD three times the typical error). Coarse scores, on whose
// few values that would tell more, have no prints. A slow hash would not help: a score
// is one of some hundred numbers, which are soon tried.
type Prints struct {
	Salt string
	Bits [][]byte // of each session of the study
}

const (
	cellsOfTE = 8  // cells to a typical error
	bitsEach  = 8  // bits to an athlete
	fewCells  = 30 // cells, or steps of the scores, below which there are no prints

	fewAthletes = 5 // below which they could not recognise a study
)

// Print makes the prints of a study: x are the raw session scores of athletes by
// sessions, row-major, NaN where missing. It is nil for a typical error of 0, where the
// scores are so coarse that prints would tell them, and of fewer than five athletes.
func (m Model) Print(salt string, athletes []string, x []float64) *Prints {
	k := len(m.Sessions)
	if k == 0 || len(x) != k*len(athletes) || !(m.TypicalError > 0) || m.steps(x) < fewCells {
		return nil
	}
	p := &Prints{Salt: salt}
	for j := range k {
		n := 0
		for i := range athletes {
			n += tick(!math.IsNaN(m.cell(x[i*k+j])))
		}
		if n < fewAthletes {
			return nil
		}
		bits := make([]byte, n*bitsEach/8)
		for i, a := range athletes {
			if c := m.cell(x[i*k+j]); !math.IsNaN(c) {
				at := m.bit(salt, j, a, math.Floor(c), len(bits))
				bits[at/8] |= 1 << (at % 8)
			}
		}
		p.Bits = append(p.Bits, bits)
	}
	return p
}

func tick(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// cell is a score in cells; NaN for what has none.
func (m Model) cell(raw float64) float64 {
	if m.Scale == score.Log {
		raw = math.Log(raw)
	}
	c := raw / (m.TypicalError / cellsOfTE)
	if !isFinite(c) {
		return math.NaN()
	}
	return c
}

// bit is the place of an athlete's cell among those of a session.
func (m Model) bit(salt string, session int, athlete string, cell float64, bytes int) uint64 {
	h := sha256.New()
	var number [8]byte
	word := func(x uint64) {
		binary.BigEndian.PutUint64(number[:], x)
		h.Write(number[:])
	}
	for _, s := range []string{"noisefloor print 3", salt, m.Measure, athlete} {
		word(uint64(len(s)))
		h.Write([]byte(s))
	}
	word(uint64(session))
	word(math.Float64bits(cell + 0)) // -0 is 0
	return binary.BigEndian.Uint64(h.Sum(nil)) % uint64(8*bytes)
}

// steps is over how many cells the scores reach, or how many values they can take
// in that range, when those are fewer.
func (m Model) steps(raw []float64) float64 {
	all := slices.DeleteFunc(slices.Clone(raw), func(x float64) bool { return math.IsNaN(m.cell(x)) })
	if len(all) < 2 {
		return 0
	}
	low, high := slices.Min(all), slices.Max(all)
	return min(m.cell(high)-m.cell(low), (high-low)/grain(all))
}

// grain is the step of coarse scores, of which all their differences are multiples:
// 1 for points, a third for means of three of them; 0 when there is none above a
// millionth of their range, +Inf when all scores are the same.
func grain(raw []float64) float64 {
	low, high := slices.Min(raw), slices.Max(raw)
	rounding := 1e-6 * (high - low)
	g := 0.0
	for _, x := range raw {
		a, b := x-low, g
		for b > rounding {
			a, b = b, math.Mod(a, b)
			if a-b <= rounding {
				b = 0 // a multiple, but for rounding
			}
		}
		if g = a; g > 0 && g <= rounding {
			return 0
		}
	}
	if g == 0 {
		return math.Inf(1)
	}
	return g
}

// A Match says how much of a session of a table was in a session of a study.
type Match struct {
	Athletes int     // of the table, with a score
	Hits     int     // that the prints say "yes" to
	Chance   float64 // of a "yes" to a fresh score of the same athlete
	Share    float64 // of the athletes whose score was in the study: (hits/n - chance)/(1 - chance)
	P        float64 // of so many hits or more, had none been
}

const (
	certainShare = 0.75 // of the athletes, for a session to be of the study
	certainP     = 0.01 // divided by the sessions of the study
)

// Certain reports whether the session was in the study, of so many sessions.
func (m Match) Certain(sessions int) bool {
	return m.Share >= certainShare && m.P <= certainP/float64(sessions)
}

// Mostly reports whether at least half of the scores were in the study.
func (m Match) Mostly(sessions int) bool { return m.Share >= 0.5 && m.P <= certainP/float64(sessions) }

// Recognise asks the prints of each session of the study for the raw scores of one
// session of a table, and returns the best match; its Athletes are 0 when nothing can
// be told.
//
// A "yes" comes by chance to a score that was not in the study with probability f,
// see [Prints], and to a fresh score of the same athlete that happens to be nearly
// the old one with q, the chance that two scores of one athlete, whose difference has
// SD √2·TE, lie within the two cells or within one step g of coarse scores:
//
//	q = 2 Φ(max(2h, g) / (2√2·TE)) - 1     chance = q + (1 - q) f
//
// P is the binomial tail of the hits. A session counts as one of the study when
// Share is 0.75 or more and P at most 0.01 over the study's sessions; baseline and
// follow-up are both taken for it by mistake in one of 40,000 tests or fewer. That
// takes six athletes; the same table is known by its SHA-256 also with fewer. Other
// codes for the athletes, and rounding to more than TE/8, make a study unrecognisable.
func (m Model) Recognise(athletes []string, raw []float64) (best Match) {
	best.P = 1
	if m.Prints == nil || !(m.TypicalError > 0) {
		return best
	}
	q := m.again(raw)
	for j, bits := range m.Prints.Bits {
		if len(bits) == 0 {
			continue
		}
		d := density(bits)
		match := Match{Chance: q + float64((1-q)*(1-float64((1-d)*(1-d))))}
		for i, a := range athletes {
			if c := m.cell(raw[i]); !math.IsNaN(c) {
				match.Athletes++
				match.Hits += tick(m.has(j, a, c))
			}
		}
		match.judge()
		if match.Athletes > 0 && (best.Athletes == 0 || match.Share > best.Share) {
			best = match
		}
	}
	return best
}

func (m *Match) judge() {
	n := float64(m.Athletes)
	m.P = 1
	if m.Athletes == 0 || m.Chance >= 1 {
		return
	}
	m.Share = max(0, (float64(m.Hits)/n-m.Chance)/(1-m.Chance))
	if m.Hits > 0 {
		m.P = distuv.Binomial{N: n, P: m.Chance}.Survival(float64(m.Hits - 1))
	}
}

// has looks at the two cells nearest to a score.
func (m Model) has(session int, athlete string, cell float64) bool {
	bits := m.Prints.Bits[session]
	for _, c := range []float64{math.Floor(cell - 0.5), math.Floor(cell + 0.5)} {
		at := m.bit(m.Prints.Salt, session, athlete, c, len(bits))
		if bits[at/8]&(1<<(at%8)) != 0 {
			return true
		}
	}
	return false
}

func density(bits []byte) float64 {
	set := 0
	for _, b := range bits {
		for ; b != 0; b &= b - 1 {
			set++
		}
	}
	return float64(set) / float64(8*len(bits))
}

// again is the chance q of [Model.Recognise].
func (m Model) again(raw []float64) float64 {
	raw = slices.DeleteFunc(slices.Clone(raw), func(x float64) bool { return math.IsNaN(m.cell(x)) })
	width := 2.0 / cellsOfTE
	if len(raw) > 1 {
		g := grain(raw)
		if m.Scale == score.Log {
			slices.Sort(raw)
			g /= raw[len(raw)/2]
		}
		if !math.IsInf(g, 1) {
			width = max(width, g/m.TypicalError)
		}
	}
	return 2*dist.NormalCDF(width/(2*math.Sqrt2)) - 1
}
