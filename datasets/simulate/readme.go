package simulate

import (
	"bytes"
	_ "embed"
	"fmt"
	"math"
	"text/template"
)

//go:embed readme.md.tmpl
var readmeText string

// A readmeView is what the page says that depends on the study.
type readmeView struct {
	Coast                               bool // it is the embedded cohort
	Seed                                uint64
	Athletes, Bowlers, Batters, Control int
	Rows, Void                          int
	Missed                              []Absence
	Injured                             string
	Cases                               []Case
	Measures                            []readmeMeasure
}

type readmeMeasure struct {
	Measure
	Truth MeasureTruth
}

func (s *Study) readme() ([]byte, error) {
	t, err := template.New(ReadmeFile).Funcs(template.FuncMap{"number": short, "r": correlation}).Parse(readmeText)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	err = t.Execute(&b, s.readmeView())
	return b.Bytes(), err
}

func (s *Study) readmeView() readmeView {
	v := readmeView{Coast: s.Seed == CoastSeed && len(s.Athletes) == CoastAthletes, Seed: s.Seed,
		Athletes: len(s.Athletes), Rows: len(s.Attempts),
		Missed: s.Truth.Missed, Injured: s.Truth.Injured, Cases: s.Truth.Cases}
	for _, a := range s.Athletes {
		if a.Discipline == bowler {
			v.Bowlers++
		}
		if a.Group == control {
			v.Control++
		}
	}
	v.Batters = v.Athletes - v.Bowlers
	for _, a := range s.Attempts {
		if math.IsNaN(a.Value) {
			v.Void++
		}
	}
	for i, m := range s.Measures {
		v.Measures = append(v.Measures, readmeMeasure{m, s.Truth.Measures[i]})
	}
	return v
}

// short prints a true value to three significant digits.
func short(x float64) string { return fmt.Sprintf("%.3g", x) }

// correlation prints r, or nothing for an outcome.
func correlation(r *float64) string {
	if r == nil {
		return ""
	}
	return fmt.Sprintf("%.2f", *r)
}
