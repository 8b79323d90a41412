package cohort

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

const byAppearance = "in order of first appearance"

// orderSessions returns the names in order of time, and says how that order
// was found; doubt says why it may not be that of time, "" when it is. layout
// is how the dictionary says dates are written, "" when it does not.
func orderSessions(names []string, layout string) (order []int, how, doubt string) {
	order = appearance(len(names))
	if len(names) < 2 {
		return order, "", ""
	}
	if order, how, doubt, ok := orderCompact(names, layout); ok {
		return order, how, doubt
	}
	if v, ok := all(names, func(s string) (float64, bool) {
		v, _, ok := parseNumber([]byte(strings.Replace(s, ",", ".", 1)))
		return v, ok
	}); ok {
		slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(v[a], v[b]) })
		return order, "by number", ""
	}
	if v, ok := all(names, func(s string) (time.Time, bool) { return parseDate(s, layout) }); ok {
		slices.SortStableFunc(order, func(a, b int) int { return v[a].Compare(v[b]) })
		return order, "by date", ""
	}
	if layout == "" {
		if order, how, doubt, ok := orderDayMonth(names); ok {
			return order, how, doubt
		}
	}
	return orderWords(names, order)
}

// orderWords orders names that are no dates: by their number, or by words such
// as pre and post.
func orderWords(names []string, order []int) (_ []int, how, doubt string) {
	if v, ok := numbered(names); ok {
		slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(v[a], v[b]) })
		return order, "by the number in the name", ""
	}
	if v, ok := all(names, phase); ok {
		slices.SortStableFunc(order, func(a, b int) int {
			return cmp.Or(cmp.Compare(v[a].when, v[b].when), cmp.Compare(v[a].number, v[b].number))
		})
		return order, "by the words before and after", ""
	}
	doubt = noOrder
	if _, dated := all(names, func(s string) (string, bool) { return s, shortDate.MatchString(s) }); dated {
		doubt = "the sessions look like dates without a full year"
	}
	return order, byAppearance, doubt
}

// A stage is where a session stands to a block of training.
type stage struct{ when, number int }

// phases are the words for before, during and after.
var phases = map[string]int{
	"pre": 0, "pretest": 0, "before": 0, "baseline": 0, "base": 0, "start": 0, "test": 0, "first": 0,
	"mid": 1, "middle": 1, "midtest": 1, "during": 1, "half": 1, "halfway": 1,
	"post": 2, "posttest": 2, "after": 2, "end": 2, "final": 2, "last": 2, "retest": 2, "followup": 2,
}

var phaseName = regexp.MustCompile(`^([a-z]+)(\d{0,4})$`)

// phase reads a word, and a number behind it if there is one: "Pre", "post-test 2".
func phase(s string) (stage, bool) {
	joined := strings.NewReplacer(" ", "", "-", "", "_", "", ".", "").Replace(strings.ToLower(s))
	m := phaseName.FindStringSubmatch(joined)
	if m == nil {
		return stage{}, false
	}
	when, ok := phases[m[1]]
	n, _ := strconv.Atoi(m[2]) // "" is 0: before those with a number
	return stage{when, n}, ok
}

// all converts every name, or none.
func all[S, T any](names []S, convert func(S) (T, bool)) ([]T, bool) {
	out := make([]T, len(names))
	for i, s := range names {
		v, ok := convert(s)
		if !ok {
			return nil, false
		}
		out[i] = v
	}
	return out, true
}

var dateLayouts = []string{time.DateOnly, "2006/01/02", "2006.01.02", "2006-1-2", "2006/1/2", "2006.1.2", "2 Jan 2006", "2-Jan-2006", "2 January 2006",
	"2006-01-02T15:04:05", "2006-01-02 15:04:05", "2006-01-02T15:04", "2006-01-02 15:04", time.RFC3339}

// shortDate is a day and month, perhaps with the last digits of a year.
var shortDate = regexp.MustCompile(`^\d{1,2}[./-]\d{1,2}[./-]?$`)

func parseDate(s, layout string) (time.Time, bool) {
	layouts := dateLayouts
	if layout != "" {
		layouts = []string{layout}
	}
	for _, l := range layouts {
		if t, err := time.Parse(l, s); err == nil {
			return t, true
		}
	}
	return time.Time{}, false
}

var numberedName = regexp.MustCompile(`^(\D*)(\d{1,9})(\D*)$`)

// numbered finds the numbers of names that differ in their number only: "S2"
// and "S10", "week 4" and "Week 12".
func numbered(names []string) ([]int, bool) {
	stem := ""
	return all(names, func(s string) (int, bool) {
		m := numberedName.FindStringSubmatch(s)
		if m == nil {
			return 0, false
		}
		this := strings.ToLower(m[1] + "#" + m[3])
		if stem == "" {
			stem = this
		}
		n, err := strconv.Atoi(m[2])
		return n, err == nil && this == stem
	})
}
