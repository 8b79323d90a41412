package picture

import (
	"fmt"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/reports/number"
)

// RunInput is what [AthleteRun] draws.
type RunInput struct {
	Run    retest.Run
	Label  string // of the measure
	Unit   string
	Better score.Direction
	Level  float64 // of the noise; 0 means 0.95

	Season *retest.Season // what the watch over the season saw is drawn too; nil without
}

// AthleteRun draws one athlete's sessions in their order on the band of noise
// around the baseline. Sessions that were judged are filled when they stand out,
// half filled when past the noise on their own, hollow inside it; sessions that
// were not judged, those of the baseline among them, are crosses. A
// missing session leaves a gap in the line.
//
// It fails with [ErrNothing] when no session has a finite value or the
// baseline is none, and with [ErrNumber] when the columns of the run do not
// have the same length.
func AthleteRun(in RunInput) (Picture, error) {
	r := in.Run
	if n := len(r.Sessions); len(r.Value) != n || len(r.State) != n {
		return Picture{}, fmt.Errorf("%w: %d sessions, %d values, %d verdicts", ErrNumber, n, len(r.Value),
			len(r.State))
	}
	in.Label, in.Unit = clean(in.Label), clean(in.Unit)
	g := run{RunInput: in, decimals: number.Decimals((r.High - r.Low) / 4)}
	if r.High == r.Low || !finite(r.Low, r.High) {
		g.decimals = about(r.Baseline)
	}
	for i, v := range r.Value {
		if finite(v) {
			g.at = append(g.at, i)
		}
	}
	if len(g.at) == 0 || !finite(r.Baseline, r.Low, r.High) {
		return Picture{}, fmt.Errorf("%w: athlete %s has no baseline or no session in %s", ErrNothing, r.Athlete,
			r.Measure)
	}
	return g.picture(), nil
}

// A run is an [AthleteRun] being drawn; at are the sessions with a value.
type run struct {
	RunInput
	at       []int
	decimals int
}

func (g run) picture() Picture {
	r := g.Run
	p := Picture{
		Name:    stem("run", r.Measure, r.Athlete),
		Title:   fmt.Sprintf("%s, session by session: athlete %s", headed(g.label(), r.Measure), named(r.Athlete)),
		Caption: g.caption(), Alt: g.alt(), Table: g.table(),
		Plot: newPlot(), Width: pageWidth,
		subtitle: []string{axisTitle(g.label(), g.Unit) + better(", ", g.Better)},
		note: fmt.Sprintf("n = 1 athlete, %s. Cross: not judged, or of the baseline. %s Shaded band: where %s of "+
			"sessions lie that differ from the baseline by noise alone.",
			number.Count(len(g.at), "session", "sessions"), marksNote, percentLevel(g.Level)),
		head: 6,
	}
	for _, words := range g.bandWords() {
		p.right = max(p.right, width(style(sizeSmall, mute), words)+10)
	}
	p.xTitle("session")
	p.Plot.X.Min, p.Plot.X.Max = -0.5, float64(len(r.Sessions))-0.5
	var s span
	s.take(r.Low, r.High, r.Baseline)
	s.take(r.Value...)
	if w := g.window(); w != nil {
		s.take(w.level, w.limit)
	}
	const tall = 190
	ticks := s.padded(0.08).set(&p.Plot.Y, tall, false, number.Plain)
	g.sessionTicks(p)
	p.Plot.Add(layer(g.band), gridY(ticks), layer(g.baseline), layer(g.course), layer(g.watched), layer(g.marks), layer(g.values))
	return p.sized(tall)
}

func (g run) label() string {
	if g.Label != "" {
		return g.Label
	}
	return clean(g.Run.Measure)
}

