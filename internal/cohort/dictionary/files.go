package dictionary

import (
	"io/fs"
	"os"
	"path"
	"path/filepath"
)

// files is where descriptors are read from: a file system, or the machine's
// own when it is nil.
type files struct{ fs.FS }

func (s files) open(name string) (fs.File, error) {
	if s.FS != nil {
		return s.Open(name)
	}
	return os.Open(name)
}

// beside opens a file below a folder; links cannot lead out of it.
func (s files) beside(dir, name string) (fs.File, error) {
	if s.FS != nil {
		return s.Open(path.Join(filepath.ToSlash(dir), name))
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, err
	}
	defer root.Close()
	return root.Open(filepath.FromSlash(name))
}

// relative returns the slashed path from a folder to a file, "" if there is
// none.
func (s files) relative(dir, file string) string {
	if s.FS == nil {
		var err error
		if dir, err = filepath.Abs(dir); err != nil {
			return ""
		}
		if file, err = filepath.Abs(file); err != nil {
			return ""
		}
	}
	relative, err := filepath.Rel(dir, file)
	if err != nil {
		return ""
	}
	return filepath.ToSlash(relative)
}
