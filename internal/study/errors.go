package study

import (
	"errors"
	"fmt"
	"strings"

	"noisefloor/internal/cohort"
)

// A RequestError is a choice that makes no sense, whatever the data: the
// command line, study file or page is wrong.
type RequestError struct {
	Field string // as the flag is named, "scale"
	Text  string // what is wrong, and what it can be, as a sentence
}

func (e *RequestError) Error() string { return e.Text }

// requestError is a value of a choice that makes no sense.
func requestError(field, format string, a ...any) error {
	return &RequestError{field, "--" + field + " " + fmt.Sprintf(format, a...)}
}

// missing is a choice that has to be made, or that excludes another.
func missing(field, text string) error { return &RequestError{field, text} }

// asRequest makes an option that no table can meet an error of the request.
func asRequest(err error) error {
	if o := (*cohort.OptionError)(nil); errors.As(err, &o) {
		return &RequestError{o.Option, err.Error()}
	}
	return err
}

// either lists a closed choice: "mean, best, median or first".
func either(all []string) string {
	if len(all) < 2 {
		return strings.Join(all, "")
	}
	return strings.Join(all[:len(all)-1], ", ") + " or " + all[len(all)-1]
}
