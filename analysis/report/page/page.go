// Package page writes pages as HTML that need nothing else: the page of a
// publication, sheets, one unit, days on the road and hindsight. It draws what
// stands on them, and on the pages of the vent study.
package page

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"slices"

	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
)

// Page is everything on the one page of a publication.
type Page struct {
	Summary   watch.Summary
	Watchlist table.Table
	Lines     []watch.Line // of the watchlist, in its order
	// Details are those of the first lines of the watchlist, in its order; the
	// lines after them stand on the page as one line each.
	Details []Detail
	Lists   []table.Table // the other lists, each shown up to PageLines lines
	Notes   []string
}

// Detail is what a unit opens to.
type Detail struct {
	Story watch.Story
	Chart watch.Chart
}

// PageDetails is how many units of a page open to their details, PageLines how
// many lines of each other list are on it: more is in the files beside it.
const (
	PageDetails = 500
	PageLines   = 200
)

//go:embed page.tmpl.html
var pageText string

//go:embed page.css
var pageStyle string

//go:embed page.js
var pageScript string

var pages = template.Must(template.New("page").Funcs(template.FuncMap{
	"style":  func() template.CSS { return template.CSS(pageStyle) },
	"script": func() template.JS { return template.JS(pageScript) },
	"text":   words.Visible,
	"title":  table.TitleOf,
}).Parse(pageText))

// pageColumns are the columns of the watchlist that stand on the page's lines.
var pageColumns = []string{
	"place", "tier", "next_step", "serial", "site", "area", "planned_day", "last_routine_visit",
	"co_ppm_air_free", "out_probability", "worst_out_probability", "days_avoided", "points_beyond", "side", "place_from", "place_to", "tied",
}

// WritePage writes one self-contained page: it asks for nothing over the
// network, works without script, and prints. A little script sorts, filters
// and searches. The same input gives the same bytes.
func WritePage(w io.Writer, p Page) error {
	lost := p.Summary.Lost
	p.Summary.Lost = nil // said once, where it is seen without opening anything
	v := pageView{
		AsOf: words.Day(p.Summary.AsOf), Lost: lost, Summary: words.Head(&p.Summary), Steps: stepsOf(p.Lines),
		Notes: p.Notes, Cautions: words.Cautions(), Rest: len(p.Watchlist.Rows) - len(p.Details),
	}
	shown, head := chosen(p.Watchlist, pageColumns)
	v.Columns = head
	for i, row := range p.Watchlist.Rows {
		u := unitView{ID: i + 1, Cells: viewCells(p.Watchlist, row, shown), First: p.Lines[i].Step == watch.GoToday}
		if i < len(p.Details) {
			u.Reasons = words.Why(&p.Lines[i])
			u.Detail = detailView(p.Details[i], (*words.Standing).Rest, pageReadings)
			v.Units = append(v.Units, u)
			continue
		}
		v.far(u)
	}
	for _, t := range p.Lists {
		v.Lists = append(v.Lists, listView(t))
	}
	if err := pages.ExecuteTemplate(w, "page", v); err != nil {
		return fmt.Errorf("write page: %w", err)
	}
	return nil
}

// pageView is a page as its template takes it.
type pageView struct {
	AsOf           string
	Lost           []string // what was lost before any unit was judged
	Summary, Notes []string
	Cautions       []string
	Steps          []stepView
	Columns        []table.Column
	Units          []unitView
	Others         []farView // the lines after them, PageDetails a table: a browser lays out what is near
	Rest           int
	Lists          []tableView
}

// farView is a table of lines without details.
type farView struct {
	From  int
	Units []unitView
}

// far adds a line without details.
func (v *pageView) far(u unitView) {
	n := len(v.Others)
	if n == 0 || len(v.Others[n-1].Units) == PageDetails {
		v.Others = append(v.Others, farView{From: u.ID})
		n++
	}
	v.Others[n-1].Units = append(v.Others[n-1].Units, u)
}

// unitView is one unit's line and, for the first ones, what it opens to.
type unitView struct {
	ID      int
	First   bool // go today: the one shade
	Cells   []cellView
	Reasons string
	Detail  *detailParts
}

type cellView struct {
	Text  string
	Row   bool // names the row: its serial
	Class string
}

type detailParts struct {
	Lines, Check []string
	Chart        template.HTML
	Visits       []visitView
	Earlier      int // readings before those shown
}

// visitView is one visit with its readings, or a change.
type visitView struct {
	Words    string     // day, reason, technician and analyzer, and the line of the record
	Readings [][]string // fire, condition, CO2, O2, verdict, CO, flue temperature
	of       visitKey
}

type visitKey struct {
	day                        day.Day
	what, technician, analyzer string
}

// words says whose readings these are, and where they stand.
func (k visitKey) words(origin string) string {
	w := table.DayCell(k.day).String() + " " + k.what
	if k.technician != "" {
		w += ", " + k.technician
	}
	if k.analyzer != "" {
		w += " with " + k.analyzer
	}
	if origin != "" {
		w += ", " + origin
	}
	return words.Visible(w)
}

