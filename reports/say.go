package reports

import (
	"fmt"
	"maps"
	"strings"

	"noisefloor/analysis/caveat"
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
		reliabilitySayers(),
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

// sentences are the words alone.
func (a About) sentences(all []caveat.Caveat) []string {
	var out []string
	for _, s := range a.said(all) {
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
