package cohort

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"math"
	"slices"

	"noisefloor/internal/names"
)

// Measure finds a measure by its full name, whatever the case and the accents.
// One that is not there is a [*names.Error].
func (t *Table) Measure(name string) (*Measure, error) {
	i, err := names.One("measure", t.measureNames(), cleanText(name))
	if err != nil {
		return nil, err
	}
	return t.Measures[i], nil
}

func (t *Table) measureNames() []string {
	var list []string
	for _, m := range t.Measures {
		list = append(list, m.Name)
	}
	return list
}

// SelectMeasures returns a table with the measures that match one of the names
// or patterns, in the order of t, as [names.Find] has it. A pattern without a
// match is a [*names.Error]. Without patterns the table has all measures.
func (t *Table) SelectMeasures(globs []string) (*Table, error) {
	out := *t
	if len(globs) == 0 {
		return &out, nil
	}
	found, err := names.All("measure", t.measureNames(), globs)
	if err != nil {
		return nil, err
	}
	out.Measures = nil
	for _, i := range found {
		out.Measures = append(out.Measures, t.Measures[i])
	}
	return &out, nil
}

// SessionDigest identifies the values of one session (an index into
// t.Sessions), whatever their order: the SHA-256 of the sorted values, each as
// eight big-endian bytes of its IEEE 754 form, in lower-case hex. It is "" for
// a session without values.
func (m *Measure) SessionDigest(session int) string {
	var values []float64
	for i, s := range m.Session {
		if int(s) == session {
			values = append(values, m.Value[i]+0) // -0 becomes 0
		}
	}
	if len(values) == 0 {
		return ""
	}
	slices.Sort(values)
	h := sha256.New()
	var b [8]byte
	for _, v := range values {
		binary.BigEndian.PutUint64(b[:], math.Float64bits(v))
		h.Write(b[:])
	}
	return hex.EncodeToString(h.Sum(nil))
}
