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
		names, grains := strings.Split(s.says("makes"), ", "), strings.Split(s.says("grain"), "; a row ")
		if !strings.Contains(names[0], ".") {
			continue // the schemas and their lists of words
		}
		for i, name := range names {
			grain := grains[min(i, len(grains)-1)]
			if i > 0 {
				grain = "a row " + strings.TrimPrefix(grain, "a row ")
			}
			all = append(all, Relation{Name: name, Grain: grain, Why: s.says("why")})
		}
	}
	return all
})

// says is what the header of a file of statements says under a name.
func (s step) says(name string) string {
	_, said, _ := strings.Cut(s.text, "-- "+name+": ")
	said, _, _ = strings.Cut(said, "\n")
	return said
}

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
	for line := range strings.Lines(r.comments()) {
		if name, described := strings.CutPrefix(line, onColumn+r.Name+"."); described {
			name, _, _ = strings.Cut(name, " ")
			c, _ := meaningOf(r.Name, name)
			all = append(all, c)
		}
	}
	return all
}

// comments describe a relation and its columns, a statement a line.
func (r Relation) comments() string {
	text, err := comments.ReadFile("comment/" + r.Name + ".sql")
	if err != nil {
		panic(err) // a part of the program
	}
	return string(text)
}
