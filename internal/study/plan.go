package study

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"noisefloor/analysis/decision"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/planning"
	"noisefloor/internal/names"
)

// Plan asks how many athletes, sessions and trials the next study needs. It is about no
// table.
type Plan struct {
	Common
	About    string  `json:"about"`                   // icc, error, correlation, change, programme or design
	Expected float64 `json:"expected,omitempty"`      // ICC or r
	Width    float64 `json:"width,omitempty"`         // of its interval
	Upper    float64 `json:"upper,omitempty"`         // largest upper limit of the typical error, times it
	Within   float64 `json:"within,omitempty"`        // largest √(upper/lower) of the typical error
	Repeats  int     `json:"sessions_each,omitempty"` // sessions of each athlete
	Effect   float64 `json:"effect,omitempty"`
	SD       float64 `json:"sd,omitempty"`
	R        float64 `json:"r,omitempty"` // of before and after
	RKnown   bool    `json:"r_known,omitempty"`
	Power    float64 `json:"power,omitempty"`
	Target   float64 `json:"target,omitempty"` // change of one athlete to be seen
	Noise    string  `json:"noise,omitempty"`  // a noise file with the numbers
	Measure  string  `json:"measure,omitempty"`
	Group    string  `json:"group,omitempty"`    // of the noise file
	Simulate int     `json:"simulate,omitempty"` // studies
}

// Question implements [Request].
func (*Plan) Question() string { return "plan" }

func (*Plan) withoutTable() {}

func (r *Plan) paths() []*string { return []*string{&r.Noise} }

// Plans are what can be asked.
func Plans() []string {
	return []string{"icc", "error", "correlation", "change", "programme", "design"}
}

// A PlanResult is the answer of a plan.
type PlanResult struct {
	Plan             planning.Plan
	Sessions, Trials int    // of each athlete, where the answer names them
	Unit             string // of effect and target
	Noise            *noise.Model
	RFrom            string           // where r came from: "" as given
	Groups           []string         // of the noise file, where all levels together were taken
	RCurve           []planning.Point // programme: r and athletes an arm
	Designs          []decision.Row   // design: every design looked at
	Seen             float64          // design: the change seen with the power
	Low, High        float64          // design: the power in four of five true noises
	Never            bool             // design: no design of at most these sessions and trials
	Best             float64          // design: the smallest change that any of them sees
	Simulated        *Simulated
}

// A Simulated is what studies drawn by a program reach.
type Simulated struct {
	Estimate, StandardError, Formula float64
	Studies                          int
}

// planFields say what each plan needs, and what it may have.
var planNeeds = map[string][]string{
	"icc": {"expected", "width"}, "error": {}, "correlation": {"expected", "width"}, "change": {"effect", "sd"},
	"programme": {"effect", "sd"}, "design": {"noise", "target"},
}

var planMay = map[string][]string{
	"icc": {"sessions"}, "error": {"upper", "within", "sessions"}, "correlation": {}, "change": {"power", "noise", "measure"},
	"programme": {"r", "power", "noise", "measure", "group"}, "design": {"measure", "group", "power"},
}

// given are the wishes that were uttered, by the names of their flags.
func (r *Plan) given() map[string]bool {
	return map[string]bool{"expected": r.Expected != 0, "width": r.Width != 0, "upper": r.Upper != 0, "within": r.Within != 0,
		"sessions": r.Repeats != 0, "effect": r.Effect != 0, "sd": r.SD != 0, "r": r.R != 0 || r.RKnown, "power": r.Power != 0,
		"target": r.Target != 0, "noise": r.Noise != "", "measure": r.Measure != "", "group": r.Group != ""}
}

