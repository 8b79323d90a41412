package cohort

import (
	"regexp"
	"slices"
	"strconv"
	"time"
)

// numericDate is a date in three numbers, perhaps with the time of day:
// 14.03.2026, 3/14/26, 140326, 20260314.
var numericDate = regexp.MustCompile(`^(?:(\d{1,2})([./-])(\d{1,2})([./-])(\d{4}|\d{2})|(\d{6}|\d{8}))` +
	`(?:[ T](\d{1,2}):(\d{2})(?::(\d{2}))?)?$`)

// figures are the figures of a numeric date. What they mean a reading says.
type figures struct {
	parts     [3]string // as they stand; of a date in one piece only parts[0]
	separator string    // "" for a date in one piece
	clock     [3]int
}

func parseFigures(s string) (f figures, ok bool) {
	m := numericDate.FindStringSubmatch(s)
	if m == nil || m[2] != m[4] {
		return f, false
	}
	for i := range f.clock {
		f.clock[i], _ = strconv.Atoi(m[7+i]) // digits, or "" for no time of day
	}
	f.parts, f.separator = [3]string{m[1], m[3], m[5]}, m[2]
	if m[6] != "" {
		f.parts = [3]string{m[6]}
	}
	return f, f.clock[0] < 24 && f.clock[1] < 60 && f.clock[2] < 60
}

// form tells apart the kinds of dates that are never mixed.
func (f figures) form() string {
	if f.separator == "" {
		return strconv.Itoa(len(f.parts[0]))
	}
	return f.separator + strconv.Itoa(len(f.parts[2]))
}

// A reading says in which order day, month and year stand.
type reading struct {
	order string // "dmy", "mdy" or "ymd"
	how   string
}

var readings = []reading{{"dmy", "the day first"}, {"mdy", "the month first"}, {"ymd", "the year first"}}

// split returns the three numbers of a date in the order of a reading.
func (f figures) split(order string) [3]string {
	if f.separator != "" {
		return f.parts
	}
	s, year := f.parts[0], len(f.parts[0])-4
	if order == "ymd" {
		return [3]string{s[:year], s[year : year+2], s[year+2:]}
	}
	return [3]string{s[:2], s[2:4], s[4:]}
}

// time reads the date; years of two digits are those of this century.
func (f figures) time(order string) (time.Time, bool) {
	var year, month, day int
	for i, text := range f.split(order) {
		n, _ := strconv.Atoi(text) // one to four digits
		switch order[i] {
		case 'd':
			day = n
		case 'm':
			month = n
		case 'y':
			year = n
			switch {
			case len(text) == 2:
				year += 2000
			case len(text) != 4 || n < 1950 || n > 2100:
				return time.Time{}, false
			}
		}
	}
	t := time.Date(year, time.Month(month), day, f.clock[0], f.clock[1], f.clock[2], 0, time.UTC)
	return t, t.Day() == day && int(t.Month()) == month
}

// A timeline is one reading of all names.
type timeline struct {
	reading
	order []int
	span  time.Duration // from the first to the last
}

// plausibleSpan is how far apart the sessions of one table may lie for a
// reading to be preferred to one that spreads them further: in 010326 and
// 150126 the years 2001 and 2015 are days.
const plausibleSpan = 5 * 366 * 24 * time.Hour

// timelines reads dates in each way that makes dates of all.
func timelines(dates []figures) []timeline {
	var found []timeline
	for _, r := range readings {
		if dates[0].separator == "." && r.order != "dmy" {
			continue // with points between, the day is first
		}
		times, ok := all(dates, func(f figures) (time.Time, bool) { return f.time(r.order) })
		if !ok {
			continue
		}
		order := appearance(len(dates))
		slices.SortStableFunc(order, func(a, b int) int { return times[a].Compare(times[b]) })
		found = append(found, timeline{r, order, times[order[len(order)-1]].Sub(times[order[0]])})
	}
	near := func(t timeline) bool { return t.span <= plausibleSpan }
	if slices.ContainsFunc(found, near) {
		found = slices.DeleteFunc(found, func(t timeline) bool { return !near(t) })
	}
	return found
}

// orderNumericDates orders dates of three numbers by what all of them allow.
// Dates that can be read in two ways, with another order each, are a question.
// ok is false for names that are no such dates.
func orderNumericDates(names []string) (o sessionOrder, ok bool) {
	dates, ok := all(names, parseFigures)
	if !ok {
		return o, false
	}
	for _, d := range dates {
		if d.form() != dates[0].form() {
			return o, false
		}
	}
	o.order = appearance(len(names))
	found := timelines(dates)
	if len(found) == 0 {
		o.how, o.doubt = byAppearance, "no reading, with the day or the month first, makes dates of all sessions"
		return o, dates[0].separator != "" // else they are numbers
	}
	o.how = "by date, " + found[0].how
	for _, other := range found[1:] {
		o.how = "by date, whether the day, the month or the year is first"
		if !slices.Equal(found[0].order, other.order) {
			return sessionOrder{order: o.order, how: byAppearance, either: found, written: dates[0]}, true
		}
	}
	o.order = found[0].order
	return o, true
}

// formatOf is the format that a dictionary would state for dates written as f.
func (r reading) formatOf(f figures) string {
	year := "%Y"
	if last := f.split(r.order); len(last[2]) == 2 && r.order != "ymd" || r.order == "ymd" && len(last[0]) == 2 {
		year = "%y"
	}
	at := map[byte]string{'d': "%d", 'm': "%m", 'y': year}
	return at[r.order[0]] + f.separator + at[r.order[1]] + f.separator + at[r.order[2]]
}

// appearance is the order in which n names stand already.
func appearance(n int) []int {
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	return order
}
