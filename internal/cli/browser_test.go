package cli_test

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"noisefloor/internal/cli"
)

// TestBrowser opens the demo page in headless Chromium: it must render, carry
// an accessible picture and a table for every figure, and ask the network for
// nothing. It runs when NOISEFLOOR_CHROMIUM is set, as in .ci/run.
func TestBrowser(t *testing.T) {
	if os.Getenv("NOISEFLOOR_CHROMIUM") == "" {
		t.Skip("NOISEFLOOR_CHROMIUM is not set: the page was not opened in a browser")
	}
	folder := t.TempDir()
	var out, errs bytes.Buffer
	if code := cli.Main([]string{"demo", "--out", folder}, nil, &out, &errs); code != 0 {
		t.Fatalf("demo: exit %d\n%s", code, errs.String())
	}
	page := filepath.Join(folder, "demo.html")
	dom := chromium(t, "--dump-dom", "file://"+page)
	figures := strings.Count(dom, "<figure")
	if figures < 10 {
		t.Errorf("%d figures in the page", figures)
	}
	for name, n := range map[string]int{
		`role="img"`: strings.Count(dom, `role="img"`), "<title id": strings.Count(dom, "<title id"), "<desc id": strings.Count(dom, "<desc id"),
		"<figcaption": strings.Count(dom, "<figcaption"),
	} {
		if n != figures {
			t.Errorf("%d figures, %d %s", figures, n, name)
		}
	}
	ids := map[string]bool{}
	for _, m := range regexp.MustCompile(`\sid="([^"]+)"`).FindAllStringSubmatch(dom, -1) {
		if ids[m[1]] {
			t.Errorf("identifier %s stands twice in the page", m[1])
		}
		ids[m[1]] = true
	}
	if m := regexp.MustCompile(`(?i)(src|href|url\()\s*=?\s*["']?(https?:)?//[^"')]+`).FindString(dom); m != "" {
		t.Errorf("the page asks the network for %s", m)
	}
	shot := filepath.Join(folder, "page.png")
	chromium(t, "--window-size=1100,1600", "--screenshot="+shot, "file://"+page)
	if info, err := os.Stat(shot); err != nil || info.Size() < 20_000 {
		t.Errorf("screenshot: %v, %v", info, err)
	}
	pdf := filepath.Join(folder, "page.pdf")
	chromium(t, "--print-to-pdf="+pdf, "file://"+page)
	if info, err := os.Stat(pdf); err != nil || info.Size() < 20_000 {
		t.Errorf("print: %v, %v", info, err)
	}
	fmt.Printf("    browser_test.go: %d figures, %d identifiers\n", figures, len(ids))
}

func chromium(t *testing.T, args ...string) string {
	t.Helper()
	common := []string{"--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
		"--disable-component-update", "--disable-sync", "--user-data-dir=" + t.TempDir()}
	var out bytes.Buffer
	cmd := exec.Command("chromium", append(common, args...)...)
	cmd.Stdout = &out
	if err := cmd.Run(); err != nil {
		t.Fatalf("chromium %s: %v", strings.Join(args, " "), err)
	}
	return out.String()
}
