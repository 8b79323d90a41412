package reports

import (
	"errors"
	"fmt"
	"math"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/decision"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/planning"
	"noisefloor/reports/field"
	"noisefloor/reports/number"
	"noisefloor/reports/picture"
	"noisefloor/reports/table"
)

// A Plan shows how large the next study must be.
type Plan struct {
	About
	Topic            string // icc, error, correlation, change, programme or design
	Wish             Wish
	Plan             planning.Plan
	Sessions, Trials int
	Unit             string
	Measure          string
	Noise            *noise.Model
	RFrom            string           // the reliability that r is the cautious end of; "" as given
	Groups           []string         // of the noise file, where all its levels together were taken
	RCurve           []planning.Point // r and athletes an arm
	Designs          []decision.Row
	Seen, Low, High  float64
	Best             float64
	Never            bool
	Simulated        *PlanSimulated
}

// A Wish is what was asked for.
type Wish struct {
	Expected, Width, Upper, Within, Effect, SD, R, Power, Target float64
}

// PlanSimulated is what drawn studies reach.
type PlanSimulated struct {
	Estimate, StandardError, Formula float64
	Studies                          int
}

// Name implements [View].
func (v Plan) Name() string { return "plan" }

// Stem implements [View].
func (v Plan) Stem() string { return "plan-" + v.Topic }

// Title implements [View].
func (v Plan) Title() string {
	switch v.Topic {
	case "icc":
		return "How many athletes tell how repeatable a test is?"
	case "error":
		return "How many athletes tell how noisy a test is?"
	case "correlation":
		return "How many athletes tell how closely a test goes with an outcome?"
	case "change":
		return "How many athletes show that a group changed?"
	case "programme":
		return "How many athletes show what a programme adds?"
	}
	return "How often must an athlete be tested?"
}

// Answer implements [View].
func (v Plan) Answer() []string {
	n := v.Plan.Athletes
	level := number.Level(v.Confidence)
	var out []string
	switch v.Topic {
	case "icc":
		out = []string{fmt.Sprintf("Test %d athletes %s: the %s interval of an ICC of %s will be at most %s wide in four of five such "+
			"studies.", n, times(v.Sessions), level, number.Plain(v.Wish.Expected, 2), number.Plain(v.Wish.Width, 2))}
	case "error":
		out = []string{v.errorAnswer(n, level)}
	case "correlation":
		out = []string{fmt.Sprintf("Test %d athletes: the %s interval of an r of %s will be at most %s wide in four of five such studies.",
			n, level, number.Plain(v.Wish.Expected, 2), number.Plain(v.Wish.Width, 2))}
	case "change":
		out = []string{fmt.Sprintf("Test %d athletes before and after: a mean change of %s will be seen in %s.", n,
			v.amount(v.Wish.Effect), v.odds())}
	case "programme":
		out = []string{fmt.Sprintf("Take %d athletes with the programme and %d without: a difference of %s will be seen in %s.", n, n,
			v.amount(v.Wish.Effect), v.odds())}
		if v.RFrom != "" {
			out = append(out, fmt.Sprintf("Planned with r = %s between before and after, the cautious end of a reliability of %s: over a "+
				"programme r is lower than in a short retest.", number.Plain(v.Wish.R, 2), v.RFrom))
		}
	case "design":
		out = v.designAnswer()
	}
	if v.Plan.Start > 0 {
		out = append(out, fmt.Sprintf("The usual formula says %s, which is enough in only about half of studies.",
			number.Plain(math.Ceil(v.Plan.Start), 0)))
	}
	if s := v.Simulated; s != nil {
		out = append(out, fmt.Sprintf("In %d studies drawn by the program %s ∓ %s %% reached it; the formula says %s.", s.Studies,
			number.Plain(100*s.Estimate, 1), number.Plain(196*s.StandardError, 1), number.Percent(s.Formula, 1)))
	}
	return out
}

func (v Plan) errorAnswer(n int, level string) string {
	if v.Wish.Upper > 0 {
		return fmt.Sprintf("Test %d athletes %s: the typical error will be known so well that its %s interval ends at most %s above it.",
			n, times(v.Sessions), level, number.Percent(v.Wish.Upper-1, 0))
	}
	return fmt.Sprintf("Test %d athletes %s: the typical error will be known to about ±%s (%s interval), in each level of its own.", n,
		times(v.Sessions), number.Percent(v.Wish.Within-1, 0), level)
}

