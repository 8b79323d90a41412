package cohort

// Bounds on what a table may hold. They are far above any honest cohort and
// keep a hostile or broken file from taking the machine with it.
const (
	maxCell      = 1 << 20    // bytes in one cell
	maxLine      = 16 << 20   // bytes in one row of delimited text
	maxColumns   = 10_000     // columns
	maxRows      = 1<<31 - 2  // rows: row numbers are int32
	maxTrial     = 1_000_000  // trial number
	maxTexts     = 10_000     // distinct texts of an attribute nobody asked for
	maxRatio     = 400        // bytes out for each byte in of gzip
	ratioFrom    = 16 << 20   // bytes out before the ratio counts
	maxUnpacked  = 16 << 30   // bytes out of gzip
	maxBook      = 128 << 20  // bytes of a workbook file
	maxBookOut   = 256 << 20  // bytes of a workbook, unpacked
	bookSpill    = 16 << 20   // bytes of a sheet before it goes to a temporary file
	maxBookRows  = 1 << 20    // rows of a sheet, as the format has it
	maxBookCells = 50_000_000 // cells of a sheet
	maxFormulas  = 200        // empty cells of a sheet that are looked at for formulas
	previewRows  = 50         // rows looked at before the columns are decided
	sampleBytes  = 256 << 10  // bytes looked at before the delimiter is decided
	packedBytes  = 64 << 10   // read from a file at a time
	maxFaults    = 1000       // faults kept in full; the rest are counted
	shownFaults  = 20         // faults printed in full
	shownRunes   = 40         // runes of a text that are printed
)
