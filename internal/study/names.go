package study

import (
	"slices"
	"strings"

	"noisefloor/internal/cohort"
	"noisefloor/internal/names"
)

// Names of every kind are resolved here, by the one rule of package names:
// exact, then without case and accents, then by glob.

func measureNames(t *cohort.Table, want []string) ([]string, error) {
	all := make([]string, len(t.Measures))
	for i, m := range t.Measures {
		all[i] = m.Name
	}
	return find("measure", all, want)
}

func sessionNames(t *cohort.Table, want []string) ([]string, error) {
	return find("session", t.Sessions, want)
}

func athleteNames(t *cohort.Table, want []string) ([]string, error) {
	return find("athlete", t.Athletes, want)
}

func attribute(t *cohort.Table, want string) (string, error) {
	var all []string
	for _, a := range t.Attributes {
		if a.Role != "" && strings.EqualFold(a.Role, want) && a.Name != want {
			return a.Name, nil
		}
		all = append(all, a.Name)
	}
	found, err := find("column", all, []string{want})
	if err != nil {
		return "", err
	}
	return found[0], nil
}

// find returns the names that are meant, in the order of all, each once.
func find(kind string, all, want []string) ([]string, error) {
	chosen := map[int]bool{}
	for _, w := range want {
		at, err := names.Find(kind, all, w)
		if err != nil {
			return nil, err
		}
		for _, i := range at {
			chosen[i] = true
		}
	}
	var out []string
	for i, name := range all {
		if chosen[i] && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out, nil
}
