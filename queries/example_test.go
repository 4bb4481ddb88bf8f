package queries_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"fluedrift/queries"
)

// A warehouse is created, built for a day and closed; whoever reads it opens it. This
// one has no rows.
func Example() {
	ctx := context.Background()
	dir, err := os.MkdirTemp("", "warehouse-")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, "warehouse.duckdb")
	w, err := queries.Create(ctx, path, queries.Options{Threads: 1, Version: "1"})
	if err != nil {
		fmt.Println(err)
		return
	}
	if err := w.Build(ctx, 20514); err != nil { // 2 March 2026
		fmt.Println(err)
		return
	}
	if err := w.Close(); err != nil {
		fmt.Println(err)
		return
	}
	w, err = queries.Open(ctx, path, queries.Options{Threads: 1, Version: "1"})
	if err != nil {
		fmt.Println(err)
		return
	}
	defer w.Close()
	units, err := w.Units(ctx, "")
	fmt.Println(len(units), err)
	// Output:
	// 0 <nil>
}

// A table of fields says how a Go type is stored: lists are LIST columns, and values
// with fields of their own are STRUCTs.
func ExampleField() {
	type fire struct {
		name string
		co2  float64
	}
	type line struct {
		serial, control string
		parts           []string
		fires           []fire
	}
	table := func(l *line) []queries.Field {
		return []queries.Field{
			queries.Text("serial", &l.serial),
			queries.Word("control", &l.control), // many rows repeat it
			queries.Texts("parts", &l.parts),
			queries.Rows("fires", &l.fires, func(f *fire) []queries.Field {
				return []queries.Field{queries.Text("fire", &f.name), queries.Number("co2_percent", &f.co2)}
			}),
		}
	}
	for _, f := range table(new(line)) {
		fmt.Println(f.Name, f.Type)
	}
	// Output:
	// serial utf8
	// control utf8
	// parts list<item: utf8, nullable>
	// fires list<item: struct<fire: utf8, co2_percent: float64>, nullable>
}
