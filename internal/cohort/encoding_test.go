package cohort

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Bytes 0x81, 0x8d, 0x8f, 0x90 and 0x9d mean nothing in Windows-1252.
func TestWindows1252(t *testing.T) {
	x := read(t, "athlete,test,value\nM\xfcller \x80,j,3\n", Options{Encoding: "windows-1252"})
	if diff := cmp.Diff([]string{"Müller €"}, x.Athletes); diff != "" {
		t.Error(diff)
	}
	for _, c := range []string{"\x81", "\x8d", "\x8f", "\x90", "\x9d"} {
		_, err := Open("-", strings.NewReader("athlete,test,value\nM"+c+"ller,j,3\n"), Options{Encoding: "cp1252"})
		checkLines(t, err, "standard input", []string{`row 2, column "athlete": a character cannot be read (U+FFFD)`})
	}
}

func TestEncodingIsReported(t *testing.T) {
	for want, text := range map[string]string{
		"UTF-8":                         "id,j\na,3\n",
		"UTF-8 with byte-order mark":    "\ufeffid,j\na,3\n",
		"UTF-16LE with byte-order mark": "\xff\xfei\x00d\x00,\x00j\x00\n\x00a\x00,\x003\x00",
		"UTF-16BE with byte-order mark": "\xfe\xff\x00i\x00d\x00,\x00j\x00\n\x00a\x00,\x003",
	} {
		if x := read(t, text, Options{}); x.Source.Encoding != want {
			t.Errorf("got %q, want %q", x.Source.Encoding, want)
		}
	}
}

// A quoted first header after a byte-order mark trips encoding/csv.
func TestMarkBeforeQuote(t *testing.T) {
	x := read(t, "\ufeff\"id\",\"j\"\n\"a\",\"3\"\n", Options{})
	if diff := cmp.Diff([]string{"j | a | 1 | 1 | 3"}, flat(x)); diff != "" {
		t.Error(diff)
	}
}

// The fault names row and column past the first block of text, too.
func TestBadByteFarDown(t *testing.T) {
	text := "id,test,value\n" + strings.Repeat("a,j,3\n", 200_000) + "b,j\xff,3\n" + strings.Repeat("a,j,3\n", 10)
	_, err := Open("-", strings.NewReader(text), Options{})
	checkLines(t, err, "standard input", []string{`row 200002, column "test": the text is not UTF-8`})
}
