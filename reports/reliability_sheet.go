package reports

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"

	"noisefloor/analysis/reliability"
	"noisefloor/reports/number"
	"noisefloor/reports/picture"
)

const (
	sheetTests = 10 // tests in the picture of a sheet: as many as stay legible on half a page
)

// Sheet returns the answer on one page.
func (v Reliability) Sheet() (Sheet, error) {
	s := Sheet{Title: v.Title(), Answer: v.sheetAnswer(), Source: v.source()}
	s.watchOut(v.watch())
	s.Table = measureFields(false).Pick("label", "typical_error", "detectable", "worthwhile", "sees").
		Table("tests", "What may be noise, and what matters, in one athlete. In brackets: "+
			""+number.Level(v.About.Confidence)+" intervals.", v.pooled())
	s.Draw = func() (*picture.Picture, error) {
		p, err := v.reach(sheetTests)
		if errors.Is(err, picture.ErrNothing) {
			return nil, nil
		}
		return &p, err
	}
	return s, nil
}

// sheetAnswer is the answer in three sentences: the first two, and who was
// tested when.
func (v Reliability) sheetAnswer() []string {
	all := v.Answer()
	if len(all) > 3 {
		return []string{all[0], all[1], all[len(all)-1]}
	}
	return all
}

// reach draws up to most tests, those that come closest to seeing what matters.
func (v Reliability) reach(most int) (picture.Picture, error) {
	all := v.pooled()
	slices.SortStableFunc(all, func(a, b ReliabilityMeasure) int { return byRatio(a.Result, b.Result) })
	in := picture.ReachInput{Level: v.About.Confidence, Power: v.power(), Tests: len(all)}
	for _, m := range all[:min(most, len(all))] {
		in.Rows = append(in.Rows, picture.ReachRow{Label: m.Label, Seen: m.seen(), Matters: m.worthwhile(),
			Athletes: m.Result.Athletes, Times: 1 / m.Result.SeenRatio})
	}
	return picture.RetestReach(in)
}

// byRatio puts tests that see what matters first, and those without a
// worthwhile change last.
func byRatio(a, b reliability.Result) int {
	switch {
	case isNaN(a.SeenRatio) && isNaN(b.SeenRatio):
		return 0
	case isNaN(a.SeenRatio), a.SeenRatio > b.SeenRatio && !isNaN(b.SeenRatio):
		return 1
	case isNaN(b.SeenRatio), a.SeenRatio < b.SeenRatio:
		return -1
	}
	return 0
}

// weight orders what to watch out for: what would mislead most comes first.
func weight(s said) int {
	order := []string{string(reliability.AllEqual), string(reliability.EqualInSessions),
		string(reliability.NoResidual), string(reliability.TrialsEqual),
		string(reliability.LiftedByGroups), string(reliability.AthletesDiffer), string(reliability.HeavyTails),
		string(reliability.SessionsDiffer), string(reliability.BelowNoise),
		string(reliability.NothingBetween)}
	if i := slices.Index(order, string(s.Kind)); i >= 0 {
		return i
	}
	return len(order)
}

// watch is what to watch out for, the weightiest first.
func (v Reliability) watch() []string {
	a := v.about()
	all := a.briefly(a.Caveats)
	slices.SortStableFunc(all, func(x, y said) int { return weight(x) - weight(y) })
	var out []string
	if n := len(v.Failed); n > 0 {
		out = append(out, fmt.Sprintf("Not analysed: %d (%s).", n, v.reasons()))
	}
	return append(append(out, texts(all)...), v.groupDoubts()...)
}

func (v Reliability) source() string {
	words := filepath.Base(v.About.Input.Path)
	if all := v.pooled(); len(all) > 0 {
		words += ", " + sessionWords(all[0].Result.Sessions)
	}
	if v.About.Version != "" {
		words += ", noisefloor " + v.About.Version
	}
	return words + "."
}
