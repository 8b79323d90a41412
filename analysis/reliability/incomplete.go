package reliability

import (
	"fmt"
	"math"
	"strings"

	"noisefloor/analysis/score"
)

// noScore is the reason of athletes that were never measured.
const noScore = "no score in any session"

// leftOut lists the athletes without a score in every session, by reason, in
// the order in which the reasons appear. partial counts those with some score.
func leftOut(t score.Table) (out []LeftOut, partial int) {
	at := map[string]int{}
	for i, name := range t.Athletes {
		reason := missing(t.Sessions, t.Row(i))
		if reason == "" {
			continue
		}
		if reason != noScore {
			partial++
		}
		j, seen := at[reason]
		if !seen {
			j = len(out)
			at[reason] = j
			out = append(out, LeftOut{Reason: reason})
		}
		out[j].Athletes = append(out[j].Athletes, name)
	}
	return out, partial
}

// missing says in which sessions a row has no score, "" if in none.
func missing(sessions []string, row []float64) string {
	var names []string
	for j, v := range row {
		if math.IsNaN(v) {
			names = append(names, sessions[j])
		}
	}
	switch len(names) {
	case 0:
		return ""
	case len(sessions):
		return noScore
	case 1:
		return "no score in session " + names[0]
	}
	last := len(names) - 1
	return "no score in sessions " + strings.Join(names[:last], ", ") + " and " + names[last]
}

// tooFew explains why there is no analysis.
func tooFew(n int, out []LeftOut) string {
	text := fmt.Sprintf("%s with every session, no typical error below %d", count(n), MinAthletes)
	if len(out) == 0 {
		return text
	}
	reasons := make([]string, len(out))
	for i, l := range out {
		reasons[i] = fmt.Sprintf("%s: %s", count(len(l.Athletes)), l.Reason)
	}
	return text + " (left out: " + strings.Join(reasons, "; ") + "); choose fewer sessions"
}

func count(n int) string {
	if n == 1 {
		return "1 athlete"
	}
	return fmt.Sprintf("%d athletes", n)
}
