package cohort

import (
	"bytes"
	"compress/gzip"
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
	"pgregory.net/rapid"
)

// A sheet is a made-up cohort: a value for each athlete, session, trial and
// measure, NaN-free; absent cells are "".
type sheet struct {
	athletes, sessions, measures []string
	trials                       int
	cells                        map[string]string
}

func (s sheet) at(a, v string, trial int, m string) string {
	return s.cells[fmt.Sprint(a, "|", v, "|", trial, "|", m)]
}

// names draws distinct texts that stay apart when trimmed and normalised.
func drawNames(t *rapid.T, label string, prefix string) []string {
	n := rapid.IntRange(1, 5).Draw(t, label)
	return rapid.Permutation([]string{prefix + "1", prefix + "Zoë", prefix + " x y", prefix + "007",
		prefix + "b.c"}).Draw(t, label+" names")[:n]
}

func drawSheet(t *rapid.T) sheet {
	s := sheet{athletes: drawNames(t, "athletes", "A"), measures: drawNames(t, "measures", "m"),
		trials: rapid.IntRange(1, 3).Draw(t, "trials"), cells: map[string]string{}}
	for i := range rapid.IntRange(1, 4).Draw(t, "sessions") {
		s.sessions = append(s.sessions, strconv.Itoa(i+1))
	}
	for _, a := range s.athletes {
		for _, v := range s.sessions {
			for k := range s.trials {
				for _, m := range s.measures {
					s.cells[fmt.Sprint(a, "|", v, "|", k+1, "|", m)] = drawNumber(t)
				}
			}
		}
	}
	s.cells[fmt.Sprint(s.athletes[0], "|", s.sessions[0], "|1|",
		s.measures[0])] = "1.5" // so that each table has a value
	for _, m := range s.measures[1:] {
		s.cells[fmt.Sprint(s.athletes[0], "|", s.sessions[0], "|1|", m)] = "2"
	}
	return s
}

func drawNumber(t *rapid.T) string {
	if rapid.IntRange(0, 4).Draw(t, "absent") == 0 {
		return rapid.SampledFrom([]string{"", "NA", "nan"}).Draw(t, "missing")
	}
	v := rapid.Float64Range(-1e6, 1e6).Draw(t, "value")
	return strconv.FormatFloat(v, rapid.SampledFrom([]byte("fge")).Draw(t, "form"), rapid.IntRange(-1, 6).Draw(t,
		"digits"), 64)
}

func (s sheet) long() [][]string {
	out := [][]string{{"athlete", "session", "trial", "measure", "value"}}
	for _, m := range s.measures {
		for _, a := range s.athletes {
			for _, v := range s.sessions {
				for k := 1; k <= s.trials; k++ {
					out = append(out, []string{a, v, strconv.Itoa(k), m, s.at(a, v, k, m)})
				}
			}
		}
	}
	return out
}

func (s sheet) wide() [][]string {
	out := [][]string{append([]string{"athlete", "session", "trial"}, s.measures...)}
	for _, a := range s.athletes {
		for _, v := range s.sessions {
			for k := 1; k <= s.trials; k++ {
				row := []string{a, v, strconv.Itoa(k)}
				for _, m := range s.measures {
					row = append(row, s.at(a, v, k, m))
				}
				out = append(out, row)
			}
		}
	}
	return out
}

// join writes rows without quotes; the texts of sheets need none.
func join(rows [][]string, delimiter, end string) string {
	var b strings.Builder
	for _, r := range rows {
		b.WriteString(strings.Join(r, delimiter) + end)
	}
	return b.String()
}

// The long and the wide form of a table hold the same attempts.
func TestLongAndWideAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSheet(t)
		long, wide := flat(readRapid(t, join(s.long(), ",", "\n"), Options{})), flat(readRapid(t, join(s.wide(), ",",
			"\n"), Options{}))
		slices.Sort(long)
		slices.Sort(wide)
		if diff := cmp.Diff(long, wide); diff != "" {
			t.Fatalf("(-long +wide)\n%s", diff)
		}
	})
}

