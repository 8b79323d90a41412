package cohort_test

import (
	"slices"
	"strings"
	"testing"

	"noisefloor/internal/cohort"
)

// Days between sessions, by the calendar: 2024 is a leap year, and 2026-03-29 is
// a day of 23 hours in much of Europe, which must not matter. What is no date, or
// a date that can be read in two ways, has none.
func TestDaysApart(t *testing.T) {
	for sessions, want := range map[string][]int{
		"2024-02-28 2024-03-01 2024-03-08":  {2, 7},
		"2026-03-28 2026-04-04":             {7},
		"2025-12-1 2026-3-1":                {90},
		"13/1/2026 20/1/2026":               {7}, // no month 13
		"1.3.2026 8.3.2026":                 {7}, // with points the day is first
		"2026-03-01T17:30 2026-03-02T09:00": {1},
		"1/2/2026 8/2/2026":                 nil, // 1 February, or 2 January
		"1 2":                               nil,
		"pre post":                          nil,
		"060126 130126":                     nil,
		"2026-03-01":                        nil,
		"":                                  nil,
	} {
		if got := cohort.DaysApart(strings.Fields(sessions)); !slices.Equal(got, want) {
			t.Errorf("%s: %v, want %v", sessions, got, want)
		}
	}
}
