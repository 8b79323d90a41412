package picture

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"

	"noisefloor/analysis/decision"
	"noisefloor/reports/number"
)

// A tag is the name of a line, and where on the line it belongs.
type tag struct {
	from  vg.Point
	words string
	style text.Style
}

// tags are the names of all lines, those of the worthwhile change and of the
// day-to-day part last.
func (s study) tags(p pen) []tag {
	var all []tag
	for _, l := range s.lines {
		if s.oneScore {
			break
		}
		drawn := slices.DeleteFunc(slices.Clone(l.rows), func(r decision.Row) bool { return !drawnRow(r) })
		last := drawn[len(drawn)-1]
		all = append(all, tag{from: s.at(p, last).Add(vg.Point{X: 6}), words: sessionsOf(last.Sessions),
			style: style(sizeSmall, dark(l.look.colour))})
	}
	plain := style(sizeSmall, mute)
	if s.worthDrawn() {
		all = append(all, tag{from: vg.Point{X: p.Max.X, Y: p.y(s.worth)},
			words: "worthwhile change: " + s.withUnit(s.worth), style: plain})
	}
	if v, ok := s.floor(); ok {
		all = append(all, tag{from: vg.Point{X: p.Max.X, Y: p.y(v)}, words: "day-to-day part alone: " + s.withUnit(v),
			style: plain})
	}
	for i := range all {
		all[i].words = fit(all[i].style, all[i].words, 150)
	}
	return all
}

func (s study) number(v float64) string   { return number.Plain(v, s.decimals) }
func (s study) withUnit(v float64) string { return number.WithUnit(s.number(v), s.Unit) }

func sessionsOf(n int) string { return number.Count(n, "session", "sessions") }

// designWords writes "1 session of 3 trials", "2 sessions of 1 trial each".
func designWords(d decision.Design) string {
	w := sessionsOf(d.Sessions) + " of " + number.Count(d.Trials, "trial", "trials")
	if d.Sessions > 1 {
		w += " each"
	}
	return w
}

// studied returns the row of the design of the study, if it is drawn.
func (s study) studied() (decision.Row, bool) {
	for _, l := range s.lines {
		if i := slices.IndexFunc(l.rows,
			func(r decision.Row) bool { return r.Design == s.Studied && drawnRow(r) }); i >= 0 {
			return l.rows[i], true
		}
	}
	return decision.Row{}, false
}

// most is the largest number of sessions among the designs.
func (s study) most() int { return s.Rows[len(s.Rows)-1].Sessions }

func (s study) note() string {
	w := fmt.Sprintf("Mark: the true change of one athlete, between two occasions of the same design, that is called "+
		"more than noise (%s) in %s retests.", percentLevel(s.Level), s.odds())
	if _, ok := s.studied(); ok {
		w += fmt.Sprintf(" Filled: the design of the study, %s; hollow: other designs.", designWords(s.Studied))
	} else {
		w += " Hollow: designs other than that of the study, which is not among them."
	}
	switch {
	case s.worthDrawn():
		w += " Dotted line: the smallest worthwhile change."
	case s.hasWorth():
		w += fmt.Sprintf(" The smallest worthwhile change, %s, lies above the axis.", s.withUnit(s.worth))
	}
	if _, ok := s.floor(); ok {
		w += fmt.Sprintf(" Shaded band: what the day-to-day part alone gives with %s, whatever the number of trials.",
			sessionsOf(s.most()))
	}
	if missing := len(s.Rows) - s.finite(); missing > 0 {
		w += fmt.Sprintf(" Left out for want of such a change: %s.", number.Count(missing, "design", "designs"))
	}
	drawn := 0
	for _, l := range s.lines {
		drawn += len(l.rows)
	}
	if drawn < len(s.Rows) && len(s.lines) == mostLines {
		w += " Further numbers of sessions are in the table alone."
	}
	return w + " The intervals of the typical error and of the reliability are in the table."
}

// odds write the power of the rows: "4 of 5".
func (s study) odds() string { return odds(s.Power) }

// odds write a power, the default for 0.
func odds(power float64) string {
	if power == 0 {
		power = decision.DefaultPower
	}
	return number.Odds(power)
}

// finite counts the designs with a change that is seen.
func (s study) finite() int {
	n := 0
	for _, r := range s.Rows {
		if drawnRow(r) {
			n++
		}
	}
	return n
}

func (s study) caption() string {
	w := "Change of one athlete seen in " + s.odds() + " retests in " + s.label() + " (" + strings.TrimPrefix(s.Unit+", ",
		", ") + percentLevel(s.Level) + ")"
	if r, ok := s.studied(); ok {
		w += fmt.Sprintf(", %s as studied (%s)", s.withUnit(r.Seen), designWords(s.Studied))
	}
	return w + "; " + strings.TrimSuffix(s.finding(), ".") + "."
}

