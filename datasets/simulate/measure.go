package simulate

// A Measure is one measure as the cohort's dictionary describes it: an entry
// of nf:measures. Name carries the side, as in "side_throw_speed.left".
type Measure struct {
	Name            string   `json:"name"`
	Label           string   `json:"label"`
	Unit            string   `json:"unit"`
	Plane           string   `json:"plane,omitempty"` // absent for an outcome: no single plane
	Region          string   `json:"region"`
	Quality         string   `json:"quality"`
	Quantity        string   `json:"quantity"`
	Side            string   `json:"side,omitempty"`
	Pair            string   `json:"pair,omitempty"`
	Countermovement string   `json:"countermovement,omitempty"`
	Counterpart     string   `json:"counterpart,omitempty"`
	Quickness       string   `json:"quickness,omitempty"` // the test that says how fast this one's peak is reached
	Load            *float64 `json:"load,omitempty"`      // kg
	Better          string   `json:"better"`
	Scale           string   `json:"scale"` // as declared; the true scale is in [MeasureTruth]
	Role            string   `json:"role"`
	Worthwhile      *float64 `json:"worthwhile,omitempty"`
	Minimum         float64  `json:"minimum"` // plausible range, in Unit
	Maximum         float64  `json:"maximum"`
}

// fullName is the name of one side of a test: "throw.left", or "throw" when
// side is empty.
func fullName(base, side string) string {
	if side == "" {
		return base
	}
	return base + "." + side
}

// describe returns the dictionary entry of one side of t.
func (t test) describe(side string) Measure {
	m := t.Measure
	m.Name = fullName(t.Name, side)
	if m.Counterpart != "" {
		m.Counterpart = fullName(m.Counterpart, side)
	}
	if m.Quickness != "" {
		m.Quickness = fullName(m.Quickness, side)
	}
	if side != "" {
		m.Label += ", " + side
		m.Side = side
		m.Pair = fullName(t.Name, other(side))
	}
	return m
}

// sides returns the sides t is done on, or one empty text.
func (t test) sides() []string {
	if t.sided {
		return []string{left, right}
	}
	return []string{""}
}

func other(side string) string {
	if side == left {
		return right
	}
	return left
}
