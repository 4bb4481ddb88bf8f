package page

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"

	"fluedrift/analysis/report/words"
	"fluedrift/model/day"
)

//go:embed beginning.tmpl.html
var beginningText string

var beginningTemplate = template.Must(template.Must(pages.Clone()).Parse(beginningText))

// Beginning is what was understood of a folder of exports before a first list.
type Beginning struct {
	Exports   string // the folder
	AsOf      day.Day
	Answers   string // file that answers go into
	Questions []BeginningQuestion
	Judgeable []string // what a list made now could and could not judge
	Kinds     []BeginningFiles
	Next      []string // commands
}

// BeginningQuestion is what only a person can know.
type BeginningQuestion struct {
	Ask      string
	Evidence []string
	Choices  []string
	Guess    string   // what holds until it is answered
	Wrong    []string // answers that cannot be read
	Lines    []string // where answers go, as they stand in the file
}

// BeginningFiles are the files of one kind.
type BeginningFiles struct {
	Names, Taken string   // of the files; what they are taken for
	Fates        []string // what becomes of their lines
	Steps        []string // done to rows before their columns are read
	Notes        []string // what a person should look at
	Columns      []BeginningColumn
	Lines        []int          // of the first rows, shown as they are stored
	LinesOf      string         // the file that they stand in
	Rows         []BeginningRow // a row a column of theirs
}

// BeginningColumn is a column and what it is taken for.
type BeginningColumn struct {
	Header, Taken, Sure, Why string
	Cells, Others            []string
	Doubt                    bool // a person should look
}

// BeginningRow is a column of the first lines: what stands in each, and what is stored
// for it.
type BeginningRow struct {
	Header, Field string
	Cells         []BeginningCell // one a line
}

// BeginningCell is a cell beside what is stored for it, "" where nothing is.
type BeginningCell struct{ Cell, Stored string }

// WriteBeginning writes what was understood as one page that needs nothing else.
func WriteBeginning(w io.Writer, b Beginning) error {
	v := struct {
		headView
		Beginning
		Cautions []string
	}{headOf("What is understood", b.Exports, b.AsOf, nil, "", ""), b, words.Cautions()}
	if err := beginningTemplate.ExecuteTemplate(w, "beginning", v); err != nil {
		return fmt.Errorf("write page of the beginning: %w", err)
	}
	return nil
}

// WriteInspected writes what would become of files as one page that needs nothing else. The
// day is the one they were inspected for.
func WriteInspected(w io.Writer, files []BeginningFiles, asOf day.Day) error {
	of := fmt.Sprintf("%d files", len(files))
	if len(files) == 1 {
		of = files[0].Names
	}
	v := struct {
		headView
		Files    []BeginningFiles
		Cautions []string
	}{headOf("Inspected", of, asOf, nil, "", ""), files, words.Cautions()}
	if err := beginningTemplate.ExecuteTemplate(w, "inspected", v); err != nil {
		return fmt.Errorf("write page of an inspection: %w", err)
	}
	return nil
}
