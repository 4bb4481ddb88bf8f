package main

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/queries"
)

// joins draws how the relations that people ask for hang together: each line an arrow
// from a column to the relation whose row it names.
var joins = []struct{ from, columns, to string }{
	{"joined.readings", "unit_key", "joined.units"},
	{"joined.readings", "visit_key", "joined.visits"},
	{"joined.readings", "unit_key vent_run", "joined.vent_runs"},
	{"joined.readings", "unit_target_key", "joined.unit_targets"},
	{"joined.readings", "file_key", "source.files"},
	{"joined.visits", "unit_key", "joined.units"},
	{"joined.visits", "unit_key vent_run", "joined.vent_runs"},
	{"joined.visits", "file_key", "source.files"},
	{"joined.vent_runs", "unit_key", "joined.units"},
	{"joined.unit_targets", "target_key", "joined.targets"},
	{"joined.answers", "unit_key", "joined.units"},
	{"result.predictions", "unit_key", "joined.units"},
	{"result.findings", "unit_key", "joined.units"},
	{"result.judgements", "unit_key", "joined.units"},
	{"source.set_aside", "file_key", "source.files"},
	{"joined.lines", "file_key", "source.files"},
}

// renamedKeys are columns that have another name in the relation they lead to.
var renamedKeys = map[string]string{"vent_run": "run"}

// questions are examples: what is asked, and how.
var questions = []struct{ asks, statement string }{
	{
		"the units most likely out of limits today",
		"select u.serial, u.site, p.fire, round(p.today_rich + p.today_lean, 2) as chance from result.predictions p " +
			"join joined.units u using (unit_key) order by chance desc, u.serial, p.fire limit 10",
	},
	{
		"readings a year and fire",
		"select year(day) as year, fire, count(*) as readings from joined.readings group by all order by all",
	},
	{
		"the lines of each export that could not be read",
		"select f.name, s.line, s.column_name, s.value, s.message from source.set_aside s join source.files f using (file_key) " +
			"order by f.name, s.line",
	},
}

// helpWarehouse says what is in a warehouse and how to ask it.
func helpWarehouse(w io.Writer) {
	fmt.Fprint(w, "A night writes warehouse.duckdb, one file: what the exports said, put in relation, and what was\n"+
		"estimated from it. It is made whole each night and never changed in place. The names below hold as\n"+
		"long as the column schema of about.build is the same; every column says what it holds.\n\n")
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, s := range queries.SchemaWords {
		fmt.Fprintf(t, "%s\t%s\n", s.Name, s.Holds)
	}
	t.Flush()
	fmt.Fprint(w, "\nThe relations; fluedrift help tables NAME has the columns of one, or of a schema:\n\n")
	for _, r := range queries.Relations() {
		fmt.Fprintf(t, "%s\t%s\n", r.Name, r.Grain)
	}
	t.Flush()
	fmt.Fprint(w, "\nHow they join:\n\n")
	last := ""
	for _, j := range joins {
		from := j.from
		if from == last {
			from = ""
		}
		last = j.from
		fmt.Fprintf(t, "%s\t--%s->\t%s\n", from, strings.ReplaceAll(j.columns, " ", ", "), j.to)
	}
	t.Flush()
	fmt.Fprint(w, "\nThe lists name units by serial, which is joined.units.serial, and records by file:line, which is\n"+
		"source.files.name and line.\n\nFor example:\n\n")
	for _, q := range questions {
		fmt.Fprintf(w, "# %s\nfluedrift query -e %q\n", q.asks, q.statement)
	}
	fmt.Fprint(w, "\nOther programs open the file read-only, while no night writes:\n\n"+
		"duckdb -readonly warehouse.duckdb \"select * from joined.units\"\n"+
		"python: duckdb.connect(\"warehouse.duckdb\", read_only=True).sql(\"select * from joined.units\")\n"+
		"R: DBI::dbGetQuery(DBI::dbConnect(duckdb::duckdb(), \"warehouse.duckdb\", read_only = TRUE), \"select * from joined.units\")\n")
}

// helpTables prints the columns of the relations of a name: all, those of a schema, or one.
func helpTables(w io.Writer, name string) error {
	found := false
	for _, r := range queries.Relations() {
		schema, _, _ := strings.Cut(r.Name, ".")
		if name != "" && name != r.Name && name != schema {
			continue
		}
		if found {
			fmt.Fprintln(w)
		}
		found = true
		fmt.Fprintf(w, "%s: %s\n%s\n", r.Name, r.Grain, r.Why)
		t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		for _, c := range r.Columns() {
			fmt.Fprintf(t, "  %s\t%s\t%s\n", c.Name, c.Unit, c.Meaning)
		}
		t.Flush()
	}
	if !found {
		return settings.Fail(settings.Usage, "no relation or schema of the warehouse is called %q\nsee: fluedrift help warehouse", name)
	}
	return nil
}
