package dist_test

import (
	"fmt"
	"math"
	"testing"

	"noisefloor/analysis/dist"
	"noisefloor/internal/numtest"
)

const rel = 1e-13

func TestQuantilesAgainstReference(t *testing.T) {
	for _, r := range normalQuantiles {
		numtest.Close(t, fmt.Sprintf("NormalQuantile(%g)", r.p), dist.NormalQuantile(r.p), r.z, rel)
	}
	for _, r := range tQuantiles {
		numtest.Close(t, fmt.Sprintf("TQuantile(%g, %g)", r.p, r.df), dist.TQuantile(r.p, r.df), r.t, rel)
	}
	for _, r := range chiSquareQuantiles {
		numtest.Close(t, fmt.Sprintf("ChiSquareQuantile(%g, %g)", r.p, r.df), dist.ChiSquareQuantile(r.p, r.df), r.x, rel)
	}
	for _, r := range fQuantiles {
		numtest.Close(t, fmt.Sprintf("FQuantile(%g, %g, %g)", r.p, r.df1, r.df2), dist.FQuantile(r.p, r.df1, r.df2), r.x, rel)
	}
}

// The interval of a typical error is TE √(df/χ²(1-α/2)) to TE √(df/χ²(α/2)).
func TestChiSquareAgainstMultipliersOfSD(t *testing.T) {
	for _, r := range sdMultipliers {
		tail := (1 - r.level) / 2
		numtest.Close(t, fmt.Sprintf("lower, df %g, %g", r.df, r.level), math.Sqrt(r.df/dist.ChiSquareQuantile(1-tail, r.df)), r.lower, rel)
		numtest.Close(t, fmt.Sprintf("upper, df %g, %g", r.df, r.level), math.Sqrt(r.df/dist.ChiSquareQuantile(tail, r.df)), r.upper, rel)
	}
}

func TestNoncentralTAgainstReference(t *testing.T) {
	for _, r := range noncentralTCDFs {
		numtest.Close(t, fmt.Sprintf("NoncentralTCDF(%g, %g, %g)", r.t, r.df, r.delta),
			dist.NoncentralTCDF(r.t, r.df, r.delta), r.p, rel)
	}
	for _, r := range noncentralTQuantiles {
		numtest.Close(t, fmt.Sprintf("NoncentralTQuantile(%g, %g, %g)", r.p, r.df, r.delta),
			dist.NoncentralTQuantile(r.p, r.df, r.delta), r.t, rel)
	}
}