// finding says which design is the answer, in the unit of the test or in
// percent.
func (s study) finding() string {
	a := s.Answer
	if a == nil {
		return s.plainFinding()
	}
	goal := "a change that is seen"
	if s.hasWorth() {
		goal = "a change of " + s.withUnit(s.worth) + " or less seen in " + s.odds()
	}
	floor, known := s.floor()
	switch {
	case a.Found:
		return fmt.Sprintf("%s: the cheapest design with %s", designWords(a.Row.Design), goal)
	case known:
		return fmt.Sprintf("no number of trials will do: with %s the days alone keep the change seen at %s; "+
			"wanted: %s",
			sessionsOf(s.most()), s.withUnit(floor), goal)
	case a.Needed > 0:
		return fmt.Sprintf("%s would be needed for %s", designWords(decision.Design{Sessions: s.most(),
			Trials: a.Needed}), goal)
	}
	return "no design looked at gives " + goal
}

// plainFinding is the finding when nobody asked for the cheapest design.
func (s study) plainFinding() string {
	least, most, n := decision.Row{Seen: math.Inf(1)}, decision.Row{Seen: -1}, s.finite()
	reached := 0
	for _, r := range s.Rows {
		if !drawnRow(r) {
			continue
		}
		if r.Seen < least.Seen {
			least = r
		}
		if r.Seen > most.Seen {
			most = r
		}
		if s.hasWorth() && r.Seen <= s.worth {
			reached++
		}
	}
	w := fmt.Sprintf("from %s (%s) to %s (%s)", s.withUnit(most.Seen), designWords(most.Design),
		s.withUnit(least.Seen), designWords(least.Design))
	if n == 1 {
		w = fmt.Sprintf("%s with %s", s.withUnit(least.Seen), designWords(least.Design))
	}
	if s.hasWorth() {
		w += fmt.Sprintf("; at most the worthwhile %s in %d of %s", s.withUnit(s.worth), reached, number.Count(n,
			"design", "designs"))
	}
	return w
}

func (s study) alt() string {
	w := fmt.Sprintf("%s against the %s. %s", number.Count(len(s.lines), "line of the change seen",
		"lines of the change seen"), s.across(), s.caption())
	for _, l := range s.lines {
		drawn := slices.DeleteFunc(slices.Clone(l.rows), func(r decision.Row) bool { return !drawnRow(r) })
		first, last := drawn[0], drawn[len(drawn)-1]
		if len(drawn) == 1 {
			w += fmt.Sprintf(" %s: %s.", capital(designWords(first.Design)), s.withUnit(first.Seen))
			continue
		}
		w += fmt.Sprintf(" From %s to %s: %s to %s.", designWords(first.Design), designWords(last.Design),
			s.number(first.Seen), s.withUnit(last.Seen))
	}
	return w
}

func (s study) table() Table {
	t := Table{
		Caption: fmt.Sprintf("What other numbers of sessions and trials would give in %s, intervals at %s",
			axisTitle(s.label(), s.Unit), percentLevel(s.Level)),
		Header: []string{"design", "sessions", "trials in each", "typical error", "typical error, lower",
			"typical error, upper", "reliability", "reliability, lower", "reliability, upper",
			"change seen", "sees the worthwhile change", "as studied"},
		Numeric: []bool{false, true, true, true, true, true, true, true, true, true, false, false},
	}
	for _, r := range s.Rows {
		te, rel := r.TypicalError, r.Reliability
		sees := number.Missing
		if drawnRow(r) && s.hasWorth() {
			sees = yes(r.Seen <= s.worth)
		}
		t.Rows = append(t.Rows, []string{
			designWords(r.Design), fmt.Sprint(r.Sessions), fmt.Sprint(r.Trials),
			s.number(te.Value), s.number(te.Lower), s.number(te.Upper),
			number.Correlation(rel.Value), number.Correlation(rel.Lower), number.Correlation(rel.Upper),
			s.number(r.Seen), sees, yes(r.Design == s.Studied),
		})
	}
	line := func(name string, v float64) {
		row := slices.Repeat([]string{number.Missing}, len(t.Header))
		row[0], row[9] = "("+name+")", s.number(v)
		t.Rows = append(t.Rows, row)
	}
	if s.hasWorth() {
		line("worthwhile change", s.worth)
	}
	if v, ok := s.floor(); ok {
		line("day-to-day part alone, "+sessionsOf(s.most()), v)
	}
	return t
}
