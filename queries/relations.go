package queries

import (
	"bytes"
	"embed"
	"encoding/csv"
	"strings"
	"sync"
)

//go:embed comment
var comments embed.FS

// SchemaWords are the schemas of a warehouse, in the order in which it is made, and
// what each holds: the rows of about.schemas.
var SchemaWords = []struct{ Name, Holds string }{
	{"source", "the exports, file by file, and every line of them that was not accepted, word for word"},
	{"record", "every record as exported, typed and in canonical units; several exports may state one record"},
	{"joined", "which record stands, put in relation: what was in force on a day, and the order of each unit's history"},
	{"result", "what was judged and estimated of the fleet on the as-of day"},
	{"about", "what the warehouse says of itself"},
}

// Relation is a table or a view of a warehouse.
type Relation struct {
	Name  string // schema.name
	Grain string // what a row is
	Why   string // what it is there for
}

// RelationColumn is a column of a relation.
type RelationColumn struct {
	Name    string
	Unit    string // of measure, "" where it has none
	Meaning string
}

// Relations are the tables and views of a warehouse in the order in which they are
// made, as the statements that make them describe them.
var Relations = sync.OnceValue(func() (all []Relation) {
	for _, s := range steps("build") {
		lines := strings.SplitN(s.text, "\n", 6)
		_, makes, _ := strings.Cut(lines[1], "makes: ")
		_, grain, _ := strings.Cut(lines[2], "grain: ")
		_, why, _ := strings.Cut(lines[4], "why: ")
		names, grains := strings.Split(makes, ", "), strings.Split(grain, "; a row ")
		if !strings.Contains(names[0], ".") {
			continue // the schemas and their lists of words
		}
		for i, name := range names {
			grain := "a row " + strings.TrimPrefix(grains[min(i, len(grains)-1)], "a row ")
			if strings.HasPrefix(grains[0], "one row") {
				grain = grains[0]
			}
			all = append(all, Relation{Name: name, Grain: grain, Why: why})
		}
	}
	return all
})

// meanings are the columns by their name, or by relation and name where that says more.
var meanings = sync.OnceValue(func() map[string]RelationColumn {
	text, err := comments.ReadFile("comment/columns.csv")
	if err != nil {
		panic(err) // a part of the program
	}
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		panic(err)
	}
	all := make(map[string]RelationColumn, len(rows))
	for _, row := range rows[1:] {
		all[row[0]] = RelationColumn{Unit: row[1], Meaning: row[2]}
	}
	return all
})

// meaningOf is what a column of a relation holds; ok is false for one that nobody has
// described.
func meaningOf(relation, column string) (c RelationColumn, ok bool) {
	if c, ok = meanings()[relation+"."+column]; !ok {
		c, ok = meanings()[column]
	}
	c.Name = column
	return c, ok
}

// onColumn begins the statement that describes a column.
const onColumn = "comment on column "

// Columns are the columns of a relation in their order.
func (r Relation) Columns() (all []RelationColumn) {
	for line := range strings.Lines(commentSQL()) {
		name, described := strings.CutPrefix(line, onColumn+r.Name+".")
		if !described {
			continue
		}
		name, _, _ = strings.Cut(name, " ")
		c, _ := meaningOf(r.Name, strings.Trim(name, `"`))
		all = append(all, c)
	}
	return all
}

// commentSQL describes schemas, relations and columns, a statement a line.
var commentSQL = sync.OnceValue(func() string {
	text, err := comments.ReadFile("comment/comments.sql")
	if err != nil {
		panic(err) // a part of the program
	}
	return string(text)
})
