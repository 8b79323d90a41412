package reports

import (
	"fmt"
	"math"
	"strings"

	"noisefloor/analysis/agreement"
	"noisefloor/analysis/caveat"
	"noisefloor/analysis/decision"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/reports/number"
)

// TableCaveat is a caveat about the table that is in words already: its name is
// the sentence. It goes when the reader's findings are caveats of their own.
const TableCaveat caveat.Kind = "table"

// reliabilitySayers are the words of the caveats of reliability and agreement.
func reliabilitySayers() map[caveat.Kind]sayer {
	is := func(words string) sayer { return func(caveat.Caveat, About) string { return words } }
	upTo := func(words string) sayer {
		return func(c caveat.Caveat, a About) string { return words + a.upTo(c) + "." }
	}
	return map[caveat.Kind]sayer{
		TableCaveat: func(c caveat.Caveat, _ About) string { return strings.Join(c.Names, " ") },
		reliability.EveryScoreUsed: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("%s without every session. Every score is used all the same (REML).",
				athletes(c.Numbers[0]))
		},
		reliability.LeftOutOf: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("%.0f of %s left out: not every session has a score.", c.Numbers[0],
				athletes(c.Numbers[1]))
		},
		reliability.AllEqual: is("every score is the same. The typical error is 0 and no ICC is defined."),
		reliability.EqualInSessions: is("every score is that of the others of its session. The typical error is 0 " +
			"and no ICC is defined."),
		reliability.NoResidual: is("no error at all was seen. The athletes differ by the same amounts in " +
			"every session: look at the data first."),
		reliability.BelowNoise: is("the athletes differ less than the noise. The ICC is negative and shown as " +
			"it is."),
		reliability.NothingBetween: upTo("the athletes differ no more than the noise. The differences between " +
			"them come out as 0"),
		reliability.OutOfRange: is("ICC(A,k) has left its range. The noise is larger than the differences of " +
			"athletes and sessions together."),
		reliability.SessionsDiffer: func(c caveat.Caveat, a About) string {
			words := fmt.Sprintf("the session means differ (%s). The typical error leaves that shift out.",
				number.P(c.Numbers[0]))
			if len(c.Numbers) > 1 {
				words += fmt.Sprintf(" The agreement error of %s counts it.", a.amount(c, c.Numbers[1]))
			}
			return words
		},
		reliability.NoWorthwhile: func(c caveat.Caveat, _ About) string { return noWorthwhileWords(c) },
		reliability.WorthwhileZero: is("the smallest worthwhile change comes out as 0, because the athletes' true " +
			"differences do. Set it in another way."),
		reliability.OutcomeNotShown: is("the test is not shown to go with the outcome. The interval of the " +
			"smallest worthwhile change holds 0."),
		reliability.NoAgreement: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("no agreement of %s. %s with both, and %.0f are needed.", sessionWords(c.Names),
				athletes(c.Numbers[0]), c.Numbers[1])
		},
		reliability.NoComponents: func(c caveat.Caveat, _ About) string { return noComponentsWords(c) },
		reliability.NoDecision: is("no word on other numbers of sessions and trials. The components of variance " +
			"are not known well enough."),
		reliability.DaysWithTrials: is("one attempt in each session. What varies from day to day and what varies " +
			"from attempt to attempt " +
			"cannot be told apart."),
		reliability.NoErrorSeen: is("the attempts show no error at all. Look at the data first."),
		reliability.TrialsEqual: is("the attempts of a session are all the same. Are the values rounded, or " +
			"copied?"),
		reliability.NothingDayToDay: upTo("days differ no more than the attempts within them. More attempts on " +
			"one day look as good as more days; the day-to-day part is 0"),
		reliability.NothingOfAthlete: upTo("the part between athletes comes out as 0"),
		reliability.NoGroup: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("%s without a group. They count over all, and in no group.", athletes(c.Numbers[0]))
		},
		reliability.LiftedByGroups: func(c caveat.Caveat, _ About) string { return liftedWords(c) },
		reliability.NoResampling: is("no bootstrap intervals of the ICC: athletes lack a session. Complete cases " +
			"alone would have them."),

		reliability.AthletesDiffer: athletesDifferWords, reliability.HeavyTails: tailWords, reliability.GrowsLess: adviser,
		agreement.PairsLeftOut: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("%.0f of %s left out of the agreement of %s.", c.Numbers[0], athletes(c.Numbers[1]),
				sessionWords(c.Names))
		},
		agreement.AllAlike: is("every athlete changed by the same amount. The limits of agreement have no " +
			"width."),
		agreement.ProportionalBias: is("the difference between sessions changes with the value. One number for all " +
			"athletes is not enough."),
		agreement.UseLog: adviser, agreement.UseLogAllTheSame: adviser, agreement.NoLog: adviser,
		agreement.Shrinks: adviser, agreement.LogNotEnough: adviser, agreement.LogTooMuch: adviser,
	}
}

