package retest_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
)

// Six athletes over four sessions; sessions 1 and 2 were the noise study.
func study() retest.Test {
	x := test(2, 5, table(4,
		10, 12, 15, 16, 20, 19, 24, 25, 31, 30, 33, 38, 40, 44, 41, 43, 52, 50, 57, 55, 60, 61, 60, 66))
	x.Studied = [][]string{{"1", "2"}}
	x.Noise.Athletes, x.Noise.Sessions = 6, []string{"1", "2"}
	return x
}

// A test whose change was part of its noise study is left out, and said so; when no
// other is left, that is the error.
func TestOwnNoiseBySessions(t *testing.T) {
	for _, tt := range []struct {
		name     string
		baseline string
		follow   []string // sessions of one follow-up joined by +
		studied  [][]string
		refuse   bool
	}{
		{"the study itself", "1", []string{"2"}, [][]string{{"1", "2"}}, true},
		{"backwards", "2", []string{"1"}, [][]string{{"1", "2"}}, true},
		{"one follow-up of two", "1", []string{"3", "2"}, [][]string{{"1", "2"}}, true},
		{"mean inside", "1", []string{"2+3"}, [][]string{{"1", "2", "3"}}, true},
		{"one of two studies", "1", []string{"2"}, [][]string{{"3", "4"}, {"1", "2"}}, true},
		{"across two studies", "1", []string{"2"}, [][]string{{"1", "4"}, {"2", "3"}}, false},
		{"baseline inside", "2", []string{"3"}, [][]string{{"1", "2"}}, false},
		{"mean of the study", "1+2", []string{"3"}, [][]string{{"1", "2"}}, false},
		{"follow-up partly inside", "1", []string{"2+3"}, [][]string{{"1", "2"}}, false},
		{"follow-up inside", "3", []string{"1"}, [][]string{{"1", "2"}}, false},
		{"another study", "1", []string{"2"}, [][]string{nil}, false},
		{"unknown study", "1", []string{"2"}, nil, false},
	} {
		x := study()
		x.Baseline, x.FollowUp = strings.Split(tt.baseline, "+"), nil
		for _, f := range tt.follow {
			x.FollowUp = append(x.FollowUp, strings.Split(f, "+"))
		}
		x.Studied = tt.studied
		_, err := retest.Judge([]retest.Test{x}, retest.Options{})
		if errors.Is(err, retest.ErrOwnNoise) != tt.refuse {
			t.Errorf("%s: %v", tt.name, err)
		}
		if tt.refuse && (!strings.HasPrefix(err.Error(), "jump: ") || !strings.Contains(err.Error(),
			"take the noise from other sessions")) {
			t.Errorf("%s: no advice in %v", tt.name, err)
		}
		other := study()
		other.Measure, other.Studied = "throw", nil
		other.Baseline, other.FollowUp = []string{"1"}, [][]string{{"3"}}
		r := judge(t, x, other)
		left := len(r.Noise) == 1 && r.Changes[0].Measure == "throw" && len(r.Changes) == 6 && len(r.Occasions) == 1
		if left != tt.refuse {
			t.Errorf("%s: beside another test: %d noises, %d changes, %d occasions", tt.name, len(r.Noise), len(r.Changes),
				len(r.Occasions))
		}
		if tt.refuse {
			contains(t, said(r), "own-noise")
		}
	}
}

// A copy of the table under another form has other digests, but its typical
// error is sqrt(var(D)/2) of the very changes; gonum computes the variance.
func TestOwnNoiseByTypicalError(t *testing.T) {
	for _, scale := range []score.Scale{score.Raw, score.Log} {
		x := study()
		x.Studied = nil
		var d, all []float64
		for i := range x.Scores.Athletes {
			a, b := x.Scores.At(i, 0), x.Scores.At(i, 1)
			if scale == score.Log {
				a, b = math.Log(a), math.Log(b)
			}
			d, all = append(d, b-a), append(all, a, b)
		}
		x.Noise = noise.Model{Scale: scale, DF: 5, TypicalError: math.Sqrt(stat.Variance(d, nil) / 2),
			Mean: stat.Mean(all, nil)}
		refused := func(x retest.Test) (bool, []string) {
			r, err := retest.Judge([]retest.Test{x}, retest.Options{})
			return errors.Is(err, retest.ErrOwnNoise), said(r)
		}
		if no, _ := refused(x); !no {
			t.Errorf("%s: a copy of the noise study was judged", scale)
		}
		y := x
		y.Noise.Mean = 0 // unknown
		if no, _ := refused(y); !no {
			t.Errorf("%s: a copy of the noise study, mean unknown, was judged", scale)
		}
		y = x
		y.Noise.Mean += 1e-3 // coarse scores can share the typical error alone
		no, warnings := refused(y)
		if no {
			t.Errorf("%s: refused by the typical error alone", scale)
		}
		contains(t, warnings, "looks-like-own-noise 2")
		for name, change := range map[string]func(*retest.Test){
			"other typical error": func(z *retest.Test) { z.Noise.TypicalError *= 1 + 1e-7 },
			"other df":            func(z *retest.Test) { z.Noise.DF = 10 },
			"another session":     func(z *retest.Test) { z.FollowUp = [][]string{{"3"}} },
			"a mean":              func(z *retest.Test) { z.FollowUp = [][]string{{"2", "3"}} },
		} {
			z := x
			change(&z)
			if no, warnings := refused(z); no || len(warnings) > 0 {
				t.Errorf("%s, %s: refused %t, warnings %v", scale, name, no, warnings)
			}
		}
	}
}

// Scores from 1 to 3 have few typical errors and means, which other tables hit by
// chance: that is a doubt, and refuses nothing.
func TestCoarseScoresAreNotOwnNoise(t *testing.T) {
	x := test(0, 7, table(2, 1, 2, 2, 2, 3, 2, 1, 1, 2, 3, 3, 3, 2, 2, 1, 1))
	var d, all []float64
	for i := range x.Scores.Athletes {
		d = append(d, x.Scores.At(i, 1)-x.Scores.At(i, 0))
	}
	all = x.Scores.Value
	x.Noise = noise.Model{DF: 7, TypicalError: math.Sqrt(stat.Variance(d, nil) / 2), Mean: stat.Mean(all, nil)}
	contains(t, said(judge(t, x)), "looks-like-own-noise 2")
}

// A constant measure has no error and no changes: that is no fingerprint.
func TestConstantMeasureIsNotOwnNoise(t *testing.T) {
	x := test(0, 2, table(2, 5, 5, 5, 5, 5, 5))
	if r := judge(t, x); r.Family.PastNoise != 0 {
		t.Errorf("%d changes of a constant are real", r.Family.PastNoise)
	}
}
