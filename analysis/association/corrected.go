package association

import (
	"math"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/moment"
)

// sourceGap is how far a stated reliability may lie from that of the
// sessions before a warning says so. Common practice, no source.
const sourceGap = 0.05

// studyGap is by what factor the spread of the athletes may differ from that of
// the separate study before a warning says that its reliability may not carry
// over. Common practice, no source.
const studyGap = 1.5

// correct returns r freed of the noise in both variables,
//
//	r / √(rel_test rel_outcome)
//
// and asks b for its BCa bootstrap interval over athletes, in which r and both
// reliabilities, the consistency ICC of the mean of k sessions
//
//	ICC(C,k) = (MSR - MSE)/MSR
//
// are computed anew from every resample; where a reliability is from a separate
// study, the athletes of that study are resampled as well, on their own.
// In simulations the 95 % interval holds the truth in 94 to 95 % with 40 and 60
// athletes and 91 to 94 % with 15 and 20 (the percentile interval in 92 to 94 %
// and 88 to 92 %).
//
// There is no correction, and a caveat says why, unless both reliabilities lie in
// (0, 1]; there is none when neither is known. There is no interval when a
// reliability is known as a number only.
//
// Sources: Spearman C (1904). The proof and measurement of association between
// two things. American Journal of Psychology 15:72-101. Efron B (1987). Better
// bootstrap confidence intervals. Journal of the American Statistical
// Association 82:171-185.
func correct(in Input, test Variable, r float64, o Options, b *batch) (c *Corrected, doubts []caveat.Caveat) {
	relTest, relOutcome := in.known(test), in.known(in.Outcome)
	if math.IsNaN(relTest.value) && math.IsNaN(relOutcome.value) || math.IsNaN(r) {
		return nil, nil
	}
	for _, rel := range []known{relTest, relOutcome} {
		if why, unusable := rel.unusable(); unusable {
			return nil, []caveat.Caveat{why}
		}
		doubts = append(doubts, rel.remarks()...)
	}
	value := r / math.Sqrt(relTest.value*relOutcome.value)
	c = &Corrected{
		ReliabilityTest: relTest.value, ReliabilityOutcome: relOutcome.value,
		AboveOne: math.Abs(value) > 1,
		Sources:  [2]Source{relTest.source, relOutcome.source},
	}
	if c.AboveOne {
		doubts = append(doubts, caveat.New(BeyondOne, value))
	}
	for _, rel := range []known{relTest, relOutcome} {
		if !rel.hasSessions {
			c.Estimate = estimate.Bare(value, estimate.NoSessions)
			return c, doubts
		}
	}
	m := newCorrection(in, test)
	b.addBCa(m.units, m.study, m.r, o.Level, func(e estimate.Estimate) {
		e.Value = value // from the stated reliabilities, if they are stated
		c.Estimate = e
	})
	return c, doubts
}

// correctWithin corrects the pooled r within levels: with reliabilities among
// athletes of one level, computed as those of [correct] with the level means of
// the athletes' means, and of each session, taken out. Levels apart lift a
// reliability as they lift r, so that one over all would correct too little.
//
// There is none, and a caveat says so, unless both variables have their session
// scores in the table itself: a number from elsewhere, or a study of other
// athletes, does not say what the reliability within these levels is.
func correctWithin(in Input, test Variable, r float64, o Options, b *batch) (*Corrected, []caveat.Caveat) {
	m := newCorrection(in, test).within(in)
	var values [2]float64
	for k, v := range []Variable{test, in.Outcome} {
		values[k] = [2]reliabilityTerms{m.x, m.y}[k].here(len(m.units))
		switch {
		case math.IsNaN(values[k]):
			return nil, []caveat.Caveat{caveat.New(NoReliabilityWithin)}
		case !(values[k] > 0):
			return nil, []caveat.Caveat{caveat.New(ReliabilityNone, values[k]).With(v.Name, "within")}
		}
	}
	c := &Corrected{ReliabilityTest: values[0], ReliabilityOutcome: values[1],
		Sources: [2]Source{{Variable: test.Name, Sessions: m.x.k}, {Variable: in.Outcome.Name, Sessions: m.y.k}}}
	value := r / math.Sqrt(values[0]*values[1])
	c.AboveOne = math.Abs(value) > 1
	var doubts []caveat.Caveat
	if c.AboveOne {
		doubts = append(doubts, caveat.New(BeyondOne, value).With("within"))
	}
	b.addBCa(m.units, nil, m.r, o.Level, func(e estimate.Estimate) {
		e.Value = value
		c.Estimate = e
	})
	return c, doubts
}

// known is what is known of a variable's reliability.
type known struct {
	name                string
	source              Source
	value, fromSessions float64
	hasSessions         bool    // enough to compute fromSessions
	apart               bool    // sessions of the separate study
	spread              float64 // SD of the athletes over SD of the athletes of the study
}

// known is the stated reliability, else that of the sessions, else NaN.
func (in Input) known(v Variable) known {
	k := known{name: v.Name, value: v.Reliability, fromSessions: math.NaN(),
		source: Source{Variable: v.Name, Given: v.ReliabilitySource}}
	if k.value == 0 && k.source.Given == "" {
		k.value = math.NaN()
	}
	t := in.termsOf(v)
	k.fromSessions = t.at(ones(len(in.Athletes)), ones(len(in.StudyAthletes)))
	k.hasSessions, k.apart = !math.IsNaN(k.fromSessions), t.apart
	if math.IsNaN(k.value) && k.hasSessions {
		k.value = k.fromSessions
	}
	if t.apart {
		k.spread = spreadOver(v.Value, v.Study, len(in.StudyAthletes))
	}
	if k.source.Given == "" && k.hasSessions {
		k.source.Sessions, k.source.Apart = t.k, t.apart
	}
	return k
}

// spreadOver is the SD of the values over that of the means of the study's
// athletes with all sessions.
func spreadOver(value, study []float64, athletes int) float64 {
	k := len(study) / athletes
	var means []float64
	for i := range athletes {
		if row := study[i*k : (i+1)*k]; len(complete(k, row)) == k {
			means = append(means, moment.Mean(row))
		}
	}
	return moment.SD(pick(value, complete(len(value), value))) / moment.SD(means)
}

// remarks are doubts about a reliability that can be used.
func (k known) remarks() (doubts []caveat.Caveat) {
	if k.hasSessions && math.Abs(k.value-k.fromSessions) > sourceGap {
		apart := 0.0
		if k.apart {
			apart = 1
		}
		doubts = append(doubts, caveat.New(ReliabilityDiffers, k.value, k.fromSessions, apart).With(k.name))
	}
	if k.apart && (k.spread > studyGap || k.spread < 1/studyGap) {
		doubts = append(doubts, caveat.New(SpreadDiffers, k.spread).With(k.name))
	}
	return doubts
}

// unusable says why a reliability cannot be used.
func (k known) unusable() (why caveat.Caveat, unusable bool) {
	switch {
	case math.IsNaN(k.value):
		return caveat.New(NoReliability).With(k.name), true
	case !(k.value > 0), k.value > 1:
		return caveat.New(ReliabilityNone, k.value).With(k.name), true
	}
	return caveat.Caveat{}, false
}
