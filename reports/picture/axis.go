package picture

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"

	"noisefloor/reports/number"
)

// largest is the greatest magnitude an axis takes.
const largest = 1e100

// finite reports whether every v has a place on an axis.
func finite(values ...float64) bool {
	for _, v := range values {
		if math.IsNaN(v) || math.Abs(v) > largest {
			return false
		}
	}
	return true
}

// A span is the range of an axis; its zero value is empty.
type span struct {
	low, high float64
	some      bool
}

// take widens the span to hold the values; those without a place are passed over.
func (s *span) take(values ...float64) {
	for _, v := range values {
		switch {
		case !finite(v):
		case !s.some:
			s.low, s.high, s.some = v, v, true
		default:
			s.low, s.high = min(s.low, v), max(s.high, v)
		}
	}
}

// padded returns the span with a share of its width added on both sides, and
// never too narrow for its values to be told apart.
func (s span) padded(share float64) span {
	width := s.high - s.low
	if size := max(math.Abs(s.low), math.Abs(s.high)); width <= 1e-12*size {
		width, share = 0.1*size, 1
		if size < 1e-99 {
			width = 1
		}
	}
	return span{low: s.low - share*width, high: s.high + share*width, some: true}
}

// set gives an axis the span, and ticks at round numbers that stand apart as
// far as their labels need; write is number.Plain or number.Signed.
func (s span) set(a *plot.Axis, length vg.Length, across bool, write func(float64, int) string) []plot.Tick {
	a.Min, a.Max = s.low, s.high
	var ticks []plot.Tick
	for count := 9; count >= 2; count-- {
		ticks = roundTicks(s.low, s.high, count, write)
		if roomFor(ticks, a, length, across) {
			break
		}
	}
	a.Tick.Marker = plot.ConstantTicks(ticks)
	return ticks
}

// roomFor reports whether the labels of the ticks do not touch.
func roomFor(ticks []plot.Tick, a *plot.Axis, length vg.Length, across bool) bool {
	if len(ticks) < 2 {
		return true
	}
	apart := length * vg.Length((ticks[1].Value-ticks[0].Value)/(a.Max-a.Min))
	if !across {
		return apart >= 2.2*a.Tick.Label.Font.Size
	}
	var widest vg.Length
	for _, t := range ticks {
		widest = max(widest, width(a.Tick.Label, t.Label))
	}
	return apart >= max(widest+12, 24)
}

// roundTicks returns at most count+1 ticks at multiples of 1, 2 or 5 times a
// power of ten.
func roundTicks(low, high float64, count int, write func(float64, int) string) []plot.Tick {
	raw := (high - low) / float64(count)
	power := math.Floor(math.Log10(raw))
	step := math.Pow(10, power)
	for _, m := range []float64{1, 2, 5, 10} {
		if m*step >= raw*(1-1e-9) {
			step *= m
			break
		}
	}
	decimals := max(0, -int(math.Floor(math.Log10(step)+1e-9)))
	var ticks []plot.Tick
	for i := math.Ceil(low/step - 1e-9); i*step <= high+1e-9*step && len(ticks) <= count; i++ {
		v := i*step + 0
		label := write(v, decimals)
		if v == 0 {
			label = "0"
		}
		ticks = append(ticks, plot.Tick{Value: v, Label: label})
	}
	return distinct(ticks, decimals)
}

// distinct writes the labels out in full when rounding made two of them alike.
func distinct(ticks []plot.Tick, decimals int) []plot.Tick {
	for i := 1; i < len(ticks); i++ {
		if ticks[i].Label != ticks[i-1].Label {
			continue
		}
		for j, t := range ticks {
			long := strconv.FormatFloat(t.Value, 'f', min(decimals, 15), 64)
			if math.Abs(t.Value) >= 1e15 || len(long) > 20 {
				long = strconv.FormatFloat(t.Value, 'e', 12, 64)
			}
			ticks[j].Label = strings.ReplaceAll(long, "-", number.Minus)
		}
		break
	}
	return ticks
}

// axisTitle joins what an axis shows with its unit.
func axisTitle(what, unit string) string {
	if unit == "" {
		return what
	}
	return fmt.Sprintf("%s (%s)", what, unit)
}

// percentLevel writes a confidence level: "95 %", "99.9 %".
func percentLevel(level float64) string {
	if level == 0 {
		level = 0.95
	}
	s := strings.TrimRight(fmt.Sprintf("%.2f", 100*level), "0")
	return number.WithUnit(strings.TrimRight(s, "."), "%")
}
