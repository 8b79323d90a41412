package cohort

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"noisefloor/internal/names"
)

const cohortText = `athlete,session,trial,test,side,value,level,age,note
a,S1,1,jump,,30,school,16.5,x
a,S1,2,jump,,31,school,16.5,x
a,S2,1,jump,,32,school,17,
a,S1,1,throw,left,10,school,16.5,x
a,S1,1,throw,right,11,school,16.5,x
b,S1,1,jump,,40,senior,21,y
b,S2,1,jump,,41,senior,21,y
b,S10,1,throw,left,12,senior,21,y
c,S1,1,jump,,35,,,
`

func TestWhere(t *testing.T) {
	tests := []struct {
		conditions []string
		left       []int    // lines of cohortText that are left, the header being 0
		lost       []int    // LeftOut, for each condition
		athletes   []string // left
	}{
		{[]string{"level=school"}, []int{1, 2, 3, 4, 5}, []int{4}, []string{"a"}},
		{[]string{" Level != school "}, []int{6, 7, 8}, []int{6}, []string{"b"}}, // missing meets no comparison
		{[]string{"level=''"}, []int{9}, []int{8}, []string{"c"}},
		{[]string{"level!="}, []int{1, 2, 3, 4, 5, 6, 7, 8}, []int{1}, []string{"a", "b"}},
		{[]string{"age>=17"}, []int{3, 6, 7, 8}, []int{5}, []string{"a", "b"}},
		{[]string{"age<17.0"}, []int{1, 2, 4, 5}, []int{5}, []string{"a"}},
		{[]string{"age==21.00"}, []int{6, 7, 8}, []int{6}, []string{"b"}},
		{[]string{"note>w"}, []int{1, 2, 4, 5, 6, 7, 8}, []int{2}, []string{"a", "b"}},
		{[]string{"session>=S2"}, []int{3, 7, 8}, []int{6}, []string{"a", "b"}},
		{[]string{"session<S10"}, []int{1, 2, 3, 4, 5, 6, 7, 9}, []int{1}, []string{"a", "b", "c"}},
		{[]string{"session!=S1", "session != S10"}, []int{3, 7}, []int{6, 1}, []string{"a", "b"}},
		{[]string{"trial<=1"}, []int{1, 3, 4, 5, 6, 7, 8, 9}, []int{1}, []string{"a", "b", "c"}},
		{[]string{"trial=2"}, []int{2}, []int{8}, []string{"a"}},
		{[]string{"trial!=1"}, []int{2}, []int{8}, []string{"a"}},
		{[]string{"trial>1"}, []int{2}, []int{8}, []string{"a"}},
		{[]string{"trial>=2"}, []int{2}, []int{8}, []string{"a"}},
		{[]string{"trial<2"}, []int{1, 3, 4, 5, 6, 7, 8, 9}, []int{1}, []string{"a", "b", "c"}},
		{[]string{"side=LEFT"}, []int{4, 8}, []int{7}, []string{"a", "b"}},
		{[]string{"side!=left"}, []int{5}, []int{8}, []string{"a"}},
		{[]string{"side="}, []int{1, 2, 3, 6, 7, 9}, []int{3}, []string{"a", "b", "c"}},
		{[]string{"athlete=b"}, []int{6, 7, 8}, []int{6}, []string{"b"}},
		{[]string{"athlete!=b", "level=school", "trial=1"}, []int{1, 3, 4, 5}, []int{3, 1, 1}, []string{"a"}},
	}
	x := read(t, cohortText, Options{})
	before := flat(x)
	lines := strings.Split(cohortText, "\n")
	for _, tt := range tests {
		t.Run(strings.Join(tt.conditions, " and "), func(t *testing.T) {
			got, err := x.Where(tt.conditions)
			if err != nil {
				t.Fatal(err)
			}
			var want []string
			for _, i := range tt.left {
				c := strings.Split(lines[i], ",")
				name := c[3]
				if c[4] != "" {
					name += "." + c[4]
				}
				want = append(want, fmt.Sprintf("%s | %s | %s | %s | %s", name, c[0], c[1], c[2], c[5]))
			}
			slices.Sort(want)
			attempts := slices.DeleteFunc(flat(got), func(s string) bool { return strings.Contains(s, "(") })
			slices.Sort(attempts)
			if diff := cmp.Diff(want, attempts); diff != "" {
				t.Errorf("(-want +got)\n%s", diff)
			}
			var lost []int
			for i, l := range got.LeftOut {
				lost = append(lost, l.Rows)
				if want := "not " + strings.TrimSpace(tt.conditions[i]); l.Reason != want {
					t.Errorf("reason %q, want %q", l.Reason, want)
				}
			}
			if diff := cmp.Diff(tt.lost, lost); diff != "" {
				t.Errorf("left out (-want +got)\n%s", diff)
			}
			if diff := cmp.Diff(tt.athletes, got.Athletes); diff != "" {
				t.Errorf("athletes (-want +got)\n%s", diff)
			}
			for _, s := range flat(got) { // attributes still belong to their athletes
				if !strings.Contains(s, "(") {
					continue
				}
				if !slices.Contains(before, s) {
					t.Errorf("%q was not so before", s)
				}
			}
		})
	}
	if diff := cmp.Diff(before, flat(x)); diff != "" {
		t.Errorf("Where changed its table:\n%s", diff)
	}
}

