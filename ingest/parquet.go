package ingest

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"regexp"
	"slices"
	"strings"

	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
	"fluedrift/queries"
)

// parquetRows are the rows of a Parquet file, read by the engine. The names of
// the columns are line 1, the first row is line 2.
type parquetRows struct {
	ctx    context.Context
	file   *os.File
	table  *queries.Parquet
	stored []lines.Stored
	floats []bool // columns of binary floating-point numbers
	limits Config

	batch [][]string // rows read ahead
	at    int        // the next of them
	more  bool       // the file may have rows behind the batch
	row   int
	out   lines.Line
}

// newParquet opens a Parquet file (format.parquet.apache.org: four bytes PAR1 at
// both ends) of no more rows than its limit.
func newParquet(ctx context.Context, file *os.File, size int64, limits Config) (*parquetRows, error) {
	var head, tail [4]byte
	_, err := file.ReadAt(head[:], 0)
	if err != nil || string(head[:]) != "PAR1" {
		return nil, lines.Refuse(lines.NotText, "the content is no Parquet file, whatever the name says")
	}
	_, err = file.ReadAt(tail[:], size-4)
	if err != nil || size < 12 || string(tail[:]) != "PAR1" {
		return nil, lines.Refuse(lines.IncompleteFile, "the end of the Parquet file is missing: the copy may not be finished")
	}
	// An unpacked file has no name any more: the engine is given the handle.
	t, err := queries.OpenParquet(ctx, fmt.Sprintf("/proc/self/fd/%d", file.Fd()))
	if err != nil {
		return nil, parquetFault(ctx, err)
	}
	if err := limits.countParquet(t.Count()); err != nil {
		return nil, errors.Join(err, t.Close())
	}
	p := &parquetRows{ctx: ctx, file: file, table: t, limits: limits, more: true}
	for _, c := range t.Columns() {
		p.stored = append(p.stored, storedIn(c.Type))
		p.floats = append(p.floats, c.Type == "DOUBLE" || c.Type == "FLOAT")
	}
	return p, nil
}

func parquetFault(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return ctx.Err()
	}
	text, _, _ := strings.Cut(err.Error(), "\n")
	return lines.Refuse(lines.NotText, "the Parquet file is damaged: %s", handle.ReplaceAllString(text, "it"))
}

// handle is the engine's name of a file, whose number is chance.
var handle = regexp.MustCompile(`["\']?/proc/self/fd/\d+["\']?`)

// storedIn tells how a column of an engine's type is stored. Whole numbers are
// exact and read like text.
func storedIn(typ string) lines.Stored {
	switch {
	case typ == "DOUBLE", typ == "FLOAT":
		return lines.AsNumber
	case strings.HasPrefix(typ, "DECIMAL"):
		return lines.AsDecimal
	case typ == "DATE", strings.HasPrefix(typ, "TIMESTAMP"):
		return lines.AsDay
	}
	return lines.AsText
}

func (p *parquetRows) Next() (*lines.Line, error) {
	p.row++
	l := &p.out
	*l = lines.Line{Number: p.row, Ended: true, Cells: l.Cells[:0]}
	if p.row == 1 {
		for _, c := range p.table.Columns() {
			l.Cells = append(l.Cells, parse.Unmarked(c.Name))
		}
		l.Text = strings.Join(l.Cells, "\t")
		return l, nil
	}
	for p.at == len(p.batch) {
		if !p.more {
			return nil, io.EOF
		}
		if err := p.read(); err != nil {
			return nil, err
		}
	}
	if err := p.limits.countParquet(int64(p.row - 1)); err != nil { // the end of the file told fewer
		return nil, err
	}
	for _, c := range p.batch[p.at] {
		l.Cells = append(l.Cells, parse.Unmarked(c))
	}
	p.at++
	for i, float := range p.floats {
		if float {
			l.Cells[i] = lines.PlainNumber(l.Cells[i])
		}
	}
	l.Stored, l.Text = p.stored, strings.Join(l.Cells, "\t")
	return l, nil
}

// read fetches the next stretch of rows.
func (p *parquetRows) read() (err error) {
	p.batch, p.at = p.batch[:0], 0
	p.more, err = p.table.Rows(p.ctx, func(cells []string) error {
		p.batch = append(p.batch, slices.Clone(cells))
		return nil
	})
	if err != nil {
		return parquetFault(p.ctx, err)
	}
	return nil
}

func (p *parquetRows) SetWidth(int) {}

func (p *parquetRows) Close() error { return errors.Join(p.table.Close(), p.file.Close()) }
