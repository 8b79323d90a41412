package retest

import (
	"fmt"
	"math"
	"strings"
)

// caveats collects the warnings of all tests, so that what is true of many is
// said once.
type caveats struct {
	texts    []string
	measures map[string][]string
}

func (c *caveats) add(measure string, texts []string) {
	if c.measures == nil {
		c.measures = map[string][]string{}
	}
	for _, text := range texts {
		if c.measures[text] == nil {
			c.texts = append(c.texts, text)
		}
		c.measures[text] = append(c.measures[text], measure)
	}
}

// lines returns each text once, after the measures it is about.
func (c *caveats) lines() []string {
	var lines []string
	for _, text := range c.texts {
		lines = append(lines, strings.Join(c.measures[text], ", ")+": "+text)
	}
	return lines
}

// trialsApart is the share by which the attempts behind the scores may differ
// from those of the noise study without a word.
const trialsApart = 0.10

// checkTrials warns when the judged scores rest on another number of attempts
// than the scores of the noise study.
func (j *judge) checkTrials(changes []Change) {
	study := j.t.Noise.Trials
	if len(changes) == 0 || !(study > 0) {
		return
	}
	var off []string
	fewer, more := false, false
	for at, o := range append([]occasion{j.baseline}, j.followUp...) {
		what := "follow-up"
		if at == 0 {
			what = "baseline"
		}
		trials := j.trials(o)
		if !(trials > 0) || math.Abs(trials-study) <= trialsApart*study {
			continue
		}
		fewer, more = fewer || trials < study, more || trials > study
		off = append(off, fmt.Sprintf("%s %s %.3g", what, named(o.names), trials))
	}
	if len(off) == 0 {
		return
	}
	effect := "the true error is smaller than stated, so real changes can be missed"
	switch {
	case fewer && more:
		effect = "the true error is not the one stated"
	case fewer:
		effect = "the true error is larger than stated, so more changes are called real than should be"
	}
	j.warn("the noise study averaged %.3g attempts for a score, the scores judged rest on others (%s): %s; compare like with like",
		study, strings.Join(off, ", "), effect)
}

// trials returns the mean number of attempts behind the scores of an occasion
// of the athletes with a baseline, 0 when unknown.
func (j *judge) trials(o occasion) float64 {
	s := j.t.Scores
	if s.Trials == nil {
		return 0
	}
	sum, cells := 0.0, 0.0
	for i, base := range j.base {
		if base.n == 0 {
			continue
		}
		for _, c := range o.columns {
			if n := s.Trials[i*len(s.Sessions)+c]; n > 0 {
				sum += float64(n)
				cells++
			}
		}
	}
	if cells == 0 {
		return 0
	}
	return sum / cells
}
