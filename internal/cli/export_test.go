package cli

// Samples are the sample command lines of the registry, by command.
func Samples() map[string][]string {
	out := map[string][]string{}
	for _, e := range registry() {
		if e.view != nil {
			out[e.name] = append([]string{e.name}, e.sample...)
		}
	}
	return out
}

// Tableless says whether a command asks about no table.
func Tableless(name string) bool { return entryOf(name).tableless }
