package dictionary

import (
	"regexp"
	"slices"
	"strings"
)

// A reader fills a Dictionary from a resource and records what is wrong or
// not used. Values of the wrong kind it passes over: the schemas report them.
type reader struct {
	Dictionary
	names []string        // of the fields
	known map[string]bool // of the fields, by name
}

// resource reads the resource that describes the table.
func (r *reader) resource(c choice) {
	r.Resource = c.get("name").text()
	for _, name := range []string{"schema", "dialect"} {
		if i := c.get(name); i.is("string") {
			i.doc.include(i)
		}
	}
	lint(c.item, resource2(), "$defs", "resource")
	r.encoding(c.get("encoding"))
	r.stored(c)
	r.dialect(c.get("dialect"))
	r.schema(c.get("schema"))
	r.namespace(c.item)
	r.roles(c.get("nf:roles"))
	r.measures(c.get("nf:measures"))
	if r.Dialect.NoHeader && len(r.Fields) == 0 {
		c.get("dialect").get("header").fault("is false, and schema.fields names no columns; add the fields, in the " +
			"order of the columns")
	}
}

// stored reads where the file is and what it weighs.
func (r *reader) stored(c choice) {
	if c.get("path").node != nil && c.get("data").node != nil {
		c.get("data").fault("stands beside \"path\"; a resource has one of them")
	} else if c.get("data").node != nil {
		c.get("data").fault("tables inside the descriptor are not read; put the table in a file and name it in " +
			"\"path\"")
	}
	paths := c.get("path").list()
	for _, p := range paths {
		if text := checkPath(p.text()); p.is("string") && text != "" {
			p.fault("%s", text)
		}
	}
	r.bytes(c.get("bytes"))
	r.hash(c.get("hash"))
	switch {
	case len(paths) > 1:
		c.get("path").warn("lists %d files; only the table that is named is read, and bytes and hash are not "+
			"compared", len(paths))
	case !c.matched && c.table == "-", !c.matched && c.table != "" && len(paths) == 0:
	case !c.matched && c.table != "":
		c.warn("describes %q, taken for %q; bytes and hash are not compared", clip(paths[0].text()), c.table)
	default:
		return
	}
	r.Bytes, r.Hash = 0, ""
}

func (r *reader) bytes(i item) {
	if n := i.whole(); n != nil {
		r.Bytes = int64(*n)
	}
}

var hexadecimal = regexp.MustCompile(`^[0-9a-f]+$`)

// hash reads a checksum: MD5 unless another method is written before it.
func (r *reader) hash(i item) {
	stated := strings.ToLower(i.text())
	if stated == "" {
		return
	}
	method, digits, ok := strings.Cut(stated, ":")
	if !ok {
		method, digits = "md5", stated
	}
	length, known := map[string]int{"md5": 32, "sha256": 64}[method]
	switch {
	case !known:
		i.warn("the method %q is not supported, so the file is not checked; write sha256:…", clip(method))
	case len(digits) != length || !hexadecimal.MatchString(digits):
		i.fault("%q is not a checksum; %s has %d hexadecimal digits", clip(i.text()), method, length)
	case method == "md5":
		r.Hash = digits
	default:
		r.Hash = stated
	}
}

// encodings maps what descriptors write, in small letters, to our names.
var encodings = map[string]string{
	"utf-8": "utf-8", "utf8": "utf-8", "us-ascii": "utf-8", "ascii": "utf-8",
	"utf-16": "utf-16", "utf-16le": "utf-16le", "utf-16be": "utf-16be",
	"windows-1252": "windows-1252", "cp1252": "windows-1252",
}

func (r *reader) encoding(i item) {
	if !i.is("string") {
		return
	}
	name, ok := encodings[strings.ToLower(i.text())]
	if !ok {
		i.fault("%q is not supported; use utf-8, utf-16, utf-16le, utf-16be or windows-1252", clip(i.text()))
	}
	r.Encoding = name
}

var (
	scheme = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9+.-]+:`)
	drive  = regexp.MustCompile(`^[A-Za-z]:`)
)

// checkPath says what is wrong with a path in a descriptor, "" if nothing is:
// it is relative, written with /, and stays inside the package.
func checkPath(p string) string {
	switch {
	case p == "":
		return "is empty"
	case scheme.MatchString(p):
		return "is a URL; only files of the package are read, so store the file and name it here"
	case strings.Contains(p, `\`):
		return `has a backslash; write / between folders`
	case strings.HasPrefix(p, "/"), strings.HasPrefix(p, "~"), drive.MatchString(p):
		return "is not relative to the descriptor; name the file as seen from its folder"
	case strings.ContainsFunc(p, func(c rune) bool { return c < ' ' || c == 0x7f }):
		return "has a control character"
	}
	for part := range strings.SplitSeq(p, "/") {
		switch {
		case part == "..":
			return `leaves the folder of the descriptor by ".."; move the file inside`
		case strings.HasPrefix(part, "."):
			return "has a part that begins with a full stop, which the standard forbids"
		case part == "":
			return "has an empty part; write one / between folders"
		}
	}
	return ""
}

// lint warns about a key that looks like a slip of a standard one: other keys
// are free for anyone to add, and are passed over.
func lint(i item, p profile, path ...string) {
	known := p.known(path...)
	for _, m := range i.members() {
		name := m.name
		if strings.Contains(name, ":") || len(name) < 4 || slices.Contains(known, name) {
			continue
		}
		if k, ok := nearest(name, known, 3); ok {
			m.warn("unknown key, not used; did you mean %q?", k)
		}
	}
}
