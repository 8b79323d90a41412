package cli_test

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"testing"

	"noisefloor/datasets/simulate"
	"noisefloor/internal/cli"
)

// BenchmarkDemo is the whole job on the embedded cohort, pictures included.
func BenchmarkDemo(b *testing.B) {
	for b.Loop() {
		run(b, "demo", "--out", b.TempDir())
	}
}

// BenchmarkReliabilityMillion is reliability of 8 measures from a table of a
// million rows, reading included.
func BenchmarkReliabilityMillion(b *testing.B) {
	name := filepath.Join(b.TempDir(), "large.csv")
	f, err := os.Create(name)
	if err != nil {
		b.Fatal(err)
	}
	if err := simulate.WriteLongRows(f, 1_000_000, 1); err != nil {
		b.Fatal(err)
	}
	info, err := f.Stat()
	if err != nil || f.Close() != nil {
		b.Fatal(err)
	}
	b.SetBytes(info.Size())
	b.ReportAllocs()
	for b.Loop() {
		run(b, "reliability", name, "--quiet")
	}
}

func run(tb testing.TB, args ...string) {
	tb.Helper()
	var errs bytes.Buffer
	if code := cli.Main(args, nil, io.Discard, &errs); code != 0 {
		tb.Fatalf("%v: exit %d\n%s", args, code, errs.String())
	}
}
