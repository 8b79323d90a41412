package strictjson

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/santhosh-tekuri/jsonschema/v6/kind"
	"golang.org/x/text/language"
	"golang.org/x/text/message"
)

// mostErrors is how many wrong keys are told in full.
const mostErrors = 20

// inWords turns a validation error into one line for each wrong key.
func inWords(err error, value any) error {
	var v *jsonschema.ValidationError
	if !errors.As(err, &v) {
		return err
	}
	lines := leaves(v, value)
	slices.Sort(lines)
	if more := len(lines) - mostErrors; more > 0 {
		lines = append(lines[:mostErrors], fmt.Sprintf("and %d more", more))
	}
	return errors.New(strings.Join(lines, "\n\t"))
}

func leaves(v *jsonschema.ValidationError, root any) []string {
	if len(v.Causes) == 0 {
		return []string{location(v.InstanceLocation, root) + complaint(v, root)}
	}
	var lines []string
	for _, cause := range v.Causes {
		lines = append(lines, leaves(cause, root)...)
	}
	return lines
}

// location spells where a value stands: `jump, measures[1], key "df": `.
func location(path []string, root any) string {
	if len(path) == 0 {
		return ""
	}
	var b strings.Builder
	if name := measureAt(path, root); name != "" {
		b.WriteString(name + ", ")
	}
	if len(path) >= 2 && path[0] == "measures" {
		fmt.Fprintf(&b, "measures[%s]", path[1])
		path = path[2:]
		if len(path) > 0 {
			b.WriteString(", ")
		}
	}
	for i, p := range path {
		if _, err := strconv.Atoi(p); err == nil && i > 0 {
			fmt.Fprintf(&b, "[%s]", p)
			continue
		}
		if i > 0 {
			b.WriteString(", ")
		}
		fmt.Fprintf(&b, "key %q", p)
	}
	return b.String() + ": "
}

// measureAt returns the name of the measure that path leads into, if any.
func measureAt(path []string, root any) string {
	if len(path) < 2 || path[0] != "measures" {
		return ""
	}
	m, _ := at(path[:2], root).(map[string]any)
	name, _ := m["measure"].(string)
	return name
}

// at returns the value at path.
func at(path []string, v any) any {
	for _, p := range path {
		switch x := v.(type) {
		case map[string]any:
			v = x[p]
		case []any:
			i, err := strconv.Atoi(p)
			if err != nil || i < 0 || i >= len(x) {
				return nil
			}
			v = x[i]
		}
	}
	return v
}

// complaint says what is wrong with one value.
func complaint(v *jsonschema.ValidationError, root any) string {
	found := "found " + brief(at(v.InstanceLocation, root))
	switch k := v.ErrorKind.(type) {
	case *kind.Required:
		return "missing key " + quoted(k.Missing)
	case *kind.AdditionalProperties:
		slices.Sort(k.Properties)
		return "unknown key " + quoted(k.Properties)
	case *kind.Type:
		return fmt.Sprintf("must be of type %s, %s", strings.Join(k.Want, " or "), found)
	case *kind.Enum:
		return fmt.Sprintf("must be one of %s, %s", brief(k.Want), found)
	case *kind.ExclusiveMinimum:
		return fmt.Sprintf("must be above %s, %s", k.Want.RatString(), found)
	case *kind.Minimum:
		return fmt.Sprintf("must be %s or above, %s", k.Want.RatString(), found)
	case *kind.Maximum:
		return fmt.Sprintf("must be %s or below, %s", k.Want.RatString(), found)
	case *kind.MinItems:
		if k.Want == 1 {
			return "must have at least one entry"
		}
		return fmt.Sprintf("must have %d entries, found %d", k.Want, k.Got)
	case *kind.MaxItems:
		return fmt.Sprintf("must have %d entries, found %d", k.Want, k.Got)
	case *kind.MinLength:
		return "must not be empty"
	case *kind.Pattern:
		return "must be 64 hexadecimal digits in lower case, " + found
	case *kind.UniqueItems:
		return fmt.Sprintf("entries %d and %d are the same", k.Duplicates[0]+1, k.Duplicates[1]+1)
	}
	return v.ErrorKind.LocalizedString(message.NewPrinter(language.English)) + ", " + found
}

func quoted(keys []string) string {
	q := make([]string, len(keys))
	for i, k := range keys {
		q[i] = strconv.Quote(k)
	}
	return strings.Join(q, ", ")
}

// brief prints a value as JSON, cut where it is long.
func brief(v any) string {
	text, err := json.Marshal(v)
	if err != nil {
		return "something that is not JSON"
	}
	const most = 60
	if r := []rune(string(text)); len(r) > most {
		return string(r[:most]) + "…"
	}
	return string(text)
}
