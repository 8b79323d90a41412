package dictionary

import (
	"slices"
	"strings"
	"unicode/utf8"
)

// schema reads the columns of the table, its missing values and its keys.
func (r *reader) schema(i item) {
	lint(i, resource2(), "$defs", "schema")
	misplaced(i)
	r.MissingValues = labelled(i.get("missingValues"))
	if match := i.get("fieldsMatch").texts(); len(match) == 1 {
		r.FieldsMatch = match[0]
	}
	r.known = make(map[string]bool)
	for _, f := range i.get("fields").list() {
		if !f.is("object") {
			continue
		}
		field := r.field(f)
		if r.known[field.Name] && field.Name != "" {
			f.get("name").fault("%q is already the name of another field", clip(field.Name))
		}
		r.known[field.Name] = true
		r.names = append(r.names, field.Name)
		r.Fields = append(r.Fields, field)
	}
	r.Dialect.DecimalChar = decimalChar(r.Fields)
	r.keys(i)
}

// keys reads primaryKey and uniqueKeys; foreignKeys are not followed.
func (r *reader) keys(i item) {
	r.PrimaryKey = r.columns(i.get("primaryKey"))
	for _, k := range i.get("uniqueKeys").list() {
		if columns := r.columns(k); len(columns) > 0 {
			r.UniqueKeys = append(r.UniqueKeys, columns)
		}
	}
	if k := i.get("foreignKeys"); len(k.list()) > 0 {
		k.warn("references to other tables are not checked")
	}
}

// columns reads the names of fields: a list, or one name alone.
func (r *reader) columns(i item) []string {
	var names []string
	seen := make(map[string]bool)
	for _, n := range i.list() {
		if !n.is("string") {
			continue
		}
		if seen[n.text()] {
			n.fault("%q is named twice", clip(n.text()))
		}
		seen[n.text()] = true
		r.column(n)
		names = append(names, n.text())
	}
	return names
}

// column reports a column that the schema does not have, if there is a schema.
func (r *reader) column(i item) {
	if len(r.names) == 0 || r.known[i.text()] || i.text() == "" {
		return
	}
	i.fault("schema.fields has no column %q%s (columns: %s)", clip(i.text()), didYouMean(i.text(), r.names),
		quoteAll(r.names))
}

// Field returns the field called name.
func (d *Dictionary) Field(name string) (Field, bool) {
	for _, f := range d.Fields {
		if f.Name == name {
			return f, true
		}
	}
	return Field{}, false
}

// Missing returns the texts that mean "no value" in the named column: its own
// list, or else the schema's, or else the default of the standard, the empty
// text. A list that is stated and empty turns missing values off.
func (d *Dictionary) Missing(column string) []string {
	if f, ok := d.Field(column); ok && f.MissingValues != nil {
		return f.MissingValues
	}
	if d.MissingValues != nil {
		return d.MissingValues
	}
	return []string{""}
}

// fieldTypes are the types that are read.
var fieldTypes = []string{"string", "number", "integer", "boolean", "date", "any"}

func (r *reader) field(i item) Field {
	lint(i, resource2(), "$defs", "field")
	f := Field{
		Name:          i.get("name").text(),
		Type:          i.get("type").text(),
		Format:        i.get("format").text(),
		Title:         i.get("title").text(),
		MissingValues: labelled(i.get("missingValues")),
	}
	if t := i.get("type"); t.node == nil {
		f.Type = "any"
	} else if t.is("string") && !slices.Contains(fieldTypes, f.Type) {
		t.fault("%q is not supported%s (supported: %s)", clip(f.Type), didYouMean(f.Type, fieldTypes),
			strings.Join(fieldTypes, ", "))
	}
	for _, m := range i.members() {
		if strings.HasPrefix(m.name, "nf:") {
			m.warn("not used; describe measures in nf:measures of the resource")
		}
	}
	format(i.get("format"), f.Type)
	f.number(i)
	f.boolean(i)
	f.Constraints = constraints(i.get("constraints"), f)
	return f
}

// format reports a format that is not one, or that is not checked.
func format(i item, fieldType string) {
	s := i.text()
	switch {
	case s == "" || s == "default" || fieldType == "any":
	case fieldType == "string" && slices.Contains([]string{"email", "uri", "binary", "uuid"}, s):
		i.warn("%q is not checked", s)
	case fieldType == "date" && s == "any":
		i.fault("\"any\" would be guessed; write the form of the dates, such as \"%%d.%%m.%%Y\"")
	case fieldType == "date" && strings.Contains(s, "%"):
	case slices.Contains(fieldTypes, fieldType):
		i.fault("%q is not a format of type %s", clip(s), fieldType)
	}
}

// number reads how numbers are written.
func (f *Field) number(i item) {
	decimal, group, bare := i.get("decimalChar"), i.get("groupChar"), i.get("bareNumber")
	for _, p := range []item{decimal, group, bare} {
		if p.node != nil && f.Type != "number" && (f.Type != "integer" || p.node == decimal.node) {
			p.warn("has no meaning for type %s, so not used", f.Type)
			return
		}
	}
	f.DecimalChar = decimal.text()
	if decimal.is("string") && f.DecimalChar != "." && f.DecimalChar != "," {
		decimal.fault("%q is not supported; use \".\" or \",\"", clip(f.DecimalChar))
	}
	f.GroupChar = character(group, "0123456789+-eE"+point(*f))
	f.Dressed = !bare.truth(true)
}

// point returns the decimal sign of a number field.
func point(f Field) string {
	if f.DecimalChar == "" {
		return "."
	}
	return f.DecimalChar
}

// decimalChar returns the decimal sign on which the number fields agree, ""
// when none states one or they differ.
func decimalChar(fields []Field) string {
	stated, sign := false, ""
	for _, f := range fields {
		if f.Type != "number" {
			continue
		}
		if sign != "" && sign != point(f) {
			return ""
		}
		sign = point(f)
		stated = stated || f.DecimalChar != ""
	}
	if !stated {
		return ""
	}
	return sign
}

// boolean reads the words for true and false.
func (f *Field) boolean(i item) {
	f.TrueValues, f.FalseValues = i.get("trueValues").texts(), i.get("falseValues").texts()
	for _, v := range i.get("falseValues").list() {
		if slices.Contains(f.TrueValues, v.text()) {
			v.fault("%q is also in trueValues", clip(v.text()))
		}
	}
}

// labelled returns the values of a list of texts or {value, label} objects;
// nil when there is no list.
func labelled(i item) []string {
	if !i.is("array") {
		return nil
	}
	values := []string{}
	for _, e := range i.list() {
		if v := e.get("value"); v.is("string") {
			values = append(values, v.text())
		} else if e.is("string") && utf8.ValidString(e.text()) {
			values = append(values, e.text())
		}
	}
	return values
}
