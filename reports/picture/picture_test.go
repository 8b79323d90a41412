package picture_test

import (
	"bytes"
	"flag"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"noisefloor/reports/picture"
)

var out = flag.String("out", "", "write every fixture as PNG and SVG to this `folder`, to be looked at")

func TestFixturesDraw(t *testing.T) {
	all := fixtures()
	for _, name := range slices.Sorted(maps.Keys(all)) {
		p, err := all[name]()
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		var svg, png, grey bytes.Buffer
		for _, err := range []error{p.WriteSVG(&svg, picture.Options{}), p.WritePNG(&png, picture.Options{}), p.WritePNG(&grey, picture.Options{Grey: true})} {
			if err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
		if *out == "" {
			continue
		}
		for file, b := range map[string]*bytes.Buffer{".svg": &svg, ".png": &png, "-grey.png": &grey} {
			if err := os.WriteFile(filepath.Join(*out, name+file), b.Bytes(), 0o644); err != nil {
				t.Error(err)
			}
		}
		t.Logf("%s\n  %s\n  %s\n  %s", name, p.Title, p.Caption, p.Alt)
	}
}
