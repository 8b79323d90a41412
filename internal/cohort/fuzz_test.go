package cohort

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
)

// sane checks what must hold of any table that was read.
func sane(t *testing.T, x *Table) {
	for _, m := range x.Measures {
		n := len(m.Value)
		if len(m.Athlete) != n || len(m.Session) != n || len(m.Trial) != n || n == 0 {
			t.Fatalf("measure %q: columns of unequal length", m.Name)
		}
		for i, v := range m.Value {
			if int(m.Athlete[i]) >= len(x.Athletes) || int(m.Session[i]) >= len(x.Sessions) || m.Trial[i] < 1 ||
				v-v != 0 {
				t.Fatalf("measure %q, attempt %d: %d %d %d %v", m.Name, i, m.Athlete[i], m.Session[i], m.Trial[i], v)
			}
		}
	}
	for _, a := range x.Attributes {
		if len(a.ids) != len(x.cellAthlete) {
			t.Fatalf("attribute %q: %d cells of %d", a.Name, len(a.ids), len(x.cellAthlete))
		}
	}
}

func FuzzOpenCSV(f *testing.F) {
	entries, err := os.ReadDir(hostile)
	if err != nil {
		f.Fatal(err)
	}
	for _, e := range entries {
		data, err := os.ReadFile(filepath.Join(hostile, e.Name()))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data, "", "")
	}
	f.Add([]byte(longText), "", "")
	f.Add([]byte(wideText), ",", "utf-8")
	f.Add([]byte(cohortText), ".", "windows-1252")
	f.Fuzz(func(t *testing.T, data []byte, decimal, encoding string) {
		x, err := Open("-", bytes.NewReader(data), Options{Decimal: decimal, Encoding: encoding})
		if err != nil {
			if err.Error() == "" {
				t.Fatal("an error without words")
			}
			return
		}
		sane(t, x)
		// A second reading of the same bytes, in small pieces, gives the same.
		y, err := Open("-", &dribble{bytes.NewReader(data), 3}, Options{Decimal: decimal, Encoding: encoding})
		if err != nil {
			t.Fatalf("second reading: %v", err)
		}
		sane(t, y)
	})
}

func FuzzOpenXLSX(f *testing.F) {
	f.Add(book(f, [][]any{{"athlete", "date", "jump"}, {"a", 46085, 3.5}, {"b", 46086, "NA"}}, nil))
	f.Add(zipped(f, map[string]string{"[Content_Types].xml": "<Types/>", "xl/workbook.xml": "<workbook/>"}))
	f.Fuzz(func(t *testing.T, data []byte) {
		if !bytes.HasPrefix(data, []byte("PK")) {
			data = append([]byte("PK\x03\x04"), data...)
		}
		if x, err := Open("-", bytes.NewReader(data), Options{}); err == nil {
			sane(t, x)
		}
	})
}

func FuzzWhere(f *testing.F) {
	for _, c := range []string{"level=school", "age>=17", "session<S10", "trial!=1", "side=left", "note=''",
		"athlete=a", "=", "age>", "a!b"} {
		f.Add(c, "trial=1")
	}
	x := read(f, cohortText, Options{})
	before := len(flat(x))
	f.Fuzz(func(t *testing.T, one, two string) {
		y, err := x.Where([]string{one, two})
		if len(flat(x)) != before {
			t.Fatal("Where changed its table")
		}
		if err != nil {
			return
		}
		sane(t, y)
		lost := 0
		for _, l := range y.LeftOut {
			lost += l.Rows
		}
		n := 0
		for _, m := range y.Measures {
			n += len(m.Value)
		}
		if n+lost != 9 {
			t.Fatalf("%q, %q: %d attempts left and %d left out, of 9", one, two, n, lost)
		}
	})
}
