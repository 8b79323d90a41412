package association_test

import (
	"errors"
	"fmt"
	"log"
	"math"
	"strings"
	"testing"

	"noisefloor/analysis/association"
	"noisefloor/internal/numtest"
)

func retested(dx, dy []float64) (test, outcome association.Retested) {
	test, outcome = association.Retested{Name: "throw"}, association.Retested{Name: "speed"}
	for i := range dx {
		test.Before, test.After = append(test.Before, 10), append(test.After, 10+dx[i])
		outcome.Before, outcome.After = append(outcome.Before, 30), append(outcome.After, 30+dy[i])
	}
	return test, outcome
}

// By hand: changes -2 -1 0 1 2 and -1 -2 0 2 1 have r = Σxy/√(ΣxxΣyy) = 8/10,
// the same ranks, and variance 10/4. With typical errors of 0.5 and 0.25 the
// reliabilities are 1 - 2(0.25)/2.5 = 0.8 and 1 - 2(0.0625)/2.5 = 0.95.
func TestChangeByHand(t *testing.T) {
	test, outcome := retested([]float64{-2, -1, 0, 1, 2}, []float64{-1, -2, 0, 2, 1})
	test.TypicalError, outcome.TypicalError = 0.5, 0.25
	c := must[association.ChangeAssociation](t)(association.ChangeAgainstChange(test, outcome,
		association.Options{Replicates: 500}))
	for name, q := range map[string][2]float64{
		"r": {c.Pearson.Value, 0.8}, "rank r": {c.Spearman.Value, 0.8}, "slope": {c.Slope.Value, 0.8},
		"reliability of test": {c.ReliabilityTest, 0.8}, "of outcome": {c.ReliabilityOutcome, 0.95},
		"corrected": {c.Corrected.Value, 0.8 / math.Sqrt(0.8*0.95)},
	} {
		numtest.Close(t, name, q[0], q[1], 1e-14)
	}
	if c.N != 5 || len(c.Points) != 5 || c.Points[1].X != -1 || c.Points[1].Y != -2 {
		t.Errorf("n = %d, points %v", c.N, c.Points)
	}
	if c.Corrected.Sources[0].TypicalError != test.TypicalError || c.Corrected.Sources[1].Variable != outcome.Name ||
		c.Corrected.AboveOne {
		t.Errorf("corrected %+v", c.Corrected)
	}
	if got := said(c.Caveats); got != "same-days" {
		t.Errorf("caveats %s", got)
	}
}

func TestChangeCaveats(t *testing.T) {
	dx, dy := []float64{-2, -1, 0, 1, 2, 4}, []float64{-1, -2, 0, 2, 1, 3}
	for _, tt := range []struct {
		x, y float64 // typical errors
		want string
	}{
		{0, 0.3, "typical-errors-unknown"}, {nan, 0.3, "typical-errors-unknown"}, {0.3, 0, "typical-errors-unknown"},
		{0.3, math.Inf(1), "typical-errors-unknown"},
		{2, 0.3, "changes-are-noise -0.71"},
		{0.3, 2, "changes-are-noise"}, {1.2, 1, "corrected-change-beyond-one"},
	} {
		test, outcome := retested(dx, dy)
		test.TypicalError, outcome.TypicalError = tt.x, tt.y
		test.Before = append(test.Before, nan)
		test.After, outcome.Before, outcome.After = append(test.After, 3), append(outcome.Before, 3),
			append(outcome.After, 3)
		c := must[association.ChangeAssociation](t)(association.ChangeAgainstChange(test, outcome,
			association.Options{Replicates: 100}))
		text := said(c.Caveats)
		if !strings.Contains(text, tt.want) || !strings.Contains(text, "athletes-without-four-scores 1.00 7.00") {
			t.Errorf("typical errors %g, %g: no %q in\n%s", tt.x, tt.y, tt.want, text)
		}
		if beyond := tt.want == "corrected-change-beyond-one"; beyond != (c.Corrected != nil) || beyond &&
			!c.Corrected.AboveOne {
			t.Errorf("typical errors %g, %g: corrected %+v", tt.x, tt.y, c.Corrected)
		}
		if (tt.x > 0) == math.IsNaN(c.ReliabilityTest) {
			t.Errorf("reliability %g for typical error %g", c.ReliabilityTest, tt.x)
		}
	}
}

