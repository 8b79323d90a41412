package names

import (
	"slices"
	"strings"
	"testing"
)

func TestNearest(t *testing.T) {
	tests := []struct{ name, want string }{
		{"jmp", "jump"}, {"JUMP", "jump"}, {"thow", "throw"}, {"rotational", "rotational throw"}, {"throw rotational",
			"throw"}, {"rotational_trow", "rotational throw"},
		{"vertical jump", "jump"}, {"j", ""}, {"", ""}, {"foo", ""}, {"sprint time", "sprint"}, {"spruce", ""},
		{"hop.left", ""}, {"hop.left.x", ""},
	}
	for _, tt := range tests {
		if got := Nearest(tt.name, []string{"jump", "throw", "rotational throw", "sprint",
			"swing.left"}); got != tt.want {
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
	if got := List(slices.Repeat([]string{"a"}, 14)); !strings.HasSuffix(got, `"a", and 2 more`) {
		t.Errorf("got %s", got)
	}
}
