package reports

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/reports/number"
)

// Retest shows which changes of single athletes stand out from the noise.
type Retest struct {
	About
	Result retest.Result
	Asked  []string // athletes asked for; empty means all
	Weekly bool     // the slopes of seasons are per week, not per session
}

// Name implements [View].
func (v Retest) Name() string { return "retest" }

// Stem implements [View].
func (v Retest) Stem() string { return v.Name() }

// Title implements [View].
func (v Retest) Title() string {
	if len(v.Asked) == 1 {
		return "Which changes of " + v.Asked[0] + " stand out?"
	}
	return "Which changes stand out?"
}

// Answer implements [View].
func (v Retest) Answer() []string { return append(v.changeAnswer(), v.seasonAnswer()...) }

func (v Retest) changeAnswer() []string {
	f, all := v.shown(), v.Result.Family
	if f.Changes == 1 {
		return v.sentence(v.Result.Changes[0])
	}
	who := ""
	if len(v.Asked) == 1 {
		who = v.Asked[0] + ": "
	}
	first := who + v.standing(f) + "."
	out := []string{strings.ToUpper(first[:1]) + first[1:]}
	if f.PastNoise > f.StandOut {
		past := fmt.Sprintf("In all %d %s past the noise, counting those", f.PastNoise, isAre(f.PastNoise))
		if f.StandOut == 0 {
			past = fmt.Sprintf("%d %s past the noise on %s own", f.PastNoise, isAre(f.PastNoise), itsOwn(f.PastNoise))
		}
		chance := fmt.Sprintf("%s; with no change at all about %s of %d would be", past,
			number.Plain(f.ExpectedFalseAlarms, chanceDecimals(f.ExpectedFalseAlarms)), f.Changes)
		if f.Changes == all.Changes {
			chance += fmt.Sprintf(", up to %d", all.UpTo)
			if all.StandOut == 0 && all.PastNoise <= all.UpTo {
				chance += ": as many as chance would give"
			}
		}
		out = append(out, chance+".")
	}
	if len(v.Asked) == 1 {
		out = append(out, v.outstanding()...)
	}
	return out
}

// shown counts the changes that are shown: all of the family, or those of the
// athletes asked for.
func (v Retest) shown() retest.Family {
	f := retest.Family{Changes: len(v.Result.Changes)}
	for _, c := range v.Result.Changes {
		f.PastNoise += tick(c.Past())
		f.StandOut += tick(c.Out())
	}
	if whole := v.Result.Family; whole.Changes > 0 {
		f.ExpectedFalseAlarms = whole.ExpectedFalseAlarms * float64(f.Changes) / float64(whole.Changes)
	}
	return f
}

func itsOwn(n int) string {
	if n == 1 {
		return "its"
	}
	return "their"
}

// standing counts the changes that stand out, allowing for all that were looked
// at, by their way, and those that matter.
func (v Retest) standing(f retest.Family) string {
	if f.StandOut == 0 {
		if whole := v.wholeFamily(); whole > f.Changes {
			return fmt.Sprintf("none of %d changes stands out (allowing for the %d looked at in all)", f.Changes, whole)
		}
		return fmt.Sprintf("no change stands out among %d looked at", f.Changes)
	}
	better, worse, rises, matter := 0, 0, 0, 0
	for _, c := range v.Result.Changes {
		if !c.Out() {
			continue
		}
		better += tick(c.Better == "better")
		worse += tick(c.Better == "worse")
		rises += tick(c.Direction == "rise")
		matter += tick(c.Matters == retest.MattersYes)
	}
	ways := fmt.Sprintf("%s and %s", number.Count(rises, "rise", "rises"), number.Count(f.StandOut-rises, "fall",
		"falls"))
	if better+worse == f.StandOut {
		ways = fmt.Sprintf("%d for the better, %d for the worse", better, worse)
	}
	many := "looking at so many"
	if whole := v.wholeFamily(); whole > f.Changes {
		many = fmt.Sprintf("the %d looked at in all", whole)
	}
	clear := areClear(matter) + " large enough to matter"
	if !slices.ContainsFunc(v.Result.Changes, func(c retest.Change) bool { return c.Out() && c.Worthwhile > 0 }) {
		clear = "nobody said from where on a change matters"
	}
	return fmt.Sprintf("%d of %d changes stand out (allowing for %s): %s; %s", f.StandOut, f.Changes, many, ways, clear)
}

// wholeFamily is how many readings were looked at together, those of seasons among them.
func (v Retest) wholeFamily() int { return v.Result.Family.Changes + v.Result.Family.Seasons }

