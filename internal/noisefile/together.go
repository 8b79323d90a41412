package noisefile

import (
	"errors"
	"fmt"
	"math"

	"noisefloor/analysis/noise"
)

// leastDF is the fewest degrees of freedom of a covariance that is kept: of fewer
// athletes it would come near to their scores.
const leastDF = 3

// together is the covariances of errors as they are spelled: row j holds those with the
// names up to j; a pair that is not known has 0 degrees of freedom.
type together struct {
	Kind       string      `json:"kind"`
	Group      string      `json:"group,omitempty"`
	Of         []string    `json:"of"`
	Covariance [][]float64 `json:"covariance"`
	DF         [][]float64 `json:"df"`
}

func spellTogether(t noise.Together) together {
	out := together{Kind: t.Kind, Group: t.Group, Of: t.Of}
	for j := range t.Of {
		s, df := make([]float64, j+1), make([]float64, j+1)
		for k := range j + 1 {
			if finite(t.Covariance[j][k]) && t.DF[j][k] >= leastDF {
				s[k], df[k] = t.Covariance[j][k], t.DF[j][k]
			}
		}
		out.Covariance, out.DF = append(out.Covariance, s), append(out.DF, df)
	}
	return out
}

func (t together) read() noise.Together {
	out := noise.Together{Kind: t.Kind, Group: t.Group, Of: t.Of}
	n := len(t.Of)
	for range n {
		out.Covariance, out.DF = append(out.Covariance, make([]float64, n)), append(out.DF, make([]float64, n))
	}
	for j := range n {
		for k := range j + 1 {
			s, df := t.Covariance[j][k], t.DF[j][k]
			if df == 0 {
				s = math.NaN()
			}
			out.Covariance[j][k], out.Covariance[k][j] = s, s
			out.DF[j][k], out.DF[k][j] = df, df
		}
	}
	return out
}

// check says what a schema cannot: rows that are no triangle, a negative variance, a
// covariance larger than both errors allow.
func (t together) check() error {
	var wrong []error
	for _, rows := range [][][]float64{t.Covariance, t.DF} {
		if len(rows) != len(t.Of) {
			return fmt.Errorf("has %d names and %d rows", len(t.Of), len(rows))
		}
		for j, row := range rows {
			if len(row) != j+1 {
				return fmt.Errorf("row %d has %d numbers, want %d", j+1, len(row), j+1)
			}
		}
	}
	for j := range t.Of {
		if t.Covariance[j][j] < 0 {
			wrong = append(wrong, fmt.Errorf("the variance of %q is negative", t.Of[j]))
		}
	}
	return errors.Join(wrong...)
}
