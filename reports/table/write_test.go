package table_test

import (
	"encoding/csv"
	"math"
	"strings"
	"testing"

	"noisefloor/reports/table"
)

// The triggers are those of the OWASP page on CSV injection: = + - @ tab and
// carriage return; full-width forms, because some spreadsheets fold them.
func TestSafe(t *testing.T) {
	for in, want := range map[string]string{
		"=1+1": "'=1+1", "+cmd": "'+cmd", "-x": "'-x", "@SUM(A1)": "'@SUM(A1)", "\t=1": "'\t=1", "\r=1": "'\r=1",
		" =1":     "' =1",
		"\uff1d1": "'\uff1d1", "\uff0b1": "'\uff0b1", "\uff0d1": "'\uff0d1", "\uff201": "'\uff201",
		"\ufeff=1": "'\ufeff=1",
		"-4.25":    "-4.25", "+3": "+3", "-1e-9": "-1e-9", "-Inf": "'-Inf", "-0x1p4": "'-0x1p4", "-1_000": "'-1_000",
		"C07": "C07", "": "", "a=1": "a=1", "007": "007", "−4": "−4",
	} {
		if got := table.Safe(in); got != want {
			t.Errorf("Safe(%q) = %q, want %q", in, got, want)
		}
	}
}

func sample() table.Table {
	return table.Table{Name: "x", Caption: "Changes\x1b[31m of 2 athletes.",
		Columns: []table.Column{table.L("athlete", "athlete"), table.R("change (W)", "change"), table.Machine("p")},
		Rows: [][]table.Cell{
			{table.Text("=HYPERLINK(1)|<b>`x`"), table.Num(-4.25, "−4.2"), table.Num(1.0/3, "hidden")},
			{table.Text("Zoë\x1b[2J"), table.Num(math.NaN(), "–"), table.Num(math.Inf(1), "")},
		}, Notes: []string{"a note"}}
}

func write(t *testing.T, f func(*strings.Builder) error) string {
	t.Helper()
	var b strings.Builder
	if err := f(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// CSV: keys, every digit, empty for what has no value, no formula.
func TestCSV(t *testing.T) {
	text := write(t, func(b *strings.Builder) error { return sample().WriteCSV(b) })
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := [][]string{{"athlete", "change", "p"}, {"'=HYPERLINK(1)|<b>`x`", "-4.25", "0.3333333333333333"},
		{"Zoë\x1b[2J", "", ""}}
	for i := range want {
		for j := range want[i] {
			if rows[i][j] != want[i][j] {
				t.Errorf("row %d, column %d: %q, want %q", i, j, rows[i][j], want[i][j])
			}
		}
	}
}

// Text: columns line up, machine columns stay out, nothing drives the terminal.
func TestText(t *testing.T) {
	text := write(t, func(b *strings.Builder) error { return sample().WriteText(b) })
	if strings.ContainsAny(text, "\x1b\x07") || strings.Contains(text, "hidden") {
		t.Errorf("text %q", text)
	}
	lines := strings.Split(text, "\n")
	if len(lines) < 5 || len([]rune(lines[3])) != len([]rune(lines[4])) || !strings.HasSuffix(lines[3], "−4.2") {
		t.Errorf("rows do not line up:\n%s", text)
	}
	if !strings.HasSuffix(text, "  a note\n") {
		t.Errorf("note missing:\n%s", text)
	}
}

// Markdown: a cell can break neither out of its cell nor into markup.
func TestMarkdown(t *testing.T) {
	text := write(t, func(b *strings.Builder) error { return sample().WriteMarkdown(b) })
	for _, bad := range []string{"<b>", "1)|<", " `x`", "\x1b"} {
		if strings.Contains(text, bad) {
			t.Errorf("%q stands in\n%s", bad, text)
		}
	}
	if !strings.Contains(text, `=HYPERLINK(1)\|&lt;b&gt;`) {
		t.Errorf("escaped cell missing:\n%s", text)
	}
}

func TestView(t *testing.T) {
	v := sample().View()
	if len(v.Heads) != 2 || len(v.Body) != 2 || len(v.Body[0]) != 2 || v.Body[0][1].Text != "−4.2" ||
		!v.Body[0][1].Right {
		t.Errorf("view %+v", v)
	}
}
