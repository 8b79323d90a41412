package dictionary

import (
	"errors"
	"fmt"
	"regexp"
	"regexp/syntax"
	"slices"
	"strconv"
	"time"
)

// applies says for which types a constraint has a meaning; one that is not
// listed has a meaning for all.
var applies = map[string][]string{
	"minLength": {"string"}, "maxLength": {"string"}, "pattern": {"string"},
	"minimum": {"number", "integer", "date"}, "maximum": {"number", "integer", "date"},
	"exclusiveMinimum": {"number", "integer", "date"}, "exclusiveMaximum": {"number", "integer", "date"},
}

// constraints reads the checks of a field. Those that cannot be made become
// warnings.
func constraints(i item, f Field) Constraints {
	usable := i
	if i.is("object") {
		usable.node = checkable(i, f.Type)
	}
	c := Constraints{
		Required:  usable.get("required").truth(false),
		Unique:    usable.get("unique").truth(false),
		MinLength: usable.get("minLength").whole(),
		MaxLength: usable.get("maxLength").whole(),
		Pattern:   usable.get("pattern").text(),
		Enum:      scalars(usable.get("enum")),
	}
	if f.Type == "date" {
		c.dates(usable, f)
	} else {
		c.limits(usable)
	}
	if _, err := c.Expression(); err != nil {
		usable.get("pattern").fault("%v", err)
	}
	if c.MinLength != nil && c.MaxLength != nil && *c.MinLength > *c.MaxLength {
		usable.get("maxLength").fault("%d is less than minLength, %d", *c.MaxLength, *c.MinLength)
	}
	return c
}

// checkable returns the constraints without those that are not checked, about
// which it warns.
func checkable(i item, fieldType string) *node {
	known := resource2().known("$defs", "constraints")
	n := &node{at: i.node.at, kind: "object"}
	for k, m := range i.members() {
		name := i.node.names[k]
		types, limited := applies[name]
		switch {
		case name == "jsonSchema":
			m.warn("not supported, so not checked")
		case !slices.Contains(known, name):
			m.warn("unknown constraint, so not checked%s", didYouMean(name, known))
		case limited && slices.Contains(fieldTypes, fieldType) && !slices.Contains(types, fieldType):
			m.warn("has no meaning for type %s, so not checked", fieldType)
		default:
			n.names, n.items = append(n.names, name), append(n.items, m.node)
		}
	}
	return n
}

// limits reads the limits of numbers, which may also be written as texts.
func (c *Constraints) limits(i item) {
	c.Minimum, c.Maximum = limit(i.get("minimum")), limit(i.get("maximum"))
	c.ExclusiveMinimum, c.ExclusiveMaximum = limit(i.get("exclusiveMinimum")), limit(i.get("exclusiveMaximum"))
	if c.Minimum != nil && c.Maximum != nil && *c.Minimum > *c.Maximum {
		i.get("maximum").fault("%v is less than the minimum, %v", *c.Maximum, *c.Minimum)
	}
}

var number = regexp.MustCompile(`^[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?$`)

func limit(i item) *float64 {
	if !i.is("string") {
		return i.number()
	}
	v, err := strconv.ParseFloat(i.text(), 64)
	if err != nil || !number.MatchString(i.text()) {
		i.fault("%q is not a number", clip(i.text()))
		return nil
	}
	return &v
}

// dates reads the limits of dates.
func (c *Constraints) dates(i item, f Field) {
	c.MinimumDate, c.MaximumDate = date(i.get("minimum"), f), date(i.get("maximum"), f)
	c.ExclusiveMinimumDate = date(i.get("exclusiveMinimum"), f)
	c.ExclusiveMaximumDate = date(i.get("exclusiveMaximum"), f)
}

// date reads a limit, which is written as the dates of the column are.
func date(i item, f Field) string {
	if i.is("number") {
		i.fault("want a date, such as \"2024-05-31\", found a number")
	}
	if f.Format != "" && f.Format != "default" || !i.is("string") {
		return i.text()
	}
	if _, err := time.Parse(time.DateOnly, i.text()); err != nil {
		i.fault("%q is not a date of the form 2024-05-31", clip(i.text()))
	}
	return i.text()
}

// scalars returns the values of a list as they are written.
func scalars(i item) []string {
	if !i.is("array") {
		return nil
	}
	var all []string
	for _, e := range i.list() {
		switch {
		case e.is("string"), e.is("number"):
			all = append(all, e.node.text)
		case e.is("boolean"):
			all = append(all, strconv.FormatBool(e.node.truth))
		}
	}
	return all
}

// Expression returns the pattern as a regular expression that matches whole
// values, as XML Schema has it: ^(?:pattern)$. It is nil if there is no
// pattern. The syntax is that of package regexp, so back-references and
// look-around are errors.
func (c Constraints) Expression() (*regexp.Regexp, error) {
	if c.Pattern == "" {
		return nil, nil
	}
	var wrong *syntax.Error
	if _, err := regexp.Compile(c.Pattern); errors.As(err, &wrong) {
		return nil, fmt.Errorf("not a pattern that can be used: %s: %q", wrong.Code, clip(wrong.Expr))
	}
	return regexp.Compile(`^(?:` + c.Pattern + `)$`)
}
