package cli_test

import (
	"bytes"
	"fmt"
	"html"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// TestBrowser opens the pages of the demo and of one athlete in headless
// Chromium: they must render, carry an accessible picture for every figure, ask
// the network for nothing, not scroll sideways on a phone of 390 px, and a sheet
// must print on one page. It runs when NOISEFLOOR_CHROMIUM is set, as in .ci/run.
func TestBrowser(t *testing.T) {
	if os.Getenv("NOISEFLOOR_CHROMIUM") == "" {
		t.Skip("NOISEFLOOR_CHROMIUM is not set: the pages were not opened in a browser")
	}
	folder := filepath.Join(t.TempDir(), "demo")
	output(t, "demo", "--out", folder)
	one := filepath.Join(folder, "one")
	output(t, "retest", filepath.Join(folder, "data", "tests.csv"), "--noise-from", "1,2", "--athlete", "C21",
		"--out", one)
	for _, tt := range []struct {
		page    string
		figures int // at least
		printed int // pages of paper, at most: the sheets one, the working pages one more than they have
	}{
		{"demo.html", 0, 1}, {"reliability.html", 1, 1}, {"retest.html", 1, 1}, {"correlate-ball_speed.html", 1, 1},
		{"correlate-bat_speed.html", 1, 1},
		{"one/retest.html", 1, 1}, {"one/retest-working.html", 2, 20},
		{"reliability-working.html", 10, 40}, {"retest-working.html", 10, 56}, {"correlate-ball_speed-working.html",
			2, 19}, {"correlate-bat_speed-working.html", 2, 19},
	} {
		t.Run(tt.page, func(t *testing.T) { browse(t, filepath.Join(folder, tt.page), tt.figures, tt.printed) })
	}
}

func browse(t *testing.T, page string, least, printed int) {
	dom := chromium(t, "--dump-dom", "file://"+page)
	figures := strings.Count(dom, "<figure")
	if figures < least {
		t.Errorf("%d figures, want %d", figures, least)
	}
	for _, name := range []string{`role="img"`, "<title id", "<desc id", "<figcaption"} {
		if n := strings.Count(dom, name); n != figures {
			t.Errorf("%d figures, %d %s", figures, n, name)
		}
	}
	ids := map[string]bool{}
	for _, m := range regexp.MustCompile(`\sid="([^"]+)"`).FindAllStringSubmatch(dom, -1) {
		if ids[m[1]] {
			t.Errorf("identifier %s stands twice", m[1])
		}
		ids[m[1]] = true
	}
	if m := regexp.MustCompile(`(?i)(src|href|url\()\s*=?\s*["']?(https?:)?//[^"')]+`).FindString(dom); m != "" {
		t.Errorf("the page asks the network for %s", m)
	}
	wide := phoneWidth(t, page)
	if wide > 390 {
		t.Errorf("on a phone of 390 px the page is %d px wide", wide)
	}
	paper := filepath.Join(t.TempDir(), "page.pdf")
	chromium(t, "--no-pdf-header-footer", "--print-to-pdf="+paper, "file://"+page)
	pages := len(regexp.MustCompile(`/Type\s*/Page\b[^s]`).FindAllString(readFile(t, paper), -1))
	if pages < 1 || pages > printed {
		t.Errorf("%d pages of paper, want 1 to %d", pages, printed)
	}
	fmt.Printf("    browser_test.go: %s: %d figures, %d identifiers, %d px, %d pages of paper\n", filepath.Base(page),
		figures, len(ids), wide, pages)
}

// phoneWidth is how wide a page is in a frame of 390 px.
func phoneWidth(t *testing.T, page string) int {
	t.Helper()
	frame := filepath.Join(t.TempDir(), "frame.html")
	err := os.WriteFile(frame,
		[]byte(`<body style="margin:0"><iframe id="f" width="390" height="844" style="border:0" srcdoc="`+html.EscapeString(readFile(t, page))+
			`"></iframe><script>onload=()=>{document.title="width "+document.getElementById("f").contentDocument.documentElement.scrollWidth}</script>`), 0o644)
	if err != nil {
		t.Fatal(err)
	}
	m := regexp.MustCompile(`<title>width (\d+)</title>`).FindStringSubmatch(chromium(t, "--window-size=800,900",
		"--dump-dom", "file://"+frame))
	if m == nil {
		t.Fatal("the frame did not say how wide the page is")
	}
	n, _ := strconv.Atoi(m[1])
	return n
}

func chromium(t *testing.T, args ...string) string {
	t.Helper()
	common := []string{"--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
		"--disable-background-networking",
		"--disable-component-update", "--disable-sync", "--user-data-dir=" + t.TempDir()}
	var out bytes.Buffer
	cmd := exec.Command("chromium", append(common, args...)...)
	cmd.Stdout = &out
	if err := cmd.Run(); err != nil {
		t.Fatalf("chromium %s: %v", strings.Join(args, " "), err)
	}
	return out.String()
}
