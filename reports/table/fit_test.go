package table

import (
	"bytes"
	"strings"
	"testing"

	"github.com/jedib0t/go-pretty/v6/text"
)

// By hand: lines of at most ten columns, broken at blanks.
func TestWrap(t *testing.T) {
	for in, want := range map[string]string{
		"one two three four": "one two\n  three\n  four", "a": "a", "": "",
		"extraordinarily long": "extraordinarily\n  long", "ä ö ü ß ñ é è": "ä ö ü ß ñ\n  é è",
	} {
		if got := Wrap(in, "  ", 10); got != want {
			t.Errorf("Wrap(%q) = %q, want %q", in, got, want)
		}
	}
}

// Whatever the width, no line is wider, and what is left out is said.
func TestTextFits(t *testing.T) {
	table := Table{Name: "x", Caption: "A caption that is rather long for such a small table.",
		Notes: []string{"A note that is rather long too, for the same reason."},
		Columns: []Column{L("test", "test"), R("change (95 % interval)", "change"), L("verdict", "verdict"),
			R("ignore under", "under")},
		Rows: [][]Cell{{Text("Cable rotation from a held pause, left"), Num(1, "+126 W (+74 to +177)"),
			Text("past the noise on its own"), Num(2, "51 W")},
			{Text("Jump"), Num(1, "+1 cm"), Text("inside"), Num(2, "3 cm")}}}
	for width := 30; width <= 130; width += 10 {
		var b bytes.Buffer
		if err := table.WriteTextWithin(&b, width); err != nil {
			t.Fatal(err)
		}
		for line := range strings.Lines(b.String()) {
			if w := text.StringWidth(strings.TrimRight(line, "\n")); w > width {
				t.Errorf("width %d: a line of %d: %s", width, w, line)
			}
		}
		if all := strings.Contains(b.String(), "51 W"); all == strings.Contains(b.String(), "Left out") {
			t.Errorf("width %d: every column is there: %t, and said the other way:\n%s", width, all, b.String())
		}
	}
	var b bytes.Buffer
	if err := table.WriteTextWithin(&b, 80); err != nil || !strings.Contains(b.String(), "51 W") {
		t.Errorf("80 columns have room for all, once texts are wrapped:\n%s", b.String())
	}
}
