package retest

import (
	"math"
	"slices"
	"strings"

	"noisefloor/analysis/caveat"
)

// trialsApart is the share by which the attempts behind the scores may differ
// from those of the noise study without a word.
const trialsApart = 0.10

// tally counts the changes that rest on other attempts than the study's.
func (j *judge) tally(base, follow effort, p *precision) {
	switch {
	case p.components:
		j.through++
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
		j.doubt(caveat.New(ThroughComponents, float64(j.through), float64(len(changes)), study))
	}
	if j.components == nil || j.stuck > 0 {
		j.checkOtherTrials(study)
	}
}

// checkOtherTrials says which occasions rest on other numbers of attempts than the
// study's, where the variance components do not help.
func (j *judge) checkOtherTrials(study float64) {
	off := caveat.New(OtherAttempts, study)
	for at, o := range append([]occasion{j.baseline}, j.followUp...) {
		role := "follow-up"
		if at == 0 {
			role = "baseline"
		}
		if trials := j.trials(o); trials > 0 && math.Abs(trials-study) > trialsApart*study {
			off.Names = append(off.Names, role, strings.Join(o.names, ", "))
			off.Numbers = append(off.Numbers, trials)
		}
	}
	if len(off.Names) == 0 {
		return
	}
	j.doubt(off)
	switch {
	case j.components != nil:
		j.doubt(caveat.New(ComponentsDoNotReach, float64(j.stuck)))
	case j.noComponents != "":
		j.doubt(caveat.New(j.noComponents))
	}
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
		kind := MeanMoved
		if slices.Contains(j.baseline.names, s.From) {
			kind = MeanMovedFromBaseline
		}
		j.doubt(caveat.New(kind, change.Value, change.Lower, change.Upper).With(s.From, s.To, string(j.t.Noise.Scale)))
	}
}