// tableView is a list as its template takes it.
type tableView struct {
	Name, Meaning string
	Head          []string
	Columns       []table.Column
	Rows          [][]cellView
	All           int // lines of the whole list
}

// chosen finds the named columns of a table that have any value.
func chosen(t table.Table, names []string) (at []int, columns []table.Column) {
	for _, name := range names {
		if i := table.ColumnAt(t, name); i >= 0 && table.Filled(t, i) {
			at, columns = append(at, i), append(columns, t.Columns[i])
		}
	}
	return at, columns
}

func viewCells(t table.Table, row []table.Cell, at []int) []cellView {
	cells := make([]cellView, len(at))
	for k, i := range at {
		cells[k] = cellView{
			Text: words.Visible(row[i].String()), Row: t.Columns[i].Name == "serial" && !row[i].Missing(),
			Class: cellClass[t.Columns[i].Kind],
		}
	}
	return cells
}

// cellClass sets numbers right and keeps days in one piece.
var cellClass = map[table.Kind]string{table.Number: "n", table.Day: "day"}

// listView takes the columns of a table that a terminal shows too, and of its head what
// the page does not say already.
func listView(t table.Table) tableView {
	v := tableView{Name: t.Name, Head: t.Head, All: len(t.Rows)}
	for _, l := range lists.Lists() {
		if l.Name == t.Name {
			v.Meaning = l.Meaning
		}
	}
	var at []int
	for i, c := range t.Columns {
		if c.Short != "" && table.Filled(t, i) {
			at, v.Columns = append(at, i), append(v.Columns, c)
		}
	}
	for _, row := range t.Rows[:min(len(t.Rows), PageLines)] {
		v.Rows = append(v.Rows, viewCells(t, row, at))
	}
	return v
}

// pageReadings is how many readings of a unit stand on the page.
const pageReadings = 28

// detailView puts together what a unit opens to, with those sentences of where it
// stands that are wanted.
func detailView(d Detail, wanted func(*words.Standing) []string, most int) *detailParts {
	standing := words.StandingOf(&d.Story.Line, d.Story.NotRead)
	v := &detailParts{
		Lines: slices.Concat(words.About(&d.Story.About), wanted(&standing)), Check: words.Look(&d.Story.Line),
		Chart: template.HTML(drawChart(d.Chart)),
	}
	entries := d.Story.Entries
	if len(entries) > most {
		v.Earlier, entries = len(entries)-most, entries[:most]
	}
	for i := range entries {
		v.add(&entries[i])
	}
	return v
}

// add puts an entry under the visit before it where it belongs to that. A
// change, and a visit without a reading, are words alone.
func (v *detailParts) add(e *watch.Entry) {
	key := visitKey{e.Day, words.EntryWhat(e), e.Technician, e.Analyzer}
	n := len(v.Visits)
	if n == 0 || v.Visits[n-1].of != key {
		v.Visits = append(v.Visits, visitView{Words: key.words(e.Origin), of: key})
		n++
	}
	if words.EntryFire(e) == "" {
		return
	}
	visit := &v.Visits[n-1]
	number := func(v float64, decimals int) string { return table.NumberCell(v, decimals).String() }
	visit.Readings = slices.Insert(visit.Readings, 0, []string{
		words.EntryFireShort(e), words.EntryCondition(e),
		number(e.CO2Percent, e.CO2Decimals), number(e.O2Percent, e.O2Decimals),
		words.VerdictShort(e), number(e.CO.AirFreePPM, 0), number(e.FlueTempC, 0),
	})
}

// stepView is how many units ask for a next step, the first of them and why,
// and those after it: all that should be seen today, a few of the others.
type stepView struct {
	Step    watch.Step
	Today   bool // the one shade
	Units   int
	First   stepUnit
	Reasons string
	Then    []stepUnit
	Rest    int // not named
}

type stepUnit struct {
	ID           int
	Serial, Site string
}

// stepThen is how many units are named after the first of a next step.
func stepThen(step watch.Step) int {
	switch step {
	case watch.GoToday:
		return 11
	case watch.LeaveToPlan, watch.FixRecord:
		return 0
	}
	return 3
}

// stepsOf counts the lines by next step, in the order in which they first come.
func stepsOf(lines []watch.Line) []stepView {
	var steps []stepView
	for i := range lines {
		l := &lines[i]
		unit := stepUnit{i + 1, l.Unit.Serial, l.Unit.Site}
		k := slices.IndexFunc(steps, func(s stepView) bool { return s.Step == l.Step })
		if k < 0 {
			steps = append(steps, stepView{Step: l.Step, Today: l.Step == watch.GoToday, Units: 1, First: unit, Reasons: words.Briefly(l)})
			continue
		}
		v := &steps[k]
		if v.Units++; len(v.Then) < stepThen(l.Step) {
			v.Then = append(v.Then, unit)
		} else {
			v.Rest++
		}
	}
	return steps
}
