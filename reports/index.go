package reports

import (
	"bytes"
	_ "embed"
	"html/template"
)

//go:embed index.tmpl.html
var indexText string

var indexTemplate = template.Must(template.New("index").Parse(styleText + indexText))

type indexEntry struct {
	Title, Sheet, Working string
	Answer                []string
}

// Index renders the page that leads to the sheets of several views: each question
// with its answer in at most three sentences.
func Index(title, lede, version string, views []View) ([]byte, error) {
	data := struct {
		Title, Lede, Version string
		Entries              []indexEntry
		Cautions             []string
	}{Title: title, Lede: lede, Version: version, Cautions: Cautions()}
	for _, v := range views {
		data.Entries = append(data.Entries, indexEntry{v.Title(), v.Stem() + ".html", v.Stem() + "-working.html",
			firstFew(v.Answer())})
	}
	var b bytes.Buffer
	err := indexTemplate.Execute(&b, data)
	return b.Bytes(), err
}
