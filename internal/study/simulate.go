package study

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"sync"

	"noisefloor/analysis/association"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/moment"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
)

// simulate draws studies of the size that was answered and analyses each as the other
// commands would; the share that meets the wish stands beside what the formula says. Each
// study has a stream of its own, so the number of cores changes nothing.
func (r *Plan) simulate(out *PlanResult) (*Simulated, error) {
	var one func(*rand.Rand) (bool, error)
	formula := out.Plan.Reached
	switch r.About {
	case "icc":
		one = r.drawICC(out.Plan.Athletes)
	case "error":
		formula = r.noisePlan().Hit(out.Plan.Athletes)
		one = r.drawError(out.Plan.Athletes)
	case "correlation":
		one = r.drawCorrelation(out.Plan.Athletes)
	case "change":
		one = r.drawChange(out.Plan.Athletes)
	case "design":
		if out.Never {
			return nil, requestError("simulate", "no design was found to draw studies of")
		}
		one, formula = r.drawRetest(out)
	default:
		return nil, requestError("simulate", "plan %s is not simulated", r.About)
	}
	hits, err := drawn(r.Simulate, r.Seed, one)
	if err != nil {
		return nil, err
	}
	share := float64(hits) / float64(r.Simulate)
	return &Simulated{Estimate: share, StandardError: math.Sqrt(share * (1 - share) / float64(r.Simulate)),
		Formula: formula, Studies: r.Simulate}, nil
}

// drawn counts the studies that meet the wish.
func drawn(n int, seed uint64, one func(*rand.Rand) (bool, error)) (int, error) {
	var wait sync.WaitGroup
	cores := runtime.GOMAXPROCS(0)
	hits, errs := make([]int, cores), make([]error, cores)
	for c := range cores {
		wait.Go(func() {
			for i := c; i < n && errs[c] == nil; i += cores {
				hit, err := one(rand.New(rand.NewPCG(seed, uint64(i))))
				if errs[c] = err; hit {
					hits[c]++
				}
			}
		})
	}
	wait.Wait()
	sum := 0
	for c := range cores {
		if errs[c] != nil {
			return 0, fmt.Errorf("a simulated study could not be analysed: %w", errs[c])
		}
		sum += hits[c]
	}
	return sum, nil
}

// table is n athletes in k sessions, the true scores of SD between, errors of SD 1.
func table(n, k int, between float64, rng *rand.Rand) score.Table {
	t := score.Table{Athletes: numbered(n), Sessions: numbered(k), Value: make([]float64, n*k), Trials: make([]int32, n*k)}
	for i := range n {
		athlete := between * rng.NormFloat64()
		for j := range k {
			t.Value[i*k+j] = athlete + rng.NormFloat64()
		}
	}
	return t
}

func numbered(n int) []string {
	out := make([]string, n)
	for i := range out {
		out[i] = fmt.Sprint(i + 1)
	}
	return out
}

func (r *Plan) drawICC(n int) func(*rand.Rand) (bool, error) {
	between := math.Sqrt(r.Expected / (1 - r.Expected))
	return func(rng *rand.Rand) (bool, error) {
		got, err := reliability.Analyse(table(n, r.Repeats, between, rng), reliability.Options{Level: r.Confidence, Lean: true})
		if err != nil {
			return false, err
		}
		for _, icc := range got.ICC {
			if icc.Form == "C,1" {
				return icc.Value.Upper-icc.Value.Lower <= r.Width, nil
			}
		}
		return false, nil
	}
}

// drawError asks whether the typical error comes within the factor of the true one.
func (r *Plan) drawError(n int) func(*rand.Rand) (bool, error) {
	ratio := r.noisePlan().Ratio
	return func(rng *rand.Rand) (bool, error) {
		got, err := reliability.Analyse(table(n, r.Repeats, 2, rng), reliability.Options{Level: r.Confidence, Lean: true})
		te := got.TypicalError.Value
		return te <= ratio && te >= 1/ratio, err
	}
}

func (r *Plan) drawCorrelation(n int) func(*rand.Rand) (bool, error) {
	rest := math.Sqrt(1 - r.Expected*r.Expected)
	return func(rng *rand.Rand) (bool, error) {
		x, y := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i] = rng.NormFloat64()
			y[i] = r.Expected*x[i] + rest*rng.NormFloat64()
		}
		got, err := association.Pearson(x, y, r.Confidence)
		return err == nil && got.Upper-got.Lower <= r.Width, err
	}
}

// drawChange is the paired t test.
func (r *Plan) drawChange(n int) func(*rand.Rand) (bool, error) {
	t := dist.TQuantile((1+r.Confidence)/2, float64(n-1))
	return func(rng *rand.Rand) (bool, error) {
		x := make([]float64, n)
		for i := range x {
			x[i] = r.Effect + r.SD*rng.NormFloat64()
		}
		return math.Abs(moment.Mean(x)) > t*moment.SD(x)/math.Sqrt(float64(n)), nil
	}
}

// drawRetest judges one athlete's retest by a noise that a study found on its degrees of
// freedom.
func (r *Plan) drawRetest(out *PlanResult) (one func(*rand.Rand) (bool, error), formula float64) {
	te, df := 0.0, 0.0
	for _, row := range out.Designs {
		if row.Sessions == out.Sessions && row.Trials == out.Trials {
			te, df = row.TypicalError.Value, row.DF
		}
	}
	target := r.Target
	if out.Noise.Scale == score.Log {
		target = math.Log1p(r.Target / 100)
	}
	t := dist.TQuantile((1+r.Confidence)/2, df)
	delta := target / (math.Sqrt2 * te)
	formula = 1 - dist.NoncentralTCDF(t, df, delta) + dist.NoncentralTCDF(-t, df, delta)
	return func(rng *rand.Rand) (bool, error) {
		found := te * math.Sqrt(dist.ChiSquareQuantile(rng.Float64(), df)/df)
		test := retest.Test{Measure: "test", Baseline: []string{"1"}, FollowUp: [][]string{{"2"}},
			Noise: noise.Model{Measure: "test", Scale: score.Raw, TypicalError: found, DF: df, Mean: math.NaN(),
				TrueSD: math.NaN(), ICC: math.NaN(), ICCK: math.NaN()},
			Scores: score.Table{Athletes: []string{"A"}, Sessions: []string{"1", "2"}, Trials: []int32{1, 1},
				Value: []float64{100 + te*rng.NormFloat64(), 100 + target + te*rng.NormFloat64()}}}
		got, err := retest.Judge([]retest.Test{test}, retest.Options{Level: r.Confidence})
		return err == nil && len(got.Changes) == 1 && got.Changes[0].Past(), err
	}, formula
}
