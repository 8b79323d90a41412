package association

import (
	"fmt"
	"math"

	"noisefloor/analysis/bootstrap"
	"noisefloor/analysis/estimate"
)

// sourceGap is how far a stated reliability may lie from that of the
// sessions before a warning says so. Common practice, no source.
const sourceGap = 0.05

// correct returns r freed of the noise in both variables,
//
//	r / √(rel_test rel_outcome)
//
// with a percentile bootstrap interval over athletes in which r and both
// reliabilities, the consistency ICC of the mean of k sessions
//
//	ICC(C,k) = (MSR - MSE)/MSR
//
// are computed anew from every resample. There is no correction, and words
// say why, unless both reliabilities lie in (0, 1]; words are "" when neither
// is known. There is no interval when a reliability comes from elsewhere.
//
// Source: Spearman C (1904). The proof and measurement of association between
// two things. American Journal of Psychology 15:72-101.
func correct(in Input, test Variable, r float64, o Options) (c *Corrected, words []string) {
	n := len(in.Athletes)
	relTest, relOutcome := test.reliability(n), in.Outcome.reliability(n)
	if math.IsNaN(relTest.value) && math.IsNaN(relOutcome.value) || math.IsNaN(r) {
		return nil, nil
	}
	for _, rel := range []known{relTest, relOutcome} {
		if reason := rel.unusable(); reason != "" {
			return nil, []string{"no correction for unreliability: " + reason}
		}
		if rel.hasSessions && math.Abs(rel.value-rel.fromSessions) > sourceGap {
			words = append(words, fmt.Sprintf("the reliability of %q is given as %.2f, its sessions here give %.2f: the interval of the corrected r rests on the sessions", rel.name, rel.value, rel.fromSessions))
		}
	}
	value := r / math.Sqrt(relTest.value*relOutcome.value)
	c = &Corrected{
		ReliabilityTest: relTest.value, ReliabilityOutcome: relOutcome.value,
		AboveOne: math.Abs(value) > 1,
		Source:   fmt.Sprintf("%s: %s; %s: %s", test.Name, relTest.source, in.Outcome.Name, relOutcome.source),
	}
	if c.AboveOne {
		words = append(words, fmt.Sprintf("corrected r = %.2f lies beyond 1: a reliability is too low, or test and outcome share their errors", value))
	}
	for _, rel := range []known{relTest, relOutcome} {
		if !rel.hasSessions {
			c.Estimate = estimate.Without(value, fmt.Sprintf("the reliability of %q has no sessions here to resample", rel.name))
			return c, words
		}
	}
	m := newResampler(test, in.Outcome, n)
	replicates := bootstrap.Distribution(m.athletes, m.corrected, bootstrap.Options{Replicates: o.Replicates, Seed: o.Seed})
	c.Estimate = bootstrap.Percentile(value, replicates, o.Level)
	return c, words
}

// known is what is known of a variable's reliability.
type known struct {
	name, source        string
	value, fromSessions float64
	hasSessions         bool // enough to compute fromSessions
}

// reliability is the stated one, else that of the sessions, else NaN.
func (v Variable) reliability(n int) known {
	k := known{name: v.Name, value: v.Reliability, source: v.ReliabilitySource, fromSessions: math.NaN()}
	if k.value == 0 && k.source == "" {
		k.value = math.NaN()
	}
	if len(v.Sessions) >= 2*n && n > 0 {
		k.fromSessions = sessionsOf(v.Sessions, n).reliability(indices(n))
		k.hasSessions = !math.IsNaN(k.fromSessions)
	}
	if math.IsNaN(k.value) && k.hasSessions {
		k.value = k.fromSessions
	}
	if k.source == "" && k.hasSessions {
		k.source = fmt.Sprintf("ICC(C,%d) of the same table", len(v.Sessions)/n)
	} else if k.source == "" {
		k.source = "as given"
	}
	return k
}

func (k known) unusable() string {
	switch {
	case math.IsNaN(k.value):
		return fmt.Sprintf("the reliability of %q is not known", k.name)
	case !(k.value > 0):
		return fmt.Sprintf("the reliability of %q is %.2f, not above 0", k.name, k.value)
	case k.value > 1:
		return fmt.Sprintf("the reliability of %q is %.2f, which no reliability can be", k.name, k.value)
	}
	return ""
}
