// Package outfile writes files whole or not at all: everything is rendered and
// written under temporary names first, and only then put in place.
package outfile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
)

// ErrExists says that a file is already there.
var ErrExists = errors.New("already there; --force replaces it")

// A Set is a number of files that appear together.
type Set struct {
	names []string
	data  map[string][]byte
}

// Add renders a file into memory. The name is relative to the folder given to
// [Set.Write], with slashes.
func (s *Set) Add(name string, render func(io.Writer) error) error {
	var b bytes.Buffer
	if err := render(&b); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	s.AddBytes(name, b.Bytes())
	return nil
}

// AddBytes adds a file that is already rendered.
func (s *Set) AddBytes(name string, data []byte) {
	if s.data == nil {
		s.data = map[string][]byte{}
	}
	if _, ok := s.data[name]; !ok {
		s.names = append(s.names, name)
	}
	s.data[name] = data
}

// Names returns the names in the order they were added.
func (s *Set) Names() []string { return slices.Clone(s.names) }

// Check says whether [Set.Write] would refuse because a file is there.
func (s *Set) Check(folder string, force bool) error {
	if info, err := os.Stat(folder); err == nil && !info.IsDir() {
		return fmt.Errorf("%s: is a file, not a folder", folder)
	}
	if force {
		return nil
	}
	for _, n := range s.names {
		name := filepath.Join(folder, filepath.FromSlash(n))
		if _, err := os.Lstat(name); err == nil {
			return fmt.Errorf("%s: %w", name, ErrExists)
		} else if !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}

// Write puts the files into the folder, which is made when it is not there.
// Without force it refuses, before anything is written, when one of the files
// exists ([ErrExists]). When a file cannot be written, none appears.
func (s *Set) Write(folder string, force bool) (err error) {
	if err := s.Check(folder, force); err != nil {
		return err
	}
	temporary := make([]string, 0, len(s.names))
	defer func() {
		if err != nil {
			for _, t := range temporary {
				os.Remove(t)
			}
		}
	}()
	for _, n := range s.names {
		t, err := writeTemporary(filepath.Join(folder, filepath.FromSlash(n)), s.data[n])
		if err != nil {
			return err
		}
		temporary = append(temporary, t)
	}
	for i, n := range s.names {
		if err := os.Rename(temporary[i], filepath.Join(folder, filepath.FromSlash(n))); err != nil {
			return err
		}
	}
	return nil
}

// A File is a single file, rendered and ready to be written.
type File struct {
	folder string
	set    Set
}

// NewFile renders a file. Unlike [Set.Write], writing it makes no folder: one
// that is not there is a slip of the pen.
func NewFile(name string, render func(io.Writer) error) (File, error) {
	f := File{folder: filepath.Dir(name)}
	if info, err := os.Stat(f.folder); err != nil {
		return f, err
	} else if !info.IsDir() {
		return f, fmt.Errorf("%s: is no folder", f.folder)
	}
	return f, f.set.Add(filepath.Base(name), render)
}

// Check is [Set.Check] of the file.
func (f File) Check(force bool) error { return f.set.Check(f.folder, force) }

// Write is [Set.Write] of the file.
func (f File) Write(force bool) error { return f.set.Write(f.folder, force) }

func writeTemporary(name string, data []byte) (string, error) {
	if info, err := os.Stat(name); err == nil && info.IsDir() {
		return "", fmt.Errorf("%s: is a folder", name)
	}
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return "", err
	}
	f, err := os.CreateTemp(filepath.Dir(name), ".noisefloor-*")
	if err != nil {
		return "", err
	}
	_, err = f.Write(data)
	if err == nil {
		err = f.Chmod(0o644)
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err != nil {
		os.Remove(f.Name())
		return "", err
	}
	return f.Name(), nil
}
