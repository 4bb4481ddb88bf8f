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
