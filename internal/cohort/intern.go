package cohort

import (
	"bytes"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// absent is the id of a missing text.
const absent int32 = -1

// texts is a dictionary-encoded column of text: every distinct text once, and
// an id for each. Texts are trimmed and put in Unicode normal form NFC.
type texts struct {
	list    []string
	ids     map[string]int32 // of raw and of clean texts
	missing *missingTexts
	check   func(string) (problem string) // nil without constraints
	bad     map[int32]string              // what check found, by id
	last    []byte                        // the previous row's raw text
	lastID  int32
	used    bool
	lower   bool // put in lower case
	marked  bool // a text held invisible characters
}

func newTexts(m *missingTexts) *texts {
	return &texts{ids: make(map[string]int32), missing: m}
}

// id returns the id of a raw cell, [absent] when it is missing. It reuses the
// previous answer, since neighbouring rows mostly agree.
func (t *texts) id(raw []byte) int32 {
	if t.used && bytes.Equal(raw, t.last) {
		return t.lastID
	}
	id, ok := t.ids[string(raw)]
	if !ok {
		id = t.add(string(raw))
	}
	t.used, t.last, t.lastID = true, append(t.last[:0], raw...), id
	return id
}

func (t *texts) add(raw string) int32 {
	clean := cleanText(raw)
	t.marked = t.marked || hasMark(raw)
	if t.lower {
		clean = strings.ToLower(clean)
	}
	if t.missing.has([]byte(clean)) {
		t.ids[raw] = absent
		return absent
	}
	id, ok := t.ids[clean]
	if !ok {
		id = int32(len(t.list))
		t.list = append(t.list, clean)
		t.ids[clean] = id
		if t.check != nil {
			if problem := t.check(clean); problem != "" {
				if t.bad == nil {
					t.bad = make(map[int32]string)
				}
				t.bad[id] = problem
			}
		}
	}
	t.ids[raw] = id
	return id
}

// problem is what the column's constraints say against the text, "" when
// nothing.
func (t *texts) problem(id int32) string {
	if t.bad == nil {
		return ""
	}
	return t.bad[id]
}

// cleanText trims blanks, takes out invisible characters and normalises to NFC.
func cleanText(s string) string {
	if hasMark(s) {
		s = strings.Map(func(r rune) rune {
			if isMark(r) {
				return -1
			}
			return r
		}, s)
	}
	s = strings.TrimFunc(s, isBlank)
	if isASCII(s) {
		return strings.Clone(s)
	}
	return norm.NFC.String(s)
}

// isMark is true for characters that nobody sees and that names are told apart
// by all the same: zero width spaces and joiners, marks of direction and of
// byte order.
func isMark(r rune) bool { return 0x200B <= r && r <= 0x200F || r == 0x2060 || r == 0xFEFF }

func hasMark(s string) bool { return !isASCII(s) && strings.ContainsFunc(s, isMark) }

// trim cuts blanks off a cell.
func trim(b []byte) []byte {
	for len(b) > 0 && (b[0] == ' ' || b[0] == '\t') {
		b = b[1:]
	}
	for len(b) > 0 && (b[len(b)-1] == ' ' || b[len(b)-1] == '\t') {
		b = b[:len(b)-1]
	}
	if len(b) > 0 && (b[0] <= ' ' || b[0] >= utf8.RuneSelf || b[len(b)-1] <= ' ' || b[len(b)-1] >= utf8.RuneSelf) {
		return bytes.TrimFunc(b, isBlank)
	}
	return b
}

// isBlank is true for white space, and for the invisible characters that
// spreadsheets and web pages leave at the ends of a cell.
func isBlank(r rune) bool {
	switch r {
	case ' ', '\t', '\n', '\r', '\v', '\f', 0x85, 0xA0, 0x1680, 0x2028, 0x2029, 0x202F, 0x205F, 0x3000:
		return true
	}
	return isMark(r) || 0x2000 <= r && r <= 0x200A
}

func isASCII[T string | []byte](s T) bool {
	for i := range len(s) {
		if s[i] >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

// missingTexts are the texts that stand for "no value".
type missingTexts struct {
	more    map[string]bool
	numeric bool // some of them look like numbers, such as -99
}

func newMissing(lists ...[]string) *missingTexts {
	m := &missingTexts{more: make(map[string]bool)}
	for _, list := range lists {
		for _, s := range list {
			s = cleanText(s)
			m.more[s] = true
			if _, _, ok := parseNumber([]byte(s)); ok {
				m.numeric = true
			}
		}
	}
	return m
}

// has reports whether a trimmed cell is missing: empty, NA or NaN, in any
// case, or one of the texts that were declared.
func (m *missingTexts) has(cell []byte) bool {
	switch len(cell) {
	case 0:
		return true
	case 2:
		if cell[0]|0x20 == 'n' && cell[1]|0x20 == 'a' {
			return true
		}
	case 3:
		if cell[0]|0x20 == 'n' && cell[1]|0x20 == 'a' && cell[2]|0x20 == 'n' {
			return true
		}
	}
	return len(m.more) > 0 && m.more[string(cell)]
}
