// Package cohort reads the cohort table: one row per attempt (long) or a
// column per measure (wide), from delimited text or a workbook, into
// dictionary-encoded typed columns. It alone knows file formats and the data
// frame; it computes no statistic.
package cohort

import "noisefloor/internal/cohort/dictionary"

// Options say how to read a table. The zero value finds everything out and
// reports it in [Table.Taken].
type Options struct {
	// Columns maps a role to the name of its column ("athlete" -> "Code"); it
	// overrides the dictionary, which overrides recognised column names.
	// Roles: athlete, session, trial, measure, side, value, level, group, dominant.
	Columns map[string]string

	Attributes   []string // further columns to keep per athlete and session (wide: not as a measure)
	Dictionary   string   // descriptor file; "" looks for datapackage.json beside the table
	NoDictionary bool     // do not look for one
	Encoding     string   // "", "utf-8", "utf-16", "utf-16le", "utf-16be", "windows-1252"
	Delimiter    string   // "", ",", ";", "\t", "|"
	Decimal      string   // "", ".", ","
	Sheet        string   // workbook sheet; "" is the dictionary's, else the first
	Missing      []string // further missing-value texts
}

// A Table is a cohort in memory.
type Table struct {
	Source     Source
	Dictionary *dictionary.Dictionary // never nil
	Taken      []string               // one sentence each: what was taken for what, and why
	Notes      []string               // caveats for the user, such as rows without a value
	LeftOut    []LeftOut              // rows that were read but not used
	Athletes   []string               // codes, in order of appearance
	Sessions   []string               // names, in order of time
	Measures   []*Measure             // in order of appearance
	Attributes []*Attribute           // in order of appearance

	NoSessionColumn bool // no column is the session, so that all rows are one session; a note says how to name it

	// OrderDoubt says why Sessions may not be in the order of time, "" when they are.
	OrderDoubt string

	cellAthlete []int32           // the athlete-session pairs of the table, in order of appearance:
	cellSession []int32           // indexes into Athletes and Sessions
	roleColumns map[string]string // the file's column of each role
}

// A Source says where a table came from.
type Source struct {
	Path      string // as the user named it; "-" for standard input
	SHA256    string // of the bytes as stored (compressed), lower-case hex
	Bytes     int64
	Rows      int    // data rows read, header not counted
	Format    string // "CSV", "TSV", "Excel workbook", ...
	Layout    string // "long" or "wide"
	Encoding  string
	Delimiter string
	Decimal   string
}

// LeftOut counts rows (long) or cells (wide) that are not used, by reason.
type LeftOut struct {
	Reason string
	Rows   int
}

// A Measure is one measure's attempts as columns of equal length, in file
// order: index into Table.Athletes, index into Table.Sessions, trial number
// from 1, value.
type Measure struct {
	dictionary.Measure // Name is the full name, with the side: "throw.left"
	Athlete            []int32
	Session            []int32
	Trial              []int32
	Value              []float64
}

// An Attribute is a further column: one text per athlete and session.
type Attribute struct {
	Name string
	Role string // "level", "group", "dominant" or ""

	texts []string // distinct texts
	ids   []int32  // by athlete-session pair; absent (-1) where missing
	rows  []int32  // by athlete-session pair: the row of the file that it comes from
}
