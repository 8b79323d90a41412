package picture

import (
	"fmt"

	"gonum.org/v1/plot/vg"

	"noisefloor/reports/number"
)

// watched draws what the watch over a season saw: where it sounded, the mean of the
// sessions that it averaged, and the limit for so many that it passed.
func (g run) watched(p pen) {
	w := g.window()
	if w == nil {
		return
	}
	left, right := p.x(float64(w.from)-0.3), p.x(float64(w.to)+0.3)
	across := func(v float64, dash []vg.Length, thick vg.Length) {
		p.line(ink, thick, dash, vg.Point{X: left, Y: p.y(v)}, vg.Point{X: right, Y: p.y(v)})
	}
	across(w.level, nil, 1.8)
	across(w.limit, []vg.Length{4, 2}, 0.9)
}

// A window is the sessions that an alarm averaged, by their places.
type window struct {
	from, to     int
	level, limit float64 // the mean, and the limit that it passed
}

// window is nil without an alarm.
func (g run) window() *window {
	s := g.Season
	if s == nil || !s.Watch.Alarm || !finite(s.Watch.Level, s.Watch.Low, s.Watch.High) {
		return nil
	}
	w := window{from: -1, to: -1, level: s.Watch.Level, limit: s.Watch.High}
	if s.Watch.Level < g.Run.Baseline {
		w.limit = s.Watch.Low
	}
	for i, name := range g.Run.Sessions {
		if name == s.Watch.From {
			w.from = i
		}
		if name == s.Watch.At {
			w.to = i
		}
	}
	if w.from < 0 || w.to < w.from {
		return nil
	}
	return &w
}

// watchWords say in the caption what the watch saw; "" where no season was asked for.
func (g run) watchWords() string {
	switch w := g.window(); {
	case g.Season == nil:
		return ""
	case w == nil:
		return " The watch over the season saw no alarm."
	default:
		return fmt.Sprintf(" The watch over the season sounded at session %s: thick line, the mean of %s, %s; dashed, the "+
			"limit that it passed.", clean(g.Season.Watch.At), number.Count(g.Season.Watch.W, "session", "sessions"),
			value(w.level, g.decimals, g.Unit))
	}
}
