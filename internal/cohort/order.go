package cohort

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// orderSessions returns the names in order of time, and says how that order
// was found. layout is how the dictionary says dates are written, "" when it
// does not.
func orderSessions(names []string, layout string) (order []int, how string) {
	order = make([]int, len(names))
	for i := range order {
		order[i] = i
	}
	if len(names) < 2 {
		return order, ""
	}
	if v, ok := all(names, func(s string) (float64, bool) {
		v, _, ok := parseNumber([]byte(strings.Replace(s, ",", ".", 1)))
		return v, ok
	}); ok {
		slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(v[a], v[b]) })
		return order, "by number"
	}
	if v, ok := all(names, func(s string) (time.Time, bool) { return parseDate(s, layout) }); ok {
		slices.SortStableFunc(order, func(a, b int) int { return v[a].Compare(v[b]) })
		return order, "by date"
	}
	if v, ok := numbered(names); ok {
		slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(v[a], v[b]) })
		return order, "by the number in the name"
	}
	return order, "in order of first appearance"
}

// all converts every name, or none.
func all[T any](names []string, convert func(string) (T, bool)) ([]T, bool) {
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

var dateLayouts = []string{time.DateOnly, "2006-01-02T15:04:05", "2006-01-02 15:04:05", "2006-01-02T15:04", "2006-01-02 15:04", time.RFC3339}

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
