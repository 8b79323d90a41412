package cohort

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"crypto/md5"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"strings"

	"noisefloor/internal/cohort/dictionary"
)

// source is the stored bytes of a table: it counts and hashes what is read.
type source struct {
	path string
	r    io.Reader
	sum  hash.Hash
	old  hash.Hash // MD5, when the dictionary states one
	n    int64
}

// newSource counts and hashes what is read from r, the table at path.
func newSource(r io.Reader, path string, d *dictionary.Dictionary) *source {
	s := &source{path: path, r: r, sum: sha256.New()}
	if d.Hash != "" && !strings.Contains(d.Hash, ":") {
		s.old = md5.New()
	}
	return s
}

func openFile(where place, path string) (fs.File, error) {
	f, err := where.open(path)
	if err != nil {
		if e := (*fs.PathError)(nil); errors.As(err, &e) {
			err = e.Err
		}
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	info, err := f.Stat()
	if err == nil && info.IsDir() {
		err = errors.New("is a directory; name the table file in it")
	}
	if err != nil {
		f.Close()
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return f, nil
}

func (s *source) Read(p []byte) (int, error) {
	n, err := s.r.Read(p)
	s.n += int64(n)
	s.sum.Write(p[:n])
	if s.old != nil {
		s.old.Write(p[:n])
	}
	return n, err
}

// verify compares the stored bytes with what the dictionary states.
func (s *source) verify(d *dictionary.Dictionary) error {
	if d.Bytes != 0 && d.Bytes != s.n {
		return fmt.Errorf("%s: the dictionary %s states %s, the file has %d: it is not the file that was described",
			s.path, d.Path, counted(int(d.Bytes), "byte"), s.n)
	}
	want, found := strings.ToLower(d.Hash), ""
	algorithm, digest, named := strings.Cut(want, ":")
	switch {
	case want == "":
		return nil
	case !named:
		digest, found = want, hex.EncodeToString(s.old.Sum(nil))
	case algorithm == "sha256":
		found = s.sha256()
	default:
		return fmt.Errorf("%s: hash: %q cannot be checked; state sha256", d.Path, algorithm)
	}
	if found != digest {
		return fmt.Errorf("%s: its hash is not the one that the dictionary %s states: it is not the file that was "+
			"described", s.path, d.Path)
	}
	return nil
}

func (s *source) sha256() string { return hex.EncodeToString(s.sum.Sum(nil)) }

// A kind is what the first bytes of a file say it is.
type kind int

const (
	kindText kind = iota
	kindGzip
	kindZip
	kindParquet
)

// strangers are the first bytes of files that cannot be read, with what to do.
var strangers = []struct{ magic, what string }{
	{"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "an old or a password-protected workbook: save it as .xlsx without a " +
		"password, or as CSV"},
	{"%PDF-", "a PDF: export the table as CSV"},
	{"BZh", "compressed with bzip2: unpack it, or use gzip"},
	{"\xfd7zXZ\x00", "compressed with xz: unpack it, or use gzip"},
	{"\x28\xb5\x2f\xfd", "compressed with zstd: unpack it, or use gzip"},
	{"ARROW1", "an Arrow file: write it as CSV"},
	{"\x89HDF", "an HDF5 file: write the table as CSV"},
	{"\x89PNG", "a picture"},
	{"SQLite format 3", "a database: write the table as CSV"},
}

// sniffKind looks at the first bytes without consuming them.
func sniffKind(b *bufio.Reader) (kind, error) {
	head, err := b.Peek(16)
	if err != nil && err != io.EOF && err != bufio.ErrBufferFull {
		return 0, err
	}
	switch {
	case len(head) == 0:
		return 0, errEmpty
	case bytes.HasPrefix(head, []byte{0x1f, 0x8b}):
		return kindGzip, nil
	case bytes.HasPrefix(head, []byte("PK\x03\x04")), bytes.HasPrefix(head, []byte("PK\x05\x06")):
		return kindZip, nil
	case bytes.HasPrefix(head, []byte("PAR1")):
		return kindParquet, nil
	}
	for _, s := range strangers {
		if bytes.HasPrefix(head, []byte(s.magic)) {
			return 0, errors.New("not a table but " + s.what)
		}
	}
	return kindText, nil
}

var errEmpty = errors.New("the file is empty")

// bounded ends a gzip stream that unpacks to an unreasonable size.
type bounded struct {
	r    io.Reader
	in   *source // the packed bytes
	read int64
}

func newGunzip(b *bufio.Reader, in *source) (io.Reader, error) {
	z, err := gzip.NewReader(b)
	if err != nil {
		return nil, err
	}
	return &bounded{r: z, in: in}, nil
}

func (b *bounded) Read(p []byte) (int, error) {
	n, err := b.r.Read(p)
	b.read += int64(n)
	if b.read > maxUnpacked || b.read > ratioFrom && b.read > maxRatio*b.in.n {
		return 0, fmt.Errorf("the gzip file unpacks to more than %d times its size: refused", b.read/max(1, b.in.n))
	}
	if err != nil && err != io.EOF {
		err = fmt.Errorf("the gzip file is damaged or cut short: %w", err)
	}
	return n, err
}
