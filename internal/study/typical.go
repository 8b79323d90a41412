package study

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/internal/cohort"
	"noisefloor/internal/names"
)

// A TypicalError is one from elsewhere: published, or known to a club.
type TypicalError struct {
	Measure string  `json:"measure"`
	Level   string  `json:"level,omitempty"` // of the athletes it holds for; "" for all others
	Value   float64 `json:"value"`
	Unit    string  `json:"unit,omitempty"`   // "%" is percent of the score, on the log scale; "" is the table's
	DF      float64 `json:"df,omitempty"`     // 0: nobody knows
	Source  string  `json:"source,omitempty"` // in words
}

// typicalErrorForm is how one is written.
const typicalErrorForm = "want NAME=VALUE, such as press=45, 'press=45 W; df=19; source=club manual 2024' or " +
	"'throw=3.2%; level=senior'"

// ParseTypicalError reads one from text,
//
//	NAME=VALUE[ UNIT][; df=NUMBER][; level=LEVEL][; source=TEXT]
//
// VALUE is in the unit of the test, or a percentage of the score with %. NAME is
// as the table has it, no pattern; one that holds = or ; stands in double quotes,
// "a=b"=45. Neither LEVEL nor TEXT holds a semicolon.
func ParseTypicalError(text string) (TypicalError, error) {
	name, rest, err := cutName(strings.TrimSpace(text))
	if err != nil {
		return TypicalError{}, err
	}
	parts := strings.Split(rest, ";")
	t := TypicalError{Measure: name}
	if err := t.readValue(strings.TrimSpace(parts[0])); err != nil {
		return t, err
	}
	given := map[string]bool{}
	for _, part := range parts[1:] {
		key, value, ok := strings.Cut(part, "=")
		key, value = strings.ToLower(strings.TrimSpace(key)), strings.TrimSpace(value)
		if !ok || value == "" {
			return t, fmt.Errorf("%q: want df=NUMBER, level=LEVEL or source=TEXT after a semicolon",
				strings.TrimSpace(part))
		}
		if given[key] {
			return t, fmt.Errorf("%s stands twice", key)
		}
		given[key] = true
		if err := t.set(key, value); err != nil {
			return t, err
		}
	}
	return t, t.check()
}

// cutName cuts the name off, quoted or not.
func cutName(text string) (name, rest string, err error) {
	if quoted, ok := strings.CutPrefix(text, `"`); ok {
		var after string
		if name, after, ok = strings.Cut(quoted, `"`); !ok {
			return "", "", fmt.Errorf("%s: the quote is not closed", text)
		}
		after = strings.TrimSpace(after)
		if rest, ok = strings.CutPrefix(after, "="); !ok {
			return "", "", fmt.Errorf("%q: %s", text, typicalErrorForm)
		}
	} else if name, rest, ok = strings.Cut(text, "="); !ok {
		return "", "", fmt.Errorf("%q: %s", text, typicalErrorForm)
	}
	if name = strings.TrimSpace(name); name == "" {
		return "", "", fmt.Errorf("%q: no name before the =; %s", text, typicalErrorForm)
	}
	return name, rest, nil
}

// valueAndUnit is a number as people write it, and what follows.
var valueAndUnit = regexp.MustCompile(
	`^([-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]+)?)\s*([^-+0-9.,_\s].*)?$`)

func (t *TypicalError) readValue(text string) error {
	m := valueAndUnit.FindStringSubmatch(text)
	if m == nil {
		if strings.Contains(text, ",") {
			return fmt.Errorf("%q is not a number: write a decimal point, 3.2", text)
		}
		return fmt.Errorf("%q is not a number above zero, with or without a unit; %s", text, typicalErrorForm)
	}
	x, err := strconv.ParseFloat(m[1], 64)
	if err != nil {
		return fmt.Errorf("%q is too large for a number", m[1])
	}
	t.Value, t.Unit = x, strings.TrimSpace(m[2])
	if t.Unit != "%" && meansPercent.MatchString(t.Unit) {
		return fmt.Errorf("%q: a percentage is written with the bare sign: %s%%", text, m[1])
	}
	return nil
}

