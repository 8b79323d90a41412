package cohort

import (
	"regexp"
	"slices"
	"strconv"
	"time"
)

// dayMonth is a date whose year comes last, in four digits or two: 14.03.2026,
// 3/14/26, perhaps with the time of day. With two digits the year may come first.
var dayMonth = regexp.MustCompile(`^(\d{1,2})([./-])(\d{1,2})([./-])(\d{4}|\d{2})(?:[ T](\d{1,2}):(\d{2})(?::(\d{2}))?)?$`)

// A numericDate is a date of which it is not known which number is which.
type numericDate struct {
	parts          [3]int
	hour, min, sec int
	short          bool // two digits for the year
	dots           bool
}

func parseDayMonth(s string) (d numericDate, ok bool) {
	m := dayMonth.FindStringSubmatch(s)
	if m == nil || m[2] != m[4] {
		return d, false
	}
	number := func(i int) int {
		n, _ := strconv.Atoi(m[i]) // digits, or "" for no time of day
		return n
	}
	d = numericDate{parts: [3]int{number(1), number(3), number(5)}, hour: number(6), min: number(7), sec: number(8),
		short: len(m[5]) == 2, dots: m[2] == "."}
	return d, d.hour < 24 && d.min < 60 && d.sec < 60
}

// A reading says at which place day, month and year stand.
type reading struct {
	day, month, year int
	words            string
}

// The readings of a numeric date. The first is that of dates with points.
var (
	dayFirst   = reading{0, 1, 2, "the day first"}
	monthFirst = reading{1, 0, 2, "the month first"}
	yearFirst  = reading{2, 1, 0, "the year first"}
)

// readings are those that a date allows by the way it is written.
func (d numericDate) readings() []reading {
	switch {
	case d.dots:
		return []reading{dayFirst}
	case d.short:
		return []reading{dayFirst, monthFirst, yearFirst}
	}
	return []reading{dayFirst, monthFirst}
}

// century is added to years of two digits.
const century = 2000

// time reads the date in one way.
func (d numericDate) time(r reading) (time.Time, bool) {
	year, month, day := d.parts[r.year], d.parts[r.month], d.parts[r.day]
	if d.short {
		year += century
	}
	t := time.Date(year, time.Month(month), day, d.hour, d.min, d.sec, 0, time.UTC)
	return t, t.Day() == day && int(t.Month()) == month && t.Year() == year
}

// orderDayMonth orders dates in numbers. With points between, the day is first.
// Else it is what all dates allow; dates that can be read in several ways, with
// another order each, stay in the order of appearance. ok is false for names
// that are no such dates.
func orderDayMonth(names []string) (order []int, how, doubt string, ok bool) {
	dates, ok := all(names, parseDayMonth)
	if !ok {
		return nil, "", "", false
	}
	order, how, doubt = orderReadings(dates)
	return order, how, doubt, true
}

// What may be doubtful about the order of dates.
const (
	noReading    = "no reading, with the day or the month first, makes dates of all sessions"
	manyReadings = "the dates can be read with the day or the month first"
	noOrder      = "neither numbers nor dates order the sessions"
)

// orderReadings compares the orders of all readings that fit every date.
func orderReadings(dates []numericDate) (order []int, how, doubt string) {
	var found [][]int
	var ways []string
	for _, r := range common(dates) {
		if o, ok := orderDates(dates, r); ok {
			found, ways = append(found, o), append(ways, r.words)
		}
	}
	if len(found) == 0 {
		return appearance(len(dates)), byAppearance, noReading
	}
	for _, o := range found[1:] {
		if !slices.Equal(o, found[0]) {
			return appearance(len(dates)), byAppearance, manyReadings
		}
	}
	if len(ways) > 1 {
		return found[0], "by date, whether the day or the month is first", ""
	}
	return found[0], "by date, " + ways[0], ""
}

// common are the readings that every date allows.
func common(dates []numericDate) []reading {
	out := dates[0].readings()
	for _, d := range dates {
		allowed := d.readings()
		out = slices.DeleteFunc(slices.Clone(out), func(r reading) bool { return !slices.Contains(allowed, r) })
	}
	return out
}

// orderDates sorts dates that are read in one way; ok is false when one cannot
// be read so.
func orderDates(dates []numericDate, r reading) (order []int, ok bool) {
	times, ok := all(dates, func(d numericDate) (time.Time, bool) { return d.time(r) })
	if !ok {
		return nil, false
	}
	order = appearance(len(dates))
	slices.SortStableFunc(order, func(a, b int) int { return times[a].Compare(times[b]) })
	return order, true
}

var (
	sixDigits   = regexp.MustCompile(`^(\d{2})(\d{2})(\d{2})$`)
	eightDigits = regexp.MustCompile(`^(19|20)\d{2}(0[1-9]|1[0-2])(0[1-9]|[12]\d|3[01])$|^(0[1-9]|[12]\d|3[01])(0[1-9]|1[0-2])(19|20)\d{2}$`)
)

// orderCompact orders dates without marks between, 010326 or 01032026: as plain
// numbers, the first of March would come before the last of February.
func orderCompact(names []string, layout string) (order []int, how, doubt string, ok bool) {
	if layout != "" {
		return nil, "", "", false
	}
	dates, ok := all(names, parseCompact)
	if !ok {
		return nil, "", "", false
	}
	order, how, doubt = orderReadings(dates)
	if doubt == noReading {
		return nil, "", "", false // plain numbers after all
	}
	return order, how, doubt, true
}

// parseCompact reads six or eight digits that can be a date.
func parseCompact(s string) (numericDate, bool) {
	number := func(t string) int { n, _ := strconv.Atoi(t); return n }
	if m := sixDigits.FindStringSubmatch(s); m != nil {
		return numericDate{parts: [3]int{number(m[1]), number(m[2]), number(m[3])}, short: true}, true
	}
	if eightDigits.MatchString(s) && s[:2] != "19" && s[:2] != "20" {
		return numericDate{parts: [3]int{number(s[:2]), number(s[2:4]), number(s[4:])}}, true
	}
	return numericDate{}, false
}

// appearance is the order in which n names stand already.
func appearance(n int) []int {
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	return order
}
