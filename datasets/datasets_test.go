package datasets_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io/fs"
	"log"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"noisefloor/datasets"
	"noisefloor/datasets/simulate"
)

func ExampleLoadTruth() {
	truth, err := datasets.LoadTruth()
	if err != nil {
		log.Fatal(err)
	}
	m, _ := truth.Measure("ball_speed")
	fmt.Printf("%s: typical error %.2f %s, spread within a level %g %s\n",
		m.Measure, m.TypicalError, m.Unit, m.AthleteSD, m.Unit)
	// By hand: √(0.9² + 2.0²/3) = 1.46.
	// Output: ball_speed: typical error 1.46 km/h, spread within a level 5 km/h
}

func read(t testing.TB, name string) []byte {
	t.Helper()
	data, err := fs.ReadFile(datasets.Coast(), name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func TestEmbeddedFilesAreGenerated(t *testing.T) {
	study, err := simulate.Cohort(simulate.CoastSeed, simulate.CoastAthletes)
	if err != nil {
		t.Fatal(err)
	}
	files, err := study.Files()
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, f := range files {
		names = append(names, f.Name)
		if !bytes.Equal(f.Data, read(t, f.Name)) {
			t.Errorf("%s differs from what the generator makes: run go generate ./datasets", f.Name)
		}
	}
	entries, err := fs.ReadDir(datasets.Coast(), ".")
	if err != nil {
		t.Fatal(err)
	}
	slices.Sort(names)
	for i, e := range entries {
		if i >= len(names) || e.Name() != names[i] {
			t.Errorf("embedded file %s is not generated", e.Name())
		}
	}
}

// A dictionary is what this test needs of a Data Package, read on its own so
// that the generator's types cannot hide a wrong key.
type dictionary struct {
	Schema    string `json:"$schema"`
	Resources []struct {
		Name, Type, Path, Hash string
		Bytes                  int
		Schema                 struct {
			Fields []struct {
				Name, Type  string
				Constraints struct {
					Required         bool
					Minimum, Maximum *float64
					Pattern          string
					Enum             []string
				}
			}
			UniqueKeys [][]string
		}
		Roles    map[string]string `json:"nf:roles"`
		Measures []struct {
			Name, Unit       string
			Minimum, Maximum *float64
		} `json:"nf:measures"`
	}
}

func loadDictionary(t *testing.T) dictionary {
	t.Helper()
	var d dictionary
	if err := json.Unmarshal(read(t, datasets.Descriptor), &d); err != nil {
		t.Fatal(err)
	}
	if len(d.Resources) != 2 || d.Resources[0].Path != datasets.Table || d.Resources[1].Path != datasets.TruthFile {
		t.Fatalf("resources: %+v", d.Resources)
	}
	return d
}

// Data Package 2.0: bytes and hash describe the stored file.
func TestDescriptorStatesBytesAndHash(t *testing.T) {
	d := loadDictionary(t)
	if d.Schema != "https://datapackage.org/profiles/2.0/datapackage.json" {
		t.Errorf("$schema %q", d.Schema)
	}
	for _, r := range d.Resources {
		data := read(t, r.Path)
		sum := sha256.Sum256(data)
		if r.Bytes != len(data) || r.Hash != "sha256:"+hex.EncodeToString(sum[:]) {
			t.Errorf("%s: states %d bytes and %s, the file has %d and %x", r.Path, r.Bytes, r.Hash, len(data), sum)
		}
	}
}

// Every cell of the table meets the constraints that the dictionary states.
func TestTableMeetsItsDictionary(t *testing.T) {
	d := loadDictionary(t).Resources[0]
	rows := table(t)
	for j, f := range d.Schema.Fields {
		if rows[0][j] != f.Name {
			t.Fatalf("column %d is %q, the dictionary says %q", j+1, rows[0][j], f.Name)
		}
		c := f.Constraints
		pattern := regexp.MustCompile("^(?:" + c.Pattern + ")$")
		for i, row := range rows[1:] {
			cell := row[j]
			x, err := strconv.ParseFloat(cell, 64)
			var bad bool
			switch {
			case cell == "":
				bad = c.Required
			case f.Type == "string":
				bad = c.Pattern != "" && !pattern.MatchString(cell) || c.Enum != nil && !slices.Contains(c.Enum, cell)
			default:
				bad = err != nil || c.Minimum != nil && x < *c.Minimum || c.Maximum != nil && x > *c.Maximum ||
					f.Type == "integer" && x != math.Trunc(x)
			}
			if bad {
				t.Fatalf("row %d, column %q: %q does not meet the dictionary", i+1, f.Name, cell)
			}
		}
	}
	if len(d.Schema.Fields) != len(rows[0]) {
		t.Errorf("%d columns, %d fields", len(rows[0]), len(d.Schema.Fields))
	}
	for role, column := range d.Roles {
		if !slices.Contains(rows[0], column) {
			t.Errorf("role %s is the column %q, which is not there", role, column)
		}
	}
}

// Measures in the table and in the dictionary are the same ones, keys are
// unique, values plausible, attributes constant for an athlete.
func TestTableRows(t *testing.T) {
	described := map[string][2]float64{}
	for _, m := range loadDictionary(t).Resources[0].Measures {
		if m.Minimum == nil || m.Maximum == nil {
			t.Fatalf("%s has no plausible range", m.Name)
		}
		described[m.Name] = [2]float64{*m.Minimum, *m.Maximum}
	}
	found, keys, people := map[string]bool{}, map[string]bool{}, map[string]string{}
	for i, row := range table(t)[1:] {
		key := strings.Join(append([]string{row[0]}, row[8:12]...), "|")
		if keys[key] {
			t.Errorf("row %d: %s stands there twice", i+1, key)
		}
		keys[key] = true
		if who := strings.Join(row[1:7], "|"); people[row[0]] == "" {
			people[row[0]] = who
		} else if people[row[0]] != who {
			t.Errorf("row %d: %s is %s, was %s", i+1, row[0], who, people[row[0]])
		}
		name := strings.TrimSuffix(row[10]+"."+row[11], ".")
		found[name] = true
		limits, ok := described[name]
		if x, err := strconv.ParseFloat(row[12], 64); !ok || row[12] != "" && (err != nil || x < limits[0] ||
			x > limits[1]) {
			t.Errorf("row %d: %s = %q is not described, or not in its range %v", i+1, name, row[12], limits)
		}
	}
	if len(found) != len(described) {
		t.Errorf("%d measures in the table, %d in the dictionary", len(found), len(described))
	}
	if len(people) != 60 {
		t.Errorf("%d athletes", len(people))
	}
}

func table(t testing.TB) [][]string {
	t.Helper()
	rows, err := csv.NewReader(bytes.NewReader(read(t, datasets.Table))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}
