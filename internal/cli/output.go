package cli

import (
	"bytes"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"sync"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"noisefloor/internal/outfile"
	"noisefloor/reports"
	"noisefloor/reports/picture"
)

// outputFlags say where results go and in which form.
type outputFlags struct {
	format, out           string
	force, quiet, details bool
	grey                  bool
}

func (f *outputFlags) register(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.StringVar(&f.out, "out", "", "`folder` for a sheet, a working page, tables and JSON")
	grouped(fl, groupOutput, f.registerRest)
}

func (f *outputFlags) registerRest(fl *pflag.FlagSet) {
	fl.StringVar(&f.format, "format", "text", "`form` of standard output: text, json, csv or markdown")
	fl.BoolVar(&f.force, "force", false, "replace files that are there")
	fl.BoolVar(&f.quiet, "quiet", false, "only the answer and the main table; nothing on standard error but errors")
	fl.BoolVar(&f.details, "details", false, "text: every table")
	fl.BoolVar(&f.grey, "grey", false, "pictures in --out without colour")
}

func (f *outputFlags) check() error {
	switch f.format {
	case "text", "json", "csv", "markdown":
		return nil
	}
	return usage("--format %q: text, json, csv or markdown", f.format)
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
		p := reports.Page{Title: v.Title(), Version: version(), Seed: a.Seed, Input: a.Input, Views: []reports.View{v}}
		files, err := f.folder(p, v.Name())
		if err != nil {
			return err
		}
		if err := files.Write(f.out, f.force); err != nil {
			return err
		}
		if !f.quiet {
			fmt.Fprintf(s.err, "wrote %d files; open %s\n", len(files.Names()), filepath.Join(f.out, v.Name()+".html"))
		}
	}
	for _, m := range more {
		if err := m.Write(f.force); err != nil {
			return err
		}
	}
	return f.print(s.out, v)
}

func (f *outputFlags) print(w io.Writer, v reports.View) error {
	switch f.format {
	case "json":
		return reports.WriteJSON(w, v)
	case "csv":
		return v.Data().WriteCSV(w)
	case "markdown":
		return reports.WriteMarkdown(w, v)
	}
	return reports.WriteText(w, v, reports.TextOptions{Details: f.details, Quiet: f.quiet, Bold: bold(w)})
}

// folder renders everything that --out holds: the page, and for each view its
// JSON, tables and pictures.
func (f *outputFlags) folder(p reports.Page, stem string) (*outfile.Set, error) {
	var files outfile.Set
	if err := files.Add(stem+".html", p.Write); err != nil {
		return nil, err
	}
	for _, v := range p.Views {
		name := v.Name()
		if len(p.Views) > 1 {
			name = v.Stem()
		}
		if err := f.addView(&files, v, name); err != nil {
			return nil, err
		}
	}
	return &files, nil
}

func (f *outputFlags) addView(files *outfile.Set, v reports.View, name string) error {
	if err := files.Add(name+".json", func(w io.Writer) error { return reports.WriteJSON(w, v) }); err != nil {
		return err
	}
	data := v.Data()
	written := map[string]bool{data.Name: true}
	if err := files.Add("tables/"+name+"/"+data.Name+".csv", data.WriteCSV); err != nil {
		return err
	}
	for _, t := range v.Tables() {
		if written[t.Name] {
			continue
		}
		written[t.Name] = true
		if err := files.Add("tables/"+name+"/"+t.Name+".csv", t.WriteCSV); err != nil {
			return err
		}
	}
	pictures, err := v.Pictures()
	if err != nil {
		return err
	}
	return f.addPictures(files, pictures, "pictures/"+name+"/")
}

// addPictures draws on all cores and adds in order.
func (f *outputFlags) addPictures(files *outfile.Set, pictures []picture.Picture, folder string) error {
	type drawn struct {
		svg, png bytes.Buffer
		err      error
	}
	all := make([]drawn, len(pictures))
	var wait sync.WaitGroup
	slots := make(chan struct{}, 4)
	for i := range pictures {
		wait.Add(1)
		go func() {
			defer wait.Done()
			slots <- struct{}{}
			defer func() { <-slots }()
			d := &all[i]
			if d.err = pictures[i].WriteSVG(&d.svg, picture.Options{Grey: f.grey}); d.err == nil {
				d.err = pictures[i].WritePNG(&d.png, picture.Options{Grey: f.grey})
			}
		}()
	}
	wait.Wait()
	for i, p := range pictures {
		if all[i].err != nil {
			return fmt.Errorf("picture %s: %w", p.Name, all[i].err)
		}
		stem := folder + strings.Trim(p.Name, "/")
		files.AddBytes(stem+".svg", all[i].svg.Bytes())
		files.AddBytes(stem+".png", all[i].png.Bytes())
	}
	return nil
}
