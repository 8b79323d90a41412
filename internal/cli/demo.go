package cli

import (
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"noisefloor/datasets"
	"noisefloor/internal/study"
	"noisefloor/reports"
	"noisefloor/reports/table"
)

type demoOptions struct{ output outputFlags }

func newDemo(s streams) *cobra.Command {
	var o demoOptions
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Everything, on the cohort that comes with the program",
		Long: `demo does the whole job on an invented cricket academy that comes with the
program: 60 coded athletes, four sessions, the first two before a block of
training. Sessions 1 and 2 show the noise; the changes from their mean to
sessions 3 and 4 are judged by it; the tests of sessions 1 and 2 are compared
with ball speed and bat speed; session 4 gives reference values, and a profile
of every athlete; and the next season is planned. --out DIR also leaves the table and its dictionary there, so that
every other command can be tried on it.`,
		Example: "  noisefloor demo --out demo",
		Args:    cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			if err := o.output.check(); err != nil {
				return err
			}
			return work(runDemo(s, o))
		},
	}
	fl := cmd.Flags()
	fl.StringVar(&o.output.out, "out", "", "`folder` for the sheets, working pages, tables, JSON and the data")
	fl.BoolVar(&o.output.quiet, "quiet", false, "only the answers")
	o.output.registerFolder(fl)
	return cmd
}

func runDemo(s streams, o demoOptions) error {
	views, abouts, err := demoViews()
	if err != nil {
		return err
	}
	var b strings.Builder
	for i, v := range views {
		if i > 0 {
			b.WriteString("\n")
		}
		fmt.Fprintf(&b, "%s\n", v.Title())
		for _, a := range v.Answer() {
			fmt.Fprintf(&b, "  %s\n", table.Wrap(a, "  ", width(s.out)-2))
		}
	}
	if o.output.out == "" {
		b.WriteString("\n--out DIR leaves a page with pictures, tables, JSON and the data there.\n")
		_, err := io.WriteString(s.out, b.String())
		return err
	}
	n, err := writeDemo(views, abouts, o)
	if err != nil {
		return err
	}
	if !o.output.quiet {
		fmt.Fprintf(&b, "\nWrote %d files: open %s. The table is %s.\n", n, filepath.Join(o.output.out, "demo.html"),
			filepath.Join(o.output.out, "data", datasets.Table))
	}
	_, err = io.WriteString(s.out, b.String())
	return err
}

// demoRequests are the questions of the demo, as anybody would ask them of the
// table.
func demoRequests() []study.Request {
	common := study.Common{Table: study.Table{Path: datasets.Table}, Seed: 1}
	before := common
	before.Sessions = []string{"1", "2"}
	return []study.Request{
		&study.Reliability{Common: before},
		&study.Retest{Common: common, NoiseFrom: []string{"1", "2"}},
		&study.Correlate{Common: before, Outcome: "bat_speed"},
		&study.Correlate{Common: before, Outcome: "ball_speed"},
		&study.Norms{Common: common, NoiseFrom: []string{"1", "2"}},
		&study.Profile{Common: common, NoiseFrom: []string{"1", "2"}, SetAside: []study.SetAside{
			{Athlete: "C43", Test: "lower", Reason: "history of low back pain"}}},
		&study.Plan{Common: study.Common{Seed: 1}, About: "programme", Effect: 2, SD: 5, R: 0.8, RKnown: true},
	}
}

// demoViews runs them on the embedded cohort.
func demoViews() ([]reports.View, []reports.About, error) {
	h := &study.Host{Version: version(), Files: datasets.Coast()}
	var views []reports.View
	var abouts []reports.About
	for _, r := range demoRequests() {
		o, err := study.Run(r, h)
		if err != nil {
			return nil, nil, err
		}
		a := newAbout(o, "noisefloor demo")
		if o.Table != nil {
			a.Input.Path = "data/" + a.Input.Path
		}
		views, abouts = append(views, entryOf(r.Question()).view(o, a)), append(abouts, a)
	}
	return views, abouts, nil
}

// writeDemo writes the page that leads to all answers, their sheets and working
// pages, and the data.
func writeDemo(views []reports.View, abouts []reports.About, o demoOptions) (int, error) {
	rendered, err := reports.Folder(views, abouts, o.output.folder)
	if err != nil {
		return 0, err
	}
	index, err := reports.Index("An invented cricket academy",
		"How noisy are its tests, who changed, what goes with speed, and what does each athlete need?", version(), views)
	if err != nil {
		return 0, err
	}
	files := fileSet(append(rendered, reports.Rendered{Name: "demo.html", Data: index}))
	for _, name := range []string{datasets.Table, datasets.Descriptor, datasets.TruthFile, datasets.Readme} {
		data, err := fs.ReadFile(datasets.Coast(), name)
		if err != nil {
			return 0, err
		}
		files.AddBytes("data/"+name, data)
	}
	return len(files.Names()), files.Write(o.output.out, o.output.force)
}
