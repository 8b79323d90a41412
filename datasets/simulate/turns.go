package simulate

import (
	"fmt"
	"math"
)

// transverse are the tests of turning. Those on the cable and against the
// fixed bar are done to the dominant side only.
func transverse() []test {
	turning := append([]test{sideThrow()}, cableTurns()...)
	turning = append(turning,
		turnAt(10, "speed-strength", [3]float64{1.36, 1.52, 1.66}),
		turnAt(20, "strength-speed", [3]float64{0.94, 1.08, 1.20}),
		turnAt(30, "strength-speed", [3]float64{0.52, 0.64, 0.74}))
	return append(turning, fixedTurnTests()...)
}

func sideThrow() test {
	return test{
		Measure: Measure{Name: "side_throw_speed", Label: "Side throw, 2 kg ball", Unit: "km/h",
			Plane: "transverse", Region: "trunk", Quality: "absolute speed", Quantity: "speed",
			Better: "higher", Scale: "raw", Role: "test", Minimum: 10, Maximum: 100},
		sided: true, digits: 1, mean: [3]float64{39, 46.5, 52.5}, sd: 3.4, factors: rotation.times(0.90),
		lead: 0.25, sway: 0.20, day: 0.7, trial: 1.2, gain: 0.05, hurt: 0.15,
	}
}

// cableTurns are the pair that shows the countermovement gain. They share so
// much that the true gain is about 15 % with an SD of 3 to 4 points.
func cableTurns() []test {
	return []test{{
		Measure: Measure{Name: "cable_turn", Label: "Cable turn", Unit: "W",
			Plane: "transverse", Region: "trunk", Quality: "speed-strength", Quantity: "power", Side: "dominant",
			Countermovement: "with", Counterpart: "cable_turn_paused",
			Better: "higher", Scale: "raw", Role: "test", Minimum: 20, Maximum: 600},
		mean: [3]float64{150, 190, 225}, sd: 24, factors: rotation.times(0.90), family: turns, shared: 0.40,
		day: 6, trial: 10, gain: 0.07,
	}, {
		Measure: Measure{Name: "cable_turn_paused", Label: "Cable turn from a pause", Unit: "W",
			Plane: "transverse", Region: "trunk", Quality: "speed-strength", Quantity: "power", Side: "dominant",
			Countermovement: "without", Counterpart: "cable_turn",
			Better: "higher", Scale: "raw", Role: "test", Minimum: 15, Maximum: 550},
		mean: [3]float64{130, 165, 196}, sd: 21, factors: rotation.times(0.90), family: turns, shared: 0.40,
		day: 6, trial: 9.5, gain: 0.07,
	}}
}

// The load-velocity line of an athlete, m/s: the height of the line at 20 kg
// has the SD lineSD between athletes within a level, its change from 20 to 30
// kg the SD leanSD.
const lineSD, leanSD = 0.085, 0.03

// turnAt is the cable turn at one load. The true velocities of an athlete lie
// on a straight line in the load.
func turnAt(kg float64, quality string, mean [3]float64) test {
	lean := float64((kg-20)/10) * leanSD
	sd := math.Sqrt(float64(lineSD*lineSD) + float64(lean*lean))
	return test{
		Measure: Measure{Name: fmt.Sprintf("cable_turn_speed_%g", kg), Label: fmt.Sprintf("Cable turn at %g kg", kg),
			Unit:  "m/s",
			Plane: "transverse", Region: "trunk", Quality: quality, Quantity: "speed", Side: "dominant",
			Load: value(kg), Better: "higher", Scale: "raw", Role: "test", Minimum: 0.05, Maximum: 3},
		digits: 2, mean: mean, sd: sd, factors: rotation.times(0.92 * lineSD / sd), family: turns,
		shared: 0.25 * lineSD / sd,
		line:   true, lean: lean / sd, day: 0.018, trial: 0.032, gain: 0.05,
	}
}

// fixedTurnTests are read off one effort against a load cell: how much torque,
// and how fast it rises.
func fixedTurnTests() []test {
	return []test{{
		Measure: Measure{Name: "fixed_turn", Label: "Fixed turn, peak torque", Unit: "N·m",
			Plane: "transverse", Region: "trunk", Quality: "absolute strength", Quantity: "torque", Side: "dominant",
			Quickness: "fixed_turn_rise",
			Better:    "higher", Scale: "raw", Role: "test", Minimum: 10, Maximum: 350},
		digits: 1, mean: [3]float64{78, 108,
			134}, sd: 13, factors: rotation.times(0.84), family: fixedTurns, shared: 0.42,
		day: 3.2, trial: 5.5, gain: 0.05,
	}, {
		Measure: Measure{Name: "fixed_turn_rise", Label: "Fixed turn, rise of torque", Unit: "N·m/s",
			Plane: "transverse", Region: "trunk", Quality: "speed-strength", Quantity: "rate of torque development",
			Side: "dominant", Better: "higher", Scale: "raw", Role: "test", Minimum: 20, Maximum: 2000},
		mean: [3]float64{430, 600, 750}, sd: 80, factors: rotation.times(0.84), family: fixedTurns, shared: 0.42,
		day: 22, trial: 38, gain: 0.08,
	}}
}
