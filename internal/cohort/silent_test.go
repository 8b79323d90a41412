package cohort

import (
	"strings"
	"testing"
)

// By hand: as texts "9" comes after "16", so a condition on size that falls back
// to texts because of one "?" keeps a child of 9.
func TestSizeOfWhatIsNoNumber(t *testing.T) {
	const text = "athlete,session,age,jump\na,1,9,30\nb,1,17,31\nc,1,?,32\n"
	x := read(t, text, Options{Attributes: []string{"age"}})
	_, err := x.Where([]string{"age>=16"})
	for _, want := range []string{`"?"`, "athlete c", "session 1", "is no number", `--missing "?"`} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("no %q in %v", want, err)
		}
	}
	x = read(t, text, Options{Attributes: []string{"age"}, Missing: []string{"?"}})
	if x, err = x.Where([]string{"age>=16"}); err != nil || strings.Join(x.Athletes, "") != "b" {
		t.Errorf("with ? missing: %v, %v", x, err)
	}
}

// Values outside the plausible range of the dictionary are said, below and above.
func TestPlausibleRange(t *testing.T) {
	for value, outside := range map[string]bool{"9.9": true, "10": false, "20": false, "20.1": true} {
		path := described(t, "id,j\na,"+value+"\nb,15\n", `,"nf:measures":[{"name":"j","minimum":10,"maximum":20}],"schema":{"fields":[{"name":"id","type":"string"},{"name":"j","type":"number"}]}`)
		x, err := Open(path, nil, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if got := len(notesWith(x, "outside the plausible range")) == 1; got != outside {
			t.Errorf("%s: said to be outside: %t; notes %q", value, got, x.Notes)
		}
	}
}

// Rows without any value repeat nothing.
func TestRowsWithoutValuesRepeatNothing(t *testing.T) {
	x := read(t, "athlete,session,jump,throw\na,1,,\na,1,,\nb,1,3,4\nb,2,5,6\n", Options{})
	if notes := notesWith(x, "with exactly the measures of an earlier row"); len(notes) > 0 {
		t.Errorf("notes %q", notes)
	}
	x = read(t, "athlete,session,jump,throw\na,1,3,4\na,1,3,4\nb,2,5,6\n", Options{})
	if notes := notesWith(x, "with exactly the measures of an earlier row"); len(notes) != 1 {
		t.Errorf("rows with values repeat: notes %q", x.Notes)
	}
}

// Invisible marks at the ends of codes, heads and sessions make no second
// athlete.
func TestInvisibleMarks(t *testing.T) {
	for _, mark := range []string{"\u200b", "\u200c", "\u200d", "\u200e", "\u2060", "\ufeff", "\u00a0", "\u180e"} {
		x := read(t, "athlete"+mark+",session,jump"+mark+"\nP1"+mark+","+mark+"1,3\n"+mark+"P1,2,4\nP1,1"+mark+",5\n", Options{})
		if len(x.Athletes) != 1 || len(x.Sessions) != 2 || x.Measures[0].Name != "jump" {
			t.Errorf("U+%04X: athletes %q, sessions %q, measure %q", []rune(mark)[0], x.Athletes, x.Sessions, x.Measures[0].Name)
		}
	}
}
