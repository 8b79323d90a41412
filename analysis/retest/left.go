package retest

// leftOut collects one test's athletes that cannot be judged, by reason in
// order of appearance.
type leftOut struct {
	measure string
	list    []LeftOut
	at      map[string]int // reason -> place in list
}

func (l *leftOut) add(reason, athlete string) {
	at, seen := l.at[reason]
	if !seen {
		at = len(l.list)
		l.at[reason] = at
		l.list = append(l.list, LeftOut{Measure: l.measure, Reason: reason})
	}
	l.list[at].Athletes = append(l.list[at].Athletes, athlete)
}
