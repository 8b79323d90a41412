package cli_test

import (
	"math"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// Type on paper is legible from 6 points up: common practice, no source.
const legible = 6.0

var (
	viewBox  = regexp.MustCompile(`viewBox="0 0 ([\d.]+) ([\d.]+)"`)
	fontSize = regexp.MustCompile(`font-size:([\d.]+)px`)
	tallMM   = regexp.MustCompile(`--tall:(\d+)mm`)
)

// TestSheetsPrintLegibly reads off every sheet, of the demo and of one athlete too, how far its picture is shrunk in
// print: to 360 points of width (30 rem) and to the height that the sheet says.
// The smallest letters in it must stay legible.
func TestSheetsPrintLegibly(t *testing.T) {
	one := filepath.Join(t.TempDir(), "one")
	output(t, "retest", filepath.Join(demo(t), "data", "tests.csv"), "--noise-from", "1,2", "--athlete", "C21",
		"--out", one)
	all := append(pages(t), filepath.Join(one, "retest.html"))
	for _, name := range []string{"reliability", "retest", "correlate-ball_speed", "correlate-bat_speed"} {
		all = append(all, filepath.Join(demo(t), name+".html"))
	}
	sheets, drawn := 0, 0
	for _, page := range all {
		if strings.HasSuffix(page, "-working.html") {
			continue
		}
		sheets++
		text := readFile(t, page)
		at := strings.Index(text, "<svg")
		if at < 0 {
			continue
		}
		drawn++
		svg := text[at : at+strings.Index(text[at:], "</svg>")]
		box := viewBox.FindStringSubmatch(svg)
		smallest := math.Inf(1)
		for _, m := range fontSize.FindAllStringSubmatch(svg, -1) {
			smallest = min(smallest, float(t, m[1]))
		}
		tall := tallMM.FindStringSubmatch(text[:at])
		if box == nil || tall == nil || math.IsInf(smallest, 1) {
			t.Errorf("%s: picture %v, height %v, letters %g", page, box, tall, smallest)
			continue
		}
		scale := min(360/float(t, box[1]), float(t, tall[1])*72/25.4/float(t, box[2]))
		t.Logf("%s: %s by %s points, printed in %s mm: letters of %.1f points", filepath.Base(filepath.Dir(page)),
			box[1], box[2], tall[1], smallest*scale)
		if smallest*scale < legible {
			t.Errorf("%s: its smallest letters print at %.2f points", page, smallest*scale)
		}
	}
	if sheets < len(allRuns()) || drawn < 8 {
		t.Errorf("%d sheets, %d with a picture", sheets, drawn)
	}
}

func float(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
