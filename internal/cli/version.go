package cli

import (
	"fmt"
	"runtime/debug"

	"github.com/spf13/cobra"
)

func newVersion(s streams) *cobra.Command {
	return &cobra.Command{
		Use:     "version",
		Short:   "Which version is this?",
		Long:    "version tells the program's version, the commit it was built from, and the version of Go.",
		Example: "  noisefloor version",
		Args:    cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			_, err := fmt.Fprintln(s.out, "noisefloor "+buildWords())
			return work(err)
		},
	}
}

// version is the module's version as the toolchain knows it.
func version() string {
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" && info.Main.Version != "(devel)" {
		return info.Main.Version
	}
	return "devel"
}

// buildWords are the version and what it was built from.
func buildWords() string {
	words := version()
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return words
	}
	for _, set := range info.Settings {
		switch {
		case set.Key == "vcs.revision":
			words += ", commit " + set.Value
		case set.Key == "vcs.modified" && set.Value == "true":
			words += " with changes"
		}
	}
	return words + ", " + info.GoVersion
}
