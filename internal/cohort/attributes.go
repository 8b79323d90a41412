package cohort

import (
	"bytes"
	"fmt"
	"math"
	"strings"

	"noisefloor/internal/names"
)

// Attribute finds an attribute by its name, whatever the case and the accents,
// or by its role. One that is not there is a [*names.Error].
func (t *Table) Attribute(name string) (*Attribute, error) {
	i, err := names.One("attribute", t.attributeNames(), cleanText(name))
	if err == nil {
		return t.Attributes[i], nil
	}
	for _, a := range t.Attributes {
		if a.Role != "" && strings.EqualFold(a.Role, cleanText(name)) {
			return a, nil
		}
	}
	return nil, err
}

func (t *Table) attributeNames() []string {
	var list []string
	for _, a := range t.Attributes {
		list = append(list, a.Name)
	}
	return list
}

// AthleteTexts returns an attribute as one text for each athlete, in the order
// of t.Athletes; "" where it is missing. An attribute that differs between the
// sessions of an athlete is an error; [Table.AthleteTextsAt] takes one of them.
func (t *Table) AthleteTexts(attribute string) ([]string, error) {
	a, err := t.Attribute(attribute)
	if err != nil {
		return nil, err
	}
	out := make([]string, len(t.Athletes))
	session := make([]int32, len(t.Athletes))
	differing := make(map[int32]bool)
	first := ""
	for cell, id := range a.ids {
		if id == absent {
			continue
		}
		who, text := t.cellAthlete[cell], a.texts[id]
		if out[who] == "" {
			out[who], session[who] = text, t.cellSession[cell]
			continue
		}
		if out[who] != text {
			if first == "" {
				first = fmt.Sprintf("such as %q in session %q and %q in session %q",
					shorten(out[who]), t.Sessions[session[who]], shorten(text), t.Sessions[t.cellSession[cell]])
			}
			differing[who] = true
		}
	}
	if len(differing) > 0 {
		return nil, fmt.Errorf("%q differs between sessions for %s, %s: name a column that does not "+
			"change, or at least two sessions in which it stays the same",
			a.Name, counted(len(differing), "athlete"), first)
	}
	return out, nil
}

// AthleteTextsAt returns an attribute as one text for each athlete, in the
// order of t.Athletes: that of the "first" or the "last" session in which the
// athlete has one, in the order of t.Sessions; "" where it is in none.
func (t *Table) AthleteTextsAt(attribute, which string) ([]string, error) {
	if which != "first" && which != "last" {
		return nil, fmt.Errorf("an attribute can be that of the first or the last session, not of %q", which)
	}
	a, err := t.Attribute(attribute)
	if err != nil {
		return nil, err
	}
	out := make([]string, len(t.Athletes))
	session := make([]int32, len(t.Athletes))
	for cell, id := range a.ids {
		if id == absent {
			continue
		}
		who, s := t.cellAthlete[cell], t.cellSession[cell]
		if out[who] == "" || which == "first" && s < session[who] || which == "last" && s > session[who] {
			out[who], session[who] = a.texts[id], s
		}
	}
	return out, nil
}

// AthleteNumbers returns a numeric attribute as one number for each athlete,
// in the order of t.Athletes: the mean of the sessions in which it is there,
// NaN where it is in none. Texts that are not numbers are an error.
func (t *Table) AthleteNumbers(attribute string) ([]float64, error) {
	a, err := t.Attribute(attribute)
	if err != nil {
		return nil, err
	}
	if text := t.ambiguous(a); text != "" {
		return nil, ambiguousError(a, text)
	}
	values := make([]float64, len(a.texts))
	for id, text := range a.texts {
		values[id] = t.attributeNumber(text)
	}
	sum, n := make([]float64, len(t.Athletes)), make([]int, len(t.Athletes))
	for cell, id := range a.ids {
		if id == absent {
			continue
		}
		if math.IsNaN(values[id]) {
			problem, hint := explainNumber(a.texts[id])
			return nil, Fault{File: displayName(t.Source.Path), Row: int(a.rows[cell]), Column: a.Name,
				Text: shorten(a.texts[id]), Problem: problem, Hint: hint}
		}
		who := t.cellAthlete[cell]
		sum[who] += values[id]
		n[who]++
	}
	for i := range sum {
		sum[i] /= float64(n[i]) // 0/0 is NaN: missing
	}
	return sum, nil
}

// attributeNumber reads a number as the table writes them, NaN for a text.
func (t *Table) attributeNumber(text string) float64 {
	v, sep, ok := parseNumber(bytes.TrimSpace([]byte(text)))
	if !ok || sep != 0 && t.Source.Decimal != "" && string(sep) != t.Source.Decimal {
		return math.NaN()
	}
	return v
}
