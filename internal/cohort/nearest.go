package cohort

import "noisefloor/internal/names"

// suggest lists the known names, headed by what they are ("columns"), and puts
// before them the one that name was probably meant to be.
func suggest(name, heading string, known []string) string { return names.Suggest(name, heading, known) }

// quoteList writes names for a message, the first dozen of them.
func quoteList(list []string) string { return names.List(list) }
