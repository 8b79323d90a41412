package simulate

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"strconv"
)

// ErrShape is returned for a table with no rows.
var ErrShape = errors.New("a table needs at least one athlete, session, trial and measure")

// A LongTruth holds the true values of one measure written by [WriteLong], all
// in the unit of the value.
type LongTruth struct {
	Measure      string
	AthleteSD    float64            // between athletes within a level
	LevelMeans   map[string]float64 // the same in every session
	DaySD        float64            // athlete × session
	TrialSD      float64
	TypicalError float64 // of the mean of the trials
}

// The shape of the table of [WriteLongRows].
const longSessions, longTrials, longMeasures = 2, 3, 8

// WriteLongRows writes the largest table of at most the given number of rows
// with 2 sessions, 3 trials and 8 measures, for benchmarks: 1,000,000 rows are
// 20,833 athletes and 33 MB.
func WriteLongRows(w io.Writer, rows int, seed uint64) error {
	return WriteLong(w, rows/(longSessions*longTrials*longMeasures), longSessions, longTrials, longMeasures, seed)
}

// WriteLong writes a complete long table, CSV with the columns athlete, level,
// session, trial, measure, value, without holding it in memory. The model is
// that of a [Study] with no training and no learning; [TruthLong] gives its
// true values. The rows of an athlete stand together, by session, measure and
// trial. It returns [ErrShape] if a number is below 1, and errors of w.
func WriteLong(w io.Writer, athletes, sessions, trials, measures int, seed uint64) error {
	if min(athletes, sessions, trials, measures) < 1 {
		return fmt.Errorf("%w: have %d athletes, %d sessions, %d trials, %d measures",
			ErrShape, athletes, sessions, trials, measures)
	}
	b := bufio.NewWriterSize(w, 1<<16)
	b.WriteString("athlete,level,session,trial,measure,value\n") // the error stays until Flush
	l := longWriter{rng: rand.New(rand.NewPCG(seed, 0)), truth: TruthLong(measures, trials),
		sessions: sessions, trials: trials}
	for i := range athletes {
		l.row = l.row[:0]
		l.athlete(i)
		if _, err := b.Write(l.row); err != nil {
			return err
		}
	}
	return b.Flush()
}

// TruthLong gives the true values of the measures of [WriteLong].
func TruthLong(measures, trials int) []LongTruth {
	truth := make([]LongTruth, measures)
	for m := range truth {
		mean := 100 + 50*float64(m)
		t := &truth[m]
		*t = LongTruth{Measure: "test" + strconv.Itoa(m+1), LevelMeans: map[string]float64{},
			AthleteSD: 0.12 * mean, DaySD: 0.03 * mean, TrialSD: 0.04 * mean}
		for l, level := range levels {
			t.LevelMeans[level] = mean * (0.85 + 0.15*float64(l))
		}
		t.TypicalError = math.Sqrt(float64(t.DaySD*t.DaySD) + t.TrialSD*t.TrialSD/float64(trials))
	}
	return truth
}

type longWriter struct {
	rng              *rand.Rand
	truth            []LongTruth
	sessions, trials int
	row              []byte // all rows of one athlete
	score            []float64
}

func (l *longWriter) athlete(i int) {
	level := levels[i%len(levels)]
	l.score = l.score[:0]
	for _, t := range l.truth {
		l.score = append(l.score, t.LevelMeans[level]+float64(t.AthleteSD*l.rng.NormFloat64()))
	}
	for s := range l.sessions {
		for m, t := range l.truth {
			day := l.score[m] + float64(t.DaySD*l.rng.NormFloat64())
			for r := range l.trials {
				l.attempt(i, level, s, r, t.Measure, day+float64(t.TrialSD*l.rng.NormFloat64()))
			}
		}
	}
}

func (l *longWriter) attempt(i int, level string, session, trial int, measure string, value float64) {
	b := append(l.row, 'A')
	for p := 100000; p > i+1 && p > 1; p /= 10 {
		b = append(b, '0')
	}
	b = strconv.AppendInt(b, int64(i+1), 10)
	b = append(append(append(b, ','), level...), ',')
	b = append(strconv.AppendInt(b, int64(session+1), 10), ',')
	b = append(strconv.AppendInt(b, int64(trial+1), 10), ',')
	b = append(append(b, measure...), ',')
	b = strconv.AppendFloat(b, value, 'f', 2, 64)
	l.row = append(b, '\n')
}
