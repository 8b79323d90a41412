package cli_test

import (
	"fmt"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
)

// Judged by the noise of their own group, athletes get what they get when the
// table holds their group alone; only what depends on all changes together, the
// adjusted p and the states that rest on it, may differ.
func TestRetestByGroup(t *testing.T) {
	table := filepath.Join(demo(t), "data", "tests.csv")
	args := []string{"retest", table, "--noise-from", "1,2", "--learning", "--regression", "--measure",
		"jump_height,cable_press.left"}
	together := map[string]bool{"p_bh": true, "p_holm": true, "selected": true, "verdict": true, "stands_out": true, "occasion": true,
		"group": true}
	all := map[string]map[string]any{}
	key := func(c map[string]any) string { return fmt.Sprint(c["athlete"], c["measure"], c["to"]) }
	for _, c := range items(document(t, append(args, "--by", "Level")...), "changes") {
		all[key(c.(map[string]any))] = c.(map[string]any)
	}
	seen := 0
	for _, level := range []string{"academy", "school", "senior"} {
		for _, one := range items(document(t, append(args, "--where", "level="+level)...), "changes") {
			want, got := one.(map[string]any), all[key(one.(map[string]any))]
			if got["group"] != level {
				t.Fatalf("%s: group %v, want %s", key(want), got["group"], level)
			}
			seen++
			for k, v := range want {
				if !together[k] && !reflect.DeepEqual(v, got[k]) {
					t.Errorf("%s, %s: %v by group, %v alone", key(want), k, got[k], v)
				}
			}
		}
	}
	if seen != len(all) || seen < 200 {
		t.Errorf("%d changes alone, %d by group", seen, len(all))
	}

	// One athlete needs the noise of one group; nobody's group is left unsaid.
	one := document(t, append(args, "--by", "level", "--athlete", "C21")...)
	if n := items(one, "noise"); len(n) != 2 || text(n[0], "group") != "senior" || text(one,
		"settings.by") != "level" || text(one, "settings.origins.by") != "request" {
		t.Errorf("noise %v, by %q", n, text(one, "settings.by"))
	}
	if said := output(t, append(args, "--by", "level", "--details")...); !strings.Contains(said, "academy") ||
		!strings.Contains(said, "group") {
		t.Error("the tables do not name the groups")
	}
	out := filepath.Join(t.TempDir(), "out")
	output(t, "retest", table, "--noise-from", "1,2", "--measure", "jump_height", "--by", "level", "--out", out)
	if sheet := readFile(t, filepath.Join(out, "retest.html")); !strings.Contains(sheet, "(to 4)") {
		t.Error("the sheet does not say which follow-up a change is of")
	}
	for _, none := range items(document(t, append(args, "--by", "none")...), "noise") {
		if text(none, "group") != "" {
			t.Error("--by none has groups")
		}
	}
}
