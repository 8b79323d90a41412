package reports_test

import (
	"bytes"
	"encoding/xml"
	"io"
	"math"
	"regexp"
	"strings"
	"testing"

	"noisefloor/analysis/retest"
	"noisefloor/reports"
	"noisefloor/reports/table"
)

// plainView is a view with tables and pictures of its own.
type plainView struct {
	reports.Retest
	title  string
	tables []table.Table
}

func (v plainView) Title() string         { return v.title }
func (v plainView) Answer() []string      { return []string{"The answer."} }
func (v plainView) Tables() []table.Table { return v.tables }

func tableOf(name string, columns int) table.Table {
	t := table.Table{Name: name, Caption: "Caption of " + name, Notes: []string{"Note of " + name}}
	var row []table.Cell
	for range columns {
		t.Columns = append(t.Columns, table.R("head", "key"))
		row = append(row, table.Num(math.Pi, "+3.1 W (+1.0 to +5.2)"))
	}
	t.Rows = [][]table.Cell{row}
	return t
}

func viewOf(title string, measures int) plainView {
	var all []retest.Change
	for i := range measures {
		all = append(all, changeOf("C1", strings.Repeat("m", i+1), "1", "2", 30))
	}
	return plainView{Retest: retestView([]retest.Occasion{occasion("1", "2")}, all...), title: title,
		tables: []table.Table{tableOf("narrow", 8), tableOf("wide", 9)}}
}

func write(t *testing.T, p reports.Page) string {
	t.Helper()
	var b bytes.Buffer
	if err := p.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestOneViewHasOneHeading(t *testing.T) {
	page := write(t, reports.Page{Title: "Which?", Views: []reports.View{viewOf("Which?", 1)}})
	if n := strings.Count(page, ">Which?</h"); n != 1 {
		t.Errorf("the heading stands %d times", n)
	}
	if !strings.Contains(page, `<h1 id="title">Which?</h1>`) || !strings.Contains(page,
		`<section id="s1-retest" aria-labelledby="title">`) {
		t.Error("the section is not named by the page's heading")
	}
	for name, p := range map[string]reports.Page{
		"another title": {Title: "All", Views: []reports.View{viewOf("Which?", 1)}},
		"two views":     {Title: "Which?", Views: []reports.View{viewOf("Which?", 1), viewOf("Who?", 1)}},
	} {
		if page := write(t, p); !strings.Contains(page, `<h2 id="s1-retest-h">Which?</h2>`) || !strings.Contains(page,
			`aria-labelledby="s1-retest-h"`) {
			t.Errorf("%s: the section has no heading of its own", name)
		}
	}
}

var (
	identifier = regexp.MustCompile(`\sid="([^"]+)"`)
	target     = regexp.MustCompile(`href="#([^"]+)"`)
)

func TestManyPicturesAreListed(t *testing.T) {
	page := write(t, reports.Page{Title: "All", Views: []reports.View{viewOf("Many", 6), viewOf("Few", 4)}})
	many, few, _ := strings.Cut(page, `<section id="s2-`)
	if n := strings.Count(many, `<li><a href="#s1-p`); n != 6 || !strings.Contains(many,
		`aria-label="Pictures: Many"`) {
		t.Errorf("%d of 6 pictures listed", n)
	}
	if !strings.Contains(many, `<a href="#s1-p3-figure">Changes in mmm, session 1 to 2</a>`) {
		t.Error("a link does not bear the picture's title")
	}
	if strings.Contains(few, `class="pictures"`) {
		t.Error("four pictures are listed")
	}
	ids := map[string]bool{}
	for _, m := range identifier.FindAllStringSubmatch(page, -1) {
		if ids[m[1]] {
			t.Errorf("identifier %s stands twice", m[1])
		}
		ids[m[1]] = true
	}
	for _, m := range target.FindAllStringSubmatch(page, -1) {
		if !ids[m[1]] {
			t.Errorf("link to %s, which is not there", m[1])
		}
	}
	if figures := strings.Count(page, "<figure "); figures != 10 || strings.Count(page, `role="img"`) != figures {
		t.Errorf("%d figures, %d of them images", figures, strings.Count(page, `role="img"`))
	}
	if strings.Contains(page, "<script") {
		t.Error("a script")
	}
}

// On a narrow screen each cell says its column, by rules that stand once for a
// table; what a head holds cannot leave its rule.
func TestNarrowLabels(t *testing.T) {
	v := viewOf("Which?", 1)
	v.tables = []table.Table{{Name: "odd", Caption: "Odd", Columns: []table.Column{table.L("test", "test"),
		table.R("a \"b\" \\ </style>", "x")},
		Rows: [][]table.Cell{{table.Text("one"), table.Num(1, "1")}}}}
	page := write(t, reports.Page{Title: "Which?", Views: []reports.View{v}})
	if want := `td:nth-child(2)::before{content:"a \"b\" \\ \3c /style>"}`; !strings.Contains(page, want) {
		t.Errorf("no %s", want)
	}
	if n := strings.Count(page, `td:nth-child(1)`); n != 0 {
		t.Errorf("the row's own head has a label, %d times", n)
	}
}

// Tables of more than eight columns are wide; a number may break before its
// interval and nowhere else.
func TestWideTables(t *testing.T) {
	page := write(t, reports.Page{Title: "Which?", Views: []reports.View{viewOf("Which?", 1)}})
	for name, class := range map[string]string{"narrow": "<div>", "wide": `<div class="wide">`} {
		want := class + `<div class="scroll" tabindex="0" role="region" aria-label="Caption of ` + name + `">`
		if !strings.Contains(page, want) {
			t.Errorf("no %s", want)
		}
	}
	if want := `<td class="n parts"><span><span>&#43;3.1 W</span> <span>(&#43;1.0 to &#43;5.2)</span></span></td>`; !strings.Contains(page, want) {
		t.Errorf("no %s", want)
	}
	for _, want := range []string{"@page wide{size:A4 landscape", ".wide{page:wide}", ".wide table{font-size:8pt}",
		".scroll{overflow-x:auto}"} {
		if !strings.Contains(page, want) {
			t.Errorf("no %s", want)
		}
	}
}

// Every element that is opened is closed, in order.
func TestPageIsWellFormed(t *testing.T) {
	page := write(t, reports.Page{Title: "Which?", Views: []reports.View{viewOf("Which?", 6)}})
	_, body, _ := strings.Cut(page, "<body>")
	d := xml.NewDecoder(strings.NewReader("<body>" + strings.TrimSuffix(strings.TrimSpace(body), "</html>")))
	d.Entity = xml.HTMLEntity
	for {
		if _, err := d.Token(); err == io.EOF {
			return
		} else if err != nil {
			t.Fatal(err)
		}
	}
}
