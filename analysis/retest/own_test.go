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
	x.Digests = []string{"one", "two", "three", "four"}
	x.Noise.Athletes, x.Noise.Sessions, x.Noise.Digests = 6, []string{"1", "2"}, []string{"one", "two"}
	return x
}

func TestOwnNoiseByDigest(t *testing.T) {
	for _, tt := range []struct {
		name     string
		baseline string
		follow   []string // sessions of one follow-up joined by +
		studied  []string
		refuse   bool
	}{
		{"the study itself", "1", []string{"2"}, []string{"one", "two"}, true},
		{"backwards", "2", []string{"1"}, []string{"one", "two"}, true},
		{"one follow-up of two", "1", []string{"3", "2"}, []string{"one", "two"}, true},
		{"mean inside", "1", []string{"2+3"}, []string{"one", "two", "three"}, true},
		{"baseline inside", "2", []string{"3"}, []string{"one", "two"}, false},
		{"mean of the study", "1+2", []string{"3"}, []string{"one", "two"}, false},
		{"follow-up partly inside", "1", []string{"2+3"}, []string{"one", "two"}, false},
		{"follow-up inside", "3", []string{"1"}, []string{"one", "two"}, false},
		{"another study", "1", []string{"2"}, []string{"x", "y"}, false},
		{"unknown study", "1", []string{"2"}, nil, false},
		{"no digest", "1", []string{"2"}, []string{"", ""}, false},
	} {
		x := study()
		x.Baseline, x.FollowUp = strings.Split(tt.baseline, "+"), nil
		for _, f := range tt.follow {
			x.FollowUp = append(x.FollowUp, strings.Split(f, "+"))
		}
		x.Noise.Digests = tt.studied
		if tt.name == "no digest" {
			x.Digests = []string{"", "", "", ""}
		}
		_, err := retest.Judge([]retest.Test{x}, retest.Options{})
		if errors.Is(err, retest.ErrOwnNoise) != tt.refuse {
			t.Errorf("%s: %v", tt.name, err)
		}
		if tt.refuse && (!strings.HasPrefix(err.Error(), "jump: ") || !strings.Contains(err.Error(),
			"take the noise from other sessions")) {
			t.Errorf("%s: no advice in %v", tt.name, err)
		}
	}
	x := study()
	x.Digests = nil
	if _, err := retest.Judge([]retest.Test{x}, retest.Options{}); err != nil {
		t.Errorf("without digests nothing is known: %v", err)
	}
}

// A copy of the table under another form has other digests, but its typical
// error is sqrt(var(D)/2) of the very changes; gonum computes the variance.
func TestOwnNoiseByTypicalError(t *testing.T) {
	for _, scale := range []score.Scale{score.Raw, score.Log} {
		x := study()
		x.Digests = nil
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

// A constant measure has no error and no changes: that is no fingerprint.
func TestConstantMeasureIsNotOwnNoise(t *testing.T) {
	x := test(0, 2, table(2, 5, 5, 5, 5, 5, 5))
	if r := judge(t, x); r.Family.PastNoise != 0 {
		t.Errorf("%d changes of a constant are real", r.Family.PastNoise)
	}
}