func (v Plan) designAnswer() []string {
	what := v.amountOf(v.Wish.Target)
	if v.Never {
		return []string{fmt.Sprintf("No plan of up to 4 sessions of 8 attempts shows a change of %s in %s: the best sees %s.", what,
			v.odds(), v.seenWords(v.Best))}
	}
	out := []string{fmt.Sprintf("Test each athlete %s on each occasion, %s each time, and a change of %s will be seen in %s.",
		times(v.Sessions), number.Count(v.Trials, "attempt", "attempts"), what, v.odds())}
	return append(out, fmt.Sprintf("Another noise study as small as this would have made it %s to %s.",
		number.Percent(v.Low, 0), number.Percent(v.High, 0)))
}

// seenWords write a change on the scale of the noise.
func (v Plan) seenWords(x float64) string {
	if v.Noise != nil && v.Noise.Scale == "log" {
		return number.Percent(math.Expm1(x), 1)
	}
	return number.WithUnit(number.Plain(x, v.decimals()), v.Unit)
}

// amountOf writes a wished change in the unit, or in percent on the log scale.
func (v Plan) amountOf(x float64) string {
	if v.Noise != nil && v.Noise.Scale == "log" {
		return number.Plain(x, 1) + " %"
	}
	return v.amount(x)
}

func (v Plan) amount(x float64) string {
	return number.WithUnit(number.Plain(x, number.Decimals(math.Abs(x)/20)), v.Unit)
}

func (v Plan) decimals() int {
	if v.Noise == nil {
		return 2
	}
	return number.Decimals(v.Noise.TypicalError / 2)
}

func (v Plan) odds() string {
	if v.Wish.Power == 0.8 {
		return "four of five"
	}
	return number.Percent(v.Wish.Power, 0) + " of cases"
}

func times(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}

// A planned is a row of the curve.
type planned struct {
	planning.Point
	answer bool
}

// heads of the curve: what is counted, and what is reached.
func (v Plan) heads() (x, y string) {
	switch v.Topic {
	case "icc", "correlation":
		return "athletes", "width in four of five studies"
	case "error":
		if v.Wish.Upper > 0 {
			return "athletes", "upper limit over the typical error"
		}
		return "athletes", "typical error known to a factor of"
	case "change":
		return "athletes", "power"
	case "programme":
		return "athletes in each arm", "power"
	}
	return "attempts in one session", "change seen"
}

// target is the wish on the scale of the curve.
func (v Plan) target() float64 {
	switch v.Topic {
	case "icc", "correlation":
		return v.Wish.Width
	case "error":
		return max(v.Wish.Upper, v.Wish.Within)
	case "design":
		if v.Noise.Scale == "log" {
			return math.Log1p(v.Wish.Target / 100)
		}
		return v.Wish.Target
	}
	return v.Wish.Power
}

func (v Plan) rows() (out []planned) {
	for _, p := range v.Plan.Curve {
		at := float64(v.Plan.Athletes)
		if v.Topic == "design" {
			if at = -1; v.Sessions == 1 {
				at = float64(v.Trials)
			}
		}
		out = append(out, planned{p, p.X == at})
	}
	return out
}

func (v Plan) curveFields() field.Set[planned] {
	x, y := v.heads()
	return field.Set[planned]{
		field.Number("x", func(p planned) float64 { return p.X }).Required().Shown(x, func(p planned) string {
			if p.answer {
				return number.Plain(p.X, 0) + ", the answer"
			}
			return number.Plain(p.X, 0)
		}),
		field.Number("y", func(p planned) float64 { return p.Y }).Required().Shown(y, func(p planned) string {
			if v.Topic == "design" {
				return v.seenWords(p.Y)
			}
			return number.Plain(p.Y, 2)
		}),
	}
}

// Data implements [View].
func (v Plan) Data() table.Table {
	return v.curveFields().Table("curve", "What larger and smaller studies reach.", v.rows())
}

