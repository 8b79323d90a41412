package simulate

// plan returns the tests of the study in the order in which they are done.
// Magnitudes, spreads and errors are what practitioners would find plausible:
// common practice, no source.
func plan() []test {
	return append(append(transverse(), sagittalTests()...), append(frontalTests(), outcomes()...)...)
}

func transverse() []test {
	return []test{{
		Measure: Measure{Name: "rotational_throw", Label: "Rotational throw, power", Unit: "W",
			Plane: "transverse", Region: "trunk", Quality: "speed-strength", Quantity: "power",
			Countermovement: "with", Counterpart: "rotational_throw_static",
			Better: "higher", Scale: "raw", Role: "test", Minimum: 60, Maximum: 1600},
		sided: true, mean: [3]float64{380, 520, 640}, sd: 75, load: rotation.times(0.92), family: throws,
		lead: 0.25, sway: 0.20, day: 15, trial: 24, gain: 0.08, hurt: 0.22,
	}, {
		Measure: Measure{Name: "rotational_throw_static", Label: "Static rotational throw, power", Unit: "W",
			Plane: "transverse", Region: "trunk", Quality: "speed-strength", Quantity: "power",
			Countermovement: "without", Counterpart: "rotational_throw",
			Better: "higher", Scale: "raw", Role: "test", Minimum: 50, Maximum: 1500},
		sided: true, mean: [3]float64{340, 465, 575}, sd: 70, load: rotation.times(0.89), family: throws,
		lead: 0.25, sway: 0.20, day: 16, trial: 24, gain: 0.07, hurt: 0.22,
	}, {
		Measure: Measure{Name: "rotational_acceleration", Label: "Rotational throw, acceleration", Unit: "m/s²",
			Plane: "transverse", Region: "trunk", Quality: "absolute speed", Quantity: "acceleration",
			Better: "higher", Scale: "raw", Role: "test", Minimum: 3, Maximum: 60},
		sided: true, digits: 1, mean: [3]float64{21, 25, 29}, sd: 2.8, load: rotation.times(0.90), family: throws,
		lead: 0.40, sway: 0.22, day: 0.8, trial: 1.5, gain: 0.065, hurt: 0.20,
	}, {
		Measure: Measure{Name: "rotational_time", Label: "Rotational throw, time to peak", Unit: "ms",
			Plane: "transverse", Region: "trunk", Quality: "absolute speed", Quantity: "time", Side: "dominant",
			Better: "lower", Scale: "raw", Role: "test", Minimum: 120, Maximum: 650},
		mean: [3]float64{345, 315, 290}, sd: 26, load: rotation.times(-0.84),
		day: 10, trial: 18, gain: -0.05, hurt: -0.12,
	}}
}

func sagittalTests() []test {
	return []test{{
		Measure: Measure{Name: "jump_power", Label: "Countermovement jump, power", Unit: "W",
			Plane: "sagittal", Region: "lower", Quality: "speed-strength", Quantity: "power",
			Countermovement: "with", Counterpart: "squat_jump_power",
			Better: "higher", Scale: "raw", Role: "test", Minimum: 800, Maximum: 9000},
		mean: [3]float64{3000, 3900, 4700}, sd: 420, load: sagittal.times(0.92), family: jumps,
		day: 90, trial: 130, gain: 0.02,
	}, {
		Measure: Measure{Name: "squat_jump_power", Label: "Squat jump, power", Unit: "W",
			Plane: "sagittal", Region: "lower", Quality: "speed-strength", Quantity: "power",
			Countermovement: "without", Counterpart: "jump_power",
			Better: "higher", Scale: "raw", Role: "test", Minimum: 700, Maximum: 8500},
		mean: [3]float64{2720, 3500, 4200}, sd: 390, load: sagittal.times(0.90), family: jumps,
		day: 95, trial: 140, gain: 0.02,
	}, {
		Measure: Measure{Name: "jump_height", Label: "Countermovement jump, height", Unit: "cm",
			Plane: "sagittal", Region: "lower", Quality: "speed-strength", Quantity: "distance",
			Countermovement: "with",
			Better:          "higher", Scale: "raw", Role: "test", Worthwhile: value(1), Minimum: 8, Maximum: 90},
		digits: 1, mean: [3]float64{33, 39, 44}, sd: 4.2, load: sagittal.times(0.82), family: jumps,
		day: 0.9, trial: 1.4, gain: 0.015,
	}, {
		Measure: Measure{Name: "overhead_throw", Label: "Overhead throw, distance", Unit: "m",
			Plane: "sagittal", Region: "whole", Quality: "speed-strength", Quantity: "distance",
			Better: "higher", Scale: "raw", Role: "test", Minimum: 1, Maximum: 30},
		digits: 2, mean: [3]float64{8.6, 11.0, 13.2}, sd: 1.05, load: sagittal.times(0.86),
		day: 0.25, trial: 0.40, gain: 0.035, hurt: 0.12,
	}, {
		// The error of this one grows with the value. The dictionary says raw,
		// as a first table would: finding out is the analysis's work.
		Measure: Measure{Name: "press_power", Label: "Vertical press, power", Unit: "W",
			Plane: "sagittal", Region: "upper", Quality: "strength-speed", Quantity: "power",
			Better: "higher", Scale: "raw", Role: "test", Minimum: 30, Maximum: 3500},
		log: true, mean: [3]float64{230, 390, 620}, sd: 0.24, load: sagittal.times(0.86),
		day: 0.06, trial: 0.09, gain: 0.025, hurt: 0.12,
	}, {
		// The one that is learned between session 1 and 2.
		Measure: Measure{Name: "pull_power", Label: "Standing pull, power", Unit: "W",
			Plane: "sagittal", Region: "upper", Quality: "strength-speed", Quantity: "power",
			Better: "higher", Scale: "raw", Role: "test", Minimum: 60, Maximum: 1600},
		mean: [3]float64{420, 560, 690}, sd: 80, load: sagittal.times(0.84),
		day: 20, trial: 32, learned: 34, gain: 0.03,
	}}
}

func frontalTests() []test {
	return []test{{
		Measure: Measure{Name: "lateral_bound", Label: "Lateral bound, distance", Unit: "m",
			Plane: "frontal", Region: "lower", Quality: "speed-strength", Quantity: "distance",
			Better: "higher", Scale: "raw", Role: "test", Minimum: 0.5, Maximum: 3.5},
		sided: true, digits: 2, mean: [3]float64{1.55, 1.78, 1.95}, sd: 0.14, load: frontal.times(0.86),
		lead: 0.08, sway: 0.15, day: 0.035, trial: 0.055, gain: 0.02,
	}, {
		// The useless one: its error is as large as the spread of the athletes,
		// and it has nothing to do with level or outcome.
		Measure: Measure{Name: "side_throw", Label: "Seated side flick, distance", Unit: "m",
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
		only: bowler, digits: 1, mean: [3]float64{98, 114, 126}, sd: 5, load: outcome,
		day: 0.9, trial: 2.0, gain: 0.018, hurt: 0.05,
	}, {
		Measure: Measure{Name: batSpeed, Label: "Bat speed", Unit: "km/h",
			Region: "whole", Quality: "absolute speed", Quantity: "speed",
			Better: "higher", Scale: "raw", Role: "outcome", Worthwhile: value(2), Minimum: 40, Maximum: 170},
		only: batter, digits: 1, mean: [3]float64{88, 101, 112}, sd: 5.5, load: outcome,
		day: 1.1, trial: 2.4, gain: 0.022,
	}}
}