func TestWhereRefuses(t *testing.T) {
	x := read(t, cohortText, Options{Columns: map[string]string{"athlete": "athlete"}})
	for condition, want := range map[string]string{
		"level":          "want COLUMN = VALUE",
		"=school":        "want COLUMN = VALUE",
		" = school":      "no column before =",
		"age>":           "no value after >",
		"levle=school":   `there is no column "levle"; did you mean "level"? Columns: "level", "age", "note", "athlete"`,
		"foo=school":     `there is no column "foo"; columns: "level", "age", "note", "athlete", "session", "trial", "side"`,
		"jump>3":         `"jump" is a measure, and conditions are on columns about athletes and sessions: "level", "age", "note", "athlete", "session", "trial", "side"; --measure chooses measures`,
		"test=jump":      `"test" holds the names of the measures, and conditions are on columns about athletes`,
		"level=scool":    `"level" never is "scool"; did you mean "school"? It is: "school", "senior"`,
		"age>old":        `"age" holds numbers, and "old" is none`,
		"session=S3":     `there is no session "S3"`,
		"trial=first":    `trials are numbers, and "first" is none`,
		"side=up":        `there is no side "up"`,
		"side<left":      "sides are compared with = and != only",
		"athlete>a":      "athletes are compared with = and != only; to see some athletes only, use --athlete",
		"athlete=z":      `there is no athlete "z"; athletes: "a", "b", "c"; to see some athletes only, use --athlete`,
		"age>99":         "nothing is left",
		"session<S1":     "nothing is left",
		"value>3":        `"value" holds the values, and conditions are on columns about athletes`,
		"level=x":        `"level" never is "x"; it is: "school", "senior"`,
		"level!=school!": `never is "school!"`,
	} {
		if _, err := x.Where([]string{condition}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: got %v, want %q", condition, err, want)
		}
	}
	bare := read(t, "id,j\na,3\n", Options{})
	for _, c := range []string{"side=left", "level=x"} {
		if _, err := bare.Where([]string{c}); err == nil {
			t.Errorf("%q was met", c)
		}
	}
}

// As texts "9" is more than "16": one cell that is no number must not turn a
// comparison of numbers into one of texts. Missing cells never match.
func TestWhereNumberAgainstText(t *testing.T) {
	const text = "athlete,session,jump,age\na,1,3,9\nb,1,4,16\nc,1,5,\nd,1,6,?\n"
	x := read(t, text, Options{})
	for _, op := range []string{"<", "<=", ">", ">="} {
		_, err := x.Where([]string{"age" + op + "16"})
		if err == nil {
			t.Fatalf("age%s16 was met", op)
		}
		for _, want := range []string{x.Source.Path, "row 5", `athlete "d"`, `session "1"`, `column "age"`, `"?"`,
			`--missing "?"`} {
			if !strings.Contains(err.Error(), want) {
				t.Errorf("age%s16: no %s in %v", op, want, err)
			}
		}
		if _, err = x.Where([]string{"athlete!=a", "age" + op + "16"}); err == nil || !strings.Contains(err.Error(),
			"row 5") {
			t.Errorf("the row after another condition: %v", err)
		}
	}
	if got, err := x.Where([]string{"age=16"}); err != nil || !slices.Equal(got.Athletes, []string{"b"}) {
		t.Errorf("age=16: %v, %v", got, err)
	}
	if got, err := x.Where([]string{"age>z"}); err == nil {
		t.Errorf("as texts nothing comes after z: %q", got.Athletes)
	}
	got, err := read(t, text, Options{Missing: []string{"?"}}).Where([]string{"age>=16"})
	if err != nil || !slices.Equal(got.Athletes, []string{"b"}) {
		t.Errorf("with ? for missing: %v, %v", got, err)
	}
}

