package dictionary

import (
	"fmt"
	"math"
	"strconv"
)

// An item is a node with its key path: a place in the document.
type item struct {
	doc  *document
	key  string
	name string // of a member: the last part of the key
	node *node  // nil where the document has nothing
}

func (d *document) top() item { return item{doc: d, node: d.root} }

// is reports whether the item is there and of that kind.
func (i item) is(kind string) bool { return i.node != nil && i.node.kind == kind }

// get returns the member called name.
func (i item) get(name string) item {
	child := item{doc: i.doc, key: join(i.key, name), name: name}
	if i.is("object") {
		child.node = i.node.member(name)
	}
	return child
}

// list returns the elements of an array, the item itself where a single
// text stands for a list of one, and nothing otherwise.
func (i item) list() []item {
	if i.is("string") {
		return []item{i}
	}
	if !i.is("array") {
		return nil
	}
	all := make([]item, len(i.node.items))
	for k, n := range i.node.items {
		all[k] = item{doc: i.doc, key: index(i.key, k), node: n}
	}
	return all
}

// members returns the members of an object.
func (i item) members() []item {
	if !i.is("object") {
		return nil
	}
	all := make([]item, len(i.node.items))
	for k, n := range i.node.items {
		all[k] = item{doc: i.doc, key: join(i.key, i.node.names[k]), name: i.node.names[k], node: n}
	}
	return all
}

// text returns a string, "" for anything else: the schemas report a value of
// the wrong kind.
func (i item) text() string {
	if i.is("string") {
		return i.node.text
	}
	return ""
}

// texts returns the strings of a list.
func (i item) texts() []string {
	var all []string
	for _, e := range i.list() {
		if e.is("string") {
			all = append(all, e.node.text)
		}
	}
	return all
}

// truth returns a boolean, or otherwise when none stands there.
func (i item) truth(otherwise bool) bool {
	if i.is("boolean") {
		return i.node.truth
	}
	return otherwise
}

// number returns a number, nil for anything else.
func (i item) number() *float64 {
	if !i.is("number") {
		return nil
	}
	v, err := strconv.ParseFloat(i.node.text, 64)
	if err != nil {
		return nil
	}
	return &v
}

// whole returns a whole number, nil for anything else.
func (i item) whole() *int {
	v := i.number()
	if v == nil || math.Abs(*v) > 1<<53 || *v != math.Trunc(*v) {
		return nil
	}
	n := int(*v)
	return &n
}

// fault records what is wrong at the item.
func (i item) fault(format string, args ...any) {
	at := 0
	if i.node != nil {
		at = i.node.at
	}
	i.doc.fault(i.key, at, fmt.Sprintf(format, args...))
}

// warn records what is not used at the item.
func (i item) warn(format string, args ...any) {
	file, key := i.doc.locate(i.key)
	i.doc.warnings = append(i.doc.warnings, file+": "+key+": "+fmt.Sprintf(format, args...))
}
