package dictionary

import (
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// The schemas that descriptors are checked against. Those in profile/v1 are
// the published ones; profile/v2.json is our own statement of the rules of
// version 2.0, whose published profile could not be obtained here;
// profile/noisefloor.json describes nf:roles and nf:measures.
//
//go:embed profile
var profiles embed.FS

const (
	schemaPackage1  = "profile/v1/data-package.json"
	schemaTable1    = "profile/v1/tabular-data-resource.json"
	schemaPackage2  = "profile/v2.json"
	schemaResource2 = "profile/v2.json#/$defs/resource"
	schemaOurs      = "profile/noisefloor.json"
)

// A profile is a compiled schema and the document it comes from.
type profile struct {
	schema *jsonschema.Schema
	file   string
	doc    any
}

var (
	package1  = sync.OnceValue(func() profile { return compile(schemaPackage1, relaxPackage1) })
	table1    = sync.OnceValue(func() profile { return compile(schemaTable1, relaxTable1) })
	package2  = sync.OnceValue(func() profile { return compile(schemaPackage2, nil) })
	resource2 = sync.OnceValue(func() profile { return compile(schemaResource2, nil) })
	ours      = sync.OnceValue(func() profile { return compile(schemaOurs, nil) })
)

// offline refuses to load anything: every schema is embedded.
type offline struct{}

func (offline) Load(url string) (any, error) {
	return nil, fmt.Errorf("no schema is loaded from elsewhere: %s", url)
}

// compile compiles an embedded schema. It panics if that is not sound, which
// the tests rule out.
func compile(name string, patch func(doc any)) profile {
	file, fragment, _ := strings.Cut(name, "#")
	text, err := profiles.ReadFile(file)
	if err != nil {
		panic("dictionary: " + err.Error())
	}
	doc, err := jsonschema.UnmarshalJSON(strings.NewReader(string(text)))
	if err != nil {
		panic("dictionary: " + file + ": " + err.Error())
	}
	if patch != nil {
		patch(doc)
	}
	c := jsonschema.NewCompiler()
	c.UseLoader(offline{})
	url := "embedded:///" + file
	if id, ok := walk(doc, "$id").(string); ok {
		url = id
	}
	if err := c.AddResource(url, doc); err != nil {
		panic("dictionary: " + file + ": " + err.Error())
	}
	return profile{schema: c.MustCompile(url + "#" + fragment), file: file, doc: doc}
}

// relaxPackage1 lets a schema be a path, as the specification of version 1.0
// does; its published profile forgot.
func relaxPackage1(doc any) {
	resource := walk(doc, "properties", "resources", "items", "properties", "schema")
	resource.(map[string]any)["type"] = []any{"object", "string"}
}

// relaxTable1 lets a dialect leave out delimiter and doubleQuote, which have
// defaults in the specification of version 1.0; its published profile demands
// them. It also lets a dialect be a path.
func relaxTable1(doc any) {
	dialect := walk(doc, "properties", "dialect").(map[string]any)
	delete(dialect, "required")
	dialect["type"] = []any{"object", "string"}
}

// walk returns what stands at a path of object keys, or nil.
func walk(doc any, path ...string) any {
	for _, key := range path {
		object, ok := doc.(map[string]any)
		if !ok {
			return nil
		}
		doc = object[key]
	}
	return doc
}

// known returns the keys that the schema at path describes, sorted.
func (p profile) known(path ...string) []string {
	properties, _ := walk(p.doc, append(path, "properties")...).(map[string]any)
	return slices.Sorted(maps.Keys(properties))
}

// check validates an item and records what is wrong, except where a fault
// stands already: the reader says it better.
func (p profile) check(i item, note string) {
	err := p.schema.Validate(i.node.plain())
	var invalid *jsonschema.ValidationError
	if !errors.As(err, &invalid) {
		return
	}
	all := p.complaints(invalid)
	before := i.doc.faults
	for _, c := range all[:min(len(all), 1000)] {
		at := i.find(c.path)
		if !i.doc.has(before, at.key, c.whole) {
			at.fault("%s%s", c.text, note)
		}
	}
}

// find returns the item at a path as the validator gives it.
func (i item) find(path []string) item {
	for _, token := range path {
		if !i.is("array") {
			i = i.get(token)
			continue
		}
		k, err := strconv.Atoi(token)
		if err != nil || k < 0 || k >= len(i.node.items) {
			return i
		}
		i = item{doc: i.doc, key: index(i.key, k), node: i.node.items[k]}
	}
	return i
}

// literal writes a JSON value as it stands in a file.
func literal(v any) string {
	if s, ok := v.(string); ok {
		return strconv.Quote(clip(s))
	}
	text, err := json.Marshal(v)
	if err != nil {
		return fmt.Sprint(v)
	}
	return clip(string(text))
}
