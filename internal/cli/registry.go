package cli

import (
	"slices"

	"github.com/spf13/cobra"

	"noisefloor/internal/study"
	"noisefloor/reports"
	"noisefloor/reports/field"
)

// An entry is one command. Help, the tests of schemas, terms, pictures, same
// bytes and folders all walk the registry: what a new command leaves out fails
// a test that names it.
type entry struct {
	name    string
	answers string // the question, for the program's help
	make    func(streams) *cobra.Command

	// Of the commands that ask a question about a table; nil for the others.
	ask       func() study.Request // an empty one
	view      func(study.Outcome, reports.About) reports.View
	schema    func() *field.Document // of its JSON
	tableless bool                   // it asks about no table
	// sample is a command line on the demo table, without the table, that shows
	// as much as can be shown: the tests run it.
	sample []string
}

// registry lists the commands in the order of help.
func registry() []entry {
	return []entry{
		{name: "reliability", answers: "how noisy is each test, in these hands?", make: newReliability,
			ask: func() study.Request { return new(study.Reliability) }, view: reliabilityView, schema: reports.ReliabilitySchema,
			sample: []string{"--sessions", "1,2", "--by", "level", "--bootstrap", "--replicates", "400"}},
		{name: "retest", answers: "which changes of single athletes stand out from the noise?", make: newRetest,
			ask: func() study.Request { return new(study.Retest) }, view: retestView, schema: reports.RetestSchema,
			sample: []string{"--noise-from", "1,2", "--learning", "--regression", "--season"}},
		{name: "correlate", answers: "which tests go with throwing or bat speed?", make: newCorrelate,
			ask: func() study.Request { return new(study.Correlate) }, view: correlateView, schema: reports.CorrelateSchema,
			sample: []string{"--outcome", "ball_speed", "--sessions", "1,2", "--change", "2,3", "--repeated",
				"--covariate", "age"}},
		{name: "norms", answers: "what do groups reach, and where does an athlete stand in them?", make: newNorms,
			ask: func() study.Request { return new(study.Norms) }, view: normsView, schema: reports.NormsSchema,
			sample: []string{"--noise-from", "1,2", "--athlete", "C21"}},
		{name: "profile", answers: "where do athletes stand, and what do they need?", make: newProfile,
			ask: func() study.Request { return new(study.Profile) }, view: profileView, schema: reports.ProfileSchema,
			sample: []string{"--noise-from", "1,2", "--set-aside", "C43:*jump*=history of low back pain"}},
		{name: "plan", answers: "how many athletes, sessions and trials does the next study need?", make: newPlan, tableless: true,
			ask: func() study.Request { return new(study.Plan) }, view: planView, schema: reports.PlanSchema,
			sample: []string{"icc", "--expected", "0.85", "--width", "0.2", "--simulate", "200"}},
		{name: "demo", answers: "all of this, on the cohort that comes with the program", make: newDemo},
		{name: "explain", answers: "what does a term of the output mean?", make: newExplain},
		{name: "version", answers: "which version is this?", make: newVersion},
	}
}

// entryOf finds a command; it panics on a name that is not registered.
func entryOf(name string) entry {
	for _, e := range registry() {
		if e.name == name {
			return e
		}
	}
	panic("cli: no command " + name)
}

// questions are the entries that ask a question about a table.
func questions() []entry {
	return slices.DeleteFunc(registry(), func(e entry) bool { return e.ask == nil })
}
