package cli

import (
	"github.com/spf13/pflag"

	"noisefloor/internal/study"
)

// registerNoise binds the flags that say where the noise comes from.
func registerNoise(fl *pflag.FlagSet, files *study.Files, from *[]string, given *[]study.TypicalError) {
	fl.StringSliceVar(from, "noise-from", nil, "`sessions` of this table, with no training between them, "+
		"that show the noise")
	fl.StringArrayVar((*[]string)(files), "noise", nil, "noise `file` of a reliability study; repeatable: several are "+
		"pooled")
	fl.Var((*typicalErrors)(given), "typical-error", "a typical error from elsewhere, `NAME=VALUE` with the unit or % "+
		"behind it, such as 'press=45 W; df=19; source=club manual'; repeatable")
}

// typicalErrors are those given on the command line.
type typicalErrors []study.TypicalError

// Set implements the flag.
func (e *typicalErrors) Set(s string) error {
	t, err := study.ParseTypicalError(s)
	*e = append(*e, t)
	return err
}

// String implements the flag.
func (e *typicalErrors) String() string { return "" }

// Type implements the flag.
func (e *typicalErrors) Type() string { return "typicalErrorArray" }
