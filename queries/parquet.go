package queries

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"strings"

	"github.com/apache/arrow/go/v17/arrow/array"
)

// parquetSlice is how many rows of a Parquet file are in memory at once.
const parquetSlice = 64 << 10

// ParquetColumn is a column of a Parquet file: its name as written in the file
// and the engine's name of its type (VARCHAR, DOUBLE, DATE, ...).
type ParquetColumn struct{ Name, Type string }

// Parquet is an open Parquet file. It has a session of its own, since the
// session of a warehouse may not look at files; the session ends with Close.
// It belongs to one goroutine.
type Parquet struct {
	session *session
	file    *os.File
	path    string // the name under which the engine reads the file
	columns []ParquetColumn
	count   int64 // rows that the file says it has
	next    int64
}

// OpenParquet opens a Parquet file for reading row by row. The engine takes a
// name for a pattern, so it is given the plain name of an open file. Nothing is
// written anywhere, so that a reader that is killed leaves nothing behind. An
// error is the engine's: the file is damaged or no Parquet file.
func OpenParquet(ctx context.Context, path string) (*Parquet, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("open parquet file: %w", err)
	}
	p := &Parquet{file: file, path: fmt.Sprintf("/proc/self/fd/%d", file.Fd())}
	if err := p.open(ctx); err != nil {
		return nil, errors.Join(fmt.Errorf("open parquet file %q: %w", path, err), p.Close())
	}
	return p, nil
}

func (p *Parquet) open(ctx context.Context) error {
	session, err := aside(ctx, os.DevNull, "", "2")
	if err != nil {
		return err
	}
	p.session = session
	counts, err := collect(ctx, session, "parquet_count.sql", func(n *int64) []Field { return []Field{Whole("num_rows", n)} }, p.path)
	if err != nil {
		return err
	}
	for _, n := range counts {
		p.count = n
	}
	return p.readColumns(ctx)
}

// aside is a session of the engine for files, apart from any warehouse, with a
// home and a folder for what it puts aside ("": nothing is put aside); it gets
// no extensions and no other settings.
func aside(ctx context.Context, home, spill, threads string) (*session, error) {
	settings := url.Values{
		"threads": {threads}, "memory_limit": {"512MiB"}, "temp_directory": {spill},
		"autoinstall_known_extensions": {"false"}, "autoload_known_extensions": {"false"}, "allow_community_extensions": {"false"},
		"preserve_insertion_order": {"true"},
	}
	db, err := sql.Open("duckdb", "?"+settings.Encode())
	if err != nil {
		return nil, err
	}
	conn, err := db.Conn(ctx)
	if err != nil {
		return nil, errors.Join(err, db.Close())
	}
	s := &session{db: db, conn: conn}
	_, err = conn.ExecContext(ctx, "set home_directory = ?", home)
	if err == nil {
		_, err = conn.ExecContext(ctx, "set lock_configuration = true")
	}
	if err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

// readColumns finds the columns: names from the file's own schema, since the
// engine renames one of two equal names, and types from the engine.
func (p *Parquet) readColumns(ctx context.Context) error {
	type element struct {
		name     string
		children int
	}
	var names []string
	left := []int{} // elements still to come at each depth
	for e, err := range rows(ctx, p.session, "parquet_schema.sql", func(e *element) []Field {
		return []Field{Text("name", &e.name), Whole("children", &e.children)}
	}, p.path) {
		if err != nil {
			return err
		}
		if len(left) == 1 {
			names = append(names, e.name)
		}
		if len(left) > 0 {
			left[len(left)-1]--
		}
		if e.children > 0 {
			left = append(left, e.children)
		}
		for len(left) > 1 && left[len(left)-1] == 0 {
			left = left[:len(left)-1]
		}
	}
	columnType := func(typ *string) []Field { return []Field{Text("column_type", typ)} }
	types, err := collect(ctx, p.session, "parquet_columns.sql", columnType, p.path)
	if err != nil {
		return err
	}
	if len(types) != len(names) {
		return fmt.Errorf("the schema has %d columns and the engine reads %d", len(names), len(types))
	}
	for i, typ := range types {
		p.columns = append(p.columns, ParquetColumn{names[i], typ})
	}
	return nil
}

// Columns gives the columns in file order.
func (p *Parquet) Columns() []ParquetColumn { return p.columns }

// Count is the number of rows, as the file itself tells it.
func (p *Parquet) Count() int64 { return p.count }

// Rows calls fn for each of the next rows of the file, at most about 65,000,
// with each column's value as text, "" for a missing one, and which are missing; the
// texts are the batch's own and the slices are used again. It reports false where
// the file has no further rows.
func (p *Parquet) Rows(ctx context.Context, fn func(cells []string, missing []bool) error) (bool, error) {
	reader, err := p.session.query(ctx, statement("read", "parquet_rows.sql"), []any{p.path, p.next, p.next + parquetSlice})
	if err != nil {
		return false, fmt.Errorf("parquet_rows.sql: %w", err)
	}
	defer reader.Release()
	p.next += parquetSlice
	cells, missing := make([]string, len(p.columns)), make([]bool, len(p.columns))
	rows := 0
	for reader.Next() {
		rec := reader.Record()
		if int(rec.NumCols()) != len(cells) {
			return false, fmt.Errorf("parquet_rows.sql: %d columns where the file has %d", rec.NumCols(), len(cells))
		}
		for i := range int(rec.NumRows()) {
			for c := range cells {
				cells[c], missing[c] = "", true
				if col, ok := rec.Column(c).(*array.String); ok && col.IsValid(i) {
					cells[c], missing[c] = strings.Clone(col.Value(i)), false
				}
			}
			rows++
			if err := fn(cells, missing); err != nil {
				return false, err
			}
		}
	}
	return rows == parquetSlice, reader.Err()
}

// Close ends the session and closes the file.
func (p *Parquet) Close() error {
	var err error
	if p.session != nil {
		err = p.session.Close()
	}
	return errors.Join(err, p.file.Close())
}
