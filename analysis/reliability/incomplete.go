package reliability

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"noisefloor/analysis/score"
)

// leftOut lists the athletes without a score in every session, by reason, in
// the order in which the reasons appear. partial counts those with some score.
func leftOut(t score.Table) (out []LeftOut, partial int) {
	at := map[string]int{}
	for i, name := range t.Athletes {
		names := missing(t.Sessions, t.Row(i))
		if len(names) == 0 {
			continue
		}
		never := len(names) == len(t.Sessions)
		if !never {
			partial++
		}
		reason := strings.Join(names, "\x00")
		j, seen := at[reason]
		if !seen {
			j = len(out)
			at[reason] = j
			out = append(out, LeftOut{Without: names, Never: never})
		}
		out[j].Athletes = append(out[j].Athletes, name)
	}
	return out, partial
}

// missing lists the sessions in which a row has no score.
func missing(sessions []string, row []float64) (names []string) {
	for j, v := range row {
		if math.IsNaN(v) {
			names = append(names, sessions[j])
		}
	}
	return names
}

// reason is for errors.
func (l LeftOut) reason() string {
	last := len(l.Without) - 1
	switch {
	case l.Never:
		return "no score in any session"
	case last == 0:
		return "no score in session " + l.Without[0]
	}
	return "no score in sessions " + strings.Join(l.Without[:last], ", ") + " and " + l.Without[last]
}

// tooFew explains why there is no analysis.
func tooFew(n int, with string, out []LeftOut) string {
	text := fmt.Sprintf("%s with %s, no typical error below %d", count(n), with, MinAthletes)
	if len(out) == 0 {
		return text
	}
	reasons := make([]string, len(out))
	for i, l := range out {
		reasons[i] = fmt.Sprintf("%s: %s", count(len(l.Athletes)), l.reason())
	}
	return text + " (left out: " + strings.Join(reasons, "; ") + "); choose sessions that more athletes have"
}

func count(n int) string {
	if n == 1 {
		return "1 athlete"
	}
	return fmt.Sprintf("%d athletes", n)
}

// emptySession returns the first session without any score, "" if there is none.
func emptySession(t score.Table) string {
	for j, name := range t.Sessions {
		seen := false
		for i := range t.Athletes {
			if !math.IsNaN(t.At(i, j)) {
				seen = true
				break
			}
		}
		if !seen {
			return cmp.Or(name, "without a name")
		}
	}
	return ""
}
