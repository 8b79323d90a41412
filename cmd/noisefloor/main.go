// Noisefloor tells how noisy the tests of a cohort of throwing and batting
// athletes are, which changes are real, and which tests go with the outcome.
package main

import (
	"os"

	"noisefloor/internal/cli"
)

func main() {
	os.Exit(cli.Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
