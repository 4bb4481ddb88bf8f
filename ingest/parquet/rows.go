// Package parquet reads the rows of Parquet files in a process of their own.
//
// The engine that reads them trusts what a file says of itself: a changed byte can
// make it read where nothing is, which no program survives. So the program starts
// itself once more for each file, gives that process the open file and bounds on
// memory and time, and takes rows from it through a pipe. Whatever becomes of the
// process, here it is one file that is refused.
package parquet

import (
	"bufio"
	"context"
	"errors"
	"io"
	"os"
	"os/exec"
	"strings"
	"sync/atomic"
	"time"

	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
)

// stalled is how long the process may take for one row before it is given up.
const stalled = 10 * time.Minute

// Rows are the rows of a Parquet file. The names of the columns are line 1, the
// first row is line 2.
type Rows struct {
	ctx    context.Context
	file   *os.File
	child  *exec.Cmd
	stdin  io.Closer
	from   *reader
	watch  *time.Timer
	late   atomic.Bool
	count  func(rows int64) error
	stored []lines.Stored
	floats []bool // columns of binary floating-point numbers
	names  []string
	row    int
	out    lines.Line
}

// Open opens a Parquet file (format.parquet.apache.org: four bytes PAR1 at both
// ends). count refuses a number of rows that is beyond a limit: it is asked for what
// the end of the file says, and again while rows come.
func Open(ctx context.Context, file *os.File, size int64, count func(rows int64) error) (*Rows, error) {
	var head, tail [4]byte
	_, err := file.ReadAt(head[:], 0)
	if err != nil || string(head[:]) != "PAR1" {
		return nil, lines.Refuse(lines.NotText, "the content is no Parquet file, whatever the name says")
	}
	_, err = file.ReadAt(tail[:], size-4)
	if err != nil || size < 12 || string(tail[:]) != "PAR1" {
		return nil, lines.Refuse(lines.IncompleteFile, "the end of the Parquet file is missing: the copy may not be finished")
	}
	r := &Rows{ctx: ctx, file: file, count: count}
	if err := r.start(size); err != nil {
		return nil, err
	}
	if err := r.head(); err != nil {
		r.stop()
		return nil, err
	}
	return r, nil
}

// start starts the process that reads the file.
func (r *Rows) start(size int64) error {
	if asked() {
		return errors.New("parquet.Serve was not the first call of this program: a fault of the program")
	}
	r.child = exec.CommandContext(r.ctx, "/proc/self/exe", mark, processorSeconds(size))
	r.child.ExtraFiles = []*os.File{r.file} // an unpacked file has no name
	stdin, err := r.child.StdinPipe()
	if err != nil {
		return err
	}
	stdout, err := r.child.StdoutPipe()
	if err != nil {
		return err
	}
	if err := r.child.Start(); err != nil {
		return err
	}
	r.stdin, r.from = stdin, &reader{bufio.NewReaderSize(stdout, 64<<10)}
	r.watch = time.AfterFunc(stalled, func() {
		r.late.Store(true)
		_ = r.child.Process.Kill()
	})
	return nil
}

// head takes the columns and the number of rows that the file says it has.
func (r *Rows) head() error {
	columns, rows, err := r.from.columns()
	if err != nil {
		return r.fault(err)
	}
	for _, c := range columns {
		r.names = append(r.names, parse.Unmarked(c.Name))
		r.stored = append(r.stored, storedIn(c.Type))
		r.floats = append(r.floats, c.Type == "DOUBLE" || c.Type == "FLOAT")
	}
	return r.count(rows)
}

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

// Next gives the next row.
func (r *Rows) Next() (*lines.Line, error) {
	l := &r.out
	*l = lines.Line{Number: r.row + 1, Ended: true, Cells: l.Cells[:0]}
	if r.row == 0 {
		l.Cells = append(l.Cells, r.names...)
		l.Text = strings.Join(l.Cells, "\t")
		r.row++
		return l, nil
	}
	if r.row%1024 == 1 {
		r.watch.Reset(stalled)
	}
	cells, err := r.from.row(l.Cells, len(r.names))
	if err != nil {
		return nil, r.fault(err)
	}
	if err := r.count(int64(r.row)); err != nil { // the end of the file told fewer
		return nil, err
	}
	r.row++
	for i := range cells {
		if cells[i] = parse.Unmarked(cells[i]); r.floats[i] {
			cells[i] = lines.PlainNumber(cells[i])
		}
	}
	l.Cells, l.Stored, l.Text = cells, r.stored, strings.Join(cells, "\t")
	return l, nil
}

// fault is why no further row came: the end, what the process says is wrong with the
// file, or what ended the process.
func (r *Rows) fault(err error) error {
	if r.ctx.Err() != nil {
		return r.ctx.Err()
	}
	told, ok := errors.AsType[*toldFault](err)
	switch {
	case errors.Is(err, io.EOF):
		return err
	case ok:
		return lines.Refuse(lines.NotText, "the Parquet file is damaged: %s\nexport it again, or as CSV", told.text)
	case errors.Is(err, errGreatRow):
		return lines.Refuse(lines.TooLarge, "line %d of the Parquet file holds more than %d bytes of text\nexport it without that "+
			"text", r.row+1, lines.Limit)
	case r.late.Load():
		return lines.Refuse(lines.NotText, "the Parquet file is damaged: no row came for %v\nexport it again, or as CSV", stalled)
	}
	return lines.Refuse(lines.NotText, "the Parquet file is damaged: reading it broke off, which ended the process that read it\n"+
		"export it again, or as CSV")
}

// SetWidth is of no use here: every row has the width of the file.
func (r *Rows) SetWidth(int) {}

// Close closes the file too.
func (r *Rows) Close() error {
	r.stop()
	return r.file.Close()
}

// stop ends the process, if it has not ended.
func (r *Rows) stop() {
	r.watch.Stop()
	_ = r.stdin.Close()
	_ = r.child.Process.Kill()
	_ = r.child.Wait() // its end is looked at by what it sent
}
