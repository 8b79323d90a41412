package dictionary

import (
	"fmt"
	"path"
	"path/filepath"
	"slices"
	"strings"
)

// A choice is the resource that describes the table.
type choice struct {
	item
	table   string // the table as the user named it
	matched bool   // by its path; otherwise it is the only one
}

// choose finds the resource for a table. It records a fault if there is none,
// or more than one.
func (d *document) choose(table string) (choice, bool) {
	list := d.top().get("resources")
	var resources []item
	for _, r := range list.list() {
		if r.is("object") {
			resources = append(resources, r)
		}
	}
	checkNames(resources)
	if len(resources) == 0 {
		return choice{}, false // the package profile says why
	}
	if table != "" && table != "-" {
		if found := d.describing(resources, table); len(found) > 0 {
			c := choice{item: found[0], table: table, matched: true}
			return c, only(list, found, table)
		}
	}
	found := slices.DeleteFunc(slices.Clone(resources), func(r item) bool { return !tabular(d.top(), r) })
	if len(found) == 0 {
		list.fault("none is a table: %s", describe(resources))
		return choice{}, false
	}
	return choice{item: found[0], table: table}, only(list, found, table)
}

// only records a fault unless there is exactly one resource.
func only(list item, found []item, table string) bool {
	if len(found) == 1 {
		return true
	}
	what := "the table"
	if table != "" && table != "-" {
		what = fmt.Sprintf("%q", filepath.Base(table))
	}
	list.fault("which of them describes %s? %s; give the table as a file with one of these paths, or leave one in "+
		"the descriptor", what, describe(found))
	return false
}

// describing returns the resources whose path is the table's, seen from the
// descriptor, or else those with its file name.
func (d *document) describing(resources []item, table string) []item {
	relative := d.relative(filepath.Dir(d.file), table)
	var byPath, byName []item
	for _, r := range resources {
		for _, p := range r.get("path").texts() {
			if path.Clean(p) == relative {
				byPath = append(byPath, r)
				break
			}
			if path.Base(p) == filepath.Base(table) {
				byName = append(byName, r)
				break
			}
		}
	}
	if len(byPath) > 0 {
		return byPath
	}
	return byName
}

// tabularNames are the file name extensions of tables.
var tabularNames = []string{".csv", ".tsv", ".tab", ".txt", ".xlsx", ".xlsm", ".parquet"}

// tabular reports whether a resource is a table: it says so, has a schema, or
// its file is named as one.
func tabular(top, r item) bool {
	switch {
	case r.get("type").text() == "table",
		r.get("profile").text() == "tabular-data-resource",
		top.get("profile").text() == "tabular-data-package",
		r.get("schema").node != nil,
		slices.Contains(tabularNames, "."+strings.ToLower(r.get("format").text())):
		return true
	}
	return slices.ContainsFunc(r.get("path").texts(), func(p string) bool {
		name := strings.TrimSuffix(strings.ToLower(p), ".gz")
		return slices.Contains(tabularNames, path.Ext(name))
	})
}

// checkNames reports resources of the same name.
func checkNames(resources []item) {
	seen := make(map[string]bool)
	for _, r := range resources {
		name := r.get("name")
		if s := name.text(); s != "" && seen[s] {
			name.fault("%q is already the name of another resource", clip(s))
		} else {
			seen[s] = true
		}
	}
}

// describe lists resources for a message.
func describe(resources []item) string {
	const most = 20
	var words []string
	for i, r := range resources {
		if i == most {
			words = append(words, fmt.Sprintf("and %d more", len(resources)-most))
			break
		}
		word := fmt.Sprintf("%q", clip(r.get("name").text()))
		if paths := r.get("path").texts(); len(paths) > 0 {
			word += " (" + clip(strings.Join(paths, ", ")) + ")"
		}
		words = append(words, word)
	}
	return strings.Join(words, ", ")
}
