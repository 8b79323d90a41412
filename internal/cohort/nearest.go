package cohort

import (
	"fmt"
	"strings"

	"noisefloor/internal/names"
)

// suggest lists the known names, headed by what they are ("columns"), and puts
// before them the one that name was probably meant to be.
func suggest(name, heading string, known []string) string {
	list := heading + ": " + quoteList(known)
	if k := names.Nearest(name, known); k != "" {
		return fmt.Sprintf("did you mean %q? %s%s", k, strings.ToUpper(list[:1]), list[1:])
	}
	return list
}

// quoteList writes names for a message, the first dozen of them.
func quoteList(all []string) string {
	const shown = 12
	var parts []string
	for i, n := range all {
		if i == shown {
			parts = append(parts, fmt.Sprintf("and %d more", len(all)-shown))
			break
		}
		parts = append(parts, fmt.Sprintf("%q", shorten(n)))
	}
	return strings.Join(parts, ", ")
}