func readRapid(t *rapid.T, text string, o Options) *Table {
	x, err := Open("-", strings.NewReader(text), o)
	if err != nil {
		t.Fatalf("Open: %v\n%s", err, text)
	}
	return x
}

// A table holds what encoding/csv and strconv read from the same text.
func TestAgreesWithStandardLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := join(drawSheet(t).long(), ",", rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(t, "end"))
		records, err := csv.NewReader(strings.NewReader(text)).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		var want []string
		for _, r := range records[1:] {
			if v, err := strconv.ParseFloat(r[4], 64); err == nil && v == v {
				want = append(want, fmt.Sprintf("%s | %s | %s | %s | %v", r[3], r[0], r[1], r[2], v))
			}
		}
		if diff := cmp.Diff(want, flat(readRapid(t, text, Options{}))); diff != "" {
			t.Fatalf("(-encoding/csv +Open)\n%s", diff)
		}
	})
}

// encoded writes text in an encoding, with its byte-order mark if it has one.
func encoded(tb rapid.TB, text string, e encoding.Encoding) []byte {
	out, err := e.NewEncoder().Bytes([]byte(text))
	if err != nil {
		tb.Fatal(err)
	}
	return out
}

// How a table is written down does not change what it holds: delimiter, line
// ends, decimal comma, encoding, byte-order mark, quotes, blanks, gzip, small
// reads.
func TestWritingDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSheet(t)
		rows := s.long()
		if rapid.Bool().Draw(t, "wide") {
			rows = s.wide()
		}
		want := flat(readRapid(t, join(rows, ",", "\n"), Options{}))

		delimiter := rapid.SampledFrom([]string{",", ";", "\t", "|"}).Draw(t, "delimiter")
		comma := delimiter != "," && rapid.Bool().Draw(t, "decimal comma")
		quotes := rapid.SampledFrom([]string{"none", "all", "some"}).Draw(t, "quotes")
		for i, r := range rows {
			rows[i] = slices.Clone(r)
			for j, cell := range r {
				if _, err := strconv.ParseFloat(cell, 64); err == nil && comma && i > 0 && j > 2 {
					cell = strings.Replace(cell, ".", ",", 1)
				}
				if rapid.IntRange(0, 9).Draw(t, "blank") == 0 {
					cell = " " + cell + " "
				}
				if quotes == "all" || quotes == "some" && rapid.IntRange(0, 9).Draw(t, "quote") == 0 {
					cell = `"` + cell + `"`
				}
				rows[i][j] = cell
			}
		}
		text := join(rows, delimiter, rapid.SampledFrom([]string{"\n", "\r\n", "\r"}).Draw(t, "end"))
		if rapid.Bool().Draw(t, "no last line end") {
			text = strings.TrimRight(text, "\r\n")
		}
		o := Options{}
		var data []byte
		switch rapid.IntRange(0, 6).Draw(t, "encoding") {
		case 0:
			data = []byte(text)
		case 1:
			data = []byte("\ufeff" + text)
		case 2:
			data = encoded(t, text, unicode.UTF16(unicode.LittleEndian, unicode.UseBOM))
		case 3:
			data = encoded(t, text, unicode.UTF16(unicode.BigEndian, unicode.UseBOM))
		case 4:
			data, o.Encoding = encoded(t, text, unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM)), "utf-16le"
		case 5:
			data, o.Encoding = encoded(t, text, unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM)), "utf-16"
		case 6:
			data, o.Encoding = encoded(t, text, charmap.Windows1252), "windows-1252"
		}
		if rapid.Bool().Draw(t, "gzip") {
			var b bytes.Buffer
			z := gzip.NewWriter(&b)
			z.Write(data)
			z.Close()
			data = b.Bytes()
		}
		var r io.Reader = bytes.NewReader(data)
		if rapid.Bool().Draw(t, "small reads") {
			r = &dribble{r, 7}
		}
		x, err := Open("-", r, o)
		if err != nil {
			t.Fatalf("Open: %v\n%q", err, text)
		}
		if diff := cmp.Diff(want, flat(x)); diff != "" {
			t.Fatalf("%q (-plain +variant)\n%s", text, diff)
		}
	})
}

