package retest

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
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
		lines = append(lines, several(c.measures[text])+": "+text)
	}
	return lines
}

// several lists names, the first three of many.
func several(names []string) string {
	if len(names) <= 5 {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more tests", strings.Join(names[:3], ", "), len(names)-3)
}

// trialsApart is the share by which the attempts behind the scores may differ
// from those of the noise study without a word.
const trialsApart = 0.10

// tally counts the changes that rest on other attempts than the study's.
func (j *judge) tally(base, follow effort, p *precision) {
	switch {
	case p.components:
		j.through++
		j.more = j.more || p.more
	case base.other || follow.other:
		j.stuck++
	}
}

// checkTrials says when the judged scores rest on another number of attempts
// than the scores of the noise study: how many changes were judged by the
// variance components, and a warning where they could not be.
func (j *judge) checkTrials(changes []Change) {
	study := j.t.Noise.Trials
	if len(changes) == 0 || !(study > 0) {
		return
	}
	if j.through > 0 {
		cautious := ""
		if j.more {
			cautious = "; with few athletes in the study that is cautious where there are more attempts than in it"
		}
		j.warn("%d of %d changes rest on other numbers of attempts than the %.3g behind a score of the noise study: their error is from its variance components%s",
			j.through, len(changes), study, cautious)
	}
	if j.components != nil && j.stuck == 0 {
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
		off = append(off, fmt.Sprintf("%.3g in the %s %s", trials, what, named(o.names)))
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
	why := j.noComponents
	if j.components != nil {
		why = fmt.Sprintf("; its variance components do not help with %d of the changes (attempts not counted, or components hardly known)", j.stuck)
	}
	j.warn("the noise study averaged %.3g attempts for a score, the scores judged rest on others (%s): %s; compare like with like%s",
		study, strings.Join(off, ", "), effect, why)
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
		if base.sessions == 0 {
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

// checkPractice warns when the mean moved in the noise study, where nobody
// trained: as much of a change may be practice with the test.
func (j *judge) checkPractice() {
	for _, s := range j.t.Noise.Shifts {
		change := s.Interval(j.o.Level, float64(j.t.Noise.Athletes-1))
		if !change.Excludes(0) {
			continue
		}
		words := fmt.Sprintf("%+.3g (%.3g to %.3g) %s", change.Value, change.Lower, change.Upper, j.t.Unit)
		if j.t.Noise.Scale == score.Log {
			p := change.Map(estimate.Percent)
			words = fmt.Sprintf("%+.3g %% (%.3g to %.3g)", p.Value, p.Lower, p.Upper)
		}
		advice := ""
		if slices.Contains(j.baseline.names, s.From) {
			advice = "; a baseline of later sessions alone is safer"
		}
		j.warn("in the noise study, with no training, the mean changed by %s from session %s to %s: as much of a change may be practice with the test, not training%s",
			strings.TrimSpace(words), s.From, s.To, advice)
	}
}
