package study

import (
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

// sessionNames also finds sessions that are dates in another writing: as the file
// shows them, or as yyyy-mm-dd.
func sessionNames(t *cohort.Table, want []string) ([]string, error) {
	found, err := find("session", t.Sessions, want)
	if err == nil {
		return found, nil
	}
	var all []string
	for _, w := range want {
		i, again := t.Session(w)
		if again != nil {
			return nil, err
		}
		all = append(all, t.Sessions[i])
	}
	return find("session", t.Sessions, all)
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
	found, err := names.All(kind, all, want)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, i := range found {
		out = append(out, all[i])
	}
	return out, nil
}
