package names

import (
	"errors"
	"slices"
	"strings"
	"testing"
)

// The rule, by hand: exact, then folded, then pattern, and what is near.
func TestFind(t *testing.T) {
	have := []string{"throw [ms]", "throw m", "throw s", "Jump", "Björn", "sprint 10/20", "sprint 30"}
	for _, tt := range []struct {
		want  string
		found []int
	}{
		{"throw [ms]", []int{0}}, // a name, though it reads like a pattern
		{"throw [sm]", []int{1, 2}},
		{"THROW M", []int{1}},
		{"jump", []int{3}},
		{" bjorn ", []int{4}},
		{"sprint*", []int{5, 6}},
		{"JUM?", []int{3}},
	} {
		if got, err := Find("measure", have, tt.want); err != nil || !slices.Equal(got, tt.found) {
			t.Errorf("Find(%q) = %v, %v; want %v", tt.want, got, err, tt.found)
		}
	}
}

func TestNoSuchName(t *testing.T) {
	have := []string{"side_throw", "jump_height"}
	for want, words := range map[string]string{
		"jump_hieght": `there is no measure "jump_hieght"; did you mean "jump_height"? There is side_throw, jump_height`,
		"xyz":         `there is no measure "xyz"; there is side_throw, jump_height`,
		"x*":          `there is no measure "x*"; there is side_throw, jump_height`,
		"[":           `there is no measure pattern "["; there is side_throw, jump_height`,
	} {
		_, err := Find("measure", have, want)
		if e := (*Error)(nil); !errors.As(err, &e) || err.Error() != words {
			t.Errorf("Find(%q): %v\nwant %s", want, err, words)
		}
	}
	if _, err := Find("athlete", []string{"Jo", "JO", "jó"}, "jo"); err == nil || !strings.Contains(err.Error(), "can mean Jo, JO, jó") {
		t.Errorf("a name that can mean three: %v", err)
	}
	if _, err := Find("sheet", nil, "a"); err == nil || !strings.Contains(err.Error(), "none at all") {
		t.Errorf("of nothing: %v", err)
	}
	if _, err := Find("athlete", slices.Repeat([]string{"abc"}, 11), "qqqq"); err == nil || !strings.HasSuffix(err.Error(), "and 3 more") {
		t.Errorf("of many: %v", err)
	}
}

func TestNearest(t *testing.T) {
	tests := []struct{ name, want string }{
		{"jmp", "jump"}, {"JUMP", "jump"}, {"thow", "throw"}, {"rotational", "rotational throw"}, {"throw rotational", "throw"}, {"rotational_trow", "rotational throw"},
		{"vertical jump", "jump"}, {"j", ""}, {"", ""}, {"foo", ""}, {"sprint time", "sprint"}, {"spruce", ""}, {"hop.left", ""}, {"hop.left.x", ""},
	}
	for _, tt := range tests {
		if got := Nearest(tt.name, []string{"jump", "throw", "rotational throw", "sprint", "swing.left"}); got != tt.want {
			t.Errorf("Nearest(%q) = %q, want %q", tt.name, got, tt.want)
		}
	}
	for _, pair := range [][2]string{{"foo", "level"}, {"x", "y"}, {"2", "1"}} {
		if got := Nearest(pair[0], pair[1:]); got != "" {
			t.Errorf("%q is near %q", got, pair[0])
		}
	}
	if got := Nearest("x", nil); got != "" {
		t.Errorf("got %q", got)
	}
	// Distances by hand, the classical example of Levenshtein distance among them.
	for _, tt := range []struct {
		a, b string
		want int
	}{{"kitten", "sitting", 3}, {"", "abc", 3}, {"abc", "", 3}, {"abc", "abc", 0}} {
		if got := edits([]rune(tt.a), []rune(tt.b)); got != tt.want {
			t.Errorf("edits(%q, %q) = %d, want %d", tt.a, tt.b, got, tt.want)
		}
	}
}