// Columns go by the name of the role and by their own.
func TestWhereByColumnName(t *testing.T) {
	x := read(t, "Code,Visit,Squad,jump\na,1,x,3\nb,2,y,4\n", Options{})
	for _, c := range []string{"code=a", "athlete=a", "visit=1", "session=1", "squad=x", "level=x"} {
		got, err := x.Where([]string{c})
		if err != nil || len(got.Athletes) != 1 || got.Athletes[0] != "a" {
			t.Errorf("%q: %v", c, err)
		}
	}
}

func TestSelectSessions(t *testing.T) {
	x := read(t, cohortText, Options{})
	got, err := x.SelectSessions([]string{"s10", "S2"})
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{"S2", "S10"}, got.Sessions); diff != "" {
		t.Error(diff)
	}
	want := []string{"jump | a | S2 | 1 | 32", "jump | b | S2 | 1 | 41", "throw.left | b | S10 | 1 | 12"}
	if diff := cmp.Diff(want, flat(got)[:3]); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]LeftOut{{"session not selected", 6}}, got.LeftOut); diff != "" {
		t.Error(diff)
	}
	if all, err := x.SelectSessions(nil); err != nil || len(all.Sessions) != 3 {
		t.Errorf("%v, %v", all, err)
	}
	for _, twice := range [][]string{{"S1", "S1"}, {"S2", "S10", "s2"}} {
		want := fmt.Sprintf("session %q is given twice", twice[len(twice)-1])
		if _, err = x.SelectSessions(twice); err == nil || err.Error() != want {
			t.Errorf("%q: got %v", twice, err)
		}
	}
	if _, err = x.SelectSessions([]string{"S3"}); err == nil || !strings.Contains(err.Error(),
		`there is no session "S3"; did you mean "S1"?`) {
		t.Errorf("got %v", err)
	}
}

// A date may be named in another way than it is written, where that is clear.
func TestSessionsByDate(t *testing.T) {
	tests := []struct {
		sessions [2]string
		name     string
		want     int // -1: an error
	}{
		{[2]string{"2026-03-01", "2026-03-02"}, "1.3.2026", 0},
		{[2]string{"2026-03-01", "2026-03-02"}, "2026-3-2", 1},
		{[2]string{"2026-03-01", "2026-03-02"}, "1 Mar 2026", 0},
		{[2]string{"1.3.2026", "2.3.2026"}, "2026-03-02", 1},
		{[2]string{"1.3.26", "2.3.26"}, "02.03.2026", 1},
		{[2]string{"2026-03-01", "2026-01-03"}, "1/3/2026", -1}, // either
		{[2]string{"2026-03-01", "2026-03-02"}, "3.3.2026", -1},
		{[2]string{"red", "blue"}, "1.3.2026", -1},
	}
	for _, tt := range tests {
		x := read(t, fmt.Sprintf("id,session,j\na,%s,1\na,%s,2\n", tt.sessions[0], tt.sessions[1]), Options{})
		got, err := x.Session(tt.name)
		if e := (*names.Error)(nil); tt.want < 0 {
			if !errors.As(err, &e) || e.Kind != "session" {
				t.Errorf("%q in %q: got %d, %v", tt.name, tt.sessions, got, err)
			}
			continue
		}
		if err != nil || x.Sessions[got] != tt.sessions[tt.want] {
			t.Errorf("%q in %q: got %d, %v", tt.name, tt.sessions, got, err)
		}
	}
}

