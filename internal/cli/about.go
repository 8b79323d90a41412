package cli

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"noisefloor/analysis/score"
	"noisefloor/internal/cohort"
	"noisefloor/internal/study"
	"noisefloor/reports"
)

// newAbout says of an outcome what its reports carry: where the numbers come
// from, and what was decided.
func newAbout(o study.Outcome, line string) reports.About {
	c := study.CommonOf(o.Request)
	a := reports.About{
		Version: version(), Settings: study.Portable(o.Request), Choices: choices(o.Request),
		Command: line,
		Labels:  map[string]string{}, Units: map[string]string{}, Better: map[string]score.Direction{}, Lower: c.Lower, Caveats: o.Caveats,
		Confidence: c.Confidence, Score: c.Score, Missing: c.Missing, Worthwhile: worthwhileWords(c), Seed: c.Seed,
		Replicates: c.Replicates,
	}
	if c.By != "none" {
		a.By = c.By
	}
	if o.Table == nil { // a plan is about none
		return a
	}
	a.Input = input(o.Table)
	for _, m := range o.Whole.Measures {
		a.Labels[m.Name], a.Units[m.Name], a.Better[m.Name] = label(m), m.Unit, study.Direction(o.Request, m.Name)
	}
	return a
}

// input describes the table for reports. A path that starts at the root of the
// machine is cut to the file's name: reports travel.
func input(t *cohort.Table) reports.Input {
	in := reports.Input{Path: relative(t.Source.Path), SHA256: t.Source.SHA256, Rows: t.Source.Rows,
		Taken: cutPaths(t, t.Taken), Notes: cutPaths(t, t.Notes)}
	for _, l := range t.LeftOut {
		if t.Source.Layout == "wide" && l.Reason != cohort.SummaryRows { // the others count cells
			l.Reason += " (cells of a wide table)"
		}
		in.LeftOut = append(in.LeftOut, reports.LeftOut{Reason: l.Reason, Rows: l.Rows})
	}
	return in
}

// relative cuts a path that starts at the root of the machine.
func relative(path string) string {
	if filepath.IsAbs(path) {
		return filepath.Base(path)
	}
	return filepath.ToSlash(path)
}

// cutPaths cuts such paths of the table and its dictionary in sentences too.
func cutPaths(t *cohort.Table, sentences []string) []string {
	var out []string
	for _, s := range sentences {
		for _, path := range []string{t.Source.Path, t.Dictionary.Path} {
			if filepath.IsAbs(path) {
				s = strings.ReplaceAll(s, path, filepath.Base(path))
			}
		}
		out = append(out, s)
	}
	return out
}

func label(m *cohort.Measure) string {
	if m.Label != "" {
		return m.Label
	}
	return m.Name
}

// choices are the resolved matters for people, each with its origin.
func choices(r study.Request) []reports.Choice {
	c := study.CommonOf(r)
	values := map[string]string{
		"sessions": strings.Join(c.Sessions, ", "), "measures": fmt.Sprintf("%d",
			len(c.Measures)), "score": c.Score, "scale": c.Scale,
		"missing-sessions": c.Missing, "by": c.By, "confidence": fmt.Sprintf("%g", c.Confidence),
		"worthwhile": worthwhileWords(c), "better": betterWords(c), "replicates": fmt.Sprint(c.Replicates),
	}
	if t, ok := r.(*study.Retest); ok {
		values["noise"], values["baseline"] = noiseWords(t.Noise, t.NoiseFrom, t.TypicalErrors), t.Baseline
		values["follow-up"], values["narrow"] = strings.Join(t.FollowUp, ", "), fmt.Sprintf("%g", t.Narrow)
		values["athletes"] = allOr(t.Athletes)
	}
	if t, ok := r.(*study.Correlate); ok {
		values["outcome"], values["planes"] = t.Outcome, strings.Join(t.Planes, ", ")
	}
	if t, ok := r.(*study.Norms); ok {
		values["session"], values["athletes"], values["worthwhile"] = t.Session, allOr(t.Athletes), ""
		values["noise"] = noiseWords(t.Noise, t.NoiseFrom, t.TypicalErrors)
	}
	var out []reports.Choice
	for _, name := range sortedKeys(c.Origins) {
		if v := values[name]; v != "" {
			out = append(out, reports.Choice{Name: name, Value: v, Origin: string(c.Origins[name])})
		}
	}
	return out
}

func noiseWords(files study.Files, from []string, given []study.TypicalError) string {
	var words []string
	for _, f := range files {
		words = append(words, relative(f))
	}
	if len(from) > 0 {
		words = append(words, study.SessionList(from)+" of the same table")
	}
	if n := len(given); n > 0 {
		words = append(words, counted(n, "typical error")+" given")
	}
	return strings.Join(words, ", ")
}

func allOr(names []string) string {
	if len(names) == 0 {
		return "all"
	}
	return strings.Join(names, ", ")
}

// betterWords says which tests count less as better.
func betterWords(c *study.Common) string {
	unknown := 0
	for _, t := range c.Tests {
		if t.Better == "unknown" {
			unknown++
		}
	}
	words := "more is better in all"
	if unknown > 0 {
		words = fmt.Sprintf("more is better in %d", len(c.Tests)-unknown)
	}
	switch {
	case len(c.Lower) > 0:
		words = "less is better in " + strings.Join(c.Lower, ", ")
	case unknown == len(c.Tests):
		words = "nobody said which way is better"
	}
	if unknown > 0 && unknown < len(c.Tests) {
		words += fmt.Sprintf("; not known for %d", unknown)
	}
	return words
}

// worthwhileWords says which basis of the worthwhile change is used.
func worthwhileWords(c *study.Common) string {
	const common = "0.2 of the between-athlete SD freed of error (common practice, no source)"
	switch c.Origins["worthwhile"] {
	case study.FromNoise:
		return "the noise file's, else the dictionary's"
	case study.FromGiven:
		return "the dictionary's where it states one, else none"
	case study.FromDictionary:
		return "the dictionary's where it states one, else " + common
	}
	w, err := study.ParseWorthwhile(c.Worthwhile)
	if err != nil {
		return common
	}
	switch w.Basis {
	case study.Fixed:
		return fmt.Sprintf("fixed at %v (set by the user)", w.Number)
	case study.ObservedSD:
		return fmt.Sprintf("%v of the observed between-athlete SD", w.Number)
	case study.Anchored:
		return fmt.Sprintf("the change that goes with %v of %s", w.Number, w.Outcome)
	}
	return fmt.Sprintf("%v of the between-athlete SD freed of error", w.Number)
}

func sortedKeys[V any](m map[string]V) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}