func adviser(c caveat.Caveat, _ About) string { return adviceWords(c.Kind) + "." }

// adviceWords says which scale fits.
func adviceWords(kind caveat.Kind) string {
	return map[caveat.Kind]string{
		agreement.UseLog: "the error grows with the value. Use the log scale, where it no longer does",
		agreement.UseLogAllTheSame: "the error grows with the value. Use the log scale, although the error is not " +
			"even there either",
		agreement.NoLog:   "the error grows with the value, but the log scale needs every score above zero",
		agreement.Shrinks: "the error shrinks as the value grows. The log scale would not help",
		reliability.GrowsLess: "the error grows with the value, but by less than half of what would be in proportion. " +
			"Neither scale makes it even; the raw one is the nearer",
		agreement.LogNotEnough: "even on the log scale the error grows with the value",
		agreement.LogTooMuch: "on the log scale the error shrinks as the value grows. The raw scale may fit " +
			"better",
	}[kind]
}

func athletes(n float64) string { return number.Count(int(n), "athlete", "athletes") }

// amount writes a number of a caveat: in percent when it says so, else in the
// unit of its measure.
func (a About) amount(c caveat.Caveat, x float64) string {
	if len(c.Names) > 0 && c.Names[0] == reliability.Log {
		return percent(x)
	}
	unit := ""
	if len(c.Measures) > 0 {
		unit = a.Units[c.Measures[0]]
	}
	return number.WithUnit(number.Plain(x, number.Decimals(x)), unit)
}

// upTo says how large an SD may be all the same, where that is known.
func (a About) upTo(c caveat.Caveat) string {
	if len(c.Numbers) == 0 {
		return ""
	}
	return fmt.Sprintf(" (its SD may be up to %s)", a.amount(c, c.Numbers[0]))
}

func noWorthwhileWords(c caveat.Caveat) string {
	outcome, reason := "the outcome", estimate.None
	if len(c.Names) == 2 {
		reason = estimate.Kind(c.Names[1])
		if c.Names[0] != "" {
			outcome = c.Names[0]
		}
	}
	words := "no smallest worthwhile change. "
	switch reason {
	case estimate.TooFew:
		return words + fmt.Sprintf("%s with %s, and %d are needed.", athletes(c.Numbers[0]), outcome,
			reliability.MinAthletes)
	case estimate.NoVariation:
		return words + outcome + " is the same for every athlete."
	}
	return words + "It could not be computed from " + outcome + "."
}

func noComponentsWords(c caveat.Caveat) string {
	words := "no components of variance. "
	switch {
	case len(c.Names) == 3:
		return words + fmt.Sprintf("The log scale needs attempts above zero: see athlete %s, session %s.", c.Names[1],
			c.Names[2])
	case len(c.Names) > 0 && estimate.Kind(c.Names[0]) == estimate.TooFew:
		return words + "Too few attempts are repeated."
	}
	return words + "The fit failed; are there attempts that are no finite number?"
}

func liftedWords(c caveat.Caveat) string {
	inside := number.Correlation(c.Numbers[1])
	if len(c.Numbers) == 4 {
		inside += fmt.Sprintf(" (%s to %s)", number.Correlation(c.Numbers[2]), number.Correlation(c.Numbers[3]))
	}
	return fmt.Sprintf("the ICC(C,1) over all, %s, owes its height to the differences between the groups. Inside "+
		"them it is %s. The typical error is not lifted.",
		number.Correlation(c.Numbers[0]), inside)
}

