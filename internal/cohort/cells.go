package cohort

// cellIndex numbers the athlete-session pairs in order of appearance.
type cellIndex struct {
	athlete, session []int32
	index            map[uint64]int32
	last             uint64
	lastCell         int32
}

func newCellIndex() *cellIndex {
	return &cellIndex{index: make(map[uint64]int32), last: ^uint64(0)}
}

// find returns the number of a cell, a new one when it is new. Neighbouring
// rows mostly share their cell.
func (c *cellIndex) find(athlete, session int32) int32 {
	k := uint64(uint32(athlete))<<32 | uint64(uint32(session))
	if k == c.last {
		return c.lastCell
	}
	cell, ok := c.index[k]
	if !ok {
		cell = int32(len(c.athlete))
		c.index[k] = cell
		c.athlete = append(c.athlete, athlete)
		c.session = append(c.session, session)
	}
	c.last, c.lastCell = k, cell
	return cell
}
