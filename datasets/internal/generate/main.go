// Command generate writes the embedded demo cohort, or a large plain table for
// benchmarks, from a seed.
//
//	go run ./internal/generate                          (in datasets/: coast/ again, same bytes)
//	go run ./internal/generate -athletes 8 -out DIR     a small cohort
//	go run ./internal/generate -large 1000000 > FILE    a long table of about a million rows
package main

import (
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"noisefloor/datasets/simulate"
)

func main() {
	if err := generate(os.Args[1:], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "generate:", err)
		os.Exit(1)
	}
}

func generate(args []string, stdout io.Writer) error {
	f := flag.NewFlagSet("generate", flag.ContinueOnError)
	out := f.String("out", "coast", "`folder` to write the data set to")
	athletes := f.Int("athletes", simulate.CoastAthletes, "number of athletes")
	seed := f.Uint64("seed", simulate.CoastSeed, "seed of every random number")
	large := f.Int("large", 0, "write a long table of about so many `rows` to standard output instead")
	if err := f.Parse(args); err != nil {
		return err
	}
	if f.NArg() > 0 {
		return fmt.Errorf("unexpected argument %q", f.Arg(0))
	}
	if *large != 0 {
		return simulate.WriteLongRows(stdout, *large, *seed)
	}
	return write(*out, *seed, *athletes)
}

// write makes all files before it writes the first.
func write(folder string, seed uint64, athletes int) error {
	study, err := simulate.Cohort(seed, athletes)
	if err != nil {
		return err
	}
	files, err := study.Files()
	if err != nil {
		return err
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	for _, f := range files {
		if err := os.WriteFile(filepath.Join(folder, f.Name), f.Data, 0o644); err != nil {
			return err
		}
	}
	return nil
}
