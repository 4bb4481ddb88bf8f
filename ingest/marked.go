package ingest

import (
	"context"
	"fmt"

	"fluedrift/ingest/book"
	"fluedrift/ingest/draft"
	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
)

// watch makes a workbook tell what it hides, strikes out or has notes on.
func watch(rows lines.Rows) {
	if b, ok := rows.(*book.Rows); ok {
		b.Watch()
	}
}

// marked says what a workbook that was read hides, strikes out or has notes on; nothing of
// another file.
func marked(rows lines.Rows, l *layout.Layout) (all []string) {
	b, ok := rows.(*book.Rows)
	if !ok {
		return nil
	}
	m := b.Marks()
	if n := len(m.HiddenSheets); n > 0 {
		all = append(all, fmt.Sprintf("%s: %s", draft.Counted(n, "hidden sheet"), lines.Quoted(m.HiddenSheets[:min(n, fewSheets)])))
	}
	read := ", read like any other"
	struck := read
	if l.File.StruckOut == layout.LeftOut {
		struck = ", left out as the layout says"
	}
	for _, k := range []struct {
		of         book.Found
		what, fate string
	}{
		{m.HiddenRows, "hidden row", read},
		{m.Columns, "hidden column", read},
		{m.StruckRows, "struck-out row", struck},
		{m.StruckCells, "struck-out cell", read},
		{m.Notes, "cell", " with a note, which is not read"},
	} {
		if k.of.Count > 0 {
			all = append(all, fmt.Sprintf("%s%s; the first is %s", draft.Counted(int(k.of.Count), k.what), k.fate, k.of.First))
		}
	}
	return all
}

// marksOf says the same of a workbook that no layout fits, as far as it can be read.
func marksOf(ctx context.Context, f found) []string {
	l := &layout.Layout{File: layout.File{Type: "xlsx", Header: 1, Sheet: "*"}}
	head, err := firstBytes(f, 4)
	if err != nil || string(head) != "PK\x03\x04" {
		return nil
	}
	rows, err := open(ctx, f, l, nil)
	if err != nil {
		return nil
	}
	defer rows.Close()
	watch(rows)
	for err == nil && ctx.Err() == nil {
		_, err = rows.Next()
	}
	return marked(rows, l)
}
