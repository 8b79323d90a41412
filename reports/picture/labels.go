package picture

import (
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
)

// spread moves places along a line apart until neighbours have the distance
// given, as little as it can, inside low to high; the order stays. Places that
// cannot all have their distance share the room evenly.
func spread(places []vg.Length, distance, low, high vg.Length) []vg.Length {
	n := len(places)
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case places[a] < places[b]:
			return -1
		case places[a] > places[b]:
			return 1
		}
		return 0
	})
	if n > 1 {
		distance = min(distance, (high-low)/vg.Length(n-1))
	}
	out := make([]vg.Length, n)
	floor := low
	for _, i := range order {
		out[i] = max(places[i], floor)
		floor = out[i] + distance
	}
	ceiling := high
	for _, i := range slices.Backward(order) {
		out[i] = min(out[i], ceiling)
		ceiling = out[i] - distance
	}
	return out
}

// A box is a rectangle that something occupies.
type box = vg.Rectangle

func boxAround(at vg.Point, r vg.Length) box {
	return box{Min: vg.Point{X: at.X - r, Y: at.Y - r}, Max: vg.Point{X: at.X + r, Y: at.Y + r}}
}

func overlap(a, b box) bool {
	return a.Min.X < b.Max.X && b.Min.X < a.Max.X && a.Min.Y < b.Max.Y && b.Min.Y < a.Max.Y
}

func inside(a, b box) bool {
	return a.Min.X >= b.Min.X && a.Max.X <= b.Max.X && a.Min.Y >= b.Min.Y && a.Max.Y <= b.Max.Y
}

// A crowd remembers what is taken by marks and labels, and where lines run,
// which a label may cross only when it must.
type crowd struct {
	bounds box
	taken  []box
	lines  []box
}

func (c *crowd) add(b box) { c.taken = append(c.taken, b) }

// free reports whether b lies inside the bounds and touches nothing.
func (c *crowd) free(b box) bool {
	return inside(b, c.bounds) && !slices.ContainsFunc(c.taken, func(t box) bool { return overlap(t, b) })
}

// line adds a straight line, as a row of small boxes.
func (c *crowd) line(from, to vg.Point) {
	const step = 3
	d := to.Sub(from)
	n := int(math.Hypot(float64(d.X), float64(d.Y))/step) + 1
	for i := range n + 1 {
		c.lines = append(c.lines, boxAround(from.Add(d.Scale(vg.Length(i)/vg.Length(n))), 1.5))
	}
}

// clear reports whether b is free and crosses no line.
func (c *crowd) clear(b box) bool {
	return c.free(b) && !slices.ContainsFunc(c.lines, func(l box) bool { return overlap(l, b) })
}

// choose takes the first of the boxes that is clear, else the first that is
// free. It returns false when there is none.
func (c *crowd) choose(boxes ...box) (box, bool) {
	for _, fits := range []func(box) bool{c.clear, c.free} {
		if i := slices.IndexFunc(boxes, fits); i >= 0 {
			c.add(boxes[i])
			return boxes[i], true
		}
	}
	return box{}, false
}

// beside finds room for a label of the size given next to a mark, and takes
// it: right of it, left, above, below, then the corners. It returns the box,
// or false when every side is taken.
func (c *crowd) beside(at vg.Point, away, w, h vg.Length) (box, bool) {
	var boxes []box
	for _, low := range []vg.Point{
		{X: at.X + away, Y: at.Y - h/2},
		{X: at.X - away - w, Y: at.Y - h/2},
		{X: at.X - w/2, Y: at.Y + away},
		{X: at.X - w/2, Y: at.Y - away - h},
		{X: at.X + away*0.7, Y: at.Y + away*0.7},
		{X: at.X - away*0.7 - w, Y: at.Y + away*0.7},
		{X: at.X + away*0.7, Y: at.Y - away*0.7 - h},
		{X: at.X - away*0.7 - w, Y: at.Y - away*0.7 - h},
	} {
		boxes = append(boxes, box{Min: low, Max: low.Add(vg.Point{X: w, Y: h})})
	}
	return c.choose(boxes...)
}