// Names that match nothing are told apart from data that is wrong.
func TestNameErrors(t *testing.T) {
	x := read(t, cohortText, Options{})
	sheets := book(t, [][]any{{"athlete", "jump"}, {"a", 3}}, nil)
	for kind, err := range map[string]error{
		"measure":   func() error { _, err := x.SelectMeasures([]string{"jmp"}); return err }(),
		"session":   func() error { _, err := x.SelectSessions([]string{"S9"}); return err }(),
		"attribute": func() error { _, err := x.AthleteTexts("levl"); return err }(),
		"column":    func() error { _, err := x.Where([]string{"levl=x"}); return err }(),
		"athlete":   func() error { _, err := x.Where([]string{"athlete=d"}); return err }(),
		"side":      func() error { _, err := x.Where([]string{"side=lft"}); return err }(),
		"sheet": func() error {
			_, err := Open("-", bytes.NewReader(sheets),
				Options{Sheet: "Shet1"})
			return err
		}(),
	} {
		if e := (*names.Error)(nil); !errors.As(err, &e) || e.Kind != kind {
			t.Errorf("%s: got %v", kind, err)
		} else if kind != "athlete" && e.Nearest == "" && kind != "measure" {
			t.Errorf("%s: nothing near in %v", kind, err)
		}
	}
	zoe := read(t, "athlete,session,jump,pays\nZoë,S1,3,été\nBo,S1,4,x\n", Options{})
	if got, err := zoe.Where([]string{"athlete=zoe"}); err != nil || !slices.Equal(got.Athletes, []string{"Zoë"}) {
		t.Errorf("%v, %v", got, err)
	}
}

func TestSelectMeasures(t *testing.T) {
	x := read(t, "id,jump,throw.left,throw.right,CMJ/arms,[odd]\na,1,2,3,4,5\n", Options{})
	tests := []struct {
		globs []string
		want  []string
	}{
		{nil, []string{"jump", "throw.left", "throw.right", "CMJ/arms", "[odd]"}},
		{[]string{"throw*"}, []string{"throw.left", "throw.right"}},
		{[]string{"*left", "jump"}, []string{"jump", "throw.left"}},
		{[]string{"jum?"}, []string{"jump"}},
		{[]string{"cmj*"}, []string{"CMJ/arms"}},
		{[]string{"*arms"}, []string{"CMJ/arms"}},
		{[]string{"[odd]"}, []string{"[odd]"}},
		{[]string{"JUMP"}, []string{"jump"}},
		{[]string{"*"}, []string{"jump", "throw.left", "throw.right", "CMJ/arms", "[odd]"}},
	}
	for _, tt := range tests {
		got, err := x.SelectMeasures(tt.globs)
		if err != nil {
			t.Errorf("%q: %v", tt.globs, err)
			continue
		}
		if diff := cmp.Diff(tt.want, got.measureNames()); diff != "" {
			t.Errorf("%q (-want +got)\n%s", tt.globs, diff)
		}
	}
	for glob, want := range map[string]string{"jmp": `did you mean "jump"?`, "thro": "there is no measure",
		"[a": "not a pattern"} {
		if _, err := x.SelectMeasures([]string{glob}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: got %v", glob, err)
		}
	}
	if m, err := x.Measure("JUMP"); err != nil || m.Name != "jump" {
		t.Errorf("%v, %v", m, err)
	}
	if _, err := x.Measure("throw.rigth"); err == nil || !strings.Contains(err.Error(), `did you mean "throw.right"?`) {
		t.Errorf("got %v", err)
	}
	if _, err := (&Table{}).Measure("x"); err == nil || !strings.Contains(err.Error(), "the table has none") {
		t.Errorf("got %v", err)
	}
}

func TestAthleteTexts(t *testing.T) {
	x := read(t, cohortText, Options{})
	got, err := x.AthleteTexts("LEVEL")
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{"school", "senior", ""}, got); diff != "" {
		t.Error(diff)
	}
	_, err = x.AthleteTexts("age")
	if want := `"age" differs between sessions for 1 athlete, such as "16.5" in session "S1" and "17" in session "S2": name a column that does not change, or at least two sessions in which it stays the same`; err == nil || err.Error() != want {
		t.Errorf("got %v", err)
	}
	if _, err = x.AthleteTexts("levels"); err == nil || !strings.Contains(err.Error(), `did you mean "level"?`) {
		t.Errorf("got %v", err)
	}
	if _, err = read(t, "id,j\na,3\n", Options{}).AthleteTexts("level"); err == nil || !strings.Contains(err.Error(),
		"the table has none") {
		t.Errorf("got %v", err)
	}
}

