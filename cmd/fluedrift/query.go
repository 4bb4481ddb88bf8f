package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"time"

	"fluedrift/analysis/report/table"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/day"
	"fluedrift/queries"
)

var queryCommand = command{"query", "", "answer one SQL statement that reads, from the warehouse of the newest list; help warehouse " +
	"and help tables NAME say what is in it", readsWarehouse(query)}

// Limits of a question: what a person reads, and what a spreadsheet opens.
const (
	queryRows     = 1 << 20
	querySeconds  = 60
	queryMemoryMB = 512
	longestSQL    = 1 << 20 // bytes of -f
)

func query(ctx context.Context, c *call) error {
	write, err := rowsWriter(ctx, c.format)
	if err != nil {
		return err
	}
	statement, err := statementOf(c)
	if err != nil {
		return err
	}
	if c.seconds <= 0 {
		return settings.Fail(settings.Usage, "query: -seconds %d is no time to answer in", c.seconds)
	}
	c.bound = func(o *queries.Options) { o.MemoryMB, o.NoSpill = queryMemoryMB, true }
	_, w, err := openFor(ctx, c)
	if err != nil {
		return err
	}
	defer w.Close()
	rows, most := c.top, c.top == 0 || c.top > queryRows
	if most {
		rows = queryRows
	}
	a, err := w.Ask(ctx, statement, queries.Limits{Rows: rows, Time: time.Duration(c.seconds) * time.Second})
	if err != nil {
		return refusedQuestion(err)
	}
	t, err := rowsTable(a)
	if err != nil {
		return err
	}
	if t.AsOf = w.AsOf(); a.More && !most {
		t.Head = append(t.Head, fmt.Sprintf("The first %d rows.", rows))
	}
	if err := c.writeResult(func(out io.Writer) error { return write(out, t) }); err != nil {
		return err
	}
	if a.More && most {
		return settings.Fail(settings.Look, "query: only the first %d rows are written: there are more\n"+
			"ask for fewer: where, group by or limit", rows)
	}
	return nil
}

// statementOf is the SQL that a person gave, on the command line or in a file.
func statementOf(c *call) (string, error) {
	switch {
	case c.given["e"] == c.given["f"]:
		return "", settings.Fail(settings.Usage, "query: give one statement, as -e SQL or -f FILE\nfor example: fluedrift query -e "+
			"\"select serial, site from joined.units limit 10\"\nsee: fluedrift help warehouse")
	case c.given["e"]:
		return c.sql, nil
	}
	file, err := os.Open(c.sqlFile)
	if err != nil {
		return "", settings.Fail(settings.Usage, "query: cannot read the statement: %w", err)
	}
	defer file.Close()
	text, err := io.ReadAll(io.LimitReader(file, longestSQL+1))
	switch {
	case err != nil:
		return "", settings.Fail(settings.Usage, "query: cannot read the statement: %w", err)
	case len(text) > longestSQL:
		return "", settings.Fail(settings.Usage, "query: %s holds more than one statement can: over %d bytes", c.sqlFile, longestSQL)
	}
	return string(text), nil
}

// refusedQuestion says what a person can do about a question that was not answered.
func refusedQuestion(err error) error {
	switch {
	case errors.Is(err, queries.ErrQuestion):
		return settings.Fail(settings.Usage, "query: %w\ngive one statement that reads the warehouse: no files, no settings\n"+
			"see: fluedrift help warehouse", err)
	case errors.Is(err, queries.ErrTooLong):
		return fmt.Errorf("query: %w\nask for less, or give it longer: -seconds 600", err)
	case errors.Is(err, queries.ErrTooLarge):
		return fmt.Errorf("query: %w: %d MiB\nask for less: where, group by or limit", err, queryMemoryMB)
	}
	return fmt.Errorf("query: %w", err)
}

// rowsWriter finds the form an answer is asked for in.
func rowsWriter(ctx context.Context, format string) (func(io.Writer, table.Table) error, error) {
	switch format {
	case "text":
		return writeRows, nil
	case "parquet":
		return func(w io.Writer, t table.Table) error { return writeParquet(ctx, w, t) }, nil
	}
	write, err := writerFor(format)
	if err != nil {
		return nil, settings.Fail(settings.Usage, "format %q is none of text, csv, json, parquet", format)
	}
	return write, nil
}

// writeRows writes an answer for a terminal.
func writeRows(w io.Writer, t table.Table) error {
	for _, line := range t.Head {
		fmt.Fprintln(w, line)
	}
	if len(t.Rows) == 0 {
		_, err := fmt.Fprintln(w, "no rows")
		return err
	}
	return table.WriteAligned(w, t)
}

// rowsTable is an answer as a list is written.
func rowsTable(a *queries.Asked) (table.Table, error) {
	t := table.Table{Name: "query", AsOf: day.None}
	kinds := map[queries.Kind]table.Kind{
		queries.TextKind: table.Text, queries.NumberKind: table.Number, queries.DayKind: table.Day,
	}
	for i, name := range a.Names {
		if slices.Contains(a.Names[:i], name) {
			return t, settings.Fail(settings.Usage, "query: two columns are called %q\ngive one another name: select a.x as ...", name)
		}
		t.Columns = append(t.Columns, table.Column{Name: name, Short: name, Kind: kinds[a.Kinds[i]], Source: "warehouse"})
	}
	for _, row := range a.Rows {
		cells := make([]table.Cell, len(row))
		for i, v := range row {
			switch {
			case !v.Known:
			case a.Kinds[i] == queries.NumberKind:
				cells[i] = table.NumberCell(v.Number, shortest)
			case a.Kinds[i] == queries.DayKind:
				cells[i] = table.DayCell(v.Day)
			default:
				cells[i] = table.TextCell(v.Text)
			}
		}
		t.Rows = append(t.Rows, cells)
	}
	return t, nil
}

// shortest asks for as many decimals as tell a number from its neighbours.
const shortest = -1