func (r *Plan) check() error {
	if found, err := names.All("plan", Plans(), []string{r.About}); err != nil {
		return err
	} else if len(found) == 1 {
		r.About = Plans()[found[0]]
	}
	given := r.given()
	for _, need := range planNeeds[r.About] {
		if !given[need] {
			return missing(need, fmt.Sprintf("plan %s needs --%s", r.About, need))
		}
	}
	for name, is := range given {
		if is && !slices.Contains(planNeeds[r.About], name) && !slices.Contains(planMay[r.About], name) {
			return requestError(name, "means nothing to plan %s", r.About)
		}
	}
	if r.Upper != 0 && r.Within != 0 {
		return requestError("within", "the upper limit or both limits: give --upper or --within")
	}
	if r.Simulate < 0 || r.Simulate > 1000000 {
		return requestError("simulate", "%d: want a number of studies up to 1000000", r.Simulate)
	}
	if r.About == "design" && r.Measure == "" {
		return missing("measure", "plan design needs --measure: a test of the noise file")
	}
	if (r.About == "programme" || r.About == "change") && r.Noise != "" && r.Measure == "" {
		return missing("measure", "--noise wants --measure: a test of the noise file")
	}
	r.origins(given)
	return nil
}

// origins fills what is open: sessions, power, the limits that are asked for.
func (r *Plan) origins(given map[string]bool) {
	for _, name := range []string{"sessions", "power", "within", "r"} {
		if slices.Contains(planMay[r.About], name) {
			r.origin(name, given[name])
		}
	}
	if r.Repeats == 0 && (r.About == "icc" || r.About == "error") {
		r.Repeats = 2
	}
	if r.Power == 0 && slices.Contains(planMay[r.About], "power") {
		r.Power = 0.8
	}
	if r.About == "error" && r.Upper == 0 && r.Within == 0 {
		r.Within = 1.2
	}
}

func (r *Plan) settle(d *desk) error {
	if r.Noise == "" {
		return nil
	}
	_, _, err := r.model(d)
	return err
}

// model is the noise of the measure in the file, with the groups that it knows.
func (r *Plan) model(d *desk) (m noise.Model, groups []string, err error) {
	s, err := d.noiseFile(r.Noise, nil)
	if err != nil {
		return m, nil, err
	}
	var all []string
	for _, m := range s.file.Measures {
		if m.Group == "" {
			all = append(all, m.Measure)
		}
	}
	found, err := find("measure", all, []string{r.Measure})
	if err != nil {
		return m, nil, err
	}
	if len(found) != 1 {
		return m, nil, requestError("measure", "%s means %d tests: name one", r.Measure, len(found))
	}
	r.Measure = found[0]
	groups = s.groupsOf(r.Measure)
	if r.Group != "" {
		found, err := find("group", groups, []string{r.Group})
		if err != nil {
			return m, nil, err
		}
		r.Group = found[0]
	}
	m, ok := s.file.Find(r.Measure, r.Group)
	if !ok {
		return m, nil, fmt.Errorf("%s holds no noise of %s in %s", s.name, r.Measure, r.Group)
	}
	return m, groups, nil
}

func (r *Plan) run(d *desk) (Outcome, error) {
	out := &PlanResult{Low: math.NaN(), High: math.NaN(), Best: math.NaN()}
	if r.Noise != "" {
		d.request.Inputs = nil
		m, groups, err := r.model(d)
		if err != nil {
			return Outcome{}, err
		}
		if out.Noise, out.Unit = &m, m.Unit; r.Group == "" {
			out.Groups = groups
		}
	}
	var err error
	switch r.About {
	case "icc":
		out.Sessions = r.Repeats
		out.Plan, err = planning.ICC{Expected: r.Expected, Width: r.Width, Sessions: r.Repeats, Level: r.Confidence}.Plan()
	case "error":
		out.Sessions = r.Repeats
		out.Plan, err = r.noisePlan().Plan()
	case "correlation":
		out.Plan, err = planning.Correlation{Expected: r.Expected, Width: r.Width, Level: r.Confidence}.Plan()
	case "change":
		out.Plan, err = planning.Change{Effect: r.Effect, SD: r.SD, Power: r.Power, Level: r.Confidence}.Plan()
	case "programme":
		err = r.programme(out)
	case "design":
		err = r.design(out)
	}
	if errors.Is(err, planning.ErrGoal) {
		return Outcome{}, &RequestError{Field: "plan", Text: err.Error()}
	}
	if err == nil && r.Simulate > 0 {
		out.Simulated, err = r.simulate(out)
	}
	return Outcome{Result: out}, err
}

