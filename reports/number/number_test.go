package number_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"noisefloor/analysis/estimate"
	"noisefloor/reports/number"
)

var inf, nan = math.Inf(1), math.NaN()

// Every expected text below is written by hand.

func TestDecimals(t *testing.T) {
	for _, tt := range []struct {
		se   float64
		want int
	}{
		{78, 0}, {780, 0}, {10, 0}, {9.9, 1}, {7.8, 1}, {0.78, 2}, {0.034, 3}, {-0.034, 3},
		{9.96, 0}, // two digits are "10"
		{0.0996, 2}, {0, 2}, {nan, 2}, {inf, 2}, {1e-12, 13}, {1e300, 0},
	} {
		if got := number.Decimals(tt.se); got != tt.want {
			t.Errorf("Decimals(%g) = %d, want %d", tt.se, got, tt.want)
		}
	}
}

func TestPlainAndSigned(t *testing.T) {
	for _, tt := range []struct {
		v             float64
		decimals      int
		plain, signed string
	}{
		{412.4, 0, "412", "+412"},
		{-4.25, 1, "−4.2", "−4.2"},
		{0.934, 2, "0.93", "+0.93"},
		{-0.04, 1, "0.0", "0.0"},
		{0.04, 1, "0.0", "0.0"},
		{math.Copysign(0, -1), 0, "0", "0"},
		{nan, 1, "–", "–"},
		{inf, 1, "∞", "+∞"},
		{-inf, 1, "−∞", "−∞"},
		{12, -3, "12", "+12"},
		{1.2345e12, 0, "1.23 × 10^12", "+1.23 × 10^12"},
		{-4e9, 0, "−4.00 × 10^9", "−4.00 × 10^9"},
		{1.23e-10, 11, "1.2 × 10^−10", "+1.2 × 10^−10"},
		{12.5, 8, "12.50000000", "+12.50000000"},
		{0, 9, "0.000000000", "0.000000000"},
	} {
		if got := number.Plain(tt.v, tt.decimals); got != tt.plain {
			t.Errorf("Plain(%g, %d) = %q, want %q", tt.v, tt.decimals, got, tt.plain)
		}
		if got := number.Signed(tt.v, tt.decimals); got != tt.signed {
			t.Errorf("Signed(%g, %d) = %q, want %q", tt.v, tt.decimals, got, tt.signed)
		}
	}
}

func TestPhrases(t *testing.T) {
	whole := estimate.Estimate{Value: 412.4, Lower: 389.1, Upper: 434.8}
	change := estimate.Estimate{Value: 12.2, Lower: -3.6, Upper: 28}
	for _, tt := range []struct{ got, want string }{
		{number.P(0.0004), "p < 0.001"},
		{number.P(0.001), "p = 0.001"},
		{number.P(0.0342), "p = 0.034"},
		{number.P(0.0996), "p = 0.10"},
		{number.P(0.412), "p = 0.41"},
		{number.P(1), "p > 0.99"},
		{number.P(nan), "–"},
		{number.PValue(0), "< 0.001"},
		{number.Estimate(whole, 0), "412 (389 to 435)"},
		{number.Estimate(estimate.Bare(412.4, estimate.TooFew), 1), "412.4"},
		{number.Estimate(estimate.Estimate{Value: 2, Lower: 1, Upper: inf}, 0), "2 (1 to ∞)"},
		{number.SignedEstimate(change, 0), "+12 (−4 to +28)"},
		{number.Interval(1, nan, 0), "–"},
		{number.SignedInterval(-1, 1, 0), "−1 to +1"},
		{number.PlusMinus(78.3, 0), "±78"},
		{number.PlusMinus(nan, 0), "–"},
		{number.Correlation(0.934), "0.93"},
		{number.Correlation(-0.934), "−0.93"},
		{number.Correlation(0.9971), "0.997"},
		{number.Correlation(0.99999), "> 0.999"},
		{number.Correlation(-0.99999), "< −0.999"},
		{number.Correlation(1), "1.00"},
		{number.Percent(0.95, 0), "95 %"},
		{number.WithUnit("78", "W"), "78 W"},
		{number.WithUnit("78", ""), "78"},
		{number.WithUnit(number.Missing, "W"), "–"},
		{number.Count(1, "athlete", "athletes"), "1 athlete"},
		{number.Count(0, "athlete", "athletes"), "0 athletes"},
	} {
		if tt.got != tt.want {
			t.Errorf("got %q, want %q", tt.got, tt.want)
		}
	}
}

func TestNeverUgly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v, d := rapid.Float64().Draw(t, "v"), rapid.IntRange(-2, 20).Draw(t, "decimals")
		for _, s := range []string{number.Plain(v, d), number.Signed(v, d)} {
			if strings.ContainsAny(s, "-eN") || s == "" || len(s) > 40 {
				t.Fatalf("number %g with %d decimals is %q", v, d, s)
			}
			if strings.Trim(s, "−+0.") == "" && strings.ContainsAny(s, "−+") {
				t.Fatalf("zero with a sign: %q", s)
			}
		}
	})
}
