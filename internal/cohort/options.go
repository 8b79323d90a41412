package cohort

import (
	"fmt"
	"maps"
	"slices"
)

// An OptionError is an option whose value makes no sense for any table: the
// command line is wrong, not the data.
type OptionError struct {
	Option string // as the flag is named: "delimiter"
	Text   string // what is wrong with its value, and what it can be
}

// Error is the option and what is wrong with it, on one line.
func (e *OptionError) Error() string { return "--" + e.Option + ": " + e.Text }

func optionError(option, format string, a ...any) error {
	return &OptionError{Option: option, Text: fmt.Sprintf(format, a...)}
}

// check finds the values that are wrong whatever the table holds.
func (o Options) check() error {
	if o.Delimiter != "" {
		if _, err := parseDelimiter(o.Delimiter); err != nil {
			return optionError("delimiter", "%v", err)
		}
	}
	if o.Decimal != "" && o.Decimal != "." && o.Decimal != "," {
		return optionError("decimal", `unknown decimal separator %q: have "." and ","`, o.Decimal)
	}
	if _, err := encodingName(o.Encoding); err != nil {
		return optionError("encoding", "%v", err)
	}
	for _, role := range slices.Sorted(maps.Keys(o.Columns)) {
		if !slices.Contains(allRoles, role) {
			return optionError("column", "there is no role %q; %s", role, suggest(role, "roles", allRoles))
		}
	}
	return nil
}