// meansPercent are other ways to write a percentage, which would pass as units.
var meansPercent = regexp.MustCompile(`(?i)[%％]|\b(per ?cent|percent|pct|cv|prozent|pourcent)\b`)

func (t *TypicalError) set(key, value string) error {
	known := []string{"df", "level", "source"}
	switch key {
	case "df":
		x, err := strconv.ParseFloat(value, 64)
		if err != nil || x == 0 || strings.Contains(value, "_") {
			return fmt.Errorf("df=%s: want a number of 1 or more; leave df out when nobody knows it", value)
		}
		t.DF = x
	case "level":
		t.Level = value
	case "source":
		t.Source = value
	default:
		return fmt.Errorf("there is no %q here; %s", key, names.Suggest(key, "keys", known))
	}
	return nil
}

// farthest is the largest typical error that is taken, and one over the smallest.
const farthest = 1e100

// check refuses what cannot be a typical error, in whatever way it came.
func (t TypicalError) check() error {
	switch {
	case t.Measure == "":
		return fmt.Errorf("no name; %s", typicalErrorForm)
	case !(t.Value > 0):
		return fmt.Errorf("%s: a typical error of %v: want a number above zero", t.Measure, t.Value)
	case !(t.Value <= farthest && t.Value >= 1/farthest):
		return fmt.Errorf("%s: a typical error of %v is none of any test", t.Measure, t.Value)
	case t.Unit == "%" && t.Value >= 100:
		return fmt.Errorf("%s: a typical error of %v %% is as large as the score itself: nothing can be judged by it",
			t.Measure, t.Value)
	case t.DF != 0 && !(t.DF >= 1 && t.DF < noise.Exact):
		return fmt.Errorf("%s: df=%v: want a number from 1 to below a million, about (athletes - 1) times "+
			"(sessions - 1); leave df out when nobody knows it", t.Measure, t.DF)
	}
	return nil
}

// text is a typical error as people write it.
func (t TypicalError) text() string {
	switch t.Unit {
	case "":
		return fmt.Sprintf("%s=%v", t.Measure, t.Value)
	case "%":
		return fmt.Sprintf("%s=%v%%", t.Measure, t.Value)
	}
	return fmt.Sprintf("%s=%v %s", t.Measure, t.Value, t.Unit)
}

// typicalErrors settles those of a request: whose they are, and that they fit. all
// are all typical errors of the request; names become those of the table.
func (d *desk) typicalErrors(all []TypicalError) error {
	c := d.request
	var known []string
	for _, m := range d.whole.Measures {
		known = append(known, m.Name)
	}
	seen := map[[2]string]bool{}
	for i := range all {
		t := &all[i]
		if err := t.check(); err != nil {
			return requestError("typical-error", "%v", err)
		}
		at, err := names.One("measure", known, t.Measure)
		if err != nil {
			return err
		}
		t.Measure = known[at]
		if err := d.fitsGiven(*t, d.whole.Measures[at]); err != nil {
			return err
		}
		if key := [2]string{t.Measure, names.Fold(t.Level)}; seen[key] {
			return requestError("typical-error", "%s is given twice%s: take one", t.Measure, Failed{Group: t.Level}.of())
		} else {
			seen[key] = true
		}
		test := c.Tests[t.Measure]
		test.Scale = string(t.model(d.whole.Measures[at]).Scale)
		c.Tests[t.Measure] = test
	}
	return nil
}

func (d *desk) fitsGiven(t TypicalError, m *cohort.Measure) error {
	scale := t.model(m).Scale
	switch {
	case t.Unit == "%" && m.Unit == "%":
		return requestError("typical-error", "%s: %s is itself in %%, so it may be points of it or a share of the score: "+
			"write the points without the sign", t.text(), m.Name)
	case t.Unit != "" && t.Unit != "%" && m.Unit != "" && t.Unit != m.Unit:
		return requestError("typical-error", "%s: %s is in %s in the table: write it in %s", t.text(), m.Name, m.Unit, m.Unit)
	case d.request.Scale == "auto" || d.request.Scale == string(scale):
		return nil
	case scale == score.Log:
		return requestError("scale", "%s, but %s is a percentage, which is of the log scale: leave --scale out, or write "+
			"it in the unit", d.request.Scale, t.text())
	}
	return requestError("scale", "%s, but %s is in the unit of the test: leave --scale out, or write it as a percentage",
		d.request.Scale, t.text())
}

