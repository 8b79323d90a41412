package cohort

import (
	"regexp"
	"slices"
	"strconv"
	"time"
)

// dayMonth is a date whose year comes last: 14.03.2026, 3/14/2026, perhaps
// with the time of day.
var dayMonth = regexp.MustCompile(`^(\d{1,2})([./-])(\d{1,2})([./-])(\d{4})(?:[ T](\d{1,2}):(\d{2})(?::(\d{2}))?)?$`)

// A numericDate is a date of which only the year is known to be the year.
type numericDate struct {
	first, second     int
	year              int
	hour, minute, sec int
	dots              bool
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
	d = numericDate{first: number(1), second: number(3), year: number(5), hour: number(6), minute: number(7), sec: number(8), dots: m[2] == "."}
	return d, d.hour < 24 && d.minute < 60 && d.sec < 60
}

// time reads the date with the day first, or with the month first.
func (d numericDate) time(dayFirst bool) (time.Time, bool) {
	day, month := d.first, d.second
	if !dayFirst {
		day, month = month, day
	}
	t := time.Date(d.year, time.Month(month), day, d.hour, d.minute, d.sec, 0, time.UTC)
	return t, t.Day() == day && int(t.Month()) == month
}

// orderDayMonth orders dates whose year comes last. With points between, the
// day is first. Else it is what all dates allow; dates that can be read both
// ways, with another order each, stay in the order of appearance. ok is false
// for names that are no such dates.
func orderDayMonth(names []string) (order []int, how, doubt string, ok bool) {
	dates, ok := all(names, parseDayMonth)
	if !ok {
		return nil, "", "", false
	}
	byDay, dayOK := orderDates(dates, true)
	byMonth, monthOK := orderDates(dates, false)
	monthOK = monthOK && !slices.ContainsFunc(dates, func(d numericDate) bool { return d.dots })
	switch {
	case dayOK && monthOK && slices.Equal(byDay, byMonth):
		return byDay, "by date, whether the day or the month is first", "", true
	case dayOK && monthOK:
		return appearance(len(names)), byAppearance, "the dates can be read with the day or the month first", true
	case dayOK:
		return byDay, "by date, the day first", "", true
	case monthOK:
		return byMonth, "by date, the month first", "", true
	}
	return appearance(len(names)), byAppearance, "no reading, with the day or the month first, makes dates of all sessions", true
}

// orderDates sorts dates that are read in one way; ok is false when one cannot
// be read so.
func orderDates(dates []numericDate, dayFirst bool) (order []int, ok bool) {
	times, ok := all(dates, func(d numericDate) (time.Time, bool) { return d.time(dayFirst) })
	if !ok {
		return nil, false
	}
	order = appearance(len(dates))
	slices.SortStableFunc(order, func(a, b int) int { return times[a].Compare(times[b]) })
	return order, true
}

// appearance is the order in which n names stand already.
func appearance(n int) []int {
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	return order
}
