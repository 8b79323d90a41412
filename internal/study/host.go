package study

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"

	"noisefloor/internal/cohort"
)

// A Host is where requests are run: it has the files, and is told what was
// read. The zero value reads the machine's files and has no standard input.
type Host struct {
	Version string
	Files   fs.FS     // paths are looked up here; nil means the machine's files
	Stdin   io.Reader // the table named "-"
	// Heard is told of each table once, as soon as it is read; nil: nobody is.
	Heard func(*cohort.Table)

	read map[string]*cohort.Table // tables by how they were asked for
}

// table reads a table, once for each way of asking.
func (h *Host) table(t Table) (*cohort.Table, error) {
	t.Where = nil
	key, err := json.Marshal(t)
	if err != nil {
		return nil, err
	}
	if known := h.read[string(key)]; known != nil {
		return known, nil
	}
	o := cohort.Options{Columns: t.Columns, Attributes: t.Attributes, Dictionary: t.Dictionary,
		NoDictionary: t.NoDictionary,
		Encoding:     t.Encoding, Delimiter: t.Delimiter, Decimal: t.Decimal, Sheet: t.Sheet, Missing: t.Missing}
	got, err := h.open(t.Path, o)
	if err != nil {
		return nil, err
	}
	if h.read == nil {
		h.read = map[string]*cohort.Table{}
	}
	h.read[string(key)] = got
	if h.Heard != nil {
		h.Heard(got)
	}
	return got, nil
}

// file reads a whole file and its SHA-256.
func (h *Host) file(name string) ([]byte, string, error) {
	var data []byte
	var err error
	if h.Files != nil {
		data, err = fs.ReadFile(h.Files, path.Clean(filepath.ToSlash(name)))
	} else {
		data, err = os.ReadFile(name)
	}
	if err != nil {
		return nil, "", err
	}
	sum := sha256.Sum256(data)
	return data, hex.EncodeToString(sum[:]), nil
}

// shown is a path as results may carry it: what starts at the root of the
// machine is cut to the file's name, because results travel.
func shown(name string) string {
	if filepath.IsAbs(name) {
		return filepath.Base(name)
	}
	return filepath.ToSlash(name)
}

// note keeps a file among the inputs of a request.
func (c *Common) note(role, name, sum string) {
	c.Inputs = append(c.Inputs, Input{role, shown(name), sum})
}

// noteTable keeps a table and its dictionary.
func (h *Host) noteTable(c *Common, role string, t *cohort.Table) error {
	c.note(role, t.Source.Path, t.Source.SHA256)
	if t.Dictionary == nil || t.Dictionary.Path == "" {
		return nil
	}
	_, sum, err := h.file(t.Dictionary.Path)
	if err != nil {
		return fmt.Errorf("the dictionary of %s: %w", t.Source.Path, err)
	}
	c.note(strings.TrimPrefix(role+" dictionary", "table "), t.Dictionary.Path, sum)
	return nil
}

// reader is a file as a reader, with its SHA-256.
func (h *Host) reader(name string) (io.Reader, string, error) {
	data, sum, err := h.file(name)
	return bytes.NewReader(data), sum, err
}

// open reads one table: from standard input, from the host's files, or from the
// machine's.
func (h *Host) open(name string, o cohort.Options) (*cohort.Table, error) {
	switch {
	case name == "-":
		return cohort.Open(name, h.Stdin, o)
	case h.Files != nil:
		return cohort.OpenFS(h.Files, name, o)
	}
	return cohort.Open(name, nil, o)
}

// Open reads a table as requests do.
func Open(h *Host, t Table) (*cohort.Table, error) {
	got, err := h.table(t)
	if err != nil {
		return nil, asRequest(err)
	}
	return where(got, t.Where)
}