func liftedGathered(all []caveat.Caveat) string {
	return fmt.Sprintf("the ICC(C,1) over all owes its height to the differences between the groups."+
		" Inside them it is %s. The typical error is not lifted.", between(all, 1, number.Correlation))
}

// routeWords say how the numbers were made.
func routeWords(r reliability.Route) string {
	switch r {
	case reliability.EveryScore:
		return "REML of every score"
	case reliability.Cases:
		return "analysis of variance of the athletes with every session"
	case reliability.Complete:
		return "analysis of variance of the complete table"
	}
	return ""
}

// modelWords say which model a form of the ICC stands for (McGraw & Wong 1996).
func modelWords(form string, sessions int) string {
	model := map[byte]string{'A': "two-way random, absolute agreement", 'C': "two-way mixed, consistency"}[form[0]]
	if model == "" {
		model = "one-way random, absolute agreement"
	}
	if form[len(form)-1] == 'k' {
		return fmt.Sprintf("%s, mean of %d sessions", model, sessions)
	}
	return model + ", single score"
}

func lackWords(l reliability.LeftOut) string {
	if l.Never {
		return "no score in any session"
	}
	return "no score in " + sessionWords(l.Without)
}

func fewWords(g reliability.Group) string {
	switch {
	case g.Why == "":
		return ""
	case g.Why == estimate.TooFew && g.Repeated < g.Athletes:
		return fmt.Sprintf("%s, %d with two sessions: %d are needed", athletes(float64(g.Athletes)), g.Repeated,
			reliability.MinAthletes)
	case g.Why == estimate.TooFew:
		return fmt.Sprintf("%s: %d are needed", athletes(float64(g.Athletes)), reliability.MinAthletes)
	}
	return "the fit failed"
}

func testWords(t reliability.GroupTest) string {
	words := ""
	if t.Method == reliability.BrownForsythe {
		words = "Brown–Forsythe"
	}
	if t.Approximate {
		words += ", approximate: scores are missing"
	}
	return words
}

func equalWords(t reliability.GroupTest) string {
	switch {
	case t.Verdict == reliability.GroupsDiffer:
		return fmt.Sprintf("no: judge each group by its own (%s, %s)", testWords(t), number.P(t.P))
	case t.Verdict == reliability.GroupsNotShown:
		return fmt.Sprintf("no sign of a difference, which is no proof (%s, %s)", testWords(t), number.P(t.P))
	case t.Why == estimate.NoError:
		return "not tested: a group shows no error"
	}
	return fmt.Sprintf("not tested: fewer than two groups with %d athletes", reliability.MinAthletes)
}

// equality is the test of the groups beside the first of them, and why a group
// has no typical error beside that group.
func (p part[T]) equality() string {
	g, ok := any(p.v).(reliability.Group)
	first := p.m.Result.Groups
	if ok && g.Why == "" && p.m.Result.GroupTest != nil && len(first) > 0 && first[0].Name == g.Name {
		return equalWords(*p.m.Result.GroupTest)
	}
	return fewWords(g)
}

// settled is what a change of the mean is followed by, beside the first.
func (p part[T]) settled() string {
	c, ok := any(p.v).(reliability.MeanChange)
	all := p.m.Result.MeanChanges
	switch {
	case !ok || len(all) == 0 || all[0].From != c.From || all[0].To != c.To:
		return ""
	case p.m.Result.SettledSession() != "":
		return "from session " + p.m.Result.SettledSession()
	}
	return "not shown"
}

func (m ReliabilityMeasure) equality() reliability.Equality {
	if t := m.Result.GroupTest; t != nil {
		return t.Verdict
	}
	return ""
}

func (m ReliabilityMeasure) influenceWords(f reliability.Influence) string {
	switch f.By {
	case reliability.ByStandouts:
		return "athletes that stand out left out in turn, every score of the others used (REML)"
	case reliability.ByCompletely:
		return fmt.Sprintf("of the %d athletes with every session; with all of them the typical error is %s and "+
			"ICC(C,1) %s",
			f.Athletes, m.error(f.OfTypicalError), number.Correlation(f.OfICC))
	}
	return ""
}

