// Package seeded makes property tests draw the same cases in every run, so that
// a passing tree stays passing. Import it for its effect in each test package
// that uses rapid. RAPID_SEED=0 or -rapid.seed=0 draws new cases.
package seeded

import (
	"flag"
	"os"

	_ "pgregory.net/rapid" // registers the flag
)

func init() {
	if os.Getenv("RAPID_SEED") != "" {
		return
	}
	if err := flag.Set("rapid.seed", "20261125"); err != nil {
		panic("seeded: " + err.Error())
	}
}
