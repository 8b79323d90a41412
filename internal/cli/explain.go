package cli

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"noisefloor/internal/outfile"
	"noisefloor/reports"
	"noisefloor/reports/glossary"
)

type explainOptions struct {
	output outputFlags
	terms  []string
}

func newExplain(s streams) *cobra.Command {
	var o explainOptions
	cmd := &cobra.Command{
		Use:   "explain [TERM...]",
		Short: "What does a term mean?",
		Long: `explain says of every term in the output what it means in plain words, its
formula, when it misleads, where it stands, and its source. TERM is a name, a
column head, a JSON key or the beginning of one; quotes are not needed. Without
TERM it lists them all. --out DIR writes a page of every term.`,
		Example: `  noisefloor explain typical error
  noisefloor explain 'ICC(A,1)' 'p (BH)' spread_on_mean
  noisefloor explain --out words`,
		RunE: func(_ *cobra.Command, args []string) error {
			o.terms = args
			o.output.folder.Pictures = "sheet"
			if err := o.output.check(); err != nil {
				return err
			}
			return work(runExplain(s, o))
		},
	}
	fl := cmd.Flags()
	fl.StringVar(&o.output.format, "format", "text", "`form` of standard output: text, json, csv or markdown")
	fl.StringVar(&o.output.out, "out", "", "`folder` for a page of every term, and JSON")
	fl.BoolVar(&o.output.force, "force", false, "replace files that are there")
	fl.BoolVar(&o.output.quiet, "quiet", false, "only the plain words; nothing on standard error but errors")
	return cmd
}

func runExplain(s streams, o explainOptions) error {
	terms, err := findTerms(o.terms)
	if err != nil {
		return err
	}
	e := reports.Explanation{Version: version(), Terms: terms}
	if o.output.out != "" {
		if err := o.writePage(s); err != nil {
			return err
		}
	}
	switch o.output.format {
	case "json":
		return e.WriteJSON(s.out)
	case "csv":
		return e.WriteCSV(s.out)
	case "markdown":
		return e.WriteMarkdown(s.out)
	}
	return e.WriteText(s.out, o.output.quiet)
}

// writePage writes every term, whichever were asked for: a page of one term
// would have links that lead nowhere.
func (o explainOptions) writePage(s streams) error {
	all := reports.Explanation{Version: version()}
	var files outfile.Set
	if err := files.Add("explain.html", all.WritePage); err != nil {
		return err
	}
	if err := files.Add("explain.json", all.WriteJSON); err != nil {
		return err
	}
	if err := files.Write(o.output.out, o.output.force); err != nil {
		return err
	}
	if !o.output.quiet {
		fmt.Fprintf(s.err, "wrote %d files; open %s\n", len(files.Names()), filepath.Join(o.output.out, "explain.html"))
	}
	return nil
}

// findTerms takes the words as one term, and, if there is no such term, as
// several. No words are no terms: nil.
func findTerms(words []string) ([]glossary.Term, error) {
	if len(words) == 0 {
		return nil, nil
	}
	if t, ok := glossary.Find(strings.Join(words, " ")); ok {
		return []glossary.Term{t}, nil
	}
	var out []glossary.Term
	for _, w := range words {
		t, ok := glossary.Find(w)
		if !ok {
			return nil, noTerm(words, w)
		}
		if !slices.ContainsFunc(out, func(u glossary.Term) bool { return u.Name == t.Name }) {
			out = append(out, t)
		}
	}
	return out, nil
}

const suggestions = 5

// noTerm says which terms may have been meant by all words together or by the
// one that is unknown, or else where they stand. Whoever put one term in quotes
// means each word as a term.
func noTerm(words []string, word string) error {
	all := strings.Join(words, " ")
	if slices.ContainsFunc(words, func(w string) bool { return strings.Contains(w, " ") }) {
		all = word
	}
	var near []string
	add := func(names []string) {
		for _, name := range names {
			if len(near) < suggestions && !slices.Contains(near, name) {
				near = append(near, name)
			}
		}
	}
	for _, q := range []string{all, word} {
		add(glossary.Nearest(q, suggestions))
		if len(near) == 0 {
			for _, t := range glossary.Search(q) {
				add([]string{t.Name})
			}
		}
	}
	if len(near) == 0 {
		return fmt.Errorf("no term %q and none like it; 'noisefloor explain' lists them all", all)
	}
	return fmt.Errorf("no single term %q; nearest: %s; 'noisefloor explain' lists them all", all, strings.Join(near,
		"; "))
}
