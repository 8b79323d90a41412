package cohort

import (
	"math"
	"math/bits"
	"slices"
)

// prepareWide decides what a column without a role is in a wide table: a
// measure or an attribute. In this order: asked for as an attribute; what the
// dictionary says; the name of a covariate; its cells. A column without any
// cell in the preview is decided by its first.
func (b *builder) prepareWide(c *column) {
	cells := c.present(b.preview)
	switch b.describedUse(c) {
	case asText:
		b.readAttribute(c)
		return
	case asNumber:
		b.readMeasure(c)
		return
	}
	switch {
	case slices.Contains(covariateNames, covariateKey(c.name)):
		b.readAttribute(c)
	case len(cells) == 0:
		c.use = undecided
		b.undecided = append(b.undecided, c)
	case numbers(cells) == 0 && !slices.ContainsFunc(cells, looksNumeric):
		b.readAttribute(c)
	default:
		b.readMeasure(c)
	}
}

// looksNumeric is true for cells that are wrong as numbers rather than words:
// "1,234.5", "12 W", "0x10".
func looksNumeric(cell []byte) bool {
	c := cell[0]
	if (c == '-' || c == '+' || c == '<' || c == '>') && len(cell) > 1 {
		c = cell[1]
	}
	if c < '0' || c > '9' {
		return false
	}
	text := string(cell)
	return underscored.MatchString(text) || grouped.MatchString(text) || hexadec.MatchString(text) ||
		exponent.MatchString(text) || cell[0] == '<' || cell[0] == '>'
}

// describedUse is how the options and the dictionary want a column read,
// undecided when they do not say.
func (b *builder) describedUse(c *column) use {
	if b.wanted[c] {
		return asText
	}
	for _, m := range b.dict.Measures {
		if m.Name == c.name {
			if m.Role == "covariate" {
				return asText
			}
			return asNumber
		}
	}
	if c.field == nil {
		return undecided
	}
	switch c.field.Type {
	case "string", "date", "boolean":
		return asText
	case "number", "integer":
		if slices.Contains(covariateNames, covariateKey(c.name)) {
			return asText
		}
		return asNumber
	}
	return undecided
}

func (b *builder) readMeasure(c *column) {
	b.readNumbers(c)
	b.wide = append(b.wide, c)
	slices.SortStableFunc(b.wide, func(x, y *column) int { return x.index - y.index })
}

// decide settles columns that had no cell so far, once they have one.
func (b *builder) decide(cells [][]byte) {
	b.undecided = slices.DeleteFunc(b.undecided, func(c *column) bool {
		cell := trim(cells[c.index])
		if c.missing.has(cell) {
			return false
		}
		if _, _, ok := parseNumber(cell); ok || looksNumeric(cell) {
			b.readMeasure(c)
		} else {
			b.readAttribute(c)
		}
		return true
	})
}

// addWide takes in the measures of a row.
func (b *builder) addWide(k key, cells [][]byte, row int, ok bool) {
	side, sided := b.sideOf(cells, row)
	ok = ok && sided
	if ok && b.trial == nil {
		k.trial = b.turns.next(k.cell, side)
	}
	digest, values := uint64(1), 0
	for _, c := range b.wide {
		v, state := b.readValue(c, cells[c.index], row)
		if ok {
			b.store(b.at(int32(c.index), c.name, side), k, v, state, row)
		}
		if state == present {
			values++
		}
		digest = mix(digest, math.Float64bits(v)^uint64(state))
	}
	if ok && b.trial == nil && values > 0 {
		b.turns.repeated(k.cell, side, digest, row)
	}
}

// mix adds a word to a digest (multiplier of PCG, rotation of half a word).
func mix(digest, word uint64) uint64 {
	return bits.RotateLeft64((digest^word)*6364136223846793005, 32)
}

// turns numbers the rows of each cell and side, which are the trials of a wide
// table without a trial column, and finds rows that repeat an earlier one.
type turns struct {
	count   map[[2]int32]int32
	seen    map[[3]uint64]int32
	repeats repeats
}

func (t *turns) next(cell, side int32) int32 {
	if t.count == nil {
		t.count = make(map[[2]int32]int32)
	}
	k := [2]int32{cell, side}
	t.count[k]++
	return t.count[k]
}

func (t *turns) repeated(cell, side int32, digest uint64, row int) {
	if t.seen == nil {
		t.seen = make(map[[3]uint64]int32)
	}
	k := [3]uint64{uint64(cell), uint64(side), digest}
	if first, ok := t.seen[k]; ok {
		t.repeats.add(first, int32(row))
		return
	}
	t.seen[k] = int32(row)
}

// repeats counts rows that repeat an earlier one exactly.
type repeats struct {
	n          int
	first, row int32 // the first such pair
}

func (r *repeats) add(first, row int32) {
	if r.n == 0 || row < r.row {
		r.first, r.row = first, row
	}
	r.n++
}