// sessionTicks names as many sessions as have room.
func (g run) sessionTicks(p Picture) {
	n := len(g.Run.Sessions)
	widest := vg.Length(20)
	for _, name := range g.Run.Sessions {
		widest = max(widest, min(110, width(p.Plot.X.Tick.Label, session(name))))
	}
	for step := 1; step <= n; step++ {
		var ticks []plot.Tick
		for i := 0; i < n; i += step {
			label := fit(p.Plot.X.Tick.Label, session(g.Run.Sessions[i]), widest+1)
			ticks = append(ticks, plot.Tick{Value: float64(i), Label: label})
		}
		p.Plot.X.Tick.Marker = plot.ConstantTicks(ticks)
		if p.dataWidth()/vg.Length(n)*vg.Length(step) >= widest+8 {
			return
		}
	}
}

func (g run) band(p pen) {
	p.rect(band, p.Min.X, p.y(g.Run.Low), p.Max.X, p.y(g.Run.High))
	p.level(edge, 0.6, nil, p.y(g.Run.Low))
	p.level(edge, 0.6, nil, p.y(g.Run.High))
}

func (g run) baseline(p pen) {
	p.level(ink, 0.7, nil, p.y(g.Run.Baseline))
	s := style(sizeSmall, mute)
	words := g.bandWords()
	places := []vg.Length{p.y(g.Run.Low), p.y(g.Run.Baseline), p.y(g.Run.High)}
	for i, y := range spread(places, lineHeight(s), p.Min.Y, p.Max.Y) {
		p.line(edge, 0.5, nil, vg.Point{X: p.Max.X, Y: places[i]}, vg.Point{X: p.Max.X + 7, Y: y})
		p.write(s, vg.Point{X: p.Max.X + 9, Y: y}, words[i])
	}
}

// bandWords name the lower edge of the band, the baseline, the upper edge.
func (g run) bandWords() []string {
	r := g.Run
	return []string{
		"noise down to " + g.number(r.Low), "baseline " + g.number(r.Baseline), "noise up to " + g.number(r.High),
	}
}

func (g run) number(v float64) string { return number.Plain(v, g.decimals) }

// course joins neighbouring sessions; a missing one breaks the line.
func (g run) course(p pen) {
	for k := 1; k < len(g.at); k++ {
		if i, j := g.at[k-1], g.at[k]; j == i+1 {
			p.line(weak, 0.9, nil, g.place(p, i), g.place(p, j))
		}
	}
}

func (g run) place(p pen, i int) vg.Point {
	return vg.Point{X: p.x(float64(i)), Y: p.y(g.Run.Value[i])}
}

func (g run) marks(p pen) {
	for _, i := range g.at {
		m := markStyle{shape: cross, colour: mute}
		if g.judged(i) {
			m = stateMark(g.Run.State[i])
		}
		m.radius = 3.6
		p.mark(m, g.place(p, i))
	}
}

// values writes the value above or below its mark. Of more than a dozen
// sessions only those past the noise are written.
func (g run) values(p pen) {
	room := g.crowd(p)
	s := aligned(style(sizeSmall, ink), draw.XCenter)
	for _, i := range g.at {
		if len(g.at) > 12 && !g.pastAt(i) {
			continue
		}
		words := g.number(g.Run.Value[i])
		at, w, h := g.place(p, i), width(s, words), s.Font.Size
		over := box{Min: vg.Point{X: at.X - w/2, Y: at.Y + 6}, Max: vg.Point{X: at.X + w/2, Y: at.Y + 6 + h}}
		under := box{Min: vg.Point{X: at.X - w/2, Y: at.Y - 6 - h}, Max: vg.Point{X: at.X + w/2, Y: at.Y - 6}}
		if b, ok := room.choose(over, under); ok {
			p.write(s, vg.Point{X: at.X, Y: (b.Min.Y + b.Max.Y) / 2}, words)
		}
	}
}

