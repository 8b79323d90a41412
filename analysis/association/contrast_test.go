package association_test

import (
	"math"
	"testing"

	"noisefloor/analysis/association"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
)

// R 4.2.2: covariances of normal sums of products as a dense matrix, carried to
// Fisher's z by a numerical derivative (testdata/oracle/plane_contrast.R): whole,
// level means removed, and with gaps. The derivative is good to about 1e-9.
func TestPlaneContrastAgainstRecordedR(t *testing.T) {
	contrastAgainstR(t, rows(t, "oracle", "plane_contrast.csv"))
}

func TestPlaneContrastAgainstLiveR(t *testing.T) { contrastAgainstR(t, live(t, "plane_contrast.R")) }

func contrastAgainstR(t *testing.T, want []row) {
	t.Helper()
	if len(want) != 15 {
		t.Fatalf("%d values from R, want 15", len(want))
	}
	whole, gaps := analyse(t, completeOracle(t)), analyse(t, oracleInput(t))
	for _, w := range want {
		c := map[string]*association.PlaneContrast{"whole": whole.PlaneContrast, "within": whole.WithinPlaneContrast,
			"partly": gaps.PlaneContrast}[w["kind"]]
		got := map[string]float64{"difference": c.Difference.Value, "se": c.Difference.SE, "z_b": c.ZB.Value,
			"se_b": c.ZB.SE, "se_a": c.ZA.SE}[w["name"]]
		numtest.Close(t, w["kind"]+" "+w["name"], got, w.f(t, "value"), 1e-7)
		// 95 % by the normal quantile of tables, 1.959964.
		numtest.Close(t, "limit", c.Difference.Upper, c.Difference.Value+1.9599639845400543*c.Difference.SE, 1e-12)
	}
}

// The same tests in both planes: no difference, and nothing that would make one
// uncertain.
func TestPlaneContrastOfTwins(t *testing.T) {
	in := cohort()
	in.Tests = in.Tests[:2]
	in.Tests[1].Value = mapped(in.Tests[0].Value, func(v float64) float64 { return 3*v + 2 })
	d := analyse(t, in).PlaneContrast.Difference
	numtest.CloseAbs(t, "difference", d.Value, 0, 1e-12)
	if d.HasInterval() && d.SE > 1e-7 {
		t.Errorf("%+v", d)
	}
}

// Nobody said which way the sprint improves: planes as wholes are not compared,
// pairs by the size of r, nothing is turned, and it is said. The sprint goes
// against the others, so that taken as it is, it would count against its plane.
func TestDirectionsUnknown(t *testing.T) {
	for name, tt := range map[string]struct {
		spoil func(*association.Input)
		said  string
		pairs [2]bool // by size: jump, sprint
	}{
		"a test": {func(in *association.Input) { in.Tests[2].Better = score.Unknown },
			`["sprint"]`, [2]bool{false, true}},
		"the outcome": {func(in *association.Input) { in.Outcome.Better = score.Unknown },
			`["speed"]`, [2]bool{true, true}},
	} {
		in := cohort()
		known := analyse(t, cohort())
		tt.spoil(&in)
		r := analyse(t, in)
		for _, c := range []*association.PlaneContrast{r.PlaneContrast, r.WithinPlaneContrast} {
			if c.Difference.Kind != association.NoDirection || !allNaN(c.Difference.Value, c.ZA.Value, c.ZB.Value,
				c.RA.Value, c.RB.Value) || said(c.Caveats) != "planes-need-directions "+tt.said+" (transverse, sagittal)" {
				t.Errorf("%s: %+v", name, c)
			}
		}
		if got := said(r.Caveats); got != "sizes-compared "+tt.said {
			t.Errorf("%s: caveats %s", name, got)
		}
		for k, c := range r.Comparisons {
			was := known.Comparisons[k]
			if c.Absolute != tt.pairs[k] || c.FlippedB && c.Absolute {
				t.Errorf("%s: %s and %s: %+v", name, c.A, c.B, c)
			}
			numtest.Close(t, name+" RB", c.RB, math.Abs(was.RB), 1e-12)
			numtest.Close(t, name+" p", c.PWilliams, was.PWilliams, 1e-9)
		}
		if s := r.Planes[1]; !s.Absolute || !(s.Lowest > 0) || !r.Planes[0].Absolute {
			t.Errorf("%s: planes %+v", name, r.Planes)
		}
	}
}

// Two tests that go opposite ways by their nature, of which nobody said so: the
// sizes are alike, so nothing is found. As they stand they differ by 1.6.
func TestSizesAreCompared(t *testing.T) {
	in := cohort()
	in.Tests = []association.Variable{in.Tests[0], in.Tests[2]}
	in.Tests[1].Value = mapped(in.Tests[0].Value, func(v float64) float64 { return 40 - v })
	in.Tests[1].Value[3], in.Tests[1].Value[4] = in.Tests[1].Value[4], in.Tests[1].Value[3]
	in.Tests[1].Better = score.Unknown
	c := analyse(t, in).Comparisons[0]
	if !(c.RA > 0.8) || !(c.RB > 0.8) || c.PWilliams < 0.2 || !(c.RAB > 0.9) || c.Difference.Kind != estimate.Zou {
		t.Errorf("%+v", c)
	}
	o := association.Options{Bootstrap: true, Replicates: 50}
	if r := must[association.Result](t)(association.Analyse(in, o)); r.Comparisons[0].BCa != nil ||
		said(r.Caveats) != `sizes-compared ["sprint"]`+"\n"+`no-bca-of-differences 2.00 40.00` {
		t.Errorf("10 athletes: BCa %+v, %s", r.Comparisons[0].BCa, said(r.Caveats))
	}
}

// A composite needs to know which way its tests improve; tests as they are do not.
func TestCompositeNeedsDirections(t *testing.T) {
	in := squad(random(3), 40, 3, 3)
	in.Tests[4].Better = score.Unknown
	s := models(t, in, association.Options{})
	if len(s.Models) != 0 || said(s.Caveats) != `no-models ["jump 2"] (no-direction) 40.00 12.00` {
		t.Errorf("%d models, %s", len(s.Models), said(s.Caveats))
	}
	if s := models(t, in, association.Options{Blocks: association.BlockTests}); len(s.Models) != 4 {
		t.Errorf("%d models of single tests, %s", len(s.Models), said(s.Caveats))
	}
}
