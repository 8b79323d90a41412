package study

import (
	"noisefloor/analysis/profile"
	"noisefloor/internal/rulesfile"
)

// rulesOf are the rules of a file, or those of the program.
func (d *desk) rulesOf(path string) (profile.Rules, error) {
	if path == "" {
		return profile.DefaultRules(), nil
	}
	in, sum, err := d.host.reader(path)
	if err != nil {
		return profile.Rules{}, err
	}
	rules, err := rulesfile.Read(in, path)
	if err != nil {
		return profile.Rules{}, err
	}
	d.request.note("rules", path, sum)
	return rules, nil
}
