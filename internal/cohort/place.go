package cohort

import (
	"io/fs"
	"os"

	"noisefloor/internal/cohort/dictionary"
)

// A place holds tables and dictionaries: the disk, or a file system.
type place interface {
	open(path string) (fs.File, error)
	beside(table string) (path string, ok bool)
	dictionary(path, table string) (*dictionary.Dictionary, error)
}

// disk is the file system of the machine, with its own paths.
type disk struct{}

func (disk) open(path string) (fs.File, error)  { return os.Open(path) }
func (disk) beside(table string) (string, bool) { return dictionary.Beside(table) }
func (disk) dictionary(path, table string) (*dictionary.Dictionary, error) {
	return dictionary.Open(path, table)
}

// within is a file system that a program brings with it.
type within struct{ fs.FS }

func (w within) open(path string) (fs.File, error)  { return w.Open(path) }
func (w within) beside(table string) (string, bool) { return dictionary.BesideFS(w, table) }
func (w within) dictionary(path, table string) (*dictionary.Dictionary, error) {
	return dictionary.OpenFS(w, path, table)
}