func (t TypicalError) model(m *cohort.Measure) noise.Model {
	unit := m.Unit
	if unit == "" && t.Unit != "%" {
		unit = t.Unit
	}
	return noise.Given(m.Name, unit, t.Value, t.Unit == "%", t.DF, t.Source)
}

// given finds the typical error that was given for the athletes of a group: that of
// their level, else that for all.
func given(all []TypicalError, m *cohort.Measure, g group) (n noise.Model, ofLevel, ok bool) {
	for _, level := range []string{g.name, ""} {
		for _, t := range all {
			if t.Measure == m.Name && t.Level == level {
				return t.model(m), t.Level != "", true
			}
		}
	}
	return noise.Model{}, false, false
}

// givenLevels settles the levels that typical errors are of.
func (d *desk) givenLevels(all []TypicalError) error {
	var have []string
	for _, g := range groupsOf(d.groups) {
		have = append(have, g.name)
	}
	for i := range all {
		if all[i].Level == "" {
			continue
		}
		if len(have) == 0 {
			return requestError("typical-error", "%s; level=%s: athletes are not told apart by level here (--by COLUMN "+
				"names the column)", all[i].text(), all[i].Level)
		}
		at, err := names.One("level", have, all[i].Level)
		if err != nil {
			return err
		}
		all[i].Level = have[at]
	}
	return nil
}

// caveatGiven says what is not known of a typical error from elsewhere.
func (d *desk) caveatGiven(m modelled) {
	doubt := func(c caveat.Caveat) { d.caveats = append(d.caveats, c.About(m.measure.Name)) }
	if !m.noise.DFKnown() {
		p := 0.5 + d.request.Confidence/2
		doubt(caveat.New(retest.ErrorTakenAsExact, dist.TQuantile(p, 7)/dist.TQuantile(p, noise.Exact)))
	}
	if r := m.replaced; r != nil {
		doubt(caveat.New(retest.ErrorGiven, m.noise.TypicalError, r.TypicalError).With(r.Source, string(m.noise.Scale),
			string(r.Scale)))
	}
}

// instead is the noise that was given in place of a study's: all of it, but for the
// worthwhile change, which is no noise, where both are on one scale.
func instead(given, study noise.Model) noise.Model {
	if given.Scale == study.Scale && study.Worthwhile > 0 {
		given.Worthwhile, given.WorthwhileBasis = study.Worthwhile, study.WorthwhileBasis
	}
	return given
}

// fitsGiven refuses a typical error that cannot be of the scores.
func (m modelled) fitsGiven() error {
	half := median(m.measure.Value)
	if !m.given || !retest.TooFar(m.noise, half) {
		return nil
	}
	return fmt.Errorf("its scores lie around %.3g, and its typical error is given as %.3g: another unit?", half,
		m.noise.TypicalError)
}

// withoutWorthwhile are the tests whose noise brings no worthwhile change: of some
// nothing but a typical error is known, and of pooled studies it may differ.
func withoutWorthwhile(models []modelled) (out []modelled) {
	for _, m := range models {
		elsewhere := m.given || len(m.noise.Studies) > 0
		if elsewhere && !(m.noise.Worthwhile > 0) && !slices.ContainsFunc(out, func(o modelled) bool {
			return o.measure == m.measure
		}) {
			out = append(out, m)
		}
	}
	return out
}

// caveatNoWorthwhile says of which tests nobody said which change matters.
func (r *Retest) caveatNoWorthwhile(d *desk, models []modelled) {
	for _, m := range withoutWorthwhile(models) {
		if r.override(d, m) == nil {
			d.caveats = append(d.caveats, caveat.New(retest.NoWorthwhile).About(m.measure.Name))
			test := r.Tests[m.measure.Name]
			test.Worthwhile = ""
			r.Tests[m.measure.Name] = test
		}
	}
}
