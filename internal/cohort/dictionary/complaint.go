package dictionary

import (
	"fmt"
	"maps"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/santhosh-tekuri/jsonschema/v6/kind"
	"golang.org/x/text/language"
	"golang.org/x/text/message"
)

// A complaint is one finding of the validator in plain words.
type complaint struct {
	path  []string
	text  string
	whole bool // about a value as a whole: dropped when a fault stands beneath it
	size  int  // how far the value is from the form
}

// complaints flattens the validator's tree of findings.
func (p profile) complaints(e *jsonschema.ValidationError) []complaint {
	switch k := e.ErrorKind.(type) {
	case *kind.AnyOf:
		return p.alternatives(e)
	case *kind.OneOf:
		if len(k.Subschemas) == 0 {
			return p.alternatives(e)
		}
		return []complaint{{path: e.InstanceLocation, text: "mixes forms that exclude each other", whole: true}}
	case *kind.AdditionalProperties:
		return p.unknown(e, k.Properties)
	}
	if len(e.Causes) == 0 {
		c := complaint{path: e.InstanceLocation, text: sentence(e.ErrorKind), size: 1}
		if k, ok := e.ErrorKind.(*kind.Required); ok {
			c.size = len(k.Missing)
		}
		return []complaint{c}
	}
	var all []complaint
	for _, cause := range e.Causes {
		all = append(all, p.complaints(cause)...)
	}
	return all
}

// unknown complains about keys that a closed object does not have.
func (p profile) unknown(e *jsonschema.ValidationError, names []string) []complaint {
	_, fragment, _ := strings.Cut(e.SchemaURL, "#/")
	path := strings.Split(fragment, "/")
	known := p.known(path...)
	noun, _ := walk(p.doc, append(path, "title")...).(string)
	if noun == "" {
		noun = "key"
	}
	var all []complaint
	for _, name := range slices.Sorted(slices.Values(names)) {
		all = append(all, complaint{
			path: append(slices.Clone(e.InstanceLocation), name),
			text: fmt.Sprintf("unknown %s%s (known: %s)", noun, didYouMean(name, known), strings.Join(known, ", ")),
		})
	}
	return all
}

// alternatives complains about a value that fits none of several forms: by
// the form that was meant, as far as that can be told.
func (p profile) alternatives(e *jsonschema.ValidationError) []complaint {
	var meant []complaint
	for _, cause := range e.Causes {
		form := p.complaints(cause)
		if otherType(cause) {
			continue
		}
		if meant == nil || size(form) < size(meant) {
			meant = form
		}
	}
	if text, ok := together(e.Causes); ok {
		return []complaint{{path: e.InstanceLocation, text: text, whole: true}}
	}
	if meant == nil {
		return []complaint{{path: e.InstanceLocation, text: "fits none of the forms that the standard allows here",
			whole: true}}
	}
	for i := range meant {
		meant[i].whole = true
	}
	return meant
}

func size(form []complaint) int {
	n := 0
	for _, c := range form {
		n += c.size
	}
	return n
}

// otherType reports whether a form was refused for its "type" member: the
// form of a date field is not meant where the type is number.
func otherType(e *jsonschema.ValidationError) bool {
	if _, ok := e.ErrorKind.(*kind.Enum); ok {
		n := len(e.InstanceLocation)
		return n > 0 && e.InstanceLocation[n-1] == "type"
	}
	return slices.ContainsFunc(e.Causes, otherType)
}

// together words forms that differ only in the kind of value or in the one
// key they demand.
func together(forms []*jsonschema.ValidationError) (string, bool) {
	want, missing, got := map[string]bool{}, map[string]bool{}, ""
	for _, f := range forms {
		switch k := f.ErrorKind.(type) {
		case *kind.Type:
			got = k.Got
			for _, w := range k.Want {
				want[article(w)] = true
			}
		case *kind.Required:
			if len(k.Missing) != 1 {
				return "", false
			}
			missing[k.Missing[0]] = true
		default:
			return "", false
		}
	}
	switch {
	case len(want) > 0 && len(missing) == 0:
		return fmt.Sprintf("want %s, found %s", or(want), article(got)), true
	case len(missing) > 1 && len(want) == 0:
		return fmt.Sprintf("one of %s is missing", quoteAll(slices.Sorted(maps.Keys(missing)))), true
	}
	return "", false
}

func or(words map[string]bool) string {
	return strings.Join(slices.Sorted(maps.Keys(words)), " or ")
}

// sentence words one finding.
func sentence(finding jsonschema.ErrorKind) string {
	switch k := finding.(type) {
	case *kind.Type:
		want := make(map[string]bool)
		for _, w := range k.Want {
			want[article(w)] = true
		}
		return fmt.Sprintf("want %s, found %s", or(want), article(k.Got))
	case *kind.Enum:
		words := make([]string, len(k.Want))
		for i, w := range k.Want {
			words[i] = fmt.Sprint(w)
		}
		return fmt.Sprintf("%s is not one of %s", literal(k.Got), strings.Join(words, ", "))
	case *kind.Required:
		return quoteAll(k.Missing) + " is missing"
	case *kind.Pattern:
		return fmt.Sprintf("%q is not of the form %s", clip(k.Got), k.Want)
	case *kind.Format:
		return fmt.Sprintf("%s is not a valid %s", literal(k.Got), k.Want)
	case *kind.UniqueItems:
		return fmt.Sprintf("elements %d and %d are the same", k.Duplicates[0], k.Duplicates[1])
	}
	return bounds(finding)
}

// bounds words findings about size.
func bounds(finding jsonschema.ErrorKind) string {
	switch k := finding.(type) {
	case *kind.MinItems:
		return fmt.Sprintf("want at least %d in the list, found %d", k.Want, k.Got)
	case *kind.MaxItems:
		return fmt.Sprintf("want at most %d in the list, found %d", k.Want, k.Got)
	case *kind.MinLength:
		return "is empty"
	case *kind.Minimum:
		return fmt.Sprintf("want at least %s, found %s", decimal(k.Want), decimal(k.Got))
	case *kind.ExclusiveMinimum:
		return fmt.Sprintf("want more than %s, found %s", decimal(k.Want), decimal(k.Got))
	}
	return finding.LocalizedString(message.NewPrinter(language.English))
}

func decimal(r *big.Rat) string {
	v, _ := r.Float64()
	return strconv.FormatFloat(v, 'g', -1, 64)
}
