package dictionary

import (
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
)

// descriptorName is the name of a descriptor, fixed by the standard.
const descriptorName = "datapackage.json"

// Open reads the Data Package descriptor at path (version 2.0 or 1.0) and in
// it the resource that describes the table at tablePath:
//
//   - the resource whose path leads from the descriptor to the table, or else
//     whose file name is the table's;
//   - or else the only tabular resource of the package, and then a warning
//     says so and its bytes and hash, which are another file's, are dropped.
//
// tablePath may be "" (no table is meant in particular) or "-" (standard
// input): then the only tabular resource is taken.
//
// A descriptor that is wrong gives an error that joins a [*KeyError] for each
// fault, in the order of the file: the first 20, then a count. A file that is
// no descriptor gives [ErrNotDescriptor]; one that cannot be read, the reason
// of the system. Properties that are sound but not used become Warnings.
//
// SOURCE: Data Package, version 2.0 (26 June 2024) and version 1.0 (2017).
func Open(path, tablePath string) (*Dictionary, error) { return open(files{}, path, tablePath) }

// OpenFS is [Open] within a file system: both paths are slashed and lie in it.
func OpenFS(fsys fs.FS, path, tablePath string) (*Dictionary, error) {
	return open(files{fsys}, path, tablePath)
}

func open(where files, path, tablePath string) (*Dictionary, error) {
	d, err := openDocument(where, path)
	if err != nil {
		return nil, err
	}
	r := &reader{Dictionary: Dictionary{Path: path}}
	if c, ok := d.choose(tablePath); ok {
		r.resource(c)
		ours().check(c.item, "")
		resource2().check(c.item, "")
		if d.version() == 1 && c.get("profile").text() == "tabular-data-resource" {
			table1().check(c.item, " (Tabular Data Resource 1.0)")
		}
	}
	d.checkPackage()
	if err := d.err(); err != nil {
		return nil, err
	}
	r.Warnings = d.warnings
	return &r.Dictionary, nil
}

// Beside returns the path of the datapackage.json in the folder of the table,
// and whether there is one.
func Beside(tablePath string) (string, bool) {
	if tablePath == "" || tablePath == "-" {
		return "", false
	}
	path := filepath.Join(filepath.Dir(tablePath), descriptorName)
	info, err := os.Stat(path)
	return path, err == nil && !info.IsDir()
}

// BesideFS is [Beside] within a file system.
func BesideFS(fsys fs.FS, tablePath string) (string, bool) {
	name := path.Join(path.Dir(tablePath), descriptorName)
	info, err := fs.Stat(fsys, name)
	return name, err == nil && !info.IsDir()
}

// checkPackage checks the package as a whole, by the version it states.
func (d *document) checkPackage() {
	top := d.top()
	misplaced(top)
	if d.version() == 1 {
		package1().check(top, " (Data Package 1.0)")
		return
	}
	if id := top.get("$schema"); !strings.Contains(id.text(), "/profiles/2.0/") {
		id.warn("%q is not known here; checked against Data Package 2.0", clip(id.text()))
	}
	package2().check(top, "")
}

// version returns the version of the standard that a descriptor follows: 1
// unless it names another in $schema.
func (d *document) version() int {
	id := d.top().get("$schema")
	if id.node == nil || strings.Contains(id.text(), "/profiles/1.") {
		return 1
	}
	return 2
}