// dribble reads a few bytes at a time.
type dribble struct {
	r io.Reader
	n int
}

func (d *dribble) Read(p []byte) (int, error) { return d.r.Read(p[:min(len(p), d.n)]) }

// The rows after the first quote are numbered as those before.
func TestRowNumbersPastQuotes(t *testing.T) {
	text := "id,test,value\n\na,j,3\n\"a\nb\",\"j\",4\n\n\na,j,bad\n\"x\n\ny\",j,bad\n"
	// rows as a spreadsheet shows them: 2 blank, 3, 4 (two lines), 5 and 6 blank, 7, 8
	_, err := Open("-", strings.NewReader(text), Options{})
	checkLines(t, err, "standard input", []string{`row 7, column "value": not a number: "bad"`,
		`row 8, column "value": not a number: "bad"`})
}

// Lines that are longer than the buffer, and buffers that end anywhere.
func TestLongLines(t *testing.T) {
	want := []string{"j | a | 1 | 1 | 3", "j | b | 1 | 1 | 4"}
	for _, n := range []int{1, sampleBytes - 30, sampleBytes - 1, sampleBytes, sampleBytes + 1, 3 * sampleBytes} {
		for _, q := range []string{"", `"`} {
			text := "id,comment,test,value\na," + strings.Repeat("x", n) + ",j,3\nb," + q + strings.Repeat("y",
				n) + q + ",j,4\n"
			if diff := cmp.Diff(want, flat(read(t, text, Options{}))[:2]); diff != "" {
				t.Errorf("%d: %s", n, diff)
			}
		}
	}
}

// parseNumber agrees with strconv, bit by bit, on what both take; what
// parseNumber does not take is listed.
func TestParseNumber(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`[+-]?[0-9]{0,22}([.,][0-9]{0,22})?([eE][+-]?[0-9]{1,3})?`).Draw(t, "text")
		got, sep, ok := parseNumber([]byte(text))
		want, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
		if err == nil && want == 0 && strings.ContainsAny(strings.ToLower(text)+"e", "123456789") {
			mantissa, _, _ := strings.Cut(strings.ToLower(text), "e")
			if strings.ContainsAny(mantissa, "123456789") {
				err = strconv.ErrRange // rounds to zero: not a number here
			}
		}
		if ok != (err == nil) || ok && got != want {
			t.Fatalf("parseNumber(%q) = %v, %v; strconv: %v, %v", text, got, ok, want, err)
		}
		if ok && (sep == ',') != strings.Contains(text, ",") {
			t.Fatalf("separator of %q: %q", text, sep)
		}
	})
	for _, text := range []string{"", "+", "-", ".", ",", "1_000", "0x10", "0x1p4", "inf", "+Inf", "infinity", "nan",
		"1e400", "-1e400", "1e-400",
		"1e", "e5", "1e+", "--1", "1 ", " 1", "1.2.3", "1,2,3", "1.2,3", "1,234.5", "１", "1e5.5", "1e1_0", "1einf",
		"1e5 ", "1_0e5", "\x001"} {
		if v, _, ok := parseNumber([]byte(text)); ok {
			t.Errorf("parseNumber(%q) = %v", text, v)
		}
	}
	for text, want := range map[string]float64{"0": 0, "007": 7, "5.": 5, ".5": .5, "-,5": -.5, "1e-3": .001,
		"9007199254740993": 9007199254740992,
		"0.1":              .1, "5e-324": 5e-324, "1.7976931348623157e308": 1.7976931348623157e308, "0e999": 0,
		"123456789012345678901234567890": 123456789012345678901234567890} {
		if got, _, ok := parseNumber([]byte(text)); !ok || got != want {
			t.Errorf("parseNumber(%q) = %v, %v", text, got, ok)
		}
	}
}