// An athlete's text in one session: a has 16.5 in S1 and 17 in S2, and the rows
// of S2 stand first.
func TestAthleteTextsAt(t *testing.T) {
	x := read(t, "athlete,session,jump,age\na,S2,3,17\nb,S1,4,21\na,S1,3,16.5\na,S3,3,\nc,S1,3,\nd,S1,3,19\nd,S3,3,20\nd,S2,3,19.5\n", Options{})
	for which, want := range map[string][]string{"first": {"16.5", "21", "", "19"}, "last": {"17", "21", "", "20"}} {
		got, err := x.AthleteTextsAt("Age", which)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s: %s", which, diff)
		}
	}
	for _, wrong := range [][2]string{{"age", ""}, {"age", "middle"}, {"aeg", "first"}} {
		if got, err := x.AthleteTextsAt(wrong[0], wrong[1]); err == nil {
			t.Errorf("%q: %q", wrong, got)
		}
	}
}

func TestAthleteNumbers(t *testing.T) {
	x := read(t, cohortText, Options{})
	got, err := x.AthleteNumbers("age")
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]float64{16.75, 21, math.NaN()}, got, cmpopts.EquateNaNs()); diff != "" {
		t.Error(diff)
	}
	if _, err = x.AthleteNumbers("level"); err == nil || !strings.Contains(err.Error(),
		`row 2, column "level": not a number: "school"`) {
		t.Errorf("got %v", err)
	}
	comma := read(t, "id;age;j\na;16,5;3,5\n", Options{})
	if got, err = comma.AthleteNumbers("age"); err != nil || got[0] != 16.5 {
		t.Errorf("%v, %v", got, err)
	}
	if _, err = read(t, "id;age;j\na;16.5;3,5\n", Options{}).AthleteNumbers("age"); err == nil {
		t.Error("a point was read as the decimal separator of a table with commas")
	}
}

