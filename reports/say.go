package reports

import (
	"fmt"
	"maps"
	"strings"

	"noisefloor/analysis/association"
	"noisefloor/analysis/caveat"
	"noisefloor/analysis/norms"
	"noisefloor/analysis/profile"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/retest"
)

// A sayer puts a caveat into words, without the measures it is about: the
// sentence that follows "Jump, height: ". The words are for a coach.
type sayer func(c caveat.Caveat, a About) string

// sayers are the words of every kind of caveat, each kept beside its question.
func sayers() map[caveat.Kind]sayer {
	all := map[caveat.Kind]sayer{}
	for _, part := range []map[caveat.Kind]sayer{
		requestWords(),
		retestWords(),
		elsewhereWords(),
		seasonWords(),
		practiceSayers(),
		reliabilitySayers(),
		correlateWords(),
		normsWords(),
		profileWords(),
		programmeWords(),
	} {
		maps.Copy(all, part)
	}
	return all
}

// said puts caveats into words, those of several measures once.
func (a About) said(all []caveat.Caveat) []said {
	words := sayers()
	var out []said
	for _, c := range caveat.Gather(all) {
		text := string(c.Kind)
		if say, ok := words[c.Kind]; ok {
			text = say(c, a)
		}
		if len(c.Measures) > 0 {
			text = a.named(c.Measures) + ": " + text
		}
		out = append(out, said{c, text})
	}
	return out
}

// A gatherer puts several caveats of one kind, whose numbers differ from test to
// test, into one line, without the tests that they are about.
type gatherer func(all []caveat.Caveat) string

// gatherers are those of the kinds that many tests of one table raise.
func gatherers() map[caveat.Kind]gatherer {
	return map[caveat.Kind]gatherer{
		profile.TooNoisy:             noisyGathered,
		profile.RuleDoesNotFit:       misfitGathered,
		retest.FewToBelieve:          fewToBelieveWords,
		retest.ThroughComponents:     throughGathered,
		retest.MeanMoved:             movedGathered(""),
		retest.MeanMovedFromBaseline: movedGathered(fromBaseline),
		retest.PartBaseline:          partlyGathered("baseline"),
		retest.PartFollowUp:          partlyGathered("follow-up"),
		retest.FewShowNoise:          fewGathered,
		retest.PooledLevels:          pooledGathered,
		retest.StudiesDisagree:       disagreeGathered,
		retest.ErrorGiven:            givenGathered,
		retest.SeasonTooShort:        seasonShort,
		retest.SlowWaves:             seasonWaves,
		retest.PracticeUnseen:        unseenGathered,
		reliability.LiftedByGroups:   liftedGathered,
		norms.WithoutScore:           withoutGathered,
		norms.MostlyNoise:            mostlyGathered,
		norms.GroupTooSmall:          smallGathered,
		norms.OtherAttempts:          attemptsGathered,
		norms.NotInFile:              notInFileGathered,
		association.NoCommonR:        differGathered,
		association.SessionsMoveBoth: moveBothGathered,
		association.TwoQuestions:     twoQuestionsGathered,
	}
}

// briefly is [About.said] for a short list: what many tests raise with other
// numbers stands in one line, where the first of them stood.
func (a About) briefly(all []caveat.Caveat) []said {
	together := gatherers()
	at := map[caveat.Kind]int{}
	var kinds [][]caveat.Caveat
	for _, c := range caveat.Gather(all) {
		i, ok := at[c.Kind]
		if _, gathers := together[c.Kind]; !ok || !gathers {
			at[c.Kind], kinds = len(kinds), append(kinds, []caveat.Caveat{c})
			continue
		}
		kinds[i] = append(kinds[i], c)
	}
	var out []said
	for _, list := range kinds {
		if len(list) == 1 {
			out = append(out, a.said(list)...)
			continue
		}
		c := caveat.New(list[0].Kind)
		for _, d := range list { // the levels of a test are several doubts about it
			c.Measures = append(c.Measures, d.Measures...)
		}
		c.Measures = distinct(c.Measures)
		out = append(out, said{c, a.named(c.Measures) + ": " + together[c.Kind](list)})
	}
	return out
}

// between writes the range of a number of caveats: "3 to 5", or "3".
func between(all []caveat.Caveat, at int, words func(float64) string) string {
	low, high := all[0].Numbers[at], all[0].Numbers[at]
	for _, c := range all {
		low, high = min(low, c.Numbers[at]), max(high, c.Numbers[at])
	}
	if words(low) == words(high) {
		return words(low)
	}
	return words(low) + " to " + words(high)
}

// total adds a number up over caveats.
func total(all []caveat.Caveat, at int) (n float64) {
	for _, c := range all {
		n += c.Numbers[at]
	}
	return n
}

// sentences are the words alone.
func (a About) sentences(all []caveat.Caveat) []string {
	return texts(a.said(all))
}

func texts(all []said) []string {
	var out []string
	for _, s := range all {
		out = append(out, s.Text)
	}
	return out
}

// named lists the labels of measures: three, then a count.
func (a About) named(measures []string) string {
	labels := make([]string, len(measures))
	for i, m := range measures {
		labels[i] = a.Label(m)
	}
	if len(labels) > 3 {
		return fmt.Sprintf("%s and %d more", strings.Join(labels[:3], "; "), len(labels)-3)
	}
	return strings.Join(labels, "; ")
}
