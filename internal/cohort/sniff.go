package cohort

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
)

// candidates are the delimiters that are looked for.
var candidates = []byte{'\t', ';', ',', '|'}

// delimiterName is how a delimiter is written in messages and flags.
func delimiterName(d byte) string {
	if d == '\t' {
		return "TAB"
	}
	return string(d)
}

func parseDelimiter(s string) (byte, error) {
	switch strings.ToLower(s) {
	case "\t", `\t`, "tab":
		return '\t', nil
	case ",", ";", "|":
		return s[0], nil
	}
	return 0, fmt.Errorf(`unknown delimiter %q: have "," ";" "|" and tab`, s)
}

// separatorLine reads a first line such as "sep=;", which spreadsheets
// understand.
func separatorLine(sample []byte) (delimiter byte, ok bool) {
	line, _, _ := bytes.Cut(sample, []byte("\n"))
	line = bytes.Trim(bytes.TrimRight(line, "\r"), `"`)
	if len(line) == 5 && strings.EqualFold(string(line[:4]), "sep=") {
		return line[4], true
	}
	return 0, false
}

// sniffDelimiter finds the delimiter in the first records of a text: the one
// that stands equally often, outside quotes, in the header and in 50 records.
// Where none does, rows are ragged, and it is the one that does so most often.
// Two that fit equally well are an error.
func sniffDelimiter(sample []byte, whole bool, comment byte) (byte, error) {
	records := countDelimiters(sample, whole, comment)
	if len(records) == 0 {
		return ',', nil
	}
	header := records[0]
	best, agreed, fits := -1, 0, []int{}
	for i := range candidates {
		if header[i] == 0 {
			continue
		}
		n := 0
		for _, r := range records {
			if r[i] == header[i] {
				n++
			}
		}
		if n == len(records) {
			fits = append(fits, i)
		}
		if n > agreed || n == agreed && header[i] > header[best] {
			best, agreed = i, n
		}
	}
	switch {
	case best < 0:
		return 0, errors.New(`no delimiter found in the first row: columns are separated by "," ";" TAB or "|"; say which with --delimiter`)
	case len(fits) > 1:
		a, b := candidates[fits[0]], candidates[fits[1]]
		return 0, fmt.Errorf("the rows can be split at %q and at %q: say which with --delimiter", delimiterName(a),
			delimiterName(b))
	}
	return candidates[best], nil
}

// countDelimiters counts the candidates in each of the first records.
func countDelimiters(sample []byte, whole bool, comment byte) [][4]int {
	var records [][4]int
	var now [4]int
	quoted, start := false, 0
	end := func(i int) {
		line := bytes.TrimSpace(sample[start:i])
		if len(line) > 0 && (comment == 0 || line[0] != comment) {
			records = append(records, now)
		}
		now, start = [4]int{}, i+1
	}
	for i := 0; i < len(sample) && len(records) <= previewRows; i++ {
		switch c := sample[i]; {
		case c == '"':
			quoted = !quoted
		case quoted:
		case c == '\n':
			end(i)
		default:
			if k := bytes.IndexByte(candidates, c); k >= 0 {
				now[k]++
			}
		}
	}
	if (whole || len(records) == 0) && start < len(sample) && len(records) <= previewRows {
		end(len(sample))
	}
	return records
}

// looksBinary reports whether a sample of decoded text cannot be text: control
// characters that no table holds.
func looksBinary(sample []byte) bool {
	strange := 0
	for _, c := range sample {
		if c < ' ' && c != '\t' && c != '\n' && c != '\r' && c != '\f' && c != '\v' || c == 0x7f {
			strange++
		}
	}
	return strange*20 > len(sample)
}