// basis says where the smallest worthwhile change comes from.
func (m ReliabilityMeasure) basis() string { return WorthwhileWords(m.Result.Worthwhile) }

// WorthwhileWords say where a smallest worthwhile change comes from.
func WorthwhileWords(w reliability.WorthwhileChange) string {
	switch w.Basis {
	case reliability.TrueSD:
		return fmt.Sprintf("%g of the between-athlete SD freed of error", w.Fraction)
	case reliability.ObservedSD:
		return fmt.Sprintf("%g of the SD of the athletes' means", w.Fraction)
	case reliability.Anchored:
		name := w.OutcomeName
		if name == "" {
			name = "the outcome"
		}
		return fmt.Sprintf("goes with a change of %s in %s", number.WithUnit(fmt.Sprintf("%g", w.OutcomeChange),
			w.OutcomeUnit), name)
	case reliability.Fixed:
		if w.Source != "" {
			return w.Source
		}
		return "set by the user"
	}
	return string(w.Basis)
}

func (m ReliabilityMeasure) seesWords() string {
	return map[reliability.Seeing]string{reliability.Sees: "yes", reliability.SeesNot: "no",
		reliability.NotKnown: "not known"}[m.Result.Sees]
}

// design says what it takes to see the worthwhile change of one athlete. It is
// "" when nobody asked.
func (m ReliabilityMeasure) design() string {
	a, r := m.Result.Cheapest, m.Result
	if a == nil || len(r.Decision) == 0 {
		return ""
	}
	last := r.Decision[len(r.Decision)-1]
	switch r.Design {
	case reliability.DesignFound:
		return fmt.Sprintf("%s on each occasion", designOf(a.Row.Design))
	case reliability.DesignUnknown:
		return "not shown, for what varies from day to day is known too poorly to promise it of any number of trials"
	case reliability.DesignNever:
		return fmt.Sprintf("no number of trials will do; with %s the days alone keep the change seen in %s at %s",
			number.Count(last.Sessions, "session", "sessions"), m.oddsWords(), m.changeWords(a.Limit))
	case reliability.DesignMore:
		return fmt.Sprintf("only with %s on each occasion",
			designOf(decision.Design{Sessions: last.Sessions, Trials: a.Needed}))
	}
	return fmt.Sprintf("not %s: what more trials would bring is not known, because the study has one in each session",
		designOf(last.Design))
}

func designOf(d decision.Design) string {
	return number.Count(d.Sessions, "session", "sessions") + " of " + number.Count(d.Trials, "trial", "trials")
}

// ignore says from where on a change of one athlete is more than noise.
func (m ReliabilityMeasure) ignore() string {
	d := m.Result.DetectableChange
	if m.onLog() {
		return fmt.Sprintf("ignore rises under %s and falls under %s in one athlete", percent(d.PercentUp),
			percent(math.Abs(d.PercentDown)))
	}
	return fmt.Sprintf("ignore changes under %s in one athlete", m.value(d.Value))
}

// matters says what the worthwhile change is, and whether one retest sees it.
func (m ReliabilityMeasure) matters() string {
	switch m.Result.Sees {
	case reliability.Sees:
		return fmt.Sprintf("What matters starts at %s. One retest can see it: a true change of %s is seen in %s.",
			m.worthwhile(), m.seen(), m.oddsWords())
	case reliability.SeesNot:
		return fmt.Sprintf("What matters starts at %s, but a true change must be %s to be seen in %s: one retest cannot "+
			"see it.", m.worthwhile(), m.seen(), m.oddsWords())
	}
	return "How large a change must be to matter is not known."
}

// some lists up to three names, and counts the rest.
func some(names []string) string {
	if len(names) <= 3 {
		return strings.Join(names, "; ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:3], "; "), len(names)-3)
}

func isNaN(x float64) bool { return math.IsNaN(x) }

// above is x when it says something, else nothing.
func above(x float64) float64 {
	if x > 0 {
		return x
	}
	return math.NaN()
}

func whole(n int) string { return fmt.Sprint(n) }

func (m ReliabilityMeasure) onLog() bool { return m.Result.Scale == score.Log }
