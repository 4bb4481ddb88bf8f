package table

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"fluedrift/analysis/report/words"
)

// WriteCautions writes the cautions as a text file to lie beside the lists.
func WriteCautions(w io.Writer) error {
	out := bufio.NewWriter(w)
	WriteLines(out, words.Cautions())
	if err := out.Flush(); err != nil {
		return fmt.Errorf("write cautions: %w", err)
	}
	return nil
}

// WriteText writes lists for a terminal: of each its head and the columns that have a
// short header and any value, aligned; then the cautions. Characters that steer a
// terminal are made visible; a missing value is "-".
func WriteText(w io.Writer, lists ...Table) error {
	out := bufio.NewWriter(w)
	for _, t := range lists {
		if err := writeText(out, t); err != nil {
			return err
		}
	}
	WriteLines(out, words.Cautions())
	if err := out.Flush(); err != nil {
		return fmt.Errorf("write lists: %w", err)
	}
	return nil
}

// writeText writes a list without the cautions.
func writeText(out *bufio.Writer, t Table) error {
	lines := t.Lines()
	WriteLines(out, lines)
	if len(lines) > 0 {
		out.WriteByte('\n')
	}
	if len(t.Rows) == 0 {
		out.WriteString("Nothing on this list.\n")
	} else if err := WriteAligned(out, t); err != nil {
		return fmt.Errorf("write %s: %w", t.Name, err)
	}
	out.WriteByte('\n')
	return nil
}

// WriteLines writes sentences, one a line; a write error shows at the flush.
func WriteLines(out *bufio.Writer, lines []string) {
	for _, l := range lines {
		out.WriteString(words.Visible(l))
		out.WriteByte('\n')
	}
}

// WriteAligned writes the short columns of a table, aligned.
func WriteAligned(w io.Writer, t Table) error {
	var shown []int
	var cells []string
	for i, c := range t.Columns {
		if c.Short != "" && Filled(t, i) {
			shown, cells = append(shown, i), append(cells, c.Short)
		}
	}
	out := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(out, strings.Join(cells, "\t"))
	for _, row := range t.Rows {
		for k, i := range shown {
			if cells[k] = terminalCell(row[i]); k < len(shown)-1 {
				cells[k] = narrowed(cells[k])
			}
		}
		fmt.Fprintln(out, strings.Join(cells, "\t"))
	}
	return out.Flush()
}

// Filled reports whether a column has any value.
func Filled(t Table, column int) bool {
	return slices.ContainsFunc(t.Rows, func(row []Cell) bool { return !row[column].Missing() })
}

// widestCell is how many characters of a cell stand before others on a
// terminal's line: one long name must not push all columns out of sight. The
// other forms hold it whole.
const widestCell = 60

func narrowed(text string) string {
	if runes := []rune(text); len(runes) > widestCell {
		return string(runes[:widestCell-3]) + "..."
	}
	return text
}

func terminalCell(c Cell) string {
	if c.Missing() {
		return "-"
	}
	return words.Visible(c.String())
}
