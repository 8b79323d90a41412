package simulate

// plan returns the tests of the study in the order in which they are done.
// Magnitudes, spreads and errors are what practitioners would find plausible:
// common practice, no source.
func plan() []test {
	battery := append(transverse(), sagittalTests()...)
	return append(append(battery, frontalTests()...), outcomes()...)
}

func sagittalTests() []test {
	return append(jumpTests(), []test{{
		Measure: Measure{Name: "overhead_throw", Label: "Overhead throw, 3 kg ball", Unit: "m",
			Plane: "sagittal", Region: "whole", Quality: "speed-strength", Quantity: "distance",
			Better: "higher", Scale: "raw", Role: "test", Minimum: 1, Maximum: 30},
		digits: 2, mean: [3]float64{8.6, 11.0, 13.2}, sd: 1.05, factors: sagittal.times(0.86),
		day: 0.25, trial: 0.40, gain: 0.035, hurt: 0.12,
	}, {
		// The error of this one grows with the value. The dictionary says raw,
		// as a first table would: finding out is the analysis's work.
		Measure: Measure{Name: "cable_press", Label: "One-arm press, power", Unit: "W",
			Plane: "sagittal", Region: "upper", Quality: "strength-speed", Quantity: "power",
			Better: "higher", Scale: "raw", Role: "test", Minimum: 15, Maximum: 2000},
		sided: true, log: true, mean: [3]float64{125, 215, 340}, sd: 0.24, factors: sagittal.times(0.86),
		lead: 0.042, sway: 0.0625, day: 0.06, trial: 0.09, gain: 0.025, hurt: 0.25,
	}, {
		// The one that is learned between session 1 and 2.
		Measure: Measure{Name: "cable_pull", Label: "Two-arm pull, power", Unit: "W",
			Plane: "sagittal", Region: "upper", Quality: "strength-speed", Quantity: "power",
			Better: "higher", Scale: "raw", Role: "test", Minimum: 60, Maximum: 1600},
		mean: [3]float64{420, 560, 690}, sd: 80, factors: sagittal.times(0.84),
		day: 20, trial: 32, learned: 34, gain: 0.03,
	}}...)
}

func jumpTests() []test {
	return []test{{
		Measure: Measure{Name: "jump_height", Label: "Jump", Unit: "cm",
			Plane: "sagittal", Region: "lower", Quality: "speed-strength", Quantity: "distance",
			Countermovement: "with", Counterpart: "jump_height_paused",
			Better: "higher", Scale: "raw", Role: "test", Worthwhile: value(1), Minimum: 8, Maximum: 90},
		digits: 1, mean: [3]float64{33, 39, 44}, sd: 4.2, factors: sagittal.times(0.86), family: jumps, shared: 0.45,
		day: 0.9, trial: 1.4, gain: 0.015,
	}, {
		Measure: Measure{Name: "jump_height_paused", Label: "Jump from a pause", Unit: "cm",
			Plane: "sagittal", Region: "lower", Quality: "speed-strength", Quantity: "distance",
			Countermovement: "without", Counterpart: "jump_height",
			Better: "higher", Scale: "raw", Role: "test", Worthwhile: value(1), Minimum: 6, Maximum: 80},
		digits: 1, mean: [3]float64{30, 35.5, 40}, sd: 3.8, factors: sagittal.times(0.86), family: jumps, shared: 0.45,
		day: 0.9, trial: 1.4, gain: 0.015,
	}, {
		Measure: Measure{Name: "drop_jump_contact", Label: "Drop jump, time on the ground", Unit: "ms",
			Plane: "sagittal", Region: "lower", Quality: "absolute speed", Quantity: "time",
			Better: "lower", Scale: "raw", Role: "test", Minimum: 100, Maximum: 450},
		mean: [3]float64{220, 201, 186}, sd: 11, factors: sagittal.times(-0.80), family: jumps, shared: -0.20,
		day: 4, trial: 7, gain: -0.01,
	}}
}

func frontalTests() []test {
	return []test{{
		Measure: Measure{Name: "lateral_bound", Label: "Lateral bound", Unit: "m",
			Plane: "frontal", Region: "lower", Quality: "speed-strength", Quantity: "distance",
			Better: "higher", Scale: "raw", Role: "test", Minimum: 0.5, Maximum: 3.5},
		sided: true, digits: 2, mean: [3]float64{1.55, 1.78, 1.95}, sd: 0.14, factors: frontal.times(0.86),
		lead: 0.08, sway: 0.15, day: 0.035, trial: 0.055, gain: 0.02,
	}, {
		// The useless one: its error is as large as the spread of the athletes,
		// and it has nothing to do with level or outcome.
		Measure: Measure{Name: "seated_flick", Label: "Seated flick", Unit: "m",
			Plane: "frontal", Region: "trunk", Quality: "speed-strength", Quantity: "distance",
			Better: "higher", Scale: "raw", Role: "test", Minimum: 0.5, Maximum: 9},
		digits: 2, mean: [3]float64{4.2, 4.2, 4.2}, sd: 0.34,
		day: 0.25, trial: 0.42,
	}}
}

func outcomes() []test {
	return []test{{
		Measure: Measure{Name: ballSpeed, Label: "Ball speed", Unit: "km/h",
			Region: "whole", Quality: "absolute speed", Quantity: "speed",
			Better: "higher", Scale: "raw", Role: "outcome", Worthwhile: value(2), Minimum: 50, Maximum: 170},
		only: bowler, digits: 1, mean: [3]float64{98, 114, 126}, sd: 5, factors: outcome,
		day: 0.9, trial: 2.0, gain: 0.018, hurt: 0.05,
	}, {
		Measure: Measure{Name: batSpeed, Label: "Bat speed", Unit: "km/h",
			Region: "whole", Quality: "absolute speed", Quantity: "speed",
			Better: "higher", Scale: "raw", Role: "outcome", Worthwhile: value(2), Minimum: 40, Maximum: 170},
		only: batter, digits: 1, mean: [3]float64{88, 101, 112}, sd: 5.5, factors: outcome,
		day: 1.1, trial: 2.4, gain: 0.022,
	}}
}
