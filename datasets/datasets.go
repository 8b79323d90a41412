// Package datasets holds the demo cohort that is built into the program: a
// table, its dictionary, and the truth it was drawn from. All of it is
// invented; package simulate makes it.
package datasets

import (
	"embed"
	"encoding/json"
	"fmt"
	"io/fs"

	"noisefloor/datasets/simulate"
)

//go:generate go run ./internal/generate

// The files of the cohort.
const (
	Table      = simulate.TableFile      // tests.csv: long, a row per attempt
	Descriptor = simulate.DescriptorFile // datapackage.json: the dictionary
	TruthFile  = simulate.TruthFile      // truth.json
	Readme     = simulate.ReadmeFile     // README.md
)

// The truth behind the cohort; see package simulate for the fields.
type (
	Truth        = simulate.Truth
	MeasureTruth = simulate.MeasureTruth
	AthleteTruth = simulate.AthleteTruth
	Case         = simulate.Case
)

//go:embed coast
var embedded embed.FS

// Coast returns the demo cohort: a folder with [Table], [Descriptor],
// [TruthFile] and [Readme].
func Coast() fs.FS {
	sub, err := fs.Sub(embedded, "coast")
	if err != nil {
		panic("datasets: " + err.Error()) // the name is ours and valid
	}
	return sub
}

// LoadTruth returns the true values behind the demo cohort.
func LoadTruth() (Truth, error) {
	data, err := fs.ReadFile(Coast(), TruthFile)
	if err != nil {
		return Truth{}, err
	}
	var t Truth
	if err := json.Unmarshal(data, &t); err != nil {
		return Truth{}, fmt.Errorf("%s: %w", TruthFile, err)
	}
	return t, nil
}
