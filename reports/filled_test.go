package reports_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"noisefloor/reports"
	"noisefloor/reports/schema"
	"noisefloor/reports/table"
)

// fill puts a value of its own into every field below v: numbers between 1/4
// and 3/4, counts from 100 on, texts that say their number; lists get two
// entries, pointers something to point to, switches are on. Words of a closed
// list are given by set, by the name of their field.
func fill(v reflect.Value, set map[string]string) {
	n := 0
	fillNext(v, set, "", &n)
}

func fillNext(v reflect.Value, set map[string]string, name string, n *int) {
	*n++
	switch v.Kind() {
	case reflect.Float64:
		v.SetFloat(0.25 + float64(*n)/8192)
	case reflect.Int:
		v.SetInt(int64(100 + *n))
	case reflect.Bool:
		v.SetBool(true)
	case reflect.String:
		v.SetString(fmt.Sprintf("text %d", *n))
		if s, ok := set[name]; ok {
			v.SetString(s)
		}
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		fillNext(v.Elem(), set, name, n)
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 2, 2))
		for i := range 2 {
			fillNext(v.Index(i), set, name, n)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Field(i).CanSet() {
				fillNext(v.Field(i), set, v.Type().Field(i).Name, n)
			}
		}
	}
}

var step = regexp.MustCompile(`(\w+)|\[(\d+)\]`)

// field follows a path such as "Changes[0].Change.Lower" from a view to a
// number, text or switch.
func field(t *testing.T, view any, path string) any {
	t.Helper()
	v := reflect.ValueOf(view)
	for _, m := range step.FindAllStringSubmatch(path, -1) {
		for v.Kind() == reflect.Pointer {
			v = v.Elem()
		}
		if m[1] != "" {
			v = v.FieldByName(m[1])
		} else {
			i, _ := strconv.Atoi(m[2])
			v = v.Index(i)
		}
		if !v.IsValid() {
			t.Fatalf("%s leads nowhere at %s", path, m[0])
		}
	}
	for v.Kind() == reflect.Pointer {
		v = v.Elem()
	}
	switch v.Kind() {
	case reflect.Float64:
		return v.Float()
	case reflect.Int:
		return float64(v.Int())
	case reflect.Bool:
		return v.Bool()
	}
	return v.String()
}

// A source says from which field of the view a key comes.
type source struct{ key, from string }

// sources reads lines "key Field". The line "@ prefix Prefix" goes before all
// keys and fields below it; "key:i Field" stands for an interval, "key:k Field" for one with SE, df and kind, "key:r Field"
// for a correlation with its p values, "key:c Field" for the three columns of an interval, and
// "key:p Field" for the six of a correlation.
func sources(text string) []source {
	var out []source
	var before source
	for line := range strings.Lines(text) {
		words := strings.Fields(line)
		switch {
		case len(words) == 0:
			continue
		case words[0] == "@":
			before = source{}
			if len(words) == 3 {
				before = source{words[1] + ".", words[2] + "."}
			}
			continue
		}
		name, kind, _ := strings.Cut(words[0], ":")
		key, from := before.key+name, before.from+words[1]
		var ends [][2]string
		switch kind {
		case "":
			ends = [][2]string{{"", ""}}
		case "i":
			ends = [][2]string{{".estimate", ".Value"}, {".lower", ".Lower"}, {".upper", ".Upper"}, {".method",
				".Kind"}}
		case "k":
			ends = [][2]string{{".estimate", ".Value"}, {".lower", ".Lower"}, {".upper", ".Upper"}, {".se", ".SE"},
				{".df", ".DF"}, {".method", ".Kind"}}
		case "r":
			ends = [][2]string{{".estimate", ".Value"}, {".lower", ".Lower"}, {".upper", ".Upper"}, {".method",
				".Kind"}, {".n", ".N"}, {".df", ".DF"}, {".p", ".P"}, {".p_holm", ".PHolm"}, {".p_bh", ".PBH"}}
		case "c":
			ends = [][2]string{{"", ".Value"}, {"_lower", ".Lower"}, {"_upper", ".Upper"}}
		case "p":
			ends = [][2]string{{"", ".Value"}, {"_lower", ".Lower"}, {"_upper", ".Upper"}, {"_p", ".P"}, {"_p_holm",
				".PHolm"}, {"_p_bh", ".PBH"}}
		}
		for _, e := range ends {
			out = append(out, source{key + e[0], from + e[1]})
		}
	}
	return out
}

// checkJSON wants at every key the field it comes from, and no other key with
// the number of one of these fields.
func checkJSON(t *testing.T, v reports.View, keys string) {
	t.Helper()
	var b bytes.Buffer
	if err := reports.WriteJSON(&b, v); err != nil {
		t.Fatal(err)
	}
	if err := schema.Validate(b.Bytes()); err != nil {
		t.Error(err)
	}
	checkLeaves(t, v, b.Bytes(), keys)
}

// checkLeaves is checkJSON without the schema.
func checkLeaves(t *testing.T, v reports.View, text []byte, keys string) {
	t.Helper()
	var d any
	if err := json.Unmarshal(text, &d); err != nil {
		t.Fatal(err)
	}
	leaves := map[string]any{}
	leavesOf(d, "", leaves)
	known, owner := map[string]bool{}, map[float64]string{}
	for _, s := range sources(keys) {
		known[s.key] = true
		want := field(t, v, s.from)
		if got, ok := leaves[s.key]; !ok {
			t.Errorf("JSON: %s is not there; it is %s", s.key, s.from)
		} else if got != want {
			t.Errorf("JSON: %s is %v, want %v of %s", s.key, got, want, s.from)
		}
		if x, ok := want.(float64); ok {
			owner[x] = s.key
		}
	}
	for key, value := range leaves {
		if x, ok := value.(float64); ok && !known[key] && owner[x] != "" {
			t.Errorf("JSON: %s is the number of %s", key, owner[x])
		}
	}
}

func leavesOf(value any, path string, out map[string]any) {
	switch v := value.(type) {
	case map[string]any:
		for k, e := range v {
			leavesOf(e, strings.TrimPrefix(path+"."+k, "."), out)
		}
	case []any:
		for i, e := range v {
			leavesOf(e, fmt.Sprintf("%s.%d", path, i), out)
		}
	default:
		out[path] = v
	}
}

// checkTables wants in the first row of the tables, under table.key, the field
// it comes from; as CSV has it, with every digit.
func checkTables(t *testing.T, v reports.View, keys string) {
	t.Helper()
	cells := map[string]string{}
	for _, x := range append(v.Tables(), v.Data()) {
		header, row := firstRow(t, x)
		for i, key := range header {
			cells[x.Name+"."+key] = row[i]
		}
	}
	for _, s := range sources(keys) {
		want := fmt.Sprint(field(t, v, s.from))
		if x, ok := field(t, v, s.from).(float64); ok {
			want = strconv.FormatFloat(x, 'g', -1, 64)
		}
		if got, ok := cells[s.key]; !ok || got != want {
			t.Errorf("CSV: %s is %q, want %q of %s", s.key, got, want, s.from)
		}
	}
}

func firstRow(t *testing.T, x table.Table) (header, row []string) {
	t.Helper()
	rows := csvOf(t, x)
	if len(rows) < 2 {
		t.Fatalf("table %s has no row", x.Name)
	}
	return rows[0], rows[1]
}
