package outfile_test

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"noisefloor/internal/outfile"
)

func text(s string) func(io.Writer) error {
	return func(w io.Writer) error { _, err := io.WriteString(w, s); return err }
}

// files lists everything below a folder, temporary files too.
func files(t *testing.T, folder string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(folder, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		name, _ := filepath.Rel(folder, path)
		out[filepath.ToSlash(name)] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestWriteAll(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "new", "out")
	var s outfile.Set
	if err := errors.Join(s.Add("a.txt", text("one")), s.Add("deep/b.txt", text("two"))); err != nil {
		t.Fatal(err)
	}
	if err := s.Write(folder, false); err != nil {
		t.Fatal(err)
	}
	if got := files(t, folder); len(got) != 2 || got["a.txt"] != "one" || got["deep/b.txt"] != "two" {
		t.Errorf("files %v", got)
	}
	if err := s.Write(folder, false); !errors.Is(err, outfile.ErrExists) {
		t.Errorf("again: %v", err)
	}
	s.AddBytes("a.txt", []byte("three"))
	if err := s.Write(folder, true); err != nil {
		t.Fatal(err)
	}
	if got := files(t, folder); len(got) != 2 || got["a.txt"] != "three" {
		t.Errorf("with force: %v", got)
	}
	info, err := os.Stat(filepath.Join(folder, "a.txt"))
	if err != nil || info.Mode().Perm() != 0o644 {
		t.Errorf("mode %v, %v", info.Mode(), err)
	}
}

// One file that is there keeps all others from appearing.
func TestNothingHalf(t *testing.T) {
	folder := t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, "b.txt"), []byte("mine"), 0o644); err != nil {
		t.Fatal(err)
	}
	var s outfile.Set
	if err := errors.Join(s.Add("a.txt", text("one")), s.Add("b.txt", text("two"))); err != nil {
		t.Fatal(err)
	}
	if err := s.Write(folder, false); !errors.Is(err, outfile.ErrExists) {
		t.Errorf("error %v", err)
	}
	if got := files(t, folder); len(got) != 1 || got["b.txt"] != "mine" {
		t.Errorf("files %v", got)
	}
}

// A name that is a folder fails after others were written: they go again.
func TestFolderInTheWay(t *testing.T) {
	folder := t.TempDir()
	if err := os.Mkdir(filepath.Join(folder, "b.txt"), 0o755); err != nil {
		t.Fatal(err)
	}
	var s outfile.Set
	if err := errors.Join(s.Add("a.txt", text("one")), s.Add("b.txt", text("two"))); err != nil {
		t.Fatal(err)
	}
	if err := s.Write(folder, true); err == nil {
		t.Error("no error")
	}
	if got := files(t, folder); len(got) != 0 {
		t.Errorf("files %v", got)
	}
}

func TestRenderFails(t *testing.T) {
	broken := errors.New("broken")
	name := filepath.Join(t.TempDir(), "x.txt")
	_, err := outfile.NewFile(name, func(w io.Writer) error { io.WriteString(w, "half"); return broken })
	if !errors.Is(err, broken) {
		t.Errorf("error %v", err)
	}
	if _, err := os.Stat(name); !os.IsNotExist(err) {
		t.Errorf("half a file: %v", err)
	}
}

func TestFile(t *testing.T) {
	folder := t.TempDir()
	f, err := outfile.NewFile(filepath.Join(folder, "x.txt"), text("one"))
	if err := errors.Join(err, f.Check(false), f.Write(false)); err != nil {
		t.Fatal(err)
	}
	if err := f.Check(false); !errors.Is(err, outfile.ErrExists) {
		t.Errorf("Check of what is there: %v", err)
	}
	if err := errors.Join(f.Check(true), f.Write(true)); err != nil {
		t.Errorf("with force: %v", err)
	}
	if got := files(t, folder); len(got) != 1 || got["x.txt"] != "one" {
		t.Errorf("files %v", got)
	}
	if _, err := outfile.NewFile(filepath.Join(folder, "new", "x.txt"), text("one")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("no folder: %v", err)
	}
	if _, err := outfile.NewFile(filepath.Join(folder, "x.txt", "y.txt"), text("one")); err == nil {
		t.Error("a file as folder: no error")
	}
	var s outfile.Set
	s.AddBytes("y.txt", []byte("two"))
	if err := s.Write(filepath.Join(folder, "x.txt"), true); err == nil {
		t.Error("a file as folder of a set: no error")
	}
}
