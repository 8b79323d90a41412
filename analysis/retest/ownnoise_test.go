package retest_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/retest"
	"noisefloor/internal/numtest"
)

// unequal has three athletes, the first of whom is known to be twice as noisy as all
// together, the second half as noisy; all changed by 6.
func unequal() retest.Test {
	x := test(1.5, 20, table(2, 10, 16, 20, 26, 30, 36))
	x.Noise.Own = []noise.Own{{Athlete: "A1", TypicalError: 3, DF: 5}, {Athlete: "A2", TypicalError: 0.75, DF: 9},
		{Athlete: "elsewhere", TypicalError: 1, DF: 3}}
	x.Noise.EqualP = 0.004
	return x
}

// By hand, SE = √2 TE; R 4.2.2: qt(.975, c(5, 9, 20)) is 2.570582, 2.262157, 2.085963,
// qt(.9, 5) 1.475884.
func TestOwnNoise(t *testing.T) {
	r, err := retest.Judge([]retest.Test{unequal()}, retest.Options{Own: true})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []struct {
		te, df, t float64
		own       bool
		state     retest.State
	}{{3, 5, 2.570582, true, retest.InsideNoise}, {0.75, 9, 2.262157, true, retest.StandsOut},
		{1.5, 20, 2.085963, false, retest.StandsOut}} {
		c := r.Changes[i]
		numtest.Close(t, "SE", c.SE, want.te*math.Sqrt2, 1e-12)
		numtest.Close(t, "df", c.DF, want.df, 0)
		numtest.Close(t, "detectable", c.Detectable, want.t*want.te*math.Sqrt2, 1e-6)
		if c.OwnNoise != want.own || c.State != want.state {
			t.Errorf("%s: own noise %t, %s", c.Athlete, c.OwnNoise, c.State)
		}
	}
	numtest.Close(t, "narrow", r.Changes[0].Narrow.Upper, 6+1.475884*3*math.Sqrt2, 1e-6)
	numtest.Close(t, "band", r.Runs[0].High, 10+2.570582*3*math.Sqrt2, 1e-6)
	want := []caveat.Caveat{caveat.New(retest.WithoutOwnNoise, 1, 3).About("jump")}
	if diff := cmp.Diff(want, r.Caveats); diff != "" {
		t.Errorf("doubts (-want +got):\n%s", diff)
	}
}

// Not asked for, one noise judges all, and it is said that it does not fit; so is that
// another scale would.
func TestUnequalNoiseIsSaid(t *testing.T) {
	x := unequal()
	x.Noise.ScaleAdvice = "error-grows"
	r := judge(t, x)
	for _, c := range r.Changes {
		numtest.Close(t, "SE", c.SE, 1.5*math.Sqrt2, 1e-12)
		if c.OwnNoise {
			t.Errorf("%s is judged by own noise", c.Athlete)
		}
	}
	want := []caveat.Caveat{caveat.New("error-grows").About("jump"), caveat.New(retest.UnequalNoise, 0.004).About("jump")}
	if diff := cmp.Diff(want, r.Caveats); diff != "" {
		t.Errorf("doubts (-want +got):\n%s", diff)
	}
	x.Noise.EqualP, x.Noise.ScaleAdvice = 0.05, ""
	if r = judge(t, x); len(r.Caveats) > 0 {
		t.Errorf("doubts at p 0.05: %v", r.Caveats)
	}
}

// Components give the ratio of other numbers of attempts, the athlete's own noise the
// size, and the fewer of the two df hold.
func TestOwnNoiseThroughComponents(t *testing.T) {
	x := attempted([]int32{3, 1, 1}, 10, 16, 16)
	plain, err := retest.Judge([]retest.Test{x}, retest.Options{})
	if err != nil {
		t.Fatal(err)
	}
	x.Noise.Own = []noise.Own{{Athlete: "A1", TypicalError: 2 * x.Noise.TypicalError, DF: 4}}
	own, err := retest.Judge([]retest.Test{x}, retest.Options{Own: true})
	if err != nil {
		t.Fatal(err)
	}
	p, o := plain.Changes[0], own.Changes[0]
	if !p.FromComponents || !o.FromComponents || !o.OwnNoise {
		t.Fatalf("components %t, %t, own %t", p.FromComponents, o.FromComponents, o.OwnNoise)
	}
	numtest.Close(t, "SE", o.SE, 2*p.SE, 1e-12)
	numtest.Close(t, "df", o.DF, 4, 0)
}

// Where every athlete has the same noise, asking for it changes nothing, and that is said.
func TestOwnNoiseThatIsAlike(t *testing.T) {
	x := unequal()
	for i := range x.Noise.Own {
		x.Noise.Own[i] = noise.Own{Athlete: fmt.Sprintf("A%d", i+1), TypicalError: 1.5, DF: 20}
	}
	r, err := retest.Judge([]retest.Test{x}, retest.Options{Own: true})
	if err != nil {
		t.Fatal(err)
	}
	want := []caveat.Caveat{caveat.New(retest.OwnNoiseAlike).About("jump")}
	if diff := cmp.Diff(want, r.Caveats); diff != "" {
		t.Errorf("doubts (-want +got):\n%s", diff)
	}
}
