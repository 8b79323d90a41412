package simulate

import (
	"bytes"
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
)

// The files of a data set.
const (
	TableFile      = "tests.csv"
	DescriptorFile = "datapackage.json"
	TruthFile      = "truth.json"
	ReadmeFile     = "README.md"
)

// A File is one file of a data set.
type File struct {
	Name string
	Data []byte
}

// Files returns the study as a data set: the table, its dictionary (a Data
// Package), the truth, and a page that describes them. The bytes depend on
// nothing but the study.
func (s *Study) Files() ([]File, error) {
	var table bytes.Buffer
	if err := s.WriteCSV(&table); err != nil {
		return nil, fmt.Errorf("%s: %w", TableFile, err)
	}
	truth, err := indented(s.Truth)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", TruthFile, err)
	}
	files := []File{{TableFile, table.Bytes()}, {TruthFile, truth}}
	descriptor, err := indented(s.descriptor(files[0], files[1]))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", DescriptorFile, err)
	}
	readme, err := s.readme()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", ReadmeFile, err)
	}
	return append(files, File{DescriptorFile, descriptor}, File{ReadmeFile, readme}), nil
}

// WriteCSV writes the table in long form, a row per attempt. An attempt with no
// valid reading has a row with an empty value; a missed session has no rows.
func (s *Study) WriteCSV(w io.Writer) error {
	c := csv.NewWriter(w)
	row := make([]string, 0, len(fields))
	for _, f := range fields {
		row = append(row, f.Name)
	}
	if err := c.Write(row); err != nil {
		return err
	}
	for _, a := range s.Attempts {
		p, m := s.Athletes[a.Athlete], s.Measures[a.Measure]
		measure, side, _ := strings.Cut(m.Name, ".")
		row = append(row[:0], p.Code, p.Level, p.Discipline, p.Group, p.Dominant,
			strconv.Itoa(p.Age), strconv.Itoa(p.BodyMass), p.Status(a.Session),
			strconv.Itoa(a.Session), strconv.Itoa(a.Trial), measure, side, reading(a.Value))
		if err := c.Write(row); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// reading is the shortest text of a value, empty when there is none.
func reading(x float64) string {
	if math.IsNaN(x) {
		return ""
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

func indented(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	err := e.Encode(v)
	return b.Bytes(), err
}

// hash is the checksum of a file as a Data Package states it.
func (f File) hash() string {
	sum := sha256.Sum256(f.Data)
	return "sha256:" + hex.EncodeToString(sum[:])
}
