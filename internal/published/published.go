// Package published reads, for tests, the published tables in
// testdata/published: numbers in columns, a header line, and comment lines that
// begin with #.
package published

import (
	"bufio"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
)

// Columns returns the columns of testdata/published/name by their header.
func Columns(t testing.TB, name string) map[string][]float64 {
	t.Helper()
	header, rows := read(t, name)
	out := map[string][]float64{}
	for j, h := range header {
		for _, row := range rows {
			out[h] = append(out[h], row[j])
		}
	}
	return out
}

// Rows returns the rows of testdata/published/name.
func Rows(t testing.TB, name string) [][]float64 {
	t.Helper()
	_, rows := read(t, name)
	return rows
}

func read(t testing.TB, name string) (header []string, rows [][]float64) {
	t.Helper()
	f, err := os.Open(Path(t, filepath.Join("published", name)))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for s := bufio.NewScanner(f); s.Scan(); {
		cells := strings.Split(s.Text(), ",")
		switch {
		case strings.HasPrefix(s.Text(), "#"):
		case header == nil:
			header = cells
		case len(cells) != len(header):
			t.Fatalf("%s: %q has %d cells, want %d", name, s.Text(), len(cells), len(header))
		default:
			rows = append(rows, numbers(t, name, cells))
		}
	}
	if len(rows) == 0 {
		t.Fatalf("%s: no rows", name)
	}
	return header, rows
}

func numbers(t testing.TB, name string, cells []string) []float64 {
	t.Helper()
	row := make([]float64, len(cells))
	for j, text := range cells {
		v, err := strconv.ParseFloat(text, 64)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		row[j] = v
	}
	return row
}

// Path returns the path of name inside the repository's testdata folder.
func Path(t testing.TB, name string) string {
	t.Helper()
	_, file, _, ok := runtime.Caller(0)
	if !ok {
		t.Fatal("the tests do not know where their source is (built with -trimpath?)")
	}
	return filepath.Join(filepath.Dir(file), "..", "..", "testdata", name)
}
