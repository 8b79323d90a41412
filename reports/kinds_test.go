package reports

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	assoc "noisefloor/analysis/association"
	"noisefloor/analysis/caveat"
)

// kindDeclared is a kind of caveat where a package of analysis declares it.
var kindDeclared = regexp.MustCompile(`(?m)^\s*(?:const\s+)?\w+\s+(?:caveat\.)?Kind\s*=\s*"([a-z0-9-]+)"`)

// Every kind of doubt that analysis declares has its words: a kind without them
// would reach a coach as its bare name. The kinds are read off the source.
func TestEveryKindHasWords(t *testing.T) {
	words, found := sayers(), 0
	err := filepath.WalkDir("../analysis", func(path string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") ||
			strings.Contains(path, "estimate") {
			return err
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		for _, m := range kindDeclared.FindAllStringSubmatch(string(text), -1) {
			if strings.Contains(m[0], "estimate.Kind") {
				continue
			}
			found++
			say, ok := words[caveat.Kind(m[1])]
			if !ok {
				t.Errorf("%s: the doubt %q has no words in reports", path, m[1])
				continue
			}
			c := caveat.New(caveat.Kind(m[1]), 1, 2, 3, 4).With("too-few", "2", "log", "4", "5", "6", "7")
			if got := say(c, About{}); len(got) < 12 || strings.Contains(got, m[1]) {
				t.Errorf("%s: the words of %q are %q", path, m[1], got)
			}
		}
		return nil
	})
	if err != nil || found < 60 {
		t.Errorf("%d kinds found, %v", found, err)
	}
}

// The words of correlate's doubts, with made-up numbers.
func TestWordsOfCorrelate(t *testing.T) {
	a := About{Labels: map[string]string{"throw": "Seated throw", "jump": "Jump"}}
	for want, c := range map[string]caveat.Caveat{
		"Seated throw: 3 of 40 athletes have no such value and are left out": caveat.New(assoc.NoOutcome, 3,
			40).About("throw"),
		"no test of the sagittal plane: no planes compared": caveat.New(assoc.NoTestOfPlane).With("sagittal"),
		"Jump: no correlation: too few athletes (3)": caveat.New(assoc.NoCorrelation,
			3).With("too-few").About("jump"),
		"Jump: no correlation: test or outcome is the same for every athlete": caveat.New(assoc.NoCorrelation,
			9).With("no-variation").About("jump"),
		"Jump: no partial r: it is a combination of the others": caveat.New(assoc.NoPartial,
			9).With("collinear").About("jump"),
		"Jump: across levels r = 0.90, within a level −0.20: within a level it goes the other way; do not read the mixed one": caveat.
			New(assoc.LevelsPart, 0.9, -0.2).With("turns-it").About("jump"),
		"Jump: no correction for unreliability: the reliability of Jump is −0.20, and has to lie above 0 and not above 1": caveat.
			New(assoc.ReliabilityNone, -0.2).With("jump").About("jump"),
		"its sessions in the study give 0.95": caveat.New(assoc.ReliabilityDiffers, 0.5,
			0.95, 1).With("jump").About("jump"),
		"its sessions here give 0.95": caveat.New(assoc.ReliabilityDiffers, 0.5,
			0.95, 0).With("jump").About("jump"),
		"Jump: left out of the planes together: 7 athletes, fewer than 8": caveat.New(assoc.OutOfPlanes, 7,
			8).With("too-few").About("jump"),
		"no models: 11 athletes have everything, fewer than 12": caveat.New(assoc.NoModels, 11,
			12).With("too-few"),
		"no models: no test of the planes compared": caveat.New(assoc.NoModels, 40,
			12).With("no-tests"),
		"no figures for the model level + sagittal: 13 athletes and 3 terms leave 9 residual degrees of freedom, fewer than 10": caveat.
			New(assoc.NoFigures, 13, 3, 9, 10).With("level + sagittal", "too-few"),
		"Jump: 10 of 40 athletes lack a test, a covariate or a level: the models rest on the other 30; without this test it would be 7 more": caveat.
			New(assoc.LackSomething, 10, 40, 7).About("jump"),
		"Jump; Seated throw: of neither plane, so in no model": caveat.New(assoc.NeitherPlane).About("jump", "throw"),
		"Jump: inside an athlete r = −0.51, ignoring who is who −0.07: the second mixes two questions, do not read it": caveat.
			New(assoc.TwoQuestions, -0.51, -0.07).About("jump"),
		"(reliability of change −0.71 for the test, 0.90 for the outcome)": caveat.New(assoc.OnlyNoise, -0.71,
			0.9).About("jump"),
	} {
		if got := a.sentences([]caveat.Caveat{c}); len(got) != 1 || !strings.Contains(got[0], want) {
			t.Errorf("%q\nwant %q", got, want)
		}
	}
}
