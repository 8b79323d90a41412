package association_test

import (
	"fmt"
	"log"

	"noisefloor/analysis/association"
)

// Ten invented bowlers: ball speed, a rotational throw and a jump.
func ExampleAnalyse() {
	in := association.Input{
		Athletes: []string{"P01", "P02", "P03", "P04", "P05", "P06", "P07", "P08", "P09", "P10"},
		Outcome: association.Variable{Name: "ball speed", Unit: "m/s", Value: []float64{28.1, 30.2, 29.5, 31.9, 33.0,
			32.2, 35.1, 34.4, 36.0, 37.2}},
		Tests: []association.Variable{
			{Name: "rotational throw", Unit: "m", Plane: "transverse", Value: []float64{8.1, 8.9, 9.4, 9.2, 10.5,
				10.1, 11.0, 11.4, 11.2, 12.3}},
			{Name: "jump", Unit: "cm", Plane: "sagittal", Value: []float64{38, 45, 36, 41, 47, 39, 44, 40, 48, 43}},
		},
		Group: []string{"school", "school", "school", "school", "school", "academy", "academy", "academy", "academy",
			"academy"},
	}
	r, err := association.Analyse(in, association.Options{})
	if err != nil {
		log.Fatal(err)
	}
	for _, a := range r.Associations {
		p := a.Pearson
		fmt.Printf("%s: r = %.2f (%.2f to %.2f), Holm p = %.2g, n = %d\n", a.Measure, p.Value, p.Lower, p.Upper,
			p.PHolm, p.N)
		fmt.Printf("  across levels %.2f, within a level %.2f, parted: %t\n", a.Within.Across, a.Within.Value,
			a.Within.Parted)
	}
	c := r.Comparisons[0]
	fmt.Printf("%s - %s: %.2f (%.2f to %.2f), Williams p = %.3f\n", c.A, c.B, c.Difference.Value, c.Difference.Lower,
		c.Difference.Upper, c.PWilliams)
	// Output:
	// rotational throw: r = 0.96 (0.82 to 0.99), Holm p = 3.3e-05, n = 10
	//   across levels 0.96, within a level 0.88, parted: false
	// jump: r = 0.57 (-0.10 to 0.88), Holm p = 0.088, n = 10
	//   across levels 0.57, within a level 0.70, parted: false
	// rotational throw - jump: 0.39 (0.07 to 1.05), Williams p = 0.023
}

// Which of two correlations with the same outcome is larger?
func ExampleWilliams() {
	t, df, p := association.Williams(0.3, 0.4, 0.5, 100) // Silver, Hittner & May (2006)
	fmt.Printf("t = %.4f, df = %.0f, p = %.4f\n", t, df, p)
	// Output: t = -1.0767, df = 97, p = 0.2843
}
