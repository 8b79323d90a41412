package association_test

import (
	"fmt"
	"strings"

	"noisefloor/analysis/caveat"
)

// said writes caveats down, a line each: kind, [measures], (names), numbers.
func said(all ...[]caveat.Caveat) string {
	var lines []string
	for _, list := range all {
		for _, c := range list {
			line := string(c.Kind)
			if len(c.Measures) > 0 {
				line += fmt.Sprintf(" %q", c.Measures)
			}
			if len(c.Names) > 0 {
				line += " (" + strings.Join(c.Names, ", ") + ")"
			}
			for _, x := range c.Numbers {
				line += fmt.Sprintf(" %.2f", x)
			}
			lines = append(lines, line)
		}
	}
	return strings.Join(lines, "\n")
}