func (r *Plan) noisePlan() planning.Noise {
	p := planning.Noise{Ratio: r.Within, Sessions: r.Repeats, Level: r.Confidence}
	if r.Upper != 0 {
		p.Ratio, p.Upper = r.Upper, true
	}
	return p
}

// programme settles r: as given, else the lower one-sided 80 % limit of the reliability
// that a noise file has, else 0.
func (r *Plan) programme(out *PlanResult) (err error) {
	if !r.RKnown && r.R == 0 && out.Noise != nil {
		m := out.Noise
		r.R = planning.LowerR(m.ICC, m.Athletes, len(m.Sessions), planning.Assurance)
		out.RFrom = fmt.Sprintf("%.2f", m.ICC)
		if math.IsNaN(r.R) {
			return fmt.Errorf("the noise file says no reliability of %s, so give --r", r.Measure)
		}
		r.R = math.Floor(100*r.R) / 100
	}
	p := planning.Programme{Effect: r.Effect, SD: r.SD, R: r.R, Power: r.Power, Level: r.Confidence}
	if out.Plan, err = p.Plan(); err != nil {
		return err
	}
	for _, x := range []float64{0, 0.3, 0.5, 0.6, 0.7, 0.8, 0.9} {
		q := p
		q.R = x
		at, err := q.Plan()
		if err != nil {
			return err
		}
		out.RCurve = append(out.RCurve, planning.Point{X: x, Y: float64(at.Athletes)})
	}
	return nil
}

// Most sessions and trials of a design that is looked at.
const (
	mostSessions = 4
	mostTrials   = 8
)

// design finds the fewest sessions and trials with which a true change of one athlete is
// seen.
func (r *Plan) design(out *PlanResult) error {
	m := out.Noise
	if m.Components == nil {
		return fmt.Errorf("the noise of %s knows no parts for sessions and trials (its scores are no means of several "+
			"attempts), so no other design can be told", r.Measure)
	}
	if m.Scale == "log" {
		return r.designAt(out, math.Log1p(r.Target/100))
	}
	return r.designAt(out, r.Target)
}

func (r *Plan) designAt(out *PlanResult, target float64) error {
	m := out.Noise
	if !(target > 0) {
		return requestError("target", "%g: want a change above 0", r.Target)
	}
	o := decision.Options{Level: r.Confidence, Power: r.Power, Sessions: mostSessions, Trials: mostTrials}
	rows, err := decision.Study(*m.Components, o)
	if err != nil {
		return err
	}
	out.Designs = rows
	answer, err := decision.Cheapest(*m.Components, decision.Target{Goal: decision.SeenChange, Value: target}, o)
	if err != nil {
		return err
	}
	out.Never = !answer.Found
	for _, row := range rows {
		if !(row.Seen >= out.Best) {
			out.Best = row.Seen
		}
		if row.Sessions == 1 {
			out.Plan.Curve = append(out.Plan.Curve, planning.Point{X: float64(row.Trials), Y: row.Seen})
		}
	}
	if !answer.Found {
		return nil
	}
	out.Sessions, out.Trials, out.Seen = answer.Row.Sessions, answer.Row.Trials, answer.Row.Seen
	te := answer.Row.TypicalError.Value
	out.Low, out.High = planning.Spread(target/(math.Sqrt2*te), answer.Row.DF, r.Confidence, planning.Assurance)
	out.Plan.Reached = r.Power
	return nil
}