// Tables implements [View].
func (v Plan) Tables() []table.Table {
	out := []table.Table{v.Data()}
	if len(v.RCurve) > 0 {
		out = append(out, field.Set[planning.Point]{
			field.Number("r", func(p planning.Point) float64 { return p.X }).Shown("r of before and after", func(p planning.Point) string {
				return number.Plain(p.X, 1)
			}),
			field.Number("athletes", func(p planning.Point) float64 { return p.Y }).Shown("athletes in each arm", func(p planning.Point) string {
				return number.Plain(p.Y, 0)
			}),
		}.Table("r", "How much hangs on r: the higher it is, the fewer athletes are needed.", v.RCurve))
	}
	if len(v.Designs) > 0 {
		out = append(out, field.Set[decision.Row]{
			field.Integer("sessions", func(r decision.Row) int { return r.Sessions }).Shown("sessions", func(r decision.Row) string { return fmt.Sprint(r.Sessions) }),
			field.Integer("trials", func(r decision.Row) int { return r.Trials }).Shown("attempts each", func(r decision.Row) string { return fmt.Sprint(r.Trials) }),
			field.Number("seen", func(r decision.Row) float64 { return r.Seen }).Shown("change seen in "+v.odds(), func(r decision.Row) string { return v.seenWords(r.Seen) }),
			field.Number("detectable", func(r decision.Row) float64 { return r.Detectable }).Shown("ignore under", func(r decision.Row) string { return v.seenWords(r.Detectable) }),
		}.Table("designs", "Every number of sessions and attempts that was looked at.", v.Designs))
	}
	return out
}

// Pictures implements [View].
func (v Plan) Pictures() ([]picture.Picture, error) {
	p, err := v.curvePicture()
	if errors.Is(err, picture.ErrNothing) {
		return nil, nil
	}
	return []picture.Picture{p}, err
}

func (v Plan) curvePicture() (picture.Picture, error) {
	x, y := v.heads()
	in := picture.CurveInput{Name: v.Stem(), Title: v.Title(), X: x, Y: y, Target: v.target(), TargetWords: "asked for",
		At: picture.XY{X: math.NaN(), Y: math.NaN()}, Decimals: 3}
	if v.Topic == "design" {
		in.Unit = v.Unit
		if v.Noise.Scale == "log" {
			in.Unit = "%"
		}
	}
	reach := func(y float64) float64 {
		if v.Topic == "design" && v.Noise.Scale == "log" {
			return 100 * math.Expm1(y)
		}
		return y
	}
	in.Target = reach(in.Target)
	for _, r := range v.rows() {
		in.Points = append(in.Points, picture.XY{X: r.X, Y: reach(r.Y)})
		if r.answer {
			in.At, in.AtWords = in.Points[len(in.Points)-1], number.Plain(r.X, 0)
		}
	}
	in.Caption = v.curveCaption(in)
	return picture.Curve(in)
}

func (v Plan) curveCaption(in picture.CurveInput) string {
	first, last := in.Points[0], in.Points[len(in.Points)-1]
	words := fmt.Sprintf("From %s to %s %s the curve goes from %s to %s", number.Plain(first.X, 0), number.Plain(last.X, 0), in.X,
		number.Plain(first.Y, 2), number.Plain(last.Y, 2))
	if in.AtWords != "" {
		return words + "; " + in.AtWords + " meet what is asked for."
	}
	return words + "; none of these meets what is asked for."
}

// Sheet implements [View].
func (v Plan) Sheet() (Sheet, error) {
	s := Sheet{Title: v.Title(), Answer: firstFew(v.Answer()), Source: v.source(), Table: v.Tables()[len(v.Tables())-1]}
	if len(v.Designs) == 0 && len(v.RCurve) == 0 {
		s.Table = v.Data()
	}
	s.Table.Rows = s.Table.Rows[:min(len(s.Table.Rows), sheetFacts)]
	s.watchOut(v.Warnings())
	s.Draw = func() (*picture.Picture, error) {
		p, err := v.curvePicture()
		if errors.Is(err, picture.ErrNothing) {
			return nil, nil
		}
		return &p, err
	}
	return s, nil
}

func (v Plan) source() string {
	words := "planned, no table"
	if v.Noise != nil {
		words = "noise of " + v.Label(v.Measure) + ", " + v.Noise.Source
	}
	return words + "; noisefloor " + v.Version
}

// Warnings implements [View].
func (v Plan) Warnings() []string {
	out := v.sentences(v.Caveats)
	if len(v.Groups) > 1 && v.RFrom != "" {
		out = append(out, "The reliability is that of all levels together, which mixing them lifts, so r is too high: --group takes one "+
			"level's own ("+listed(v.Groups, 4)+").")
	} else if len(v.Groups) > 1 {
		out = append(out, "The noise is that of all levels together: --group takes one level's own ("+listed(v.Groups, 4)+").")
	}
	switch v.Topic {
	case "icc":
		if v.Sessions == 2 {
			out = append(out, "This is for consistency. With two sessions the interval of the agreement form stays wide however many "+
				"athletes there are: add sessions.")
		}
	case "programme":
		if v.RFrom == "" && v.Wish.R == 0 {
			out = append(out, "No correlation of before and after was given (--r, or --noise FILE --measure NAME): planned as if the score "+
				"before told nothing, which asks for the most athletes.")
		}
		out = append(out, "Plan for those who will be lost: athletes without a follow-up do not count.")
	case "change":
		out = append(out, "Without a control group a change includes whatever the weeks add, and practice with the test.")
	case "correlation":
		out = append(out, "Within one level: mixing levels makes another correlation.")
	}
	return out
}

