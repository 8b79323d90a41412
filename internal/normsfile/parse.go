package normsfile

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"

	"noisefloor/analysis/norms"
	"noisefloor/internal/strictjson"
)

// parse checks text from the outside in: JSON, version, schema, sense.
func parse(text []byte) (document, error) {
	text = bytes.TrimPrefix(text, []byte("\uFEFF"))
	value, err := strictjson.Decode(text)
	if err != nil {
		return document{}, fmt.Errorf("%w: %w", ErrInvalid, err)
	}
	if err := checkVersion(value); err != nil {
		return document{}, err
	}
	if err := schema.Check(value); err != nil {
		return document{}, fmt.Errorf("%w: %w", ErrInvalid, err)
	}
	var d document
	if err := json.Unmarshal(text, &d); err != nil {
		return document{}, fmt.Errorf("%w: %w", ErrInvalid, err)
	}
	return d, d.check()
}

// checkVersion looks at the schema key alone, so that a file of another kind is called
// that, not full of errors.
func checkVersion(value any) error {
	object, _ := value.(map[string]any)
	have, _ := object["schema"].(string)
	switch {
	case have == Schema:
		return nil
	case have == "":
		return fmt.Errorf("%w: it has no key \"schema\" saying %q; norms --save makes a norms file", ErrVersion, Schema)
	case strings.HasPrefix(have, "noisefloor/norms-file/"):
		return fmt.Errorf("%w: its schema is %q, this program reads %q; use the version that made it, or make it again",
			ErrVersion, have, Schema)
	}
	return fmt.Errorf("%w: its schema is %q, a norms file has %q; norms --save makes one", ErrVersion, have, Schema)
}

// check looks for what a schema cannot say.
func (d document) check() error {
	var wrong []error
	seen := map[[2]string]bool{}
	for i, c := range d.Measures {
		complain := func(format string, a ...any) {
			wrong = append(wrong, fmt.Errorf("%w: %s, measures[%d]: %s", ErrInvalid, c.Measure, i, fmt.Sprintf(format, a...)))
		}
		if seen[[2]string{c.Measure, c.Group}] {
			complain("key \"measure\": the test and group stand twice")
		}
		seen[[2]string{c.Measure, c.Group}] = true
		if c.Group != "" && d.By == "" {
			complain("key \"group\": the file has no key \"by\", the column of the groups")
		}
		for _, why := range append(c.wrong(), c.tooMuch()...) {
			complain("%s", why)
		}
	}
	return errors.Join(wrong...)
}

// wrong are numbers that do not fit each other.
func (c cell) wrong() (out []string) {
	for i, q := range c.Quantiles {
		if i > 0 && !(q.P > c.Quantiles[i-1].P) {
			out = append(out, `key "quantiles": "p" must rise from one to the next`)
		}
		if c.Scale == "log" && !(q.Value > 0) {
			out = append(out, fmt.Sprintf(`key "quantiles": on the log scale values must be above 0, found %g`, q.Value))
		}
		if i > 0 && (c.Better == "lower") == (q.Value > c.Quantiles[i-1].Value) && q.Value != c.Quantiles[i-1].Value {
			out = append(out, `key "quantiles": values must go towards better as "p" rises`)
		}
	}
	rho := norms.Kept{SD: c.SD, Noise: norms.Noise{TypicalError: c.TypicalError}}.Rho()
	if math.Abs(c.Rho-rho) > 0.0051 {
		out = append(out, fmt.Sprintf(`key "rho": by "sd" and "typical_error" it is %.2f, found %g`, rho, c.Rho))
	}
	return out
}

// tooMuch is what a cell must not hold.
func (c cell) tooMuch() (out []string) {
	if most := int(c.Athletes) / norms.AthletesEach; len(c.Quantiles) > most {
		out = append(out, fmt.Sprintf(`key "quantiles": %d of %.0f athletes tell too much: at most %d`, len(c.Quantiles),
			c.Athletes, most))
	}
	if c.Step < 0.47*c.TypicalError { // the typical error is kept to two digits
		out = append(out, fmt.Sprintf(`key "step": %g is finer than half the typical error`, c.Step))
	}
	if c.Scale == "raw" && c.UnitStep != c.Step {
		out = append(out, `key "unit_step": on the raw scale it is "step"`)
	}
	multiple := func(x, step float64) bool {
		return math.Abs(x/step-math.Round(x/step)) <= 1e-6*max(1, math.Abs(x/step)/1e6)
	}
	if !multiple(c.Mean, c.Step) || !multiple(c.SD, c.Step) {
		out = append(out, `keys "mean" and "sd" must be multiples of "step"`)
	}
	for _, q := range c.Quantiles {
		side := min(q.P, 1-q.P) * c.Athletes
		switch {
		case c.Athletes < norms.MinTails && side < c.Athletes/4-1e-9, side < norms.MinSide-1:
			out = append(out, fmt.Sprintf(`key "quantiles": of %.0f athletes there may be none at %g`, c.Athletes, q.P))
		case !multiple(q.Value, c.UnitStep):
			out = append(out, `key "quantiles": values must be multiples of "unit_step"`)
		case c.Scale == "log" && c.UnitStep < 0.47*c.TypicalError*q.Value*(1-0.05):
			out = append(out, fmt.Sprintf(`key "unit_step": %g is finer than half the typical error at %g`, c.UnitStep, q.Value))
		}
	}
	return out
}
