package profile

import (
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
)

// Rules are the thresholds by which indices are read, each with its words and its source.
// The thresholds are common practice with no source; how sure a grade must be is
// calibrated by simulation (see [Analyse]). The file rules.json holds the default.
type Rules struct {
	Schema string `json:"schema"` // noisefloor/rules/1
	Grades Grades `json:"grades"`
	Rules  []Rule `json:"rules"`
}

// Grades say how sure a grade must be.
type Grades struct {
	Clear    Sure `json:"clear"`
	Possible Sure `json:"possible"`
}

// A Sure is how sure one grade must be.
type Sure struct {
	Alpha  float64 `json:"alpha"`  // one-sided error rate of an index at its threshold
	Chance float64 `json:"chance"` // of a quality or plane to be truly the lowest
}

// A Rule is one threshold.
type Rule struct {
	Key       string     `json:"key"`
	Index     IndexKind  `json:"index"`
	Direction string     `json:"direction"`          // above or below
	Threshold float64    `json:"threshold"`          // in the unit of the index
	Centre    float64    `json:"centre"`             // of the ordinary range; moves to the group's median where most lie past
	Quantity  []string   `json:"quantity,omitempty"` // of the tests it is for; none: any
	Region    []string   `json:"region,omitempty"`   // of the tests it is for; none: any
	Quality   []string   `json:"quality,omitempty"`  // of the spectrum it is for
	Needs     string     `json:"needs,omitempty"`    // high, low or neither: the standing it is read with
	Emphases  []Emphasis `json:"emphases,omitempty"`
	Words     string     `json:"words"`
	Source    string     `json:"source"`
}

// RulesSchema names the format of a file of rules.
const RulesSchema = "noisefloor/rules/1"

// Kinds that rules are for and no index is of.
const (
	SpectrumLowest IndexKind = "spectrum" // SD of a quality below the mean of the others
	PlaneLowest    IndexKind = "plane"    // SD of a plane below the mean of the others
	OnePart        IndexKind = "one_part" // SD of one test below the mean of the others of its region
)

// Directions of a rule.
const (
	Above = "above"
	Below = "below"
)

// What a rule can need of the standing that its index is read with.
const (
	NeedsHigh    = "high"
	NeedsLow     = "low"
	NeedsNeither = "neither"
)

//go:embed rules.json
var embedded []byte

// DefaultRules are those of the program.
func DefaultRules() Rules {
	var r Rules
	if err := json.Unmarshal(embedded, &r); err != nil {
		panic("profile: the embedded rules: " + err.Error()) // a test reads them
	}
	return r
}

// DefaultRulesText is the file of the default rules, to be copied and changed.
func DefaultRulesText() []byte { return slices.Clone(embedded) }

// ErrRules: rules that cannot be used.
var ErrRules = errors.New("unusable rules")

// Check says what is wrong with rules; nil when they can be used.
func (r Rules) Check() error {
	for _, s := range []Sure{r.Grades.Clear, r.Grades.Possible} {
		if !(s.Alpha > 0 && s.Alpha < 0.5) || !(s.Chance > 0.25 && s.Chance < 1) {
			return fmt.Errorf("%w: grades: alpha %g must lie between 0 and 0.5, chance %g between 0.25 and 1", ErrRules,
				s.Alpha, s.Chance)
		}
	}
	if r.Grades.Clear.Alpha > r.Grades.Possible.Alpha || r.Grades.Clear.Chance < r.Grades.Possible.Chance {
		return fmt.Errorf("%w: grades: clear is less sure than possible", ErrRules)
	}
	seen := map[string]bool{}
	for _, rule := range r.Rules {
		if seen[rule.Key] {
			return fmt.Errorf("%w: the key %q stands twice", ErrRules, rule.Key)
		}
		seen[rule.Key] = true
		if err := rule.check(); err != nil {
			return fmt.Errorf("%w: rule %q: %w", ErrRules, rule.Key, err)
		}
	}
	return nil
}

func (r Rule) check() error {
	kinds := []IndexKind{SideDifference, Gain, Gap, SpectrumLowest, PlaneLowest, OnePart}
	switch {
	case r.Key == "" || r.Words == "" || r.Source == "":
		return errors.New("key, words and source must not be empty")
	case !slices.Contains(kinds, r.Index):
		return fmt.Errorf("index %q is none of %v", r.Index, kinds)
	case r.Direction != Above && r.Direction != Below:
		return fmt.Errorf("direction %q is neither above nor below", r.Direction)
	case math.IsNaN(r.Threshold) || math.IsInf(r.Threshold, 0) || math.IsNaN(r.Centre) || math.IsInf(r.Centre, 0):
		return errors.New("threshold and centre must be numbers")
	case r.Index == SideDifference && !(math.Abs(r.Threshold) < 100):
		return errors.New("a side difference lies between -100 and 100 %")
	case r.Index == Gain && !(r.Threshold > -100):
		return errors.New("a gain is more than -100 %")
	case r.Needs != "" && !slices.Contains([]string{NeedsHigh, NeedsLow, NeedsNeither}, r.Needs):
		return fmt.Errorf("needs %q is none of high, low, neither", r.Needs)
	}
	for _, e := range r.Emphases {
		if !slices.Contains(Emphases(), e) {
			return fmt.Errorf("emphasis %q is none of %q", e, Emphases())
		}
	}
	return nil
}

// Emphases are all there are, in the order in which they are named.
func Emphases() []Emphasis {
	return []Emphasis{SeeClinician, TestAgain, BuildForce, MoveFaster, UseStretch, EvenSides, PlaneFirst, AllOfTheRange}
}

// Find returns the rule with a key.
func (r Rules) Find(key string) (Rule, bool) {
	for _, rule := range r.Rules {
		if rule.Key == key {
			return rule, true
		}
	}
	return Rule{}, false
}

// of are the rules of a kind and direction that are for a test.
func (r Rules) of(kind IndexKind, direction string, t Test) []Rule {
	var out []Rule
	for _, rule := range r.Rules {
		if rule.Index == kind && rule.Direction == direction && rule.suits(t) {
			out = append(out, rule)
		}
	}
	return out
}

func (r Rule) suits(t Test) bool {
	return (len(r.Quantity) == 0 || slices.Contains(r.Quantity, t.Quantity)) &&
		(len(r.Region) == 0 || slices.Contains(r.Region, t.Region))
}

// past is how far x lies past the threshold, positive when it does.
func (r Rule) past(x float64) float64 {
	if r.Direction == Below {
		return r.Threshold - x
	}
	return x - r.Threshold
}
