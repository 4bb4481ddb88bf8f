// Package page writes pages as HTML that need nothing else: the list of a
// publication, its other lists, sheets, one unit, days on the road and hindsight. It
// draws what stands on them, and on the pages of the vent study.
package page

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"

	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
)

// Page is everything on the list of a publication.
type Page struct {
	Summary watch.Summary
	Lines   []watch.Line // of the watchlist, in its order
	// Details are those of the first lines, in their order; the lines after them have
	// none.
	Details []Detail
	Parts   []Part
	Notes   []string
	Past    string // how right past lists were, in one sentence; "" where nobody looked back
	Links   []Link // to the other pages of the publication, this one among them
	Units   units.Set
}

// Link is another page of the publication.
type Link struct{ Name, Address string }

// Detail is what a unit opens to.
type Detail struct {
	Story watch.Story
	Chart watch.Chart
}

// PageDetails is how many units of the whole list open to their details there, where the
// pages of areas have those of the others; PageLines how many lines of each other list
// are on its page: more is in the files beside it.
const (
	PageDetails = 60
	PageLines   = 200
)

//go:embed base.tmpl.html
var baseText string

//go:embed page.tmpl.html
var pageText string

//go:embed unit.tmpl.html
var unitText string

//go:embed base.css
var baseStyle string

//go:embed page.css
var pageStyle string

//go:embed page.js
var pageScript string

var pages = template.Must(template.New("page").Funcs(template.FuncMap{
	"style":  func() template.CSS { return template.CSS(baseStyle + pageStyle) },
	"script": func() template.JS { return template.JS(pageScript) },
	"text":   words.Visible,
	"title":  table.TitleOf,
}).Parse(baseText + pageText + unitText))

// headView is the head of a page.
type headView struct {
	Title, Of string
	AsOf      string
	Nav       []navView
	Print     template.CSS // rules of the printed page
}

type navView struct {
	Link
	Here bool
}

// printed are the rules of a printed page: its turn, "" as the printer has it, and the
// cautions at its foot, once a page. The size of the paper is the printer's own.
func printed(turn string) template.CSS {
	text := strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", " ").Replace(strings.Join(words.Cautions(), " "))
	if turn != "" {
		turn = "size:" + turn + ";"
	}
	return template.CSS(`@page{` + turn + `@bottom-left{content:"` + text + `"}}`)
}

func headOf(title, of string, asOf day.Day, links []Link, here, turn string) headView {
	v := headView{Title: title, Of: of, AsOf: words.Day(asOf), Print: printed(turn)}
	for _, l := range links {
		v.Nav = append(v.Nav, navView{l, l.Address == here})
	}
	return v
}

// pageView is the list as its template takes it.
type pageView struct {
	headView
	Lost           []string // what was lost before any unit was judged
	Past           string
	Summary, Notes []string
	Cautions       []string
	Parts          []partsView
	Groups         []groupView
}

// ListPage is the file of the whole list.
const ListPage = "lists.html"

// WritePage writes the whole list as one self-contained page: it asks for nothing over
// the network, works without script, and prints. A little script searches. The same
// input gives the same bytes.
func WritePage(w io.Writer, p Page) error {
	all := make([]int, len(p.Lines))
	for i := range all {
		all[i] = i
	}
	return writeList(w, p.view(all, ListPage))
}

// view is the page of some lines of the list, at an address.
func (p *Page) view(at []int, here string) pageView {
	s := p.Summary
	s.Lost = nil // said once, where it is seen without opening anything
	v := pageView{
		headView: headOf("Boilers to visit", words.FleetOn(len(at), s.AsOf), s.AsOf, p.Links, here, "landscape"),
		Lost:     p.Summary.Lost, Past: p.Past, Cautions: words.Cautions(), Parts: p.parts(here), Groups: p.groups(at, here),
	}
	if here == ListPage {
		v.Summary, v.Notes = words.Head(&s), p.Notes
	}
	return v
}

func writeList(w io.Writer, v pageView) error {
	if err := pages.ExecuteTemplate(w, "page", v); err != nil {
		return fmt.Errorf("write page: %w", err)
	}
	return nil
}
