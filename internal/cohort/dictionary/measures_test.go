package dictionary

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func TestMeasure(t *testing.T) {
	d := &Dictionary{Measures: []Measure{
		{Name: "throw", Unit: "m", Label: "Throw"},
		{Name: "throw.right", Unit: "cm"},
		{Name: "pull", Side: "left"},
		{Name: "a.b", Unit: "s"},
		{Name: "x", Unit: "W"},
	}}
	tests := []struct {
		name string
		want Measure
		ok   bool
	}{
		{"throw", Measure{Name: "throw", Unit: "m", Label: "Throw"}, true},
		{"throw.left", Measure{Name: "throw.left", Unit: "m", Label: "Throw", Side: "left"}, true},
		{"throw.dominant", Measure{Name: "throw.dominant", Unit: "m", Label: "Throw", Side: "dominant"}, true},
		{"throw.right", Measure{Name: "throw.right", Unit: "cm"}, true},
		{"a.b.other", Measure{Name: "a.b.other", Unit: "s", Side: "other"}, true},
		{"pull.left", Measure{Name: "pull.left", Side: "left"}, true},
		{"x.both", Measure{Name: "x.both", Unit: "W", Side: "both"}, true},
		{"pull.right", Measure{}, false},
		{"throw.up", Measure{}, false},
		{"jump.left", Measure{}, false},
		{".left", Measure{}, false},
		{"", Measure{}, false},
	}
	for _, tt := range tests {
		got, ok := d.Measure(tt.name)
		if diff := cmp.Diff(tt.want, got); diff != "" || ok != tt.ok {
			t.Errorf("Measure(%q): %v (-want +got):\n%s", tt.name, ok, diff)
		}
	}
}

func TestReadMeasures(t *testing.T) {
	d, err := Open(write(t, measures(`
		{"name":"cmj","label":"Jump","unit":"W","plane":"sagittal","region":"lower","quality":"speed-strength","quantity":"power",
		 "side":"both","countermovement":"with","counterpart":"sj","better":"higher","scale":"log","role":"test","worthwhile":50,"minimum":500,"maximum":9000},
		{"name":"sj","countermovement":"without","counterpart":"cmj"},
		{"name":"throw.left","side":"left","pair":"throw.right"},
		{"name":"throw"},
		{"name":"turn","quickness":"rise.left","load":0,"side":"left"},
		{"name":"rise","quickness":"throw"},
		{"name":"pull.left","pair":"pull.right"},
		{"name":"pull.right","pair":"pull.left"}`)), "")
	if err != nil {
		t.Fatal(err)
	}
	want := []Measure{
		{Name: "cmj", Label: "Jump", Unit: "W", Plane: "sagittal", Region: "lower", Quality: "speed-strength",
			Quantity: "power",
			Side:     "both", Countermovement: "with", Counterpart: "sj", Better: "higher", Scale: "log", Role: "test",
			Worthwhile: ptr(50.0), Minimum: ptr(500.0), Maximum: ptr(9000.0)},
		{Name: "sj", Countermovement: "without", Counterpart: "cmj"},
		{Name: "throw.left", Side: "left", Pair: "throw.right"},
		{Name: "throw"},
		{Name: "turn", Quickness: "rise.left", Load: ptr(0.0), Side: "left"},
		{Name: "rise", Quickness: "throw"},
		{Name: "pull.left", Pair: "pull.right"},
		{Name: "pull.right", Pair: "pull.left"},
	}
	if diff := cmp.Diff(want, d.Measures); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// The embedded schema and the type describe the same keys.
func TestMeasureSchemaHasTheFieldsOfTheType(t *testing.T) {
	var want []string
	for f := range reflect.TypeFor[Measure]().Fields() {
		want = append(want, strings.ToLower(f.Name))
	}
	slices.Sort(want)
	if diff := cmp.Diff(want, ours().known("$defs", "measure")); diff != "" {
		t.Errorf("(-type +schema):\n%s", diff)
	}
}

// XML Schema patterns match the whole value; the values are by hand.
func TestExpression(t *testing.T) {
	tests := []struct {
		pattern string
		yes, no []string
	}{
		{"P[0-9]{2,}", []string{"P01", "P123"}, []string{"P1", "xP01", "P01x", "P01\n"}},
		{"a|bc", []string{"a", "bc"}, []string{"ac", "abc", "xbc", "ax"}},
		{"^a$", []string{"a"}, []string{"ab"}},
		{"(?m)^a$", []string{"a"}, []string{"a\nb", "b\na"}},
	}
	for _, tt := range tests {
		re, err := Constraints{Pattern: tt.pattern}.Expression()
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range tt.yes {
			if !re.MatchString(s) {
				t.Errorf("%q does not match %q", tt.pattern, s)
			}
		}
		for _, s := range tt.no {
			if re.MatchString(s) {
				t.Errorf("%q matches %q", tt.pattern, s)
			}
		}
	}
	if re, err := (Constraints{}).Expression(); re != nil || err != nil {
		t.Errorf("no pattern: %v, %v", re, err)
	}
}

// By hand: one letter inserted, deleted, replaced, or two swapped, is 1.
func TestDistance(t *testing.T) {
	tests := []struct {
		a, b string
		want int
	}{
		{"", "", 0}, {"", "abc", 3}, {"abc", "abc", 0}, {"plane", "plan", 1}, {"trail", "trial", 1},
		{"side", "site", 1}, {"kitten", "sitting", 3}, {"größe", "grosse", 3},
	}
	for _, tt := range tests {
		if got := distance(tt.a, tt.b); got != tt.want {
			t.Errorf("distance(%q, %q) = %d, want %d", tt.a, tt.b, got, tt.want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.String().Draw(t, "a"), rapid.String().Draw(t, "b")
		if distance(a, b) != distance(b, a) {
			t.Fatalf("distance(%q, %q) is not symmetric", a, b)
		}
	})
	long := strings.Repeat("a", 101)
	if _, ok := nearest(long, []string{"a"}, 2); ok {
		t.Error("a very long word has a neighbour")
	}
	if _, ok := nearest("aaa", []string{long}, 2); ok {
		t.Error("a very long word is a neighbour")
	}
}

func TestDecimalChar(t *testing.T) {
	n := func(sign string) Field { return Field{Type: "number", DecimalChar: sign} }
	tests := []struct {
		fields []Field
		want   string
	}{
		{nil, ""},
		{[]Field{n(""), n("")}, ""},
		{[]Field{n(","), n(",")}, ","},
		{[]Field{n("."), n("")}, "."},
		{[]Field{n(","), n("")}, ""},
		{[]Field{n(","), {Type: "integer"}, {Type: "string"}}, ","},
	}
	for _, tt := range tests {
		if got := decimalChar(tt.fields); got != tt.want {
			t.Errorf("decimalChar(%v) = %q, want %q", tt.fields, got, tt.want)
		}
	}
}

func TestWithin(t *testing.T) {
	tests := []struct {
		key, parent string
		want        bool
	}{
		{"a", "a", true}, {"a.b", "a", true}, {"a[0]", "a", true}, {"ab", "a", false}, {"a", "a.b", false},
	}
	for _, tt := range tests {
		if got := within(tt.key, tt.parent); got != tt.want {
			t.Errorf("within(%q, %q) = %v", tt.key, tt.parent, got)
		}
	}
}
