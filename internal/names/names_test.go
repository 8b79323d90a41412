package names

import (
	"errors"
	"slices"
	"strings"
	"testing"
)

var have = []string{"jump", "throw [ms]", "throw m", "Sprint", "sprint", "Zoë", "CMJ/arms", "hop?"}

func TestFind(t *testing.T) {
	tests := []struct {
		want string
		is   []string
	}{
		{"jump", []string{"jump"}},
		{" JUMP ", []string{"jump"}},
		{"throw [ms]", []string{"throw [ms]"}}, // a name first, not the pattern for "throw m"
		{"THROW [MS]", []string{"throw [ms]"}},
		{"throw [mk]", []string{"throw m"}},
		{"sprint", []string{"sprint"}}, // as it is spelled, though "Sprint" is there
		{"zoe", []string{"Zoë"}},
		{"ZOE\u0308", []string{"Zoë"}}, // decomposed
		{"hop?", []string{"hop?"}},
		{"?oe", []string{"Zoë"}},
		{"cmj*", []string{"CMJ/arms"}},
		{"*arms", []string{"CMJ/arms"}},
		{"throw*", []string{"throw [ms]", "throw m"}},
		{"s*", []string{"sprint"}}, // case counts where a name matches with it
		{"SPR*", []string{"Sprint", "sprint"}},
	}
	for _, tt := range tests {
		found, err := Find("measure", have, tt.want)
		if err != nil {
			t.Errorf("%q: %v", tt.want, err)
			continue
		}
		if got := at(have, found); !slices.Equal(got, tt.is) {
			t.Errorf("%q is %q, want %q", tt.want, got, tt.is)
		}
	}
}

func TestFindRefuses(t *testing.T) {
	tests := []struct {
		want, text string
		nearest    string
		ambiguous  []string
	}{
		{"jmp", `there is no measure "jmp"; did you mean "jump"? Measures: "jump", `, "jump", nil},
		{"xyz", `there is no measure "xyz"; measures: "jump", `, "", nil},
		{"q*", `there is no measure "q*"; measures: `, "", nil},
		{"[a", `measure "[a": not a pattern: a [ needs its ]`, "", nil},
		{"SPRINT", `measure "SPRINT" may be "Sprint", "sprint": write one as it stands`, "", []string{"Sprint",
			"sprint"}},
		{"", `there is no measure ""`, "", nil},
	}
	for _, tt := range tests {
		_, err := Find("measure", have, tt.want)
		e := (*Error)(nil)
		if !errors.As(err, &e) {
			t.Errorf("%q: got %v", tt.want, err)
			continue
		}
		if !strings.HasPrefix(err.Error(), tt.text) || e.Kind != "measure" || e.Asked != tt.want ||
			e.Nearest != tt.nearest ||
			!slices.Equal(e.Ambiguous, tt.ambiguous) || !slices.Equal(e.Have, have) {
			t.Errorf("%q: got %v, %+v", tt.want, err, e)
		}
	}
	if _, err := Find("side", nil, "left"); err == nil || err.Error() != `there is no side "left": the table has none` {
		t.Errorf("got %v", err)
	}
	if _, err := One("measure", have, "jum*"); err == nil {
		t.Error("One took a pattern")
	}
}

func TestAll(t *testing.T) {
	found, err := All("measure", have, []string{"throw*", "jump", "throw m"})
	if err != nil || !slices.Equal(found, []int{0, 1, 2}) {
		t.Errorf("%v, %v", found, err)
	}
	if _, err := All("measure", have, []string{"jump", "jmp"}); err == nil {
		t.Error("a name that matches nothing was passed by")
	}
	if found, err := All("measure", have, nil); err != nil || found != nil {
		t.Errorf("%v, %v", found, err)
	}
}

func FuzzFind(f *testing.F) {
	f.Add("throw [ms]", "jump")
	f.Add("[", "\xff")
	f.Fuzz(func(t *testing.T, want, other string) {
		list := append(slices.Clone(have), other)
		found, err := Find("measure", list, want)
		if (err == nil) != (len(found) > 0) {
			t.Fatalf("%v, %v", found, err)
		}
		if got, err := Find("measure", list, "jump"); err != nil || list[got[0]] != "jump" {
			t.Fatalf("jump is %v, %v", got, err)
		}
	})
}
