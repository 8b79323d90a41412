package varcomp_test

import (
	"fmt"
	"log"

	"noisefloor/analysis/cell"
	"noisefloor/analysis/varcomp"
)

// Yield of six batches of dyestuff, five preparations each (Davies & Goldsmith
// 1972, table 6.2); here a batch is an athlete.
func ExampleFit() {
	yields := [][]float64{
		{1545, 1440, 1440, 1520, 1580}, {1540, 1555, 1490, 1560, 1495}, {1595, 1550, 1605, 1510, 1560},
		{1445, 1440, 1595, 1465, 1545}, {1595, 1630, 1515, 1635, 1625}, {1520, 1455, 1450, 1480, 1445},
	}
	d := cell.Values{Athletes: 6, Sessions: 1}
	for i, batch := range yields {
		for _, y := range batch {
			d.Athlete = append(d.Athlete, int32(i))
			d.Session = append(d.Session, 0)
			d.Value = append(d.Value, y)
		}
	}
	r, err := varcomp.Fit(d.Grid(), varcomp.Options{Model: varcomp.Scores})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("between batches %.0f (SD %.1f, %.1f to %.1f)\n", r.Athlete.Value, r.Athlete.SD.Value,
		r.Athlete.SD.Lower, r.Athlete.SD.Upper)
	fmt.Printf("within %.0f (SD %.1f, %.1f to %.1f)\n", r.Trial.Value, r.Trial.SD.Value, r.Trial.SD.Lower,
		r.Trial.SD.Upper)
	fmt.Printf("REML criterion %.1f\n", r.Criterion)
	// Output:
	// between batches 1764 (SD 42.0, 15.7 to 101.1)
	// within 2451 (SD 49.5, 38.2 to 67.7)
	// REML criterion 319.7
}

func ExampleResult_Satterthwaite() {
	// Jump height, cm: 4 athletes, 2 days, 2 trials a day.
	d := cell.Values{Athletes: 4, Sessions: 2,
		Athlete: []int32{0, 0, 0, 0, 1, 1, 1, 1, 2, 2, 2, 2, 3, 3, 3, 3},
		Session: []int32{0, 0, 1, 1, 0, 0, 1, 1, 0, 0, 1, 1, 0, 0, 1, 1},
		Value:   []float64{31, 32, 34, 33, 40, 41, 40, 42, 28, 28, 31, 30, 36, 35, 35, 36}}
	r, err := varcomp.Fit(d.Grid(), varcomp.Options{})
	if err != nil {
		log.Fatal(err)
	}
	v, df := r.Satterthwaite(0, 1, 0.5) // error of the mean of two trials on one day
	fmt.Printf("%.2f cm² with %.0f df\n", v, df)
	// Output: 0.71 cm² with 3 df
}
