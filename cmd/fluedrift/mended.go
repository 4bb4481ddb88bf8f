package main

import (
	"bytes"
	"cmp"
	"compress/gzip"
	"context"
	"io"
	"maps"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"fluedrift/ingest/layout"
	"fluedrift/queries"
)

// lineOf is a line of an export.
type lineOf struct {
	file string
	line int
}

func (l lineOf) compare(m lineOf) int {
	return cmp.Or(cmp.Compare(l.file, m.file), cmp.Compare(l.line, m.line))
}

// mendedLine is how the column of a file to mend begins: with the line it was
// copied from.
var mendedLine = regexp.MustCompile(`^(.+?):(\d+): `)

// takeMended finds the mended lines of the night. Those in whose place they
// stand keep their outcome, but nobody has to mend them again, and no guard
// counts them.
func (n *night) takeMended(ctx context.Context) error {
	if !slices.ContainsFunc(n.inputs, func(r inputRecord) bool { return r.SetAside+r.Doubtful > 0 }) {
		return nil
	}
	waiting, err := n.warehouse.SetAside(ctx)
	if err != nil {
		return err
	}
	if n.mended, err = n.config.mended(n.inputs, waiting); err != nil {
		return err
	}
	byFile := n.mended.byFile(waiting)
	for i := range n.inputs {
		if of := byFile[n.inputs[i].Name]; of != nil {
			n.inputs[i].Mended, n.inputs[i].Cause = of.mended, of.cause()
		}
	}
	return nil
}

// mendedLines are the lines in whose place a mended one stands, and that one.
type mendedLines map[lineOf]lineOf

// mended finds the lines set aside in whose place a mended one stands: read
// from a file to mend, and not set aside itself.
func (c *config) mended(inputs []inputRecord, waiting []queries.SetAside) (mendedLines, error) {
	copied, err := c.copiedFrom(inputs)
	if err != nil || len(copied) == 0 {
		return nil, err
	}
	unread := map[lineOf]bool{}
	for _, a := range waiting {
		at := lineOf{a.File, int(a.Line)}
		unread[at] = unread[at] || a.Outcome != "accepted"
	}
	all := mendedLines{}
	for _, line := range slices.SortedFunc(maps.Keys(copied), lineOf.compare) {
		if unread[line] {
			continue
		}
		for from, ok := copied[line]; ok && all[from] == (lineOf{}); from, ok = copied[from] {
			all[from] = line
		}
	}
	return all, nil
}

// copiedFrom gives, of each line of the files to mend among the exports, the
// line it was copied from.
func (c *config) copiedFrom(inputs []inputRecord) (map[lineOf]lineOf, error) {
	byName, err := c.layouts()
	if err != nil {
		return nil, err
	}
	names := map[string]string{} // by how a file to mend writes them
	for _, r := range inputs {
		names[ascii(r.Name)] = r.Name
	}
	copied := map[lineOf]lineOf{}
	for _, r := range inputs {
		l := byName[r.Layout]
		if r.Outcome != "read" || l == nil || l.File.Type == "parquet" {
			continue
		}
		for number, words := range c.mendWords(r.Name, l) {
			m := mendedLine.FindStringSubmatch(words)
			if m == nil || names[m[1]] == "" {
				continue
			}
			if line, err := strconv.Atoi(m[2]); err == nil {
				copied[lineOf{r.Name, number}] = lineOf{names[m[1]], line}
			}
		}
	}
	return copied, nil
}

// mendHead is how much of an export is searched for the column of a file to
// mend, before the whole of it is read.
const mendHead = 64 << 10

// mendWords are what the column of a file to mend says, by line; nil for a file
// without it. A workbook is looked into where its name says what it is.
func (c *config) mendWords(name string, l *layout.Layout) map[int]string {
	if l.Workbook() && !strings.Contains(name, "to-fix") {
		return nil
	}
	if !l.Workbook() && !bytes.Contains(c.headOf(name), []byte(mendColumn)) {
		return nil
	}
	content, err := os.ReadFile(c.exportPath(name))
	if err != nil {
		return nil
	}
	if content, err = unpacked(name, content); err != nil {
		return nil
	}
	if l.Workbook() {
		return bookWords(content, l)
	}
	words, at := map[int]string{}, -1
	for _, line := range textLines(content, l) {
		cells := cutCells(line.text, l)
		if line.number == l.File.Header {
			at = slices.IndexFunc(cells, func(c string) bool { return bare(c, l) == mendColumn })
		}
		if at >= 0 && line.number > l.File.Header && len(cells) > 0 {
			words[line.number] = bare(cells[min(at, len(cells)-1)], l)
		}
	}
	return words
}

// headOf is the beginning of a text export, without the zero bytes that UTF-16
// has between the letters looked for.
func (c *config) headOf(name string) []byte {
	f, err := os.Open(c.exportPath(name))
	if err != nil {
		return nil
	}
	defer f.Close()
	var in io.Reader = f
	if strings.HasSuffix(strings.ToLower(name), ".gz") {
		if in, err = gzip.NewReader(f); err != nil {
			return nil
		}
	}
	head, _ := io.ReadAll(io.LimitReader(in, mendHead)) // what cannot be read has no such column
	return bytes.ReplaceAll(head, []byte{0}, nil)
}

// bookWords are those of a workbook.
func bookWords(content []byte, l *layout.Layout) map[int]string {
	f, err := excelize.OpenReader(bytes.NewReader(content))
	if err != nil {
		return nil
	}
	defer f.Close()
	rows, err := f.GetRows(sheetName(f, l))
	if err != nil || len(rows) < l.File.Header {
		return nil
	}
	at := slices.IndexFunc(rows[l.File.Header-1], func(c string) bool { return strings.TrimSpace(c) == mendColumn })
	words := map[int]string{}
	for i, row := range rows {
		if at >= 0 && i >= l.File.Header && at < len(row) {
			words[i+1] = row[at]
		}
	}
	return words
}
