package dictionary

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
)

// ErrNotDescriptor is the reason when a file cannot be a descriptor at all:
// a folder, too large, or not JSON.
var ErrNotDescriptor = errors.New("not a Data Package descriptor")

// A KeyError says what is wrong at one key of a descriptor. Read and Open
// return all of them joined, in the order of the file.
type KeyError struct {
	File string // as named by the user
	Key  string // such as resources[0].nf:measures[3].plane; "" is the whole file
	Text string // what is wrong there, and what to do
	at   int
}

func (e *KeyError) Error() string {
	if e.Key == "" {
		return e.File + ": " + e.Text
	}
	return e.File + ": " + e.Key + ": " + e.Text
}

// maxFaults is how many faults are reported in full.
const maxFaults = 20

// A document is a descriptor file as parsed, and what was found wrong in it.
type document struct {
	files
	file     string
	root     *node
	faults   []*KeyError
	warnings []string
	included []inclusion
}

// An inclusion is a schema or dialect kept in a file of its own.
type inclusion struct{ key, file string }

// openDocument reads and parses the descriptor at path.
func openDocument(where files, path string) (*document, error) {
	f, err := where.open(path)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, plainPathError(err))
	}
	defer f.Close()
	text, err := readAll(f)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	d := &document{files: where, file: path}
	d.root, err = decode(text, d.fault)
	if err != nil {
		return nil, fmt.Errorf("%s: %w: %w", path, ErrNotDescriptor, err)
	}
	return d, nil
}

// readAll reads a whole file of at most maxBytes.
func readAll(f fs.File) ([]byte, error) {
	if info, err := f.Stat(); err == nil && info.IsDir() {
		return nil, fmt.Errorf("%w: it is a folder; name the datapackage.json in it", ErrNotDescriptor)
	}
	text, err := io.ReadAll(io.LimitReader(f, maxBytes+1))
	if err != nil {
		return nil, plainPathError(err)
	}
	if len(text) > maxBytes {
		return nil, fmt.Errorf("%w: larger than %d MB", ErrNotDescriptor, maxBytes>>20)
	}
	return text, nil
}

// plainPathError drops the operation and path of err, which the caller says.
func plainPathError(err error) error {
	var pathError *fs.PathError
	if errors.As(err, &pathError) {
		return pathError.Err
	}
	return err
}

// include replaces the text at i, a path, by the JSON object of that file.
func (d *document) include(i item) {
	name := i.node.text
	if text := checkPath(name); text != "" {
		i.fault("%s", text)
		return
	}
	n, file, err := d.readBeside(name, i.key)
	if err != nil {
		i.fault("%q: %v", clip(name), err)
		return
	}
	d.included = append(d.included, inclusion{key: i.key, file: file})
	*i.node = *n
}

// readBeside parses a file of the package; links cannot lead out of it.
func (d *document) readBeside(name, key string) (*node, string, error) {
	dir := filepath.Dir(d.file)
	f, err := d.beside(dir, name)
	if err != nil {
		return nil, "", plainPathError(err)
	}
	defer f.Close()
	text, err := readAll(f)
	if err != nil {
		return nil, "", err
	}
	file := filepath.Join(dir, filepath.FromSlash(name))
	report := func(inner string, at int, text string) {
		d.faults = append(d.faults, &KeyError{File: file, Key: inner, Text: text, at: at})
	}
	n, err := decode(text, report)
	return n, file, err
}

// fault records a fault at key, in the included file that holds it.
func (d *document) fault(key string, at int, text string) {
	file, key := d.locate(key)
	d.faults = append(d.faults, &KeyError{File: file, Key: key, Text: text, at: at})
}

// locate returns the file that holds a key, and the key as it is there.
func (d *document) locate(key string) (file, inner string) {
	for _, in := range d.included {
		if within(key, in.key) {
			return in.file, strings.TrimPrefix(key[len(in.key):], ".")
		}
	}
	return d.file, key
}

// has reports whether one of the faults stands at key or, if below is set,
// beneath it.
func (d *document) has(faults []*KeyError, key string, below bool) bool {
	file, key := d.locate(key)
	return slices.ContainsFunc(faults, func(e *KeyError) bool {
		return e.File == file && (e.Key == key || below && within(e.Key, key))
	})
}

// err returns the faults, joined in the order of the file; nil if none.
func (d *document) err() error {
	slices.SortStableFunc(d.faults, func(a, b *KeyError) int {
		if a.File != b.File {
			return cmp.Compare(d.rank(a.File), d.rank(b.File))
		}
		return cmp.Compare(a.at, b.at)
	})
	var all []error
	for i, e := range d.faults {
		if i == maxFaults {
			all = append(all, fmt.Errorf("%s: faults not shown: %d", d.file, len(d.faults)-maxFaults))
			break
		}
		all = append(all, e)
	}
	return errors.Join(all...)
}

// rank orders the descriptor before the files it includes.
func (d *document) rank(file string) int {
	return 1 + slices.IndexFunc(d.included, func(in inclusion) bool { return in.file == file })
}