func TestChangeErrors(t *testing.T) {
	for name, tt := range map[string]struct {
		spoil func(test, outcome *association.Retested, o *association.Options)
		want  error
		text  string
	}{
		"level": {func(_, _ *association.Retested, o *association.Options) { o.Level = -1 }, association.ErrLevel,
			"-1"},
		"length": {func(_, outcome *association.Retested,
			_ *association.Options) {
			outcome.After = outcome.After[1:]
		}, association.ErrLength, `"speed" after`},
		"infinite": {func(test, _ *association.Retested, _ *association.Options) { test.Before[2] = math.Inf(-1) },
			association.ErrNonFinite, `"throw" before, athlete 3`},
		"few": {func(test, _ *association.Retested, _ *association.Options) { fill(test.After[1:3], nan) },
			association.ErrTooFew, "change of test"},
		"constant": {func(test, _ *association.Retested, _ *association.Options) { fill(test.After, 12) },
			association.ErrConstant, "x: the same value"},
	} {
		test, outcome := retested([]float64{1, 2, 3, 4, 6}, []float64{1, 3, 2, 4, 5})
		var o association.Options
		tt.spoil(&test, &outcome, &o)
		c, err := association.ChangeAgainstChange(test, outcome, o)
		if !errors.Is(err, tt.want) || !strings.Contains(err.Error(), tt.text) {
			t.Errorf("%s: %v", name, err)
		}
		if !allNaN(c.Pearson.Value, c.Spearman.Value, c.Slope.Value, c.ReliabilityTest, c.ReliabilityOutcome) ||
			c.Pearson.Kind == "" {
			t.Errorf("%s: %+v", name, c)
		}
	}
}

// Two true changes with r = 0.7, dulled by noise of known size: the corrected r
// finds it, the plain one does not. Units of extreme size change nothing.
func TestChangeFindsTrueChanges(t *testing.T) {
	const rounds, n, rho = 400, 40, 0.7
	rng := random(30)
	var sum, plainSum float64
	var covered int
	for k := range rounds {
		test, outcome := association.Retested{Name: "throw", TypicalError: 0.5}, association.Retested{Name: "speed",
			TypicalError: 0.4}
		for range n {
			x, y := rng.NormFloat64(), rng.NormFloat64()
			dx, dy := x, rho*x+math.Sqrt(1-rho*rho)*y
			a, b := 5*rng.NormFloat64(), 5*rng.NormFloat64()
			test.Before, test.After = append(test.Before, a+0.5*rng.NormFloat64()), append(test.After,
				a+dx+0.5*rng.NormFloat64())
			outcome.Before, outcome.After = append(outcome.Before, b+0.4*rng.NormFloat64()), append(outcome.After,
				b+dy+0.4*rng.NormFloat64())
		}
		o := association.Options{Replicates: 400, Seed: 1}
		c := must[association.ChangeAssociation](t)(association.ChangeAgainstChange(test, outcome, o))
		if c.Corrected == nil {
			t.Fatalf("round %d: %s", k, said(c.Caveats))
		}
		sum, plainSum = sum+c.Corrected.Value, plainSum+c.Pearson.Value
		covered += one(!c.Corrected.Excludes(rho))
		if k == 0 {
			for _, scale := range []float64{0x1p500, 0x1p-500} {
				test.TypicalError *= scale
				for i := range test.Before {
					test.Before[i], test.After[i] = test.Before[i]*scale, test.After[i]*scale
				}
				far := must[association.ChangeAssociation](t)(association.ChangeAgainstChange(test, outcome, o))
				numtest.Close(t, "corrected", far.Corrected.Value, c.Corrected.Value, 0)
				numtest.Close(t, "lower", far.Corrected.Lower, c.Corrected.Lower, 0)
				for i := range test.Before {
					test.Before[i], test.After[i] = test.Before[i]/scale, test.After[i]/scale
				}
				test.TypicalError /= scale
			}
		}
	}
	t.Logf("mean corrected r %.3f, plain %.3f, true %.1f; interval holds it in %.1f %%", sum/rounds, plainSum/rounds,
		rho, 100*float64(covered)/rounds)
	if math.Abs(sum/rounds-rho) > 0.03 || plainSum/rounds > 0.55 || covered < rounds*91/100 {
		t.Errorf("mean corrected r %.3f, plain %.3f, covered %d of %d", sum/rounds, plainSum/rounds, covered, rounds)
	}
}

// Did those who gained in the throw gain in ball speed? Invented.
func ExampleChangeAgainstChange() {
	throw := association.Retested{Name: "rotational throw", Unit: "m", TypicalError: 0.15,
		Before: []float64{9.1, 10.2, 8.8, 9.9, 10.5, 9.4, 8.6, 10.0}, After: []float64{9.6, 10.3, 9.6, 10.0, 11.4,
			9.3, 9.2, 10.4}}
	speed := association.Retested{Name: "ball speed", Unit: "m/s", TypicalError: 0.3,
		Before: []float64{31.0, 33.2, 30.1, 34.0, 33.8, 32.0, 29.5, 33.1}, After: []float64{31.9, 33.1, 31.2, 34.2,
			35.2, 32.3, 30.3, 33.5}}
	c, err := association.ChangeAgainstChange(throw, speed, association.Options{Seed: 1})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("r of the changes %.2f (n = %d); reliability of change %.2f and %.2f\n", c.Pearson.Value, c.N,
		c.ReliabilityTest, c.ReliabilityOutcome)
	// Output: r of the changes 0.91 (n = 8); reliability of change 0.65 and 0.30
}
