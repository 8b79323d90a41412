package cli

import (
	"strings"

	"github.com/spf13/cobra"

	"noisefloor/internal/cohort"
	"noisefloor/internal/study"
)

// complete offers the names of the table on the command line to the shell.
func complete(cmd *cobra.Command) {
	for _, names := range []struct {
		flags []string
		of    func(*cohort.Table) []string
	}{
		{[]string{"measure", "lower", "outcome"}, measuresOf},
		{[]string{"sessions", "noise-from", "baseline", "follow-up", "agreement", "change"},
			func(t *cohort.Table) []string { return t.Sessions }},
		{[]string{"athlete"}, func(t *cohort.Table) []string { return t.Athletes }},
		{[]string{"by", "covariate"}, columnsOf},
	} {
		for _, flag := range names.flags {
			if cmd.Flags().Lookup(flag) != nil {
				// An error here is a flag that is not there, and it is.
				_ = cmd.RegisterFlagCompletionFunc(flag, fromTable(names.of))
			}
		}
	}
	for flag, all := range closedChoices() {
		if cmd.Flags().Lookup(flag) != nil {
			_ = cmd.RegisterFlagCompletionFunc(flag, cobra.FixedCompletions(all, cobra.ShellCompDirectiveNoFileComp))
		}
	}
}

// closedChoices are the flags with a few values.
func closedChoices() map[string][]cobra.Completion {
	return map[string][]cobra.Completion{
		"score":            {"mean", "best", "median", "first"},
		"scale":            {"auto", "raw", "log"},
		"missing-sessions": {"all", "complete"},
		"format":           {"text", "json", "csv", "markdown"},
		"pictures":         {"sheet", "all"},
		"decimal":          {".", ","},
		"planes":           {"transverse", "sagittal", "frontal"},
	}
}

func measuresOf(t *cohort.Table) []string {
	var out []string
	for _, m := range t.Measures {
		out = append(out, m.Name)
	}
	return out
}

func columnsOf(t *cohort.Table) []string {
	var out []string
	for _, a := range t.Attributes {
		out = append(out, a.Name)
	}
	return out
}

// fromTable completes the last of the names of a list; what stands before it is
// kept.
func fromTable(of func(*cohort.Table) []string) cobra.CompletionFunc {
	return func(_ *cobra.Command, args []string, typed string) ([]cobra.Completion, cobra.ShellCompDirective) {
		if len(args) == 0 || args[0] == "-" {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		t, err := study.Open(&study.Host{}, study.Table{Path: args[0]})
		if err != nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		before, last := "", typed
		if i := strings.LastIndexAny(typed, ",+"); i >= 0 {
			before, last = typed[:i+1], typed[i+1:]
		}
		var out []cobra.Completion
		for _, name := range of(t) {
			if strings.HasPrefix(strings.ToLower(name), strings.ToLower(last)) {
				out = append(out, before+name)
			}
		}
		return out, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
	}
}
