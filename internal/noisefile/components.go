package noisefile

import (
	"fmt"
	"math"

	"noisefloor/analysis/varcomp"
)

// components are variance components as they are spelled. Covariance has rows
// and columns in the order of the three variances.
type components struct {
	Athlete        *float64       `json:"athlete,omitempty"`
	AthleteSession *float64       `json:"athlete_session,omitempty"`
	Trial          *float64       `json:"trial,omitempty"`
	Covariance     *[3][3]float64 `json:"covariance,omitempty"`
	Merged         varcomp.Merged `json:"merged,omitempty"`
}

func spellComponents(c *varcomp.Components) *components {
	if c == nil {
		return nil
	}
	out := &components{Athlete: present(c.Athlete), AthleteSession: present(c.AthleteSession),
		Trial: present(c.Trial), Merged: c.Merged}
	covariance := c.Covariance // a copy
	out.Covariance = &covariance
	for _, row := range c.Covariance {
		for _, v := range row {
			if !finite(v) {
				out.Covariance = nil
			}
		}
	}
	return out
}

func (c *components) model() *varcomp.Components {
	if c == nil {
		return nil
	}
	out := &varcomp.Components{Athlete: orNaN(c.Athlete), AthleteSession: orNaN(c.AthleteSession),
		Trial: orNaN(c.Trial), Merged: c.Merged}
	if c.Covariance != nil {
		out.Covariance = *c.Covariance
		return out
	}
	for i := range out.Covariance {
		for j := range out.Covariance[i] {
			out.Covariance[i][j] = math.NaN()
		}
	}
	return out
}

// askew is how far, in standard errors of both components, the two halves of a
// covariance matrix may differ: more than rounding is a slip of the pen.
const askew = 1e-6

// check looks for what a schema cannot say of a covariance matrix.
func (c *components) check() (wrong []string) {
	if c == nil || c.Covariance == nil {
		return nil
	}
	m := c.Covariance
	for i := range m {
		if m[i][i] < 0 {
			wrong = append(wrong, fmt.Sprintf("row %d, column %d is a variance and must be 0 or above, found %g", i+1,
				i+1, m[i][i]))
		}
	}
	if wrong != nil {
		return wrong
	}
	for i := range m {
		for j := range i {
			if math.Abs(m[i][j]-m[j][i]) > askew*math.Sqrt(m[i][i])*math.Sqrt(m[j][j]) {
				wrong = append(wrong, fmt.Sprintf("must be symmetric, found %g in row %d, column %d, and %g in row "+
					"%d, column %d",
					m[i][j], i+1, j+1, m[j][i], j+1, i+1))
			}
		}
	}
	return wrong
}
