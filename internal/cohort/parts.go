package cohort

import (
	"archive/zip"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"slices"
	"strings"
)

// The parts of a workbook that have a fixed place (ECMA-376 part 1, 12).
const (
	packageRels   = "_rels/.rels"
	sharedStrings = "xl/sharedStrings.xml"
	stylesPart    = "xl/styles.xml"
)

// parts are the files in the archive of a workbook.
type parts struct {
	archive *zip.Reader
	charset func(label string, input io.Reader) (io.Reader, error) // of XML that is not UTF-8
}

// A damage is what is wrong with a part of a workbook.
type damage struct {
	part string
	row  int // last row of the sheet that was begun; 0 before the first, and in other parts
	err  error
}

// Error says where the damage is, and what to do.
func (d *damage) Error() string {
	where := ""
	if d.row > 0 {
		where = fmt.Sprintf(", in or after row %d", d.row)
	}
	return fmt.Sprintf("the workbook is damaged (%s%s: %v): refused, since rows may be lost; "+
		"open it in a spreadsheet program, check the table, save it again, or write it as CSV", d.part, where, d.err)
}

func (d *damage) Unwrap() error { return d.err }

// find returns the part of a name, nil without one. Names differ in case
// between writers.
func (p parts) find(name string) (found *zip.File, err error) {
	for _, f := range p.archive.File {
		if !strings.EqualFold(strings.ReplaceAll(f.Name, `\`, "/"), name) {
			continue
		}
		if found != nil {
			return nil, &damage{part: name, err: errors.New("the archive holds it twice")}
		}
		found = f
	}
	return found, nil
}

// read hands the tokens of a part to each until it ends. What is wrong, in the
// archive, the XML or by each, is a [*damage]. ok is false without the part.
func (p parts) read(name string, each func(d *xml.Decoder, t xml.Token) error) (ok bool, err error) {
	f, err := p.find(name)
	if f == nil || err != nil {
		return false, err
	}
	r, err := f.Open()
	if err != nil {
		return true, &damage{part: name, err: err}
	}
	defer r.Close()
	d := xml.NewDecoder(r)
	d.CharsetReader = p.charset
	roots := 0
	for {
		t, err := d.RawToken()
		if err == io.EOF {
			break
		}
		if err == nil {
			err = each(d, t)
		}
		if err != nil {
			return true, damaged(name, err)
		}
		roots++
	}
	if roots == 0 {
		return true, &damage{part: name, err: errors.New("it is empty")}
	}
	return true, nil
}

func damaged(part string, err error) error {
	if d := (*damage)(nil); errors.As(err, &d) {
		d.part = part
		return d
	}
	return &damage{part: part, err: err}
}

// nest follows the elements of a part: which are open, and that each is closed
// by its own end. Raw tokens leave that to us and take half the time.
type nest struct {
	open  []xml.Name // with the prefix as it is written
	roots int
}

// at is the local name of the open element at a depth, the root's being 0.
func (n *nest) at(depth int) string { return n.open[depth].Local }

// step takes in a token, and says what is wrong with it.
func (n *nest) step(t xml.Token) error {
	switch t := t.(type) {
	case xml.StartElement:
		if len(n.open) == 0 {
			if n.roots++; n.roots > 1 {
				return errors.New("more than one root element")
			}
		}
		for i, a := range t.Attr {
			if slices.ContainsFunc(t.Attr[:i], func(b xml.Attr) bool { return a.Name == b.Name }) {
				return fmt.Errorf("element %q has its attribute %q twice", t.Name.Local, a.Name.Local)
			}
		}
		n.open = append(n.open, t.Name)
	case xml.EndElement:
		if len(n.open) == 0 || n.open[len(n.open)-1] != t.Name {
			return fmt.Errorf("unexpected end of element %q", t.Name.Local)
		}
		n.open = n.open[:len(n.open)-1]
	case xml.CharData:
		if len(n.open) == 0 && len(trim(t)) > 0 {
			return errors.New("text outside of the root element")
		}
	}
	return nil
}

// end says what is open still when the part ends.
func (n *nest) end() error {
	if len(n.open) > 0 {
		return fmt.Errorf("it is cut short: element %q is not closed", n.at(len(n.open)-1))
	}
	if n.roots == 0 {
		return errors.New("it holds no element")
	}
	return nil
}

// sound reads a part to its end; see hands on its start elements.
func (p parts) sound(name string, see func(n *nest, t xml.StartElement)) (bool, error) {
	var n nest
	ok, err := p.read(name, func(_ *xml.Decoder, t xml.Token) error {
		if err := n.step(t); err != nil {
			return err
		}
		if start, isStart := t.(xml.StartElement); isStart && see != nil {
			see(&n, start)
		}
		return nil
	})
	if !ok || err != nil {
		return ok, err
	}
	if err := n.end(); err != nil {
		return true, &damage{part: name, err: err}
	}
	return true, nil
}

// attribute is the value of an attribute by its local name.
func attribute(t xml.StartElement, name string) string {
	for _, a := range t.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// relations reads where the relations of a part lead, by id.
func (p parts) relations(of string) (targets map[string]string, book string, err error) {
	dir := path.Dir(of)
	rels := packageRels
	if of != "" {
		rels = path.Join(dir, "_rels", path.Base(of)+".rels")
	}
	targets = make(map[string]string)
	_, err = p.sound(rels, func(_ *nest, t xml.StartElement) {
		if t.Name.Local != "Relationship" {
			return
		}
		target := strings.ReplaceAll(attribute(t, "Target"), `\`, "/")
		if !strings.HasPrefix(target, "/") {
			target = path.Join("/", dir, target)
		}
		target = strings.TrimPrefix(path.Clean(target), "/")
		targets[attribute(t, "Id")] = target
		if strings.HasSuffix(attribute(t, "Type"), "/officeDocument") {
			book = target
		}
	})
	return targets, book, err
}

// sheetPart finds the part that holds a sheet.
func (p parts) sheetPart(sheet string) (string, error) {
	_, book, err := p.relations("")
	if err != nil {
		return "", err
	}
	targets, _, err := p.relations(book)
	if err != nil {
		return "", err
	}
	part := ""
	_, err = p.sound(book, func(_ *nest, t xml.StartElement) {
		if t.Name.Local != "sheet" || attribute(t, "name") != sheet {
			return
		}
		for _, a := range t.Attr {
			if a.Name.Local == "id" && a.Name.Space != "" {
				part = targets[a.Value]
			}
		}
	})
	if err == nil && part == "" {
		err = &damage{part: book, err: fmt.Errorf("nothing leads to the cells of sheet %q", sheet)}
	}
	return part, err
}

// check reads all that a sheet needs to its end, strictly: the reader of rows
// takes the place of damage in the XML for the end of the table.
func (p parts) check(sheet string) error {
	if _, err := p.sound(stylesPart, nil); err != nil {
		return err
	}
	strings := 0
	if _, err := p.sound(sharedStrings, func(n *nest, t xml.StartElement) {
		if t.Name.Local == "si" && len(n.open) == 2 {
			strings++
		}
	}); err != nil {
		return err
	}
	part, err := p.sheetPart(sheet)
	if err != nil {
		return err
	}
	s := &sheetCheck{strings: strings}
	ok, err := p.read(part, s.token)
	switch {
	case err != nil:
		return err
	case !ok:
		return &damage{part: part, err: errors.New("it is missing")}
	}
	if err := s.end(); err != nil {
		return &damage{part: part, row: s.row, err: err}
	}
	return nil
}
