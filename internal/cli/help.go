package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// groupedHelp lists the few flags that matter first, the rest in groups.
func groupedHelp(root *cobra.Command) {
	cobra.AddTemplateFunc("flagGroups", flagGroups)
	root.SetUsageTemplate(usageTemplate)
}

const usageTemplate = `Usage:{{if .Runnable}}
  {{.UseLine}}{{end}}{{if .HasAvailableSubCommands}}
  {{.CommandPath}} COMMAND{{end}}{{if .HasExample}}

Examples:
{{.Example}}{{end}}{{if .HasAvailableSubCommands}}

Commands:{{range .Commands}}{{if .IsAvailableCommand}}
  {{rpad .Name .NamePadding}} {{.Short}}{{end}}{{end}}{{end}}
{{flagGroups .LocalFlags}}{{if .HasAvailableSubCommands}}
'{{.CommandPath}} COMMAND --help' says more about a command.{{end}}
`

// flagGroups writes the flags under their headings.
func flagGroups(all *pflag.FlagSet) string {
	groups := map[string]*pflag.FlagSet{}
	all.VisitAll(func(f *pflag.Flag) {
		name := strings.Join(f.Annotations[groupKey], "")
		if groups[name] == nil {
			groups[name] = pflag.NewFlagSet(name, pflag.ContinueOnError)
			groups[name].SortFlags = false
		}
		groups[name].AddFlag(f)
	})
	var b strings.Builder
	for _, name := range []string{"", groupPart, groupAnalysis, groupTable, groupOutput} {
		fl := groups[name]
		if fl == nil {
			continue
		}
		head := name
		if head == "" {
			head = "Flags"
		}
		fmt.Fprintf(&b, "\n%s:\n%s", head, fl.FlagUsagesWrapped(100))
	}
	return b.String()
}
