package retest

import "slices"

// leftOut collects one test's athletes that cannot be judged, by reason and
// sessions in order of appearance.
type leftOut struct {
	measure string
	list    []LeftOut
}

func (l *leftOut) add(reason Reason, o occasion, athlete string) {
	sessions := o.names
	if reason == NeverSeen {
		sessions = nil
	}
	i := slices.IndexFunc(l.list, func(x LeftOut) bool {
		return x.Reason == reason && slices.Equal(x.Sessions,
			sessions)
	})
	if i < 0 {
		i = len(l.list)
		l.list = append(l.list, LeftOut{Measure: l.measure, Reason: reason, Sessions: sessions})
	}
	l.list[i].Athletes = append(l.list[i].Athletes, athlete)
}
