package profile

// Rules are the thresholds, each with its words and its source. They are common practice
// with no source; the embedded file rules.json holds the default, and a user's file
// replaces it.
type Rules struct {
	Schema string `json:"schema"` // noisefloor/rules/1
	Rules  []Rule `json:"rules"`
}

// A Rule is one threshold.
type Rule struct {
	Key       string     `json:"key"`
	Index     Kind       `json:"index"`
	Quantity  []string   `json:"quantity,omitempty"` // of the tests that it is for; empty: any
	Direction string     `json:"direction"`          // above, below
	Threshold float64    `json:"threshold"`          // in the unit of the index
	Needs     string     `json:"needs,omitempty"`    // a second condition: high, low
	Emphases  []Emphasis `json:"emphases,omitempty"`
	Words     string     `json:"words"`  // what it means, for a coach
	Source    string     `json:"source"` // "common practice, no source"
}
