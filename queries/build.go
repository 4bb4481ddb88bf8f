package queries

import (
	"context"
	"embed"
	"fmt"
	"path"
	"sort"

	"fluedrift/model/day"
)

//go:embed build/*.sql load/*.sql read/*.sql check/*.sql discard/*.sql
var statements embed.FS

// step is one file of statements.
type step struct{ name, text string }

// steps lists the files of a folder in order of their names.
func steps(folder string) []step {
	entries, err := statements.ReadDir(folder)
	if err != nil {
		panic(err) // the folders are part of the program
	}
	out := make([]step, 0, len(entries))
	for _, e := range entries {
		out = append(out, step{name: path.Join(folder, e.Name()), text: statement(folder, e.Name())})
	}
	sort.Slice(out, func(i, j int) bool { return out[i].name < out[j].name })
	return out
}

// statement gives the text of one file.
func statement(folder, name string) string {
	text, err := statements.ReadFile(path.Join(folder, name))
	if err != nil {
		panic(err)
	}
	return string(text)
}

// tableSteps make the schemas and the empty tables: files 01 to 09.
func tableSteps() []step { return between("build/0", "build/1") }

// relationSteps make everything that follows from the loaded rows: 10 and up.
func relationSteps() []step { return between("build/1", "build/~") }

func between(from, until string) []step {
	var out []step
	for _, s := range steps("build") {
		if s.name >= from && s.name < until {
			out = append(out, s)
		}
	}
	return out
}

// Build makes the relations of the schemas joined and about from the loaded
// rows, as known on the day asOf, and stores the row counts that Open
// compares. It is run once, after the last Load of source and record rows.
func (w *Warehouse) Build(ctx context.Context, asOf day.Day) error {
	const set = "set variable as_of = cast(? as date)"
	if _, err := w.conn.ExecContext(ctx, set, dayText(asOf)); err != nil {
		return fmt.Errorf("build warehouse: %s: %w", set, err)
	}
	for set, value := range map[string]string{"set variable version = ?": w.opts.Version, "set variable schema = ?": w.opts.schema()} {
		if _, err := w.conn.ExecContext(ctx, set, value); err != nil {
			return fmt.Errorf("build warehouse: %s: %w", set, err)
		}
	}
	const settings = "set variable settings = ?"
	if _, err := w.conn.ExecContext(ctx, settings, w.opts.Settings); err != nil {
		return fmt.Errorf("build warehouse: %s: %w", settings, err)
	}
	if err := w.run(ctx, relationSteps()); err != nil {
		return fmt.Errorf("build warehouse: %w", err)
	}
	w.asOf, w.origin = asOf, Origin{Settings: w.opts.Settings}
	return nil
}

// Describe writes into the warehouse what its schemas, relations and columns hold, for
// whoever opens it with another program.
func (w *Warehouse) Describe(ctx context.Context) error {
	all := []step{{"begin", "begin"}}
	for _, r := range Relations() {
		all = append(all, step{"comment/" + r.Name + ".sql", r.comments()})
	}
	if err := w.run(ctx, append(all, step{"commit", "commit"})); err != nil {
		return fmt.Errorf("describe warehouse: %w", err)
	}
	return nil
}

// dropRelations takes away what Build makes and leaves what was loaded.
const dropRelations = `
drop schema about cascade;
drop schema result cascade;
drop schema joined cascade;
create schema joined;
create schema result;
create schema about;
create type joined.outcome as enum ('accepted', 'superseded', 'duplicate', 'doubtful', 'set aside');`

// BuildAgain makes the relations of a Copy anew, as known on another day.
func (w *Warehouse) BuildAgain(ctx context.Context, asOf day.Day) error {
	if _, err := w.conn.ExecContext(ctx, dropRelations); err != nil {
		return fmt.Errorf("build warehouse again: %w", err)
	}
	return w.Build(ctx, asOf)
}
