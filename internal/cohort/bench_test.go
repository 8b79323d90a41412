package cohort

import (
	"bufio"
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"testing"
)

// writeLong writes a long table of about n rows: athletes by 4 sessions by 8
// measures by 3 trials, 33 bytes to a row at n = 1,000,000.
func writeLong(tb testing.TB, n int) (path string, size int64) {
	tb.Helper()
	path = filepath.Join(tb.TempDir(), "long.csv")
	f, err := os.Create(path)
	if err != nil {
		tb.Fatal(err)
	}
	w := bufio.NewWriter(f)
	w.WriteString("athlete,session,trial,measure,side,value\n")
	measures := []string{"jump", "throw", "sprint", "pull", "press", "bound", "hop", "swing"}
	var b []byte
	seed := uint32(1)
	for row := 0; row < n; {
		athlete := fmt.Sprintf("ATH%06d", row/96)
		for s := 1; s <= 4; s++ {
			for _, m := range measures {
				for trial := 1; trial <= 3 && row < n; trial++ {
					seed = seed*1664525 + 1013904223
					b = append(append(b[:0], athlete...), ",S"...)
					b = strconv.AppendInt(b, int64(s), 10)
					b = strconv.AppendInt(append(b, ','), int64(trial), 10)
					b = append(append(append(b, ','), m...), ",,"...)
					b = strconv.AppendFloat(b, 100+float64(seed>>8)/1e5, 'f', 3, 64)
					w.Write(append(b, '\n'))
					row++
				}
			}
		}
	}
	if err := w.Flush(); err != nil {
		tb.Fatal(err)
	}
	info, err := f.Stat()
	if err != nil {
		tb.Fatal(err)
	}
	return path, info.Size()
}

func benchmarkOpen(b *testing.B, path string, size int64) {
	b.SetBytes(size)
	b.ReportAllocs()
	var t *Table
	for b.Loop() {
		var err error
		if t, err = Open(path, nil, Options{NoDictionary: true}); err != nil {
			b.Fatal(err)
		}
	}
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	b.ReportMetric(float64(m.Sys)/(1<<20), "MB-from-system")
	b.ReportMetric(float64(t.Source.Rows), "rows")
}

// BenchmarkOpenLong1M reads 1,000,000 rows of a long table.
func BenchmarkOpenLong1M(b *testing.B) {
	path, size := writeLong(b, 1_000_000)
	benchmarkOpen(b, path, size)
}

// BenchmarkOpenLong10M reads 10,000,000 rows of a long table.
func BenchmarkOpenLong10M(b *testing.B) {
	if testing.Short() {
		b.Skip("short: 10,000,000 rows")
	}
	path, size := writeLong(b, 10_000_000)
	benchmarkOpen(b, path, size)
}

// BenchmarkOpenQuoted reads 100,000 rows with a quote in each.
func BenchmarkOpenQuoted(b *testing.B) {
	path, _ := writeLong(b, 100_000)
	text, err := os.ReadFile(path)
	if err != nil {
		b.Fatal(err)
	}
	text = bytes.ReplaceAll(text, []byte(",,"), []byte(`,"",`))
	if err := os.WriteFile(path, text, 0o600); err != nil {
		b.Fatal(err)
	}
	benchmarkOpen(b, path, int64(len(text)))
}

// BenchmarkOpenWide reads 20,000 rows with 60 measures, without a trial column.
func BenchmarkOpenWide(b *testing.B) {
	var t bytes.Buffer
	t.WriteString("athlete,session")
	for m := range 60 {
		fmt.Fprintf(&t, ",m%d", m)
	}
	for row := range 20_000 {
		fmt.Fprintf(&t, "\nA%d,%d", row/4, row%4+1)
		for m := range 60 {
			fmt.Fprintf(&t, ",%d.%03d", row%97, m*17)
		}
	}
	t.WriteString("\n")
	path := filepath.Join(b.TempDir(), "wide.csv")
	if err := os.WriteFile(path, t.Bytes(), 0o600); err != nil {
		b.Fatal(err)
	}
	benchmarkOpen(b, path, int64(t.Len()))
}

// BenchmarkOpenBook reads a workbook of 20,000 rows and 6 columns.
func BenchmarkOpenBook(b *testing.B) {
	rows := [][]any{{"athlete", "session", "trial", "measure", "side", "value"}}
	for i := range 20_000 {
		rows = append(rows, []any{fmt.Sprint("A", i/12), i/3%4 + 1, i%3 + 1, "jump", "left", float64(i) / 7})
	}
	path := filepath.Join(b.TempDir(), "tests.xlsx")
	data := book(b, rows, nil)
	if err := os.WriteFile(path, data, 0o600); err != nil {
		b.Fatal(err)
	}
	benchmarkOpen(b, path, int64(len(data)))
}

func BenchmarkWhere(b *testing.B) {
	path, _ := writeLong(b, 1_000_000)
	t, err := Open(path, nil, Options{NoDictionary: true})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := t.Where([]string{"session>=S2"}); err != nil {
			b.Fatal(err)
		}
	}
}