// crowd holds the marks, the course and the lines of the band.
func (g run) crowd(p pen) *crowd {
	room := &crowd{bounds: box{Min: p.Min, Max: p.Max.Add(vg.Point{Y: 8})}}
	for k, i := range g.at {
		room.add(boxAround(g.place(p, i), 4))
		if k > 0 && g.at[k-1] == i-1 {
			room.line(g.place(p, i-1), g.place(p, i))
		}
	}
	for _, v := range []float64{g.Run.Low, g.Run.Baseline, g.Run.High} {
		room.line(vg.Point{X: p.Min.X, Y: p.y(v)}, vg.Point{X: p.Max.X, Y: p.y(v)})
	}
	return room
}

func (g run) judged(i int) bool { return g.Run.State[i] != "" }

// pastAt reports whether a session is past the noise, alone or standing out.
func (g run) pastAt(i int) bool { return g.judged(i) && g.Run.State[i] != retest.InsideNoise }

// past lists the sessions judged to be past the noise, with their change.
func (g run) past() (words []string, judged int) {
	for _, i := range g.at {
		if !g.judged(i) {
			continue
		}
		judged++
		if g.pastAt(i) {
			words = append(words, fmt.Sprintf("%s (%s)", sessions(g.Run.Sessions[i]), g.change(i)))
		}
	}
	return words, judged
}

func (g run) change(i int) string {
	return number.WithUnit(number.Signed(g.Run.Value[i]-g.Run.Baseline, g.decimals), g.Unit)
}

func (g run) caption() string {
	past, judged := g.past()
	r := g.Run
	s := fmt.Sprintf("Athlete %s in %s against a baseline of %s, where noise alone (%s) reaches from %s to %s: ",
		named(r.Athlete), g.label(), value(r.Baseline, g.decimals,
			g.Unit), percentLevel(g.Level), g.number(r.Low), value(r.High, g.decimals, g.Unit))
	switch {
	case judged == 0:
		s += "no session could be judged"
	case judged == 1 && len(past) == 0:
		s += "the one judged session is not past the noise"
	case judged == 1:
		s += "the one judged session is past the noise, " + past[0]
	case len(past) == 0:
		s += fmt.Sprintf("none of %d judged sessions is past the noise", judged)
	default:
		s += fmt.Sprintf("%d of %d judged sessions %s past the noise, %s", len(past), judged, are(len(past)),
			listed(past, 6))
	}
	return s + "." + g.watchWords()
}

func (g run) alt() string {
	var course []string
	for _, i := range g.at {
		course = append(course, fmt.Sprintf("%s %s", sessions(g.Run.Sessions[i]), g.number(g.Run.Value[i])))
	}
	return fmt.Sprintf("Run of sessions on a noise band. %s In order: %s.", g.caption(), strings.Join(course, ", "))
}

func (g run) table() Table {
	t := Table{
		Caption: fmt.Sprintf("%s of athlete %s in each session; noise from %s to %s", axisTitle(headed(g.label(),
			g.Run.Measure), g.Unit),
			named(g.Run.Athlete), g.number(g.Run.Low), g.number(g.Run.High)),
		Header:  []string{"session", "value", "change from baseline", "part", "state"},
		Numeric: []bool{false, true, true, false, false},
	}
	for i, v := range g.Run.Value {
		row := []string{g.Run.Sessions[i], number.Missing, number.Missing, "no score", number.Missing}
		if finite(v) {
			row = []string{g.Run.Sessions[i], g.number(v), number.Signed(v-g.Run.Baseline, g.decimals), "baseline",
				number.Missing}
		}
		if finite(v) && g.judged(i) {
			row[3], row[4] = "judged", stateWords(g.Run.State[i])
		}
		t.Rows = append(t.Rows, row)
	}
	for _, line := range []struct {
		name string
		v    float64
	}{{"baseline", g.Run.Baseline}, {"noise from", g.Run.Low}, {"noise to", g.Run.High}} {
		t.Rows = append(t.Rows, []string{"(" + line.name + ")", g.number(line.v), number.Signed(line.v-g.Run.Baseline,
			g.decimals), "reference line", number.Missing})
	}
	return t
}
