package cohort

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"strings"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// decode returns the text of b as UTF-8, and the name of the encoding it
// found. want is the encoding that was asked for, "" to find out. UTF-8 passes
// through unchecked: the rows are checked one by one, so that a fault can say
// where it is.
func decode(b *bufio.Reader, want string) (io.Reader, string, error) {
	want, err := encodingName(want)
	if err != nil {
		return nil, "", err
	}
	head, _ := b.Peek(1024)
	mark, skip := byteOrderMark(head)
	switch {
	case mark == "utf-32":
		return nil, "", fmt.Errorf("the text is in UTF-32: save it as UTF-8")
	case mark != "" && want != "" && want != mark && !(want == "utf-16" && strings.HasPrefix(mark, "utf-16")):
		return nil, "", fmt.Errorf("the file begins with the byte-order mark of %s, but %s was asked for", mark, want)
	case mark != "":
		if _, err := b.Discard(skip); err != nil {
			return nil, "", err
		}
		r := decoder(b, mark)
		return r, strings.ToUpper(mark) + " with byte-order mark", nil
	}
	guess := zeroPattern(head)
	switch {
	case guess != "" && (want == "" || want == "utf-8"):
		return nil, "", fmt.Errorf("every second byte is zero, as in UTF-16 without a byte-order mark: if so, use "+
			"--encoding %s", guess)
	case want == "utf-16" && guess == "":
		return nil, "", fmt.Errorf("no byte-order mark: use --encoding utf-16le or --encoding utf-16be")
	case want == "utf-16":
		want = guess
	case want == "":
		want = "utf-8"
	}
	if want == "windows-1252" {
		return decoder(b, want), "Windows-1252", nil
	}
	return decoder(b, want), strings.ToUpper(want), nil
}

func encodingName(s string) (string, error) {
	switch name := strings.ToLower(strings.ReplaceAll(s, "_", "-")); name {
	case "", "utf-8", "utf-16", "utf-16le", "utf-16be", "windows-1252":
		return name, nil
	case "utf8":
		return "utf-8", nil
	case "cp1252", "cp-1252":
		return "windows-1252", nil
	}
	return "", fmt.Errorf("unknown encoding %q: have utf-8, utf-16, utf-16le, utf-16be, windows-1252", s)
}

func byteOrderMark(head []byte) (name string, size int) {
	switch {
	case bytes.HasPrefix(head, []byte{0xef, 0xbb, 0xbf}):
		return "utf-8", 3
	case bytes.HasPrefix(head, []byte{0xff, 0xfe, 0, 0}), bytes.HasPrefix(head, []byte{0, 0, 0xfe, 0xff}):
		return "utf-32", 4
	case bytes.HasPrefix(head, []byte{0xff, 0xfe}):
		return "utf-16le", 2
	case bytes.HasPrefix(head, []byte{0xfe, 0xff}):
		return "utf-16be", 2
	}
	return "", 0
}

// zeroPattern says which UTF-16 the bytes look like: mostly zeros at the odd
// places (or the even ones), hardly any at the others.
func zeroPattern(head []byte) string {
	var zeros [2]int
	for i, c := range head {
		if c == 0 {
			zeros[i%2]++
		}
	}
	half := len(head) / 2
	switch {
	case half < 2:
		return ""
	case zeros[1] > half*7/10 && zeros[0] <= half/10:
		return "utf-16le"
	case zeros[0] > half*7/10 && zeros[1] <= half/10:
		return "utf-16be"
	}
	return ""
}

func decoder(b *bufio.Reader, name string) io.Reader {
	switch name {
	case "utf-16le":
		return unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM).NewDecoder().Reader(b)
	case "utf-16be":
		return unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM).NewDecoder().Reader(b)
	case "windows-1252":
		return charmap.Windows1252.NewDecoder().Reader(b)
	}
	return b
}

// newlines turns the bare carriage returns of old files into line feeds.
type newlines struct {
	r  io.Reader
	cr bool // the previous byte was a carriage return
}

func (t *newlines) Read(p []byte) (int, error) {
	for {
		n, err := t.r.Read(p)
		out := p[:0]
		for _, c := range p[:n] {
			switch {
			case c == '\r':
				out = append(out, '\n')
			case c == '\n' && t.cr: // the second half of CR LF
			default:
				out = append(out, c)
			}
			t.cr = c == '\r'
		}
		if len(out) > 0 || err != nil || n == 0 {
			return len(out), err
		}
	}
}
