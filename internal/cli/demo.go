package cli

import (
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"noisefloor/datasets"
	"noisefloor/internal/cohort"
	"noisefloor/reports"
)

type demoOptions struct{ output outputFlags }

func newDemo(s streams) *cobra.Command {
	var o demoOptions
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Everything, on the cohort that comes with the program",
		Long: `demo does the whole job on an invented cricket academy that comes with the
program: 60 coded athletes, four sessions, the first two before a block of
training. Sessions 1 and 2 show the noise; the changes from session 2 to 3 and 4
are judged by it; the tests of sessions 1 and 2 are compared with ball speed and
bat speed. --out DIR also leaves the table and its dictionary there, so that
every other command can be tried on it.`,
		Example: "  noisefloor demo --out demo",
		Args:    cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			if err := o.check(); err != nil {
				return err
			}
			return work(runDemo(s, o))
		},
	}
	fl := cmd.Flags()
	fl.StringVar(&o.output.out, "out", "", "`folder` for the page, pictures, tables, JSON and the data")
	fl.BoolVar(&o.output.force, "force", false, "replace files that are there")
	fl.BoolVar(&o.output.quiet, "quiet", false, "only the answers")
	return cmd
}

func (o demoOptions) check() error { return nil }

func runDemo(s streams, o demoOptions) error {
	t, err := demoTable()
	if err != nil {
		return err
	}
	views, err := demoViews(t)
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
			fmt.Fprintf(&b, "  %s\n", a)
		}
	}
	if o.output.out == "" {
		b.WriteString("\n--out DIR leaves a page with pictures, tables, JSON and the data there.\n")
		_, err := io.WriteString(s.out, b.String())
		return err
	}
	n, err := writeDemo(t, views, o)
	if err != nil {
		return err
	}
	if !o.output.quiet {
		fmt.Fprintf(&b, "\nWrote %d files: open %s. The table is %s.\n", n, filepath.Join(o.output.out, "demo.html"), filepath.Join(o.output.out, "data", datasets.Table))
	}
	_, err = io.WriteString(s.out, b.String())
	return err
}

// demoTable reads the embedded cohort like any table: from files.
func demoTable() (*cohort.Table, error) {
	folder, err := os.MkdirTemp("", "noisefloor-demo-*")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(folder)
	if err := os.CopyFS(folder, datasets.Coast()); err != nil {
		return nil, err
	}
	t, err := cohort.Open(filepath.Join(folder, datasets.Table), nil, cohort.Options{})
	if err != nil {
		return nil, err
	}
	t.Source.Path = "data/" + datasets.Table
	for i, s := range t.Taken {
		t.Taken[i] = strings.ReplaceAll(s, folder+string(filepath.Separator), "data/")
	}
	for i, s := range t.Notes {
		t.Notes[i] = strings.ReplaceAll(s, folder+string(filepath.Separator), "data/")
	}
	return t, nil
}

// demoViews runs the three analyses.
func demoViews(t *cohort.Table) ([]reports.View, error) {
	flags := tableFlags{score: "mean", scale: "auto", confidence: 0.95, seed: 1}
	before, err := t.SelectSessions([]string{"1", "2"})
	if err != nil {
		return nil, err
	}
	rel, _, err := reliabilityOf(before, reliabilityOptions{table: flags})
	if err != nil {
		return nil, err
	}
	ret, err := retestOf(t, retestOptions{table: flags, noiseFrom: []string{"1", "2"}, narrow: 0.80})
	if err != nil {
		return nil, err
	}
	views := []reports.View{rel, ret}
	for _, outcome := range t.Measures {
		if outcome.Role != "outcome" {
			continue
		}
		v, err := correlateOf(before, correlateOptions{table: flags, outcome: outcome.Name, planes: []string{"transverse", "sagittal"}})
		if err != nil {
			return nil, err
		}
		views = append(views, v)
	}
	return views, nil
}

// writeDemo writes the page of all answers, and the data.
func writeDemo(t *cohort.Table, views []reports.View, o demoOptions) (int, error) {
	page := reports.Page{Title: "An invented cricket academy: how noisy are its tests, who changed, and what goes with speed?", Version: version(), Seed: 1, Input: input(t), Views: views}
	files, err := o.output.folder(page, "demo")
	if err != nil {
		return 0, err
	}
	for _, name := range []string{datasets.Table, datasets.Descriptor, datasets.TruthFile, datasets.Readme} {
		data, err := fs.ReadFile(datasets.Coast(), name)
		if err != nil {
			return 0, err
		}
		files.AddBytes("data/"+name, data)
	}
	return len(files.Names()), files.Write(o.output.out, o.output.force)
}
