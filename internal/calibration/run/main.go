// Command run makes the calibration table: coverage of every interval and
// false-alarm rates of every decision, from simulated studies.
//
//	go run ./internal/calibration/run -studies 10000 -out DIR    everything, some minutes
//	go run ./internal/calibration/run -render DIR                summary and page again from DIR/calibration.csv
package main

import (
	"bytes"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"noisefloor/internal/calibration"
	"noisefloor/internal/outfile"
)

// table is the file that holds every row; the others follow from it.
const table = "calibration.csv"

func main() {
	if err := run(os.Args[1:], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "calibration:", err)
		os.Exit(1)
	}
}

func run(args []string, stdout io.Writer) error {
	f := flag.NewFlagSet("calibration", flag.ContinueOnError)
	studies := f.Int("studies", 10000, "`number` of simulated studies in a row")
	seed := f.Uint64("seed", calibration.Seed, "seed of every random number")
	out := f.String("out", "", "`folder` to write to")
	render := f.String("render", "", "`folder` whose table is rendered again, nothing simulated")
	if err := f.Parse(args); err != nil {
		return err
	}
	switch {
	case f.NArg() > 0:
		return fmt.Errorf("unexpected argument %q", f.Arg(0))
	case (*out == "") == (*render == ""):
		return fmt.Errorf("name a folder with -out, or one to render again with -render")
	case *studies < 1:
		return fmt.Errorf("-studies %d: at least 1", *studies)
	}
	folder, t, err := *out, calibration.Table{}, error(nil)
	if *render != "" {
		folder = *render
		t, err = read(filepath.Join(folder, table))
	} else {
		t, err = simulate(*studies, *seed)
	}
	if err != nil {
		return err
	}
	return write(folder, t, stdout)
}

func simulate(studies int, seed uint64) (calibration.Table, error) {
	plan := calibration.Full(studies)
	t, err := calibration.Run(plan, seed)
	if err != nil {
		return t, err
	}
	return calibration.SecondLook(plan, t)
}

func read(name string) (calibration.Table, error) {
	data, err := os.ReadFile(name)
	if err != nil {
		return calibration.Table{}, err
	}
	t, err := calibration.ReadCSV(bytes.NewReader(data))
	if err != nil {
		return calibration.Table{}, fmt.Errorf("%s: %w", name, err)
	}
	return t, nil
}

func write(folder string, t calibration.Table, stdout io.Writer) error {
	var files outfile.Set
	for _, f := range []struct {
		name   string
		render func(io.Writer) error
	}{{table, t.WriteCSV}, {"calibration.md", t.WriteMarkdown}, {"calibration.html", t.WriteHTML}} {
		if err := files.Add(f.name, f.render); err != nil {
			return err
		}
	}
	if err := files.Write(folder, true); err != nil {
		return err
	}
	for _, line := range t.Lede() {
		if _, err := fmt.Fprintln(stdout, line); err != nil {
			return err
		}
	}
	return nil
}
