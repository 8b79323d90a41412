package reports

import (
	"fmt"

	"noisefloor/reports/table"
)

// count is a cell of a whole number.
func count(n int) table.Cell { return table.Num(float64(n), fmt.Sprint(n)) }