func TestOrderSessions(t *testing.T) {
	const (
		file       = "in order of first appearance"
		wordsDoubt = "neither numbers, nor dates, nor words for before and after order the sessions"
		noDates    = "no reading, with the day or the month first, makes dates of all sessions"
		asks       = "asks" // which number stands first
		byWords    = "by the words for before and after"
		anyFirst   = "by date, whether the day, the month or the year is first"
	)
	tests := []struct {
		name  string
		names []string
		how   string
		want  string
		doubt string
	}{
		{"numbers", []string{"10", "9", "-1", "2.5", "2,25"}, "by number", "-1 2,25 2.5 9 10", ""},
		{"dates", []string{"2026-03-01", "2025-12-31", "2026-03-01T08:00"}, "by date",
			"2025-12-31 2026-03-01 2026-03-01T08:00", ""},
		{"no zeros", []string{"2026-3-1", "2025-12-1"}, "by date", "2025-12-1 2026-3-1", ""},
		{"some zeros", []string{"2026-10-01", "2026-3-1 9:30", "2026-03-1"}, "by date",
			"2026-03-1 2026-3-1 9:30 2026-10-01", ""},
		{"year first", []string{"2026/03/01", "2025.12.31"}, "by date", "2025.12.31 2026/03/01", ""},
		{"months by name", []string{"2-Mar-2026", "14 Jan 2026"}, "by date", "14 Jan 2026 2-Mar-2026", ""},
		{"numbered", []string{"week 12", "Week 4", "week 05"}, "by the number in the name", "Week 4 week 05 week 12",
			""},
		{"T", []string{"T2", "T1"}, "by the number in the name", "T1 T2", ""},
		{"post before pre", []string{"post", "pre"}, byWords, "pre post", ""},
		{"words", []string{"AFTER", "Mid", "Baseline"}, byWords, "Baseline Mid AFTER", ""},
		{"words with numbers", []string{"Post 10", "post-2", "pre"}, byWords, "pre post-2 Post 10", ""},
		{"test and retest", []string{"Re-Test", "Test"}, byWords, "Test Re-Test", ""},
		{"follow-up", []string{"follow up 2", "Follow-up 1", "before"}, byWords, "before Follow-up 1 follow up 2", ""},
		{"posttest", []string{"post-testing", "pretest"}, byWords, "pretest post-testing", ""},
		{"two words for one thing", []string{"pre", "baseline"}, file, "pre baseline", wordsDoubt},
		{"a word nobody knows", []string{"post", "pre", "later"}, file, "post pre later", wordsDoubt},
		{"mixed", []string{"S2", "baseline", "S1"}, file, "S2 baseline S1", wordsDoubt},
		{"other stems", []string{"a2", "b1"}, file, "a2 b1", wordsDoubt},
		{"one", []string{"x"}, "", "x", ""},

		{"day first, points", []string{"02.04.2026", "14.03.2026", "1.5.2026"}, "by date, the day first",
			"14.03.2026 02.04.2026 1.5.2026", ""},
		{"points, either would do", []string{"02.03.2026", "01.04.2026"}, "by date, the day first",
			"02.03.2026 01.04.2026", ""},
		{"points, no such month", []string{"03.14.2026", "02.03.2026"}, file, "03.14.2026 02.03.2026", noDates},
		{"day first, by one date", []string{"02/04/2026", "14/03/2026"}, "by date, the day first",
			"14/03/2026 02/04/2026", ""},
		{"month first, by one date", []string{"04/02/2026", "03/14/2026"}, "by date, the month first",
			"03/14/2026 04/02/2026", ""},
		{"dashes", []string{"02-04-2026", "14-03-2026"}, "by date, the day first", "14-03-2026 02-04-2026", ""},
		{"time of day", []string{"14.03.2026 10:30", "14.03.2026 09:15:30"}, "by date, the day first",
			"14.03.2026 09:15:30 14.03.2026 10:30", ""},
		{"undecidable", []string{"02/03/2026", "01/04/2026"}, asks, "02/03/2026 01/04/2026", ""},
		{"undecidable, the same order", []string{"02/03/2026", "01/02/2026", "03/04/2026"}, anyFirst,
			"01/02/2026 02/03/2026 03/04/2026", ""},
		{"both ways at once", []string{"14/03/2026", "03/15/2026"}, file, "14/03/2026 03/15/2026", noDates},
		{"two separators", []string{"14.03/2026", "02.04/2026"}, file, "14.03/2026 02.04/2026", wordsDoubt},
		{"no such day", []string{"30/02/2026", "01/02/2026"}, file, "30/02/2026 01/02/2026", noDates},

		{"short years", []string{"02.04.26", "14.03.26"}, "by date, the day first", "14.03.26 02.04.26", ""},
		{"short years, slashes", []string{"2/4/26", "14/3/26"}, "by date, the day first", "14/3/26 2/4/26", ""},
		{"short years, month first", []string{"4/2/26", "3/14/26"}, "by date, the month first", "3/14/26 4/2/26", ""},
		{"short years, undecidable", []string{"2/3/26", "1/4/26"}, asks, "2/3/26 1/4/26", ""},
		{"ddmmyy", []string{"010326", "150126"}, "by date, the day first", "150126 010326", ""},
		{"mmddyy", []string{"030126", "011526"}, "by date, the month first", "011526 030126", ""},
		{"yymmdd", []string{"260301", "251231"}, "by date, the year first", "251231 260301", ""},
		{"yymmdd, or 2001 with the day first", []string{"260301", "251201"}, asks, "260301 251201", ""},
		{"ddmmyy, undecidable", []string{"020326", "010426"}, asks, "020326 010426", ""},
		{"yyyymmdd", []string{"20260301", "20251201"}, "by date, the year first", "20251201 20260301", ""},
		{"ddmmyyyy", []string{"01032026", "15012026"}, "by date, the day first", "15012026 01032026", ""},
		{"numbers of six digits", []string{"100002", "100001"}, "by number", "100001 100002", ""},
		{"year and month", []string{"202603", "202512"}, "by number", "202512 202603", ""},
	}
	for _, tt := range tests {
		o := orderSessions(tt.names, "")
		if len(o.either) > 0 {
			o.how = asks
		}
		var got []string
		for _, i := range o.order {
			got = append(got, tt.names[i])
		}
		if o.how != tt.how || strings.Join(got, " ") != tt.want || o.doubt != tt.doubt {
			t.Errorf("%s: %q %s, %s", tt.name, got, o.how, o.doubt)
		}
	}
	for _, names := range [][]string{{"02/04/2026", "01/04/2026", "30/03/2026"}, {"2/4/2026", "1/4/2026",
		"30/3/2026"}} {
		if o := orderSessions(names, dateLayout("%d/%m/%Y")); o.how != "by date" || !slices.Equal(o.order, []int{2, 1,
			0}) {
			t.Errorf("%v %s", o.order, o.how)
		}
	}
}
