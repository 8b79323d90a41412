package reports

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"sync"

	"noisefloor/reports/picture"
)

// FolderOptions say what a folder of results holds beside sheets, working pages,
// tables and JSON.
type FolderOptions struct {
	Pictures string // "sheet": that of the sheet; "all": every one
	PNG      bool   // pictures as PNG too
	Grey     bool   // pictures without colour

	several bool // of several views, each has a workbook of its own name
}

// A Rendered is a file ready to be written.
type Rendered struct {
	Name string // with slashes
	Data []byte
}

// Many is a view with further sheets of its own, one for each athlete.
type Many interface{ Sheets() []NamedSheet }

// A NamedSheet is a sheet and the file it goes to, with slashes.
type NamedSheet struct {
	Name  string
	Sheet Sheet
}

// Folder renders views: for each its sheet, its working page, its JSON, its
// tables and the pictures asked for. Of abouts there is one for each view.
func Folder(views []View, abouts []About, o FolderOptions) ([]Rendered, error) {
	if len(abouts) != len(views) {
		return nil, fmt.Errorf("%d views, and %d say where they come from", len(views), len(abouts))
	}
	var out []Rendered
	o.several = len(views) > 1
	for i, v := range views {
		name := v.Name()
		if len(views) > 1 {
			name = v.Stem()
		}
		files, err := folderOf(v, abouts[i], name, o)
		if err != nil {
			return nil, err
		}
		out = append(out, files...)
	}
	return out, nil
}

func folderOf(v View, a About, name string, o FolderOptions) ([]Rendered, error) {
	var out []Rendered
	add := func(file string, write func(io.Writer) error) error {
		var b bytes.Buffer
		if err := write(&b); err != nil {
			return fmt.Errorf("%s: %w", file, err)
		}
		out = append(out, Rendered{file, b.Bytes()})
		return nil
	}
	sheet, err := v.Sheet()
	if err != nil {
		return nil, err
	}
	working := name + "-working.html"
	page := Page{Title: v.Title(), About: a, Views: []View{v}, Sheet: name + ".html", Grey: o.Grey}
	for _, f := range []struct {
		name  string
		write func(io.Writer) error
	}{
		{name + ".html", func(w io.Writer) error {
			return sheet.Write(w, a.Version, working,
				picture.Options{Grey: o.Grey})
		}},
		{working, page.Write},
		{name + ".json", func(w io.Writer) error { return WriteJSON(w, v) }},
	} {
		if err := add(f.name, f.write); err != nil {
			return nil, err
		}
	}
	if many, ok := v.(Many); ok {
		for _, n := range many.Sheets() {
			err := add(n.Name, func(w io.Writer) error {
				return n.Sheet.Write(w, a.Version, strings.Repeat("../", strings.Count(n.Name, "/"))+working, picture.Options{Grey: o.Grey})
			})
			if err != nil {
				return nil, err
			}
		}
	}
	written := map[string]bool{}
	for _, t := range append(v.Tables(), v.Data()) {
		if written[t.Name] {
			continue
		}
		written[t.Name] = true
		if err := add("tables/"+name+"/"+t.Name+".csv", t.WriteCSV); err != nil {
			return nil, err
		}
	}
	book := "tables.xlsx"
	if o.several {
		book = "tables/" + name + ".xlsx"
	}
	if err := add(book, func(w io.Writer) error { return WriteWorkbook(w, v, a) }); err != nil {
		return nil, err
	}
	drawn, err := drawnPictures(v, sheet, o)
	if err != nil {
		return nil, err
	}
	files, err := drawAll(drawn, "pictures/"+name+"/", o)
	return append(out, files...), err
}

func drawnPictures(v View, s Sheet, o FolderOptions) ([]picture.Picture, error) {
	if o.Pictures == "all" {
		return v.Pictures()
	}
	p, err := s.picture()
	if err != nil || p == nil {
		return nil, err
	}
	return []picture.Picture{*p}, nil
}

// drawAll draws on all cores and returns the files in order.
func drawAll(all []picture.Picture, folder string, o FolderOptions) ([]Rendered, error) {
	type drawn struct {
		svg, png bytes.Buffer
		err      error
	}
	done := make([]drawn, len(all))
	var wait sync.WaitGroup
	slots := make(chan struct{}, 4)
	for i := range all {
		wait.Go(func() {
			slots <- struct{}{}
			defer func() { <-slots }()
			d := &done[i]
			if d.err = all[i].WriteSVG(&d.svg, picture.Options{Grey: o.Grey}); d.err == nil && o.PNG {
				d.err = all[i].WritePNG(&d.png, picture.Options{Grey: o.Grey})
			}
		})
	}
	wait.Wait()
	var out []Rendered
	for i, p := range all {
		if done[i].err != nil {
			return nil, fmt.Errorf("picture %s: %w", p.Name, done[i].err)
		}
		stem := folder + strings.Trim(p.Name, "/")
		out = append(out, Rendered{stem + ".svg", done[i].svg.Bytes()})
		if o.PNG {
			out = append(out, Rendered{stem + ".png", done[i].png.Bytes()})
		}
	}
	return out, nil
}
