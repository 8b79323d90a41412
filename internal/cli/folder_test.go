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
		{"reliability", tests, "--sessions", "1,2", "--by", "level", "--measure", "throw", "--replicates", "400"},
		{"retest", tests, "--noise-from", "1,2", "--measure", "sprint", "--athlete", "P03", "--regression"},
		{"correlate", tests, "--sessions", "1,2", "--measure", "throw,jump", "--outcome", "ball_speed", "--covariate",
			"age", "--replicates", "400"},
	} {
		var first map[string]string
		for i, cores := range []int{1, 2, 2} {
			runtime.GOMAXPROCS(cores)
			in := filepath.Join(folder, args[0], string(rune('a'+i)))
			if err := os.MkdirAll(in, 0o755); err != nil {
				t.Fatal(err)
			}
			t.Chdir(in) // the page holds its command line
			out := "out"
			printed := output(t, append(args, "--png", "--out", out)...)
			files := filesOf(t, out)
			files["standard output"] = printed
			if first == nil {
				first = files
				for _, kind := range []string{".html", ".json", ".csv", ".svg", ".png"} {
					if !slices.ContainsFunc(slices.Collect(maps.Keys(files)),
						func(n string) bool { return strings.HasSuffix(n, kind) }) {
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

// The pictures say which way is the better, as the dictionary or --lower has it.
func TestPicturesSayWhichIsBetter(t *testing.T) {
	folder := cohortFolder(t)
	for name, tt := range map[string]struct {
		words string
		more  []string
	}{"dictionary": {"lower is better", nil}, "flag": {"higher is better", []string{"--lower", "jump"}},
		"nobody": {"", []string{"--no-dictionary"}}} {
		out := filepath.Join(folder, name)
		output(t, append([]string{"retest", filepath.Join(folder, "tests.csv"), "--noise-from", "1,2", "--follow-up",
			"4", "--measure", "sprint", "--confidence", "0.9999", "--out", out}, tt.more...)...)
		for file, content := range filesOf(t, out) {
			if strings.HasSuffix(file, ".svg") && (!strings.Contains(content, tt.words) || tt.words == "" &&
				strings.Contains(content, "is better")) {
				t.Errorf("%s: %s does not say %q", name, file, tt.words)
			}
		}
	}
}

var hexColour = regexp.MustCompile(`#([0-9a-fA-F]{6}|[0-9a-fA-F]{3})\b`)

// --grey takes the colour out of the pictures of --out; without it they have
// some.
func TestGrey(t *testing.T) {
	folder := cohortFolder(t)
	for name, more := range map[string][]string{"colour": nil, "grey": {"--grey"}} {
		out := filepath.Join(folder, name)
		output(t, append([]string{"retest", filepath.Join(folder, "tests.csv"), "--noise-from", "1,2", "--measure",
			"throw", "--athlete", "P03", "--png", "--pictures", "all", "--out", out}, more...)...)
		pictures, coloured := map[string]int{}, map[string]int{}
		for file, content := range filesOf(t, out) {
			kind := filepath.Ext(file)
			if kind != ".png" && kind != ".svg" {
				continue
			}
			pictures[kind]++
			if kind == ".png" && hasColour(t, content) || kind == ".svg" && namesColour(content) {
				coloured[kind]++
			}
		}
		for _, kind := range []string{".png", ".svg"} {
			if pictures[kind] == 0 || (coloured[kind] > 0) != (name == "colour") {
				t.Errorf("%s: %d of %d pictures %s are coloured", name, coloured[kind], pictures[kind], kind)
			}
		}
	}
}

// namesColour reports whether an SVG picture names a colour that is no grey.
func namesColour(svg string) bool {
	return slices.ContainsFunc(hexColour.FindAllStringSubmatch(svg, -1), func(m []string) bool {
		w := len(m[1]) / 3
		return m[1][:w] != m[1][w:2*w] || m[1][w:2*w] != m[1][2*w:]
	})
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