// Method implements [View].
func (v Plan) Method() []string {
	switch v.Topic {
	case "icc":
		return []string{"Smallest number for which the exact F interval of ICC(C,1) is at most so wide in 80 % of studies; the start value is " +
			"Bonett's (2002), Statistics in Medicine 21:1331–1335."}
	case "error":
		return []string{"χ² interval of the typical error on (n − 1)(k − 1) degrees of freedom; “known to a factor” is √(upper/lower)."}
	case "correlation":
		return []string{"Fisher's interval, at most so wide in 80 % of studies; the start value is that of Bonett & Wright (2000), Psychometrika 65:23–28."}
	case "change":
		return []string{"Noncentral t, paired: δ = effect/SD·√n on n − 1 degrees of freedom."}
	case "programme":
		return []string{"Analysis of covariance on the score before: δ = effect/SD·√(n/2)/√(1 − r²)/√(1 + 1/(2n − 4)) on 2n − 3 degrees of " +
			"freedom, and one athlete more in each arm for the robust standard error."}
	}
	return []string{"Decision study on the variance components of the noise file: a true change is seen where δ√2·TE is reached, δ the " +
		"noncentrality of t that is past t(1 − α/2) with the power asked for; the range: the power at the 10th and 90th percentile of what " +
		"the true noise may be."}
}

// Document implements [View].
func (v Plan) Document() any { return v.documentFields().JSON(v) }

// answered are the numbers of an answer.
type answered struct{ athletes, sessions, trials int }

func (v Plan) documentFields() field.Set[Plan] {
	head := headOf("noisefloor/plan/1", func(a About) []caveat.Caveat { return a.Caveats })
	var out field.Set[Plan]
	for _, f := range field.Inline(head, func(v Plan) About { return v.About }) {
		if f.Key != "input" {
			out = append(out, f)
		}
	}
	count := func(key string, get func(answered) int) field.Field[answered] { return field.Count(key, get) }
	return append(out,
		field.Choice("question", []string{"icc", "error", "correlation", "change", "programme", "design"}, func(v Plan) string { return v.Topic }).Required(),
		field.Text("answer_words", func(v Plan) string { return v.Answer()[0] }).Required(),
		field.Number("target", func(v Plan) float64 { return v.target() }).Required(),
		field.Object("answer", field.Set[answered]{count("athletes", func(a answered) int { return a.athletes }),
			count("sessions", func(a answered) int { return a.sessions }), count("trials", func(a answered) int { return a.trials })},
			func(v Plan) (answered, bool) { return answered{v.Plan.Athletes, v.Sessions, v.Trials}, true }).Required(),
		field.List("curve", v.curveFields(), func(v Plan) []planned { return v.rows() }).Required(),
		field.Number("start", func(v Plan) float64 { return positive(v.Plan.Start) }),
		field.Number("reached", func(v Plan) float64 { return positive(v.Plan.Reached) }),
		field.Number("power_low", func(v Plan) float64 { return v.Low }),
		field.Number("power_high", func(v Plan) float64 { return v.High }),
		field.Object("simulated", field.Set[PlanSimulated]{
			field.Number("estimate", func(s PlanSimulated) float64 { return s.Estimate }).Required(),
			field.Number("standard_error", func(s PlanSimulated) float64 { return s.StandardError }).Required(),
			field.Number("formula", func(s PlanSimulated) float64 { return s.Formula }).Required(),
			field.Integer("studies", func(s PlanSimulated) int { return s.Studies }).Required(),
		}, func(v Plan) (PlanSimulated, bool) {
			if v.Simulated == nil {
				return PlanSimulated{}, false
			}
			return *v.Simulated, true
		}))
}

// PlanSchema is the JSON Schema of the documents of plans.
func PlanSchema() *field.Document {
	return Plan{}.documentFields().Schema(schemaID("plan"), "How many athletes, sessions and trials a study needs")
}