func areClear(n int) string {
	switch n {
	case 0:
		return "none is clearly"
	case 1:
		return "1 is clearly"
	}
	return fmt.Sprintf("%d are clearly", n)
}

func tick(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// outstanding names the changes that stand out, the surest first; those for the
// worse come first and are never hidden behind the others.
func (v Retest) outstanding() []string {
	var out []string
	for _, way := range []struct{ better, words string }{
		{"worse", "Standing out for the worse: "}, {"better", "Standing out for the better: "}, {"", "Standing out: "},
	} {
		var list []string
		for _, c := range v.surest() {
			if c.Out() && c.Better == way.better {
				list = append(list, fmt.Sprintf("%s %s (%s)", v.label(c.Measure), v.changeWords(c), v.between(c)))
			}
		}
		if len(list) > 0 {
			out = append(out, way.words+listed(list, 3)+".")
		}
	}
	return out
}

// surest are the changes past the noise: those that stand out first, then by p.
func (v Retest) surest() []retest.Change {
	all := slices.DeleteFunc(slices.Clone(v.Result.Changes), func(c retest.Change) bool { return !c.Past() })
	slices.SortStableFunc(all, func(a, b retest.Change) int {
		return cmp.Or(tick(b.Out())-tick(a.Out()), cmp.Compare(a.P, b.P))
	})
	return all
}

// sentence is the answer for one athlete and measure.
func (v Retest) sentence(c retest.Change) []string {
	out := []string{
		fmt.Sprintf("%s, %s, %s: %s.", c.Athlete, v.label(c.Measure), v.between(c), c.Verdict),
		fmt.Sprintf("Changed by %s (%s interval %s), a %s.", v.changeWords(c), number.Level(v.Result.Level),
			v.limitsWords(c), way(c)),
		fmt.Sprintf("Ignore changes under %s: they may be noise.", v.size(c, c.Detectable)),
	}
	if c.Direction == "none" {
		out[1] = "The score is the same as before."
	}
	if c.Worthwhile > 0 {
		out[2] = strings.TrimSuffix(out[2], ".") + fmt.Sprintf("; what matters starts at %s.",
			v.size(c, c.Worthwhile))
	}
	return append(out, v.belief(c)...)
}

// belief says what the true change probably is, with what the other athletes did in
// mind, and how likely one that matters is.
func (v Retest) belief(c retest.Change) []string {
	likely, w := "", v.size(c, c.Worthwhile)
	if c.Chance != nil {
		p, side := c.Chance.Above, "a rise of "+w+" or more"
		if c.Chance.Below > p {
			p, side = c.Chance.Below, "a fall of "+w+" or more"
		}
		if c.Chance.Within > p {
			p, side = c.Chance.Within, "not shown to be "+w+" or more either way"
		}
		likely = fmt.Sprintf("%s that the true change is %s", about(p), side)
	}
	switch {
	case c.Best != nil && likely != "":
		return []string{fmt.Sprintf("Best estimate of the true change, with what the others did in mind: %s; %s.",
			v.judged(c).onScale(c.Best), likely)}
	case c.Best != nil:
		return []string{fmt.Sprintf("Best estimate of the true change, with what the others did in mind: %s.",
			v.judged(c).onScale(c.Best))}
	case likely != "":
		return []string{capitalised(likely) + ", by this retest alone."}
	}
	return nil
}

// about writes a chance no finer than it is known.
func about(p float64) string {
	switch {
	case p < 0.01:
		return "under 1 %"
	case p > 0.99:
		return "over 99 %"
	}
	return "about " + number.Percent(p, 0)
}

// way writes the direction of a change, and whether that is the better: "rise",
// "fall, for the worse".
func way(c retest.Change) string {
	switch {
	case c.Direction == "none":
		return "no change"
	case c.Better == "" || !c.Past():
		return c.Direction
	}
	return c.Direction + ", for the " + c.Better
}

func (v Retest) label(measure string) string { return v.Label(measure) }

// between are the sessions of a change: "session 1+2 to 3".
func (v Retest) between(c retest.Change) string {
	return "session " + strings.Join(c.From, "+") + " to " + strings.Join(c.To, "+")
}

// noise returns the noise model of a measure, in the group of a change.
func (v Retest) noise(measure, group string) noise.Model {
	for _, n := range v.Result.Noise {
		if n.Measure == measure && n.Group == group {
			return n
		}
	}
	return noise.Model{}
}

// byGroup reports whether each athlete is judged by the noise of their own group.
func (v Retest) byGroup() bool {
	return slices.ContainsFunc(v.Result.Noise, func(n noise.Model) bool { return n.Group != "" })
}

// unit is that of a measure, the same in every group.
func (v Retest) unit(measure string) string { return v.units()[measure] }

func (v Retest) changeWords(c retest.Change) string {
	if c.Percent != nil {
		return number.WithUnit(number.Signed(c.Percent.Value, percentDecimals(c.Percent.Value)), "%")
	}
	return number.WithUnit(number.Signed(c.Change.Value, number.Decimals(c.SE)), v.noise(c.Measure, c.Group).Unit)
}

func (v Retest) limitsWords(c retest.Change) string {
	if c.Percent != nil {
		return number.SignedInterval(c.Percent.Lower, c.Percent.Upper, percentDecimals(c.Percent.Value))
	}
	return number.SignedInterval(c.Change.Lower, c.Change.Upper, number.Decimals(c.SE))
}

// doubts are the caveats of the request and of the analysis.
func (v Retest) doubts() []caveat.Caveat { return slices.Concat(v.Caveats, v.Result.Caveats) }

// Warnings implements [View].
func (v Retest) Warnings() []string { return v.sentences(v.doubts()) }

// Method implements [View].
func (v Retest) Method() []string {
	level := number.Level(v.Result.Level)
	var sources []string
	for _, n := range v.Result.Noise {
		if !slices.Contains(sources, n.Source) {
			sources = append(sources, n.Source)
		}
	}
	from := "The noise comes from " + strings.Join(sources, "; ") + ", never from the changes that are judged."
	out := append([]string{from}, v.gapWords()...)
	out = append(out,
		"Change D = follow-up − baseline. Standard error SE = typical error · √(1/sessions in the baseline + "+
			"1/sessions in the follow-up); where scores rest on other numbers of attempts than in the noise study, "+
			"from its variance components with Satterthwaite's degrees of freedom. Interval D ± t(1−α/2, "+
			"df)·SE, with the degrees of freedom of the noise study: "+
			"with t, and not 1.96, the rate of false alarms stays at α in small studies too.",
		"Past the noise: the "+level+" interval excludes 0. Stands out: kept by Benjamini & Hochberg (1995) at "+
			""+number.Level(1-v.Result.Level)+" among all changes of this answer. Holm's (1979) adjusted p "+
			"stands beside it.",
		"Whether it matters is a question of its own: the interval against ± the smallest worthwhile change, whose own "+
			"interval counts (MOVER: Zou & Donner 2008). "+
			"Worthwhile: "+v.Worthwhile+".",
		"Best estimate: the true changes of an arm spread around its mean; mean, spread and typical error are "+
			"integrated over what is known of them. Chances: of that and of the change alone (t distribution, flat "+
			"prior) the smaller. Some athletes who respond and others who do not break both.",
	)
	return append(out, v.seasonMethod()...)
}

// chanceDecimals are those of a count expected by chance: 0.05 is not 0.1.
func chanceDecimals(x float64) int {
	switch {
	case x < 1:
		return 2
	case x < 10:
		return 1
	}
	return 0
}

func typicalWords(n noise.Model) string {
	if n.Scale == score.Log {
		return percent(estimate.Percent(n.TypicalError))
	}
	return number.WithUnit(number.Plain(n.TypicalError, number.Decimals(n.TypicalError)), n.Unit)
}

// size writes a change's detectable or worthwhile one as finely as the change.
func (v Retest) size(c retest.Change, x float64) string {
	n := v.noise(c.Measure, c.Group)
	if n.Scale == score.Log || math.IsNaN(x) {
		return v.scaled(n, x)
	}
	return number.WithUnit(number.Plain(x, number.Decimals(c.SE)), n.Unit)
}

// scaled writes a change on the scale of the noise model.
func (v Retest) scaled(n noise.Model, x float64) string {
	switch {
	case math.IsNaN(x):
		return number.Missing
	case n.Scale == score.Log:
		return upDown(estimate.Percent(x), estimate.Percent(-x))
	}
	return number.WithUnit(number.Plain(x, number.Decimals(n.TypicalError)), n.Unit)
}

func share(p float64) string {
	switch {
	case p < 0.001:
		return "< 0.1 %"
	case p > 0.999:
		return "> 99.9 %"
	case p < 0.1 || p > 0.9:
		return number.Percent(p, 1)
	}
	return number.Percent(p, 0)
}
