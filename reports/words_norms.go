package reports

import (
	"fmt"
	"strings"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/norms"
	"noisefloor/reports/number"
)

// normsWords are the words of the doubts of norms.
func normsWords() map[caveat.Kind]sayer {
	return map[caveat.Kind]sayer{
		norms.NoiseNotKnown: func(caveat.Caveat, About) string {
			return "no noise of the score is known, so the band is that of the group being a sample alone, and too narrow " +
				"(--noise FILE, --noise-from SESSIONS or --typical-error)"
		},
		norms.NoNoiseFor: func(c caveat.Caveat, _ About) string { return "no noise for it: " + c.Names[0] },
		norms.GroupTooSmall: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("%s has %s, too few to stand among (%s are needed)", c.Names[0], number.Count(int(c.Numbers[0]),
				"athlete", "athletes"), number.Plain(c.Numbers[1], 0))
		},
		norms.WithoutScore: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("%.0f of %.0f athletes have no score in this session and are "+
				"left out", c.Numbers[0], c.Numbers[1])
		},
		norms.MostlyNoise: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("in %s at most %s of the spread is the athletes' own, the rest is noise: nobody's place is "+
				"told well",
				c.Names[0], number.Percent(c.Numbers[0], 0))
		},
		norms.MoreCounted: func(caveat.Caveat, About) string {
			return "nobody said which way is better, so more counts as better (--lower NAME, or the dictionary)"
		},
		norms.Ungrouped: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("%s without %s: in the whole cohort alone", number.Count(int(c.Numbers[0]), "athlete",
				"athletes"),
				c.Names[0])
		},
		norms.SharedNoise: func(c caveat.Caveat, _ About) string {
			return "the noise of all athletes together stands in for that of " + strings.Join(c.Names, ", ")
		},
		norms.OtherAttempts: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("the scores rest on %s attempts, those of the noise study on %s: the noise is another",
				number.Plain(c.Numbers[0], 1), number.Plain(c.Numbers[1], 1))
		},
		norms.SameTable: func(c caveat.Caveat, _ About) string {
			return "The norms of " + c.Names[0] + " were made from this very table: each athlete stands among themselves too."
		},
		norms.NotInFile: func(c caveat.Caveat, _ About) string {
			return "the norms file keeps nothing to stand in for " + c.Names[0]
		},
		norms.NotKept: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("%s (%s) is not kept in the norms file: %s", c.Names[0], number.Count(int(c.Numbers[0]),
				"athlete",
				"athletes"), notKeptWords(norms.Reason(c.Names[1])))
		},
	}
}

// notKeptWords say why a norms file leaves a group out.
func notKeptWords(r norms.Reason) string {
	switch r {
	case norms.FewAthletes:
		return fmt.Sprintf("fewer than %d", norms.MinCell)
	case norms.NoiseUnknown:
		return "no noise is known to round by"
	case norms.AllAlike:
		return "their scores are nearly alike, so that it would tell them"
	case norms.RestTold:
		return "less the other groups it would tell a small one"
	}
	return "it would tell somebody's score"
}

func withoutGathered(all []caveat.Caveat) string {
	return between(all, 0, func(x float64) string { return number.Plain(x, 0) }) +
		" athletes have no score in this session and are left out"
}

func mostlyGathered(all []caveat.Caveat) string {
	return fmt.Sprintf("in %s little of the spread (%s) is the athletes' own, the rest is noise: nobody's place is "+
		"told well",
		number.Count(len(all), "group", "groups"), between(all, 0, func(x float64) string { return number.Percent(x, 0) }))
}

func smallGathered(all []caveat.Caveat) string {
	var names []string
	for _, c := range all {
		names = append(names, c.Names...)
	}
	return "too few athletes to stand among in " + listed(distinct(names), 3)
}

func attemptsGathered(all []caveat.Caveat) string {
	one := func(x float64) string { return number.Plain(x, 1) }
	return fmt.Sprintf("the scores rest on %s attempts, those of the noise study on %s: the noise is "+
		"another", between(all, 0,
		one), between(all, 1, one))
}

func notInFileGathered(all []caveat.Caveat) string {
	var names []string
	for _, c := range all {
		names = append(names, c.Names...)
	}
	return "the norms file keeps nothing to stand in for " + listed(distinct(names), 3)
}

// Say puts caveats into sentences.
func (a About) Say(all []caveat.Caveat) []string { return a.sentences(all) }

// Method implements [View].
func (v Norms) Method() []string {
	level := number.Level(v.Confidence)
	out := []string{
		"Percentiles count towards better: at the 90th nine in ten of the group are worse, also where less is better.",
		"Quantiles: type 8 of Hyndman & Fan (1996). Their limits are two scores of the group, of an exact binomial " +
			"interval at " +
			level + " or more; a group too small for that has none.",
		"A place: the others' scores are drawn towards their mean to the spread that they have without noise (share ρ = " +
			"1 − TE²/s² of the variance; after Louis 1984). Rank p = (below + equal/2 + ½)/(others + 1). Limits for the group " +
			"being a sample by beta quantiles (Crawford, Garthwaite & Slick 2009), limits for noise at the score ∓ t·TE, " +
			"both put " +
			"together by MOVER (Zou & Donner 2008). In simulation the " + number.Level(0.95) + " band holds the true " +
			"percentile in 93.9 to 97.6 % " +
			"(10 to 200 others, reliability 0.8 to 0.95, normal, skewed and two-humped).",
		"Smooth centiles: scores made normal by a power (Box & Cox 1964), from 50 athletes of one level.",
	}
	if v.File != "" {
		out = append(out, "Out of a norms file: the rank lies on the curve through its rounded quantiles; beyond the "+
			"outermost it "+
			"is above or under that one, and how far nobody knows. The band holds the true percentile in 94.7 to 99.2 %.")
	}
	return out
}
