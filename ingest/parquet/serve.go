package parquet

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"regexp"
	"strconv"
	"strings"
	"syscall"

	"github.com/sourcegraph/conc"

	"fluedrift/queries"
)

// mark is the first argument of a process that reads a Parquet file for another.
const mark = "read-parquet-for-parent"

func asked() bool { return len(os.Args) > 1 && os.Args[1] == mark }

// Bounds on the process. The engine keeps to 512 MiB; what it takes besides, with
// the runtime of Go and stacks, is below that again. RLIMIT_DATA and not RLIMIT_AS:
// Go and the engine's allocator reserve many gigabytes of addresses they never
// write to.
const (
	memoryLimit   = 3 << 29 // bytes
	secondsFixed  = 120     // of processor time
	bytesASecond  = 1 << 20 // of the file
	secondsAtMost = 24 * 3600
)

func processorSeconds(size int64) string {
	return strconv.FormatInt(min(secondsFixed+size/bytesASecond, secondsAtMost), 10)
}

// Serve reads a Parquet file for the process that started this one and ends the
// process. It has to be the first call of every program that opens one; it returns
// at once where the program was started for something else.
func Serve() {
	if !asked() {
		return
	}
	if err := bound(); err != nil {
		os.Exit(1)
	}
	signal.Ignore(os.Interrupt, syscall.SIGTERM) // the end of the other process is what counts
	var watch conc.WaitGroup                     // until the process ends
	watch.Go(func() {
		_, _ = io.Copy(io.Discard, os.Stdin)
		os.Exit(1)
	})
	to := &writer{bufio.NewWriterSize(os.Stdout, 64<<10)}
	if err := send(to, os.NewFile(3, "export")); err != nil {
		to.fault(plain(err))
	} else {
		to.end()
	}
	if to.w.Flush() != nil {
		os.Exit(1)
	}
	os.Exit(0)
}

// bound sets the limits of this process. Where a sandbox forbids that, its own hold.
func bound() error {
	seconds, err := strconv.ParseUint(os.Args[len(os.Args)-1], 10, 32)
	if err != nil {
		return err
	}
	return limit(seconds)
}

// send sends columns and rows.
func send(to *writer, file *os.File) error {
	ctx := context.Background()
	table, err := queries.OpenParquet(ctx, fmt.Sprintf("/proc/self/fd/%d", file.Fd()))
	if err != nil {
		return err
	}
	to.columns(table.Columns(), table.Count())
	chunks, err := table.Chunks(ctx)
	if err != nil {
		return err
	}
	if err := check(file, table, chunks); err != nil {
		return err
	}
	told := newStretches(table, chunks)
	for more := true; more; {
		more, err = table.Rows(ctx, func(cells []string, missing []bool) error {
			return errors.Join(told.add(cells, missing), to.row(cells))
		})
		if err != nil {
			return err
		}
	}
	return told.end()
}

// check looks at what a file says of itself, before any of its values is read.
func check(file *os.File, table *queries.Parquet, chunks []queries.ParquetChunk) error {
	info, err := file.Stat()
	if err != nil {
		return err
	}
	if err := checkEnd(file, info.Size(), table, chunks); err != nil {
		return err
	}
	return checkPages(file, chunks)
}

// plain is the first line of an error of the engine without its name of the file,
// whose number is chance.
func plain(err error) string {
	text, _, _ := strings.Cut(err.Error(), "\n")
	return handle.ReplaceAllString(text, "it")
}

var handle = regexp.MustCompile(`["\']?/proc/self/fd/\d+["\']?`)
