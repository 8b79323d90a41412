package number

import (
	"fmt"
	"math"
)

// Odds writes a share as so many of so few: "4 of 5" for 0.8; of 100 where none of
// 2 to 20 fits.
func Odds(share float64) string {
	for of := 2.0; of <= 20; of++ {
		if n := math.Round(share * of); math.Abs(share*of-n) < 1e-9 {
			return fmt.Sprintf("%.0f of %.0f", n, of)
		}
	}
	return Plain(100*share, 1) + " of 100"
}
