package cohort

import (
	"archive/zip"
	"io"
	"path"
	"slices"
	"strings"
)

// zipStrangers are files that documents of other kinds hold, all of which are
// zip archives.
var zipStrangers = []struct{ file, what string }{
	{"xl/workbook.bin", "a binary workbook (.xlsb)"},
	{"word/document.xml", "a text document (.docx)"},
	{"ppt/presentation.xml", "a presentation (.pptx)"},
	{"Index/Document.iwa", "a document of a program that keeps its own format"},
}

// openDocuments are the kinds of OpenDocument files, by the end of the media
// type that they state in the file "mimetype" (OpenDocument 1.3, part 2, 3.3).
var openDocuments = []struct{ kind, what string }{
	{"spreadsheet", "an OpenDocument spreadsheet (.ods)"},
	{"text", "an OpenDocument text (.odt)"},
}

// zipStranger says what an archive is when it is a known document and no .xlsx
// workbook, "" else.
func zipStranger(z *zip.Reader) string {
	for _, f := range z.File {
		for _, s := range zipStrangers {
			if strings.EqualFold(f.Name, s.file) {
				return s.what
			}
		}
		if kind, ok := strings.CutPrefix(mediaType(f), "application/vnd.oasis.opendocument."); ok {
			for _, d := range openDocuments {
				if strings.HasPrefix(kind, d.kind) {
					return d.what
				}
			}
			return "an OpenDocument file"
		}
	}
	return ""
}

// mediaType reads the file "mimetype" of an archive, "" for other files.
func mediaType(f *zip.File) string {
	if f.Name != "mimetype" {
		return ""
	}
	r, err := f.Open()
	if err != nil {
		return ""
	}
	defer r.Close()
	text, err := io.ReadAll(io.LimitReader(r, 200))
	if err != nil {
		return ""
	}
	return strings.TrimSpace(string(text))
}

// inside says what to do with a plain archive, by the tables in it.
func inside(z *zip.Reader) string {
	var tables []string
	for _, f := range z.File {
		if slices.Contains([]string{".csv", ".tsv", ".txt", ".xlsx"}, strings.ToLower(path.Ext(f.Name))) {
			tables = append(tables, f.Name)
		}
	}
	if len(tables) == 0 {
		return "unpack it, or save the table as .xlsx or CSV"
	}
	return "unpack it and name the table in it: " + quoteList(tables)
}
