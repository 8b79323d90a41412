package reliability_test

import (
	"fmt"

	"noisefloor/analysis/anova"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
)

func ExampleAnalyse() {
	// Rotational throw, W, of six athletes in two sessions.
	t := score.Table{
		Athletes: []string{"B01", "B02", "B03", "B04", "B05", "B06"},
		Sessions: []string{"Monday", "Friday"},
		Value:    []float64{412, 420, 388, 381, 455, 462, 399, 410, 431, 425, 476, 470},
	}
	r, err := reliability.Analyse(t, reliability.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	te, icc := r.TypicalError, r.ICC[4]
	fmt.Printf("typical error %.1f W (%.1f to %.1f)\n", te.Value, te.Lower, te.Upper)
	fmt.Printf("ICC(%s) %.2f (%.2f to %.2f)\n", icc.Form, icc.Value.Value, icc.Value.Lower, icc.Value.Upper)
	fmt.Printf("detectable change %.1f W\n", r.DetectableChange.Value)
	fmt.Printf("worthwhile change %.2f W (%s)\n", r.Worthwhile.Value, r.Worthwhile.Basis)
	fmt.Println("a single retest sees it:", r.Sees)
	// Output:
	// typical error 5.9 W (3.7 to 14.4)
	// ICC(C,1) 0.97 (0.80 to 1.00)
	// detectable change 21.4 W
	// worthwhile change 6.61 W (true-sd)
	// a single retest sees it: no
}

func ExampleFromANOVA() {
	// Shrout & Fleiss (1979): six targets, four judges.
	y := []float64{9, 2, 5, 8, 6, 1, 3, 2, 8, 4, 6, 8, 7, 1, 2, 6, 10, 5, 6, 9, 6, 2, 4, 7}
	a, err := anova.AnalyseTwoWay(y, 6, 4)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, icc := range reliability.FromANOVA(a, 0.95) {
		fmt.Printf("ICC(%s) %.2f (%.2f to %.2f)\n", icc.ShroutFleiss, icc.Value.Value, icc.Value.Lower, icc.Value.Upper)
	}
	// Output:
	// ICC(1,1) 0.17 (-0.13 to 0.72)
	// ICC(1,k) 0.44 (-0.88 to 0.91)
	// ICC(2,1) 0.29 (0.03 to 0.74)
	// ICC(2,k) 0.62 (0.10 to 0.92)
	// ICC(3,1) 0.71 (0.34 to 0.95)
	// ICC(3,k) 0.91 (0.68 to 0.99)
}

func ExampleNoise() {
	t := score.Table{
		Athletes: []string{"B01", "B02", "B03", "B04", "B05", "B06"},
		Sessions: []string{"Monday", "Friday"},
		Value:    []float64{412, 420, 388, 381, 455, 462, 399, 410, 431, 425, 476, 470},
	}
	r, err := reliability.Analyse(t, reliability.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	m := reliability.Noise(r, "rotational throw", "W", score.Mean, "pretests, Monday and Friday")
	fmt.Printf("%s: %.1f %s on %g degrees of freedom, from %s\n", m.Measure, m.TypicalError, m.Unit, m.DF, m.Source)
	// Output: rotational throw: 5.9 W on 5 degrees of freedom, from pretests, Monday and Friday
}
