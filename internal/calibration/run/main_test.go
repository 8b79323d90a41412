package main

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestRun(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "new")
	var out strings.Builder
	if err := run([]string{"-studies", "2", "-seed", "5", "-out", folder}, &out); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(out.String(), "1437 rows, seed 5.") {
		t.Error(out.String())
	}
	names := []string{"calibration.csv", "calibration.md", "calibration.html"}
	before := map[string][]byte{}
	for _, n := range names {
		data, err := os.ReadFile(filepath.Join(folder, n))
		if err != nil {
			t.Fatal(err)
		}
		before[n] = data
	}
	for _, n := range names[1:] {
		if err := os.Remove(filepath.Join(folder, n)); err != nil {
			t.Fatal(err)
		}
	}
	if err := run([]string{"-render", folder}, io.Discard); err != nil {
		t.Fatal(err)
	}
	for _, n := range names {
		if after, err := os.ReadFile(filepath.Join(folder, n)); err != nil || !bytes.Equal(before[n], after) {
			t.Errorf("%s is another when it is rendered again: %v", n, err)
		}
	}
}

func TestRunRefuses(t *testing.T) {
	folder := t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, table), []byte("a,b\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		args string
		want string
	}{
		{"", "name a folder"},
		{"-out x -render y", "name a folder"},
		{"-out x more", `unexpected argument "more"`},
		{"-studies 0 -out x", "-studies 0: at least 1"},
		{"-render " + filepath.Join(folder, "none"), "none"},
		{"-render " + folder, "calibration.csv: not a calibration table"},
		{"-speed 3", "not defined"},
	} {
		if err := run(strings.Fields(tt.args), io.Discard); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: %v", tt.args, err)
		}
	}
}
