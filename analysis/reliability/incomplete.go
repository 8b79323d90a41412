package reliability

import (
	"cmp"
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
func tooFew(n int, with string, out []LeftOut) string {
	text := fmt.Sprintf("%s with %s, no typical error below %d", count(n), with, MinAthletes)
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

// lacking says how many athletes lack a session.
func lacking(n int) string {
	verb := "lack"
	if n == 1 {
		verb = "lacks"
	}
	return fmt.Sprintf("%s %s a session; every score is used (REML)", count(n), verb)
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
