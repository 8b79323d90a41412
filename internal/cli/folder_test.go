package cli_test

import (
	"bytes"
	"image/png"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// filesOf reads every file of a folder.
func filesOf(t testing.TB, folder string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := fs.WalkDir(os.DirFS(folder), ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		out[path] = readFile(t, filepath.Join(folder, path))
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// Every file of --out has the same bytes in every run, on one core and on two.
func TestSameBytes(t *testing.T) {
	folder := cohortFolder(t)
	tests := filepath.Join(folder, "tests.csv")
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for _, args := range [][]string{
		{"reliability", tests, "--sessions", "1,2", "--by", "level", "--measure", "sprint,throw", "--replicates", "400"},
		{"retest", tests, "--noise-from", "1,2", "--measure", "sprint", "--athlete", "P03,P06", "--regression"},
		{"correlate", tests, "--sessions", "1,2", "--measure", "sprint,throw", "--outcome", "ball_speed", "--covariate", "age", "--replicates", "400"},
	} {
		var first map[string]string
		for i, cores := range []int{1, 2, 2} {
			runtime.GOMAXPROCS(cores)
			out := filepath.Join(folder, args[0], string(rune('a'+i)))
			printed := output(t, append(args, "--out", out)...)
			files := filesOf(t, out)
			files["standard output"] = printed
			if first == nil {
				first = files
				for _, kind := range []string{".html", ".json", ".csv", ".svg", ".png"} {
					if !slices.ContainsFunc(slices.Collect(maps.Keys(files)), func(n string) bool { return strings.HasSuffix(n, kind) }) {
						t.Errorf("%s writes no %s", args[0], kind)
					}
				}
				continue
			}
			if len(files) != len(first) {
				t.Errorf("%s: %d files, then %d", args[0], len(first), len(files))
			}
			for name, content := range files {
				if content != first[name] {
					t.Errorf("%s: %s differs on %d cores, run %d", args[0], name, cores, i+1)
				}
			}
		}
	}
}

var hexColour = regexp.MustCompile(`#([0-9a-fA-F]{6}|[0-9a-fA-F]{3})\b`)

// --grey takes the colour out of the pictures of --out; without it they have
// some.
func TestGrey(t *testing.T) {
	folder := cohortFolder(t)
	tests := filepath.Join(folder, "tests.csv")
	for _, grey := range []bool{false, true} {
		args := []string{"retest", tests, "--noise-from", "1,2", "--measure", "throw", "--athlete", "P03", "--out", filepath.Join(folder, map[bool]string{false: "colour", true: "grey"}[grey])}
		if grey {
			args = append(args, "--grey")
		}
		output(t, args...)
		pngs, svgs, coloured := 0, 0, map[string]bool{}
		for name, content := range filesOf(t, args[len(args)-1-map[bool]int{true: 1}[grey]]) {
			switch filepath.Ext(name) {
			case ".png":
				pngs++
				coloured[".png"] = coloured[".png"] || hasColour(t, content)
			case ".svg":
				svgs++
				for _, m := range hexColour.FindAllStringSubmatch(content, -1) {
					c := m[1]
					if len(c) == 3 {
						c = string([]byte{c[0], c[0], c[1], c[1], c[2], c[2]})
					}
					coloured[".svg"] = coloured[".svg"] || c[:2] != c[2:4] || c[2:4] != c[4:]
				}
			}
		}
		if pngs == 0 || svgs == 0 || coloured[".png"] == grey || coloured[".svg"] == grey {
			t.Errorf("grey %t: %d PNG and %d SVG pictures, coloured %v", grey, pngs, svgs, coloured)
		}
	}
}

func hasColour(t *testing.T, content string) bool {
	t.Helper()
	picture, err := png.Decode(bytes.NewReader([]byte(content)))
	if err != nil {
		t.Fatal(err)
	}
	b := picture.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y += 2 {
		for x := b.Min.X; x < b.Max.X; x += 2 {
			if r, g, b, _ := picture.At(x, y).RGBA(); r != g || g != b {
				return true
			}
		}
	}
	return false
}
