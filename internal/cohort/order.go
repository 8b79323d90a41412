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

// A sessionOrder is how sessions follow each other in time.
type sessionOrder struct {
	order   []int      // indexes of the names, first to last
	how     string     // how it was found, "" for one session
	doubt   string     // why it is only that of the file, "" when it is that of time
	either  []timeline // readings of dates that give other orders: the user has to choose
	written figures    // with either: how the dates are written
}

// orderSessions puts names in the order of time: numbers, dates, names that
// differ by a number, and words for before and after. Other names stay in the
// order in which they appear. layout is how the dictionary says dates are
// written, "" when it does not.
func orderSessions(names []string, layout string) sessionOrder {
	o := sessionOrder{order: appearance(len(names))}
	if len(names) < 2 {
		return o
	}
	if layout == "" {
		if dates, ok := orderNumericDates(names); ok {
			return dates
		}
	}
	switch {
	case layout != "" && sortedBy(&o, names, dates(layout), time.Time.Compare):
		o.how = "by date"
	case sortedBy(&o, names, sessionNumber, cmp.Compare[float64]):
		o.how = "by number"
	case sortedBy(&o, names, dates(""), time.Time.Compare):
		o.how = "by date"
	case sortedByNumber(&o, names):
		o.how = "by the number in the name"
	case sortedByPhase(&o, names):
		o.how = "by the words for before and after"
	default:
		o.how, o.doubt = byAppearance, "neither numbers, nor dates, nor words for before and after order the sessions"
		if _, dated := all(names, func(s string) (string, bool) { return s, shortDate.MatchString(s) }); dated {
			o.doubt = "the sessions look like dates without a year"
		}
	}
	return o
}

// dates reads dates of a layout, "" for any of dateLayouts.
func dates(layout string) func(string) (time.Time, bool) {
	return func(s string) (time.Time, bool) { return parseDate(s, layout) }
}

func sessionNumber(s string) (float64, bool) {
	v, _, ok := parseNumber([]byte(strings.Replace(s, ",", ".", 1)))
	return v, ok
}

// sortedBy sorts the names when all of them convert.
func sortedBy[T any](o *sessionOrder, names []string, convert func(string) (T, bool), compare func(a, b T) int) bool {
	v, ok := all(names, convert)
	if ok {
		slices.SortStableFunc(o.order, func(a, b int) int { return compare(v[a], v[b]) })
	}
	return ok
}

func sortedByNumber(o *sessionOrder, names []string) bool {
	v, ok := numbered(names)
	if ok {
		slices.SortStableFunc(o.order, func(a, b int) int { return cmp.Compare(v[a], v[b]) })
	}
	return ok
}

// phases are the words for what comes before, in the middle and after
// (common practice, no source).
var phases = map[string]int{"pre": 0, "before": 0, "baseline": 0, "base": 0, "test": 0,
	"mid": 1, "middle": 1, "during": 1,
	"post": 2, "after": 2, "retest": 2, "followup": 2}

var phaseName = regexp.MustCompile(`^([a-z]+)(\d{0,9})$`)

// phase reads a name such as "Post-test 2": the place of its word, and its
// number, 0 without one.
func phase(name string) (at [2]int, ok bool) {
	key := strings.NewReplacer(" ", "", "-", "", "_", "", ".", "").Replace(strings.ToLower(name))
	m := phaseName.FindStringSubmatch(key)
	if m == nil {
		return at, false
	}
	at[0], ok = phases[m[1]]
	if !ok {
		at[0], ok = phases[strings.TrimSuffix(strings.TrimSuffix(m[1], "ing"), "test")]
	}
	at[1], _ = strconv.Atoi(m[2]) // digits, or "" for none
	return at, ok
}

// sortedByPhase sorts names that are words for before and after. Two words for
// one thing, such as "pre" and "baseline", have no order.
func sortedByPhase(o *sessionOrder, names []string) bool {
	seen := make(map[[2]int]bool)
	for _, n := range names {
		at, ok := phase(n)
		if !ok || seen[at] {
			return false
		}
		seen[at] = true
	}
	return sortedBy(o, names, phase, func(a, b [2]int) int { return slices.Compare(a[:], b[:]) })
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

var dateLayouts = []string{"2006-1-2", "2006/1/2", "2006.1.2", "2 Jan 2006", "2-Jan-2006", "2 January 2006",
	"2006-1-2T15:04:05", "2006-1-2 15:04:05", "2006-1-2T15:04", "2006-1-2 15:04", time.RFC3339}

// shortDate is a day and month.
var shortDate = regexp.MustCompile(`^\d{1,2}[./-]\d{1,2}[./-]?$`)

// unpadded lets the day and the month of a layout stand without a zero.
var unpadded = strings.NewReplacer("02", "2", "01", "1")

func parseDate(s, layout string) (time.Time, bool) {
	layouts := dateLayouts
	if layout != "" {
		layouts = []string{layout, unpadded.Replace(layout)}
	}
	for _, l := range layouts {
		if t, err := time.Parse(l, s); err == nil {
			return t, true
		}
	}
	return time.Time{}, false
}

// DaysApart returns how many days lie between each session and the next, when
// all their names are dates that can be read in one way; else nil. The time of
// day does not count.
func DaysApart(sessions []string) []int {
	times, ok := all(sessions, dates(""))
	if !ok {
		written, ok := all(sessions, parseFigures)
		if !ok || len(written) == 0 || written[0].separator == "" {
			return nil
		}
		found := timelines(written)
		if len(found) != 1 {
			return nil
		}
		times, _ = all(written, func(f figures) (time.Time, bool) { return f.time(found[0].reading.order) })
	}
	var out []int
	for i := 1; i < len(times); i++ {
		out = append(out, int(day(times[i]).Sub(day(times[i-1])).Hours()/24))
	}
	return out
}

// day is the day of t at noon in UTC, so that days count as 24 hours.
func day(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, 12, 0, 0, 0, time.UTC)
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
