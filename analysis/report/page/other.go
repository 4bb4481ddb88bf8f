package page

import (
	"fmt"
	"io"

	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/words"
)

// otherView is the page of one of the other lists.
type otherView struct {
	headView
	Table    tableView
	Cautions []string
}

// tableView is a list as its template takes it.
type tableView struct {
	Name, Meaning string
	Head          []string
	Columns       []table.Column
	Rows          [][]cellView
	All           int // lines of the whole list
}

type cellView struct {
	Text  string
	Row   bool // names the row: its serial
	Class string
}

// OtherPage is the file of the page of a list.
func OtherPage(t table.Table) string { return t.Name + ".html" }

// WriteOther writes the page of one of the other lists, of which it has the first
// PageLines lines.
func WriteOther(w io.Writer, t table.Table, links []Link) error {
	title, _ := words.ListTitle(t.Name)
	v := otherView{
		headView: headOf(title, words.Day(t.AsOf), t.AsOf, links, OtherPage(t), "landscape"),
		Table:    listView(t), Cautions: words.Cautions(),
	}
	if err := pages.ExecuteTemplate(w, "other", v); err != nil {
		return fmt.Errorf("write page of %s: %w", t.Name, err)
	}
	return nil
}

// listView takes the columns of a table that a terminal shows too, and of its head what
// the page does not say already.
func listView(t table.Table) tableView {
	v := tableView{Name: t.Name, Head: t.Head, All: len(t.Rows)}
	for _, l := range lists.Lists() {
		if l.Name == t.Name {
			v.Meaning = words.Capital(l.Meaning)
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
