package main

import (
	"bytes"
	"errors"
	"flag"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"noisefloor/datasets"
	"noisefloor/datasets/simulate"
)

func TestGenerateWritesTheEmbeddedFiles(t *testing.T) {
	out := filepath.Join(t.TempDir(), "new")
	if err := generate([]string{"-out", out}, nil); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{datasets.Table, datasets.Descriptor, datasets.TruthFile, datasets.Readme} {
		want, err := fs.ReadFile(datasets.Coast(), name)
		if err != nil {
			t.Fatal(err)
		}
		got, err := os.ReadFile(filepath.Join(out, name))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s differs from the embedded one: run go generate ./datasets", name)
		}
	}
}

func TestGenerateLarge(t *testing.T) {
	var b bytes.Buffer
	if err := generate([]string{"-large", "1000"}, &b); err != nil {
		t.Fatal(err)
	}
	if rows := bytes.Count(b.Bytes(), []byte("\n")) - 1; rows != 960 { // 20 athletes × 2 × 3 × 8
		t.Errorf("%d rows, want 960", rows)
	}
}

func TestGenerateErrors(t *testing.T) {
	out := filepath.Join(t.TempDir(), "none")
	for _, tt := range []struct {
		args []string
		want error
	}{
		{[]string{"-athletes", "3", "-out", out}, simulate.ErrTooFew},
		{[]string{"-large", "-5"}, simulate.ErrShape},
		{[]string{"-h"}, flag.ErrHelp},
		{[]string{"-out", out, "more"}, nil},
	} {
		err := generate(tt.args, &bytes.Buffer{})
		if err == nil || tt.want != nil && !errors.Is(err, tt.want) {
			t.Errorf("%v: got %v, want %v", tt.args, err, tt.want)
		}
	}
	if _, err := os.Stat(out); !errors.Is(err, fs.ErrNotExist) {
		t.Error("a failed run left a folder behind")
	}
}
