package cli

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"noisefloor/internal/outfile"
	"noisefloor/reports"
	"noisefloor/reports/table"
)

// outputFlags say where results go and in which form.
type outputFlags struct {
	format, out           string
	force, quiet, details bool
	folder                reports.FolderOptions
}

func (f *outputFlags) register(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.StringVar(&f.out, "out", "", "`folder` for a sheet of one page, the working page behind it, tables and JSON")
	grouped(fl, groupOutput, func(fl *pflag.FlagSet) {
		fl.StringVar(&f.format, "format", "text", "`form` of standard output: text, json, csv, markdown or xlsx")
		fl.BoolVar(&f.details, "details", false, "text: every table, whole")
		fl.BoolVar(&f.quiet, "quiet", false, "only the answer and the main table; nothing on standard error but errors")
		f.registerFolder(fl)
	})
}

// registerFolder binds the flags of what --out writes.
func (f *outputFlags) registerFolder(fl *pflag.FlagSet) {
	fl.BoolVar(&f.force, "force", false, "replace files that are there")
	fl.StringVar(&f.folder.Pictures, "pictures", "sheet",
		"`which` pictures --out writes as files: sheet (that of the sheet) or all")
	fl.BoolVar(&f.folder.PNG, "png", false, "pictures as PNG too")
	fl.BoolVar(&f.folder.Grey, "grey", false, "pictures without colour")
}

func (f *outputFlags) check() error {
	switch f.format {
	case "text", "json", "csv", "markdown", "xlsx", "":
	default:
		return usage("--format %q: text, json, csv, markdown or xlsx", f.format)
	}
	if f.folder.Pictures != "sheet" && f.folder.Pictures != "all" {
		return usage("--pictures %q: sheet or all", f.folder.Pictures)
	}
	return nil
}

// deliver writes the folder, if one was asked for, and further files, all or
// none of them, then standard output.
func (f *outputFlags) deliver(s streams, v reports.View, a reports.About, more ...outfile.File) error {
	for _, m := range more {
		if err := m.Check(f.force); err != nil {
			return err
		}
	}
	if f.out != "" {
		if err := f.writeFolder(s, v, a); err != nil {
			return err
		}
	}
	for _, m := range more {
		if err := m.Write(f.force); err != nil {
			return err
		}
	}
	if f.format == "csv" && !f.quiet { // the only form that does not hold them
		for _, w := range v.Warnings() {
			fmt.Fprintln(s.err, "  watch out: "+table.Clean(w))
		}
	}
	return f.print(s.out, v, a)
}

func (f *outputFlags) writeFolder(s streams, v reports.View, a reports.About) error {
	rendered, err := reports.Folder([]reports.View{v}, []reports.About{a}, f.folder)
	if err != nil {
		return err
	}
	files := fileSet(rendered)
	if err := files.Write(f.out, f.force); err != nil {
		return err
	}
	if !f.quiet {
		fmt.Fprintf(s.err, "wrote %d files; open %s\n", len(files.Names()), filepath.Join(f.out, v.Name()+".html"))
	}
	return nil
}

// fileSet gathers rendered files to be written all or none.
func fileSet(rendered []reports.Rendered) *outfile.Set {
	var files outfile.Set
	for _, r := range rendered {
		files.AddBytes(r.Name, r.Data)
	}
	return &files
}

func (f *outputFlags) print(w io.Writer, v reports.View, a reports.About) error {
	switch f.format {
	case "json":
		return reports.WriteJSON(w, v)
	case "csv":
		return v.Data().WriteCSV(w)
	case "xlsx":
		if isTerminal(w) {
			return errors.New("a workbook is no text for a terminal: write it to a file (… --format xlsx > tables.xlsx), or " +
				"--out DIR, which holds one")
		}
		return reports.WriteWorkbook(w, v, a)
	case "markdown":
		return reports.WriteMarkdown(w, v)
	}
	return reports.WriteText(w, v, reports.TextOptions{Details: f.details, Quiet: f.quiet, Bold: bold(w),
		Width: width(w)})
}
