package report

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"fluedrift/analysis/watch"
)

// WriteText writes a list for a terminal: its head, the columns that have a
// short header and any value, aligned, and the cautions. Characters that steer a terminal
// are made visible; a missing value is "-".
func WriteText(w io.Writer, t Table) error {
	out := bufio.NewWriter(w)
	writeLines(out, t.Head)
	if len(t.Head) > 0 {
		out.WriteByte('\n')
	}
	if len(t.Rows) == 0 {
		out.WriteString("Nothing on this list.\n")
	} else if err := writeAligned(out, t); err != nil {
		return fmt.Errorf("write %s: %w", t.Name, err)
	}
	out.WriteByte('\n')
	writeLines(out, Cautions())
	if err := out.Flush(); err != nil {
		return fmt.Errorf("write %s: %w", t.Name, err)
	}
	return nil
}

// WriteStory writes one unit's story for a terminal.
func WriteStory(w io.Writer, s watch.Story) error {
	out := bufio.NewWriter(w)
	writeLines(out, s.Head)
	out.WriteByte('\n')
	writeLines(out, s.Why)
	out.WriteByte('\n')
	if len(s.Outlook) > 0 {
		writeLines(out, s.Outlook)
		out.WriteByte('\n')
	}
	for _, part := range []struct {
		head  string
		lines []string
	}{{"Check first (common practice, no source):", s.Check}, {"What the records say of themselves:", s.Found}, {"Cost:", s.Cost}} {
		if len(part.lines) == 0 {
			continue
		}
		writeLines(out, []string{part.head})
		for _, l := range part.lines {
			writeLines(out, []string{"  " + l})
		}
		out.WriteByte('\n')
	}
	if len(s.Entries) == 0 {
		out.WriteString("Nothing on record.\n")
	} else if err := writeAligned(out, History(s)); err != nil {
		return fmt.Errorf("write unit %q: %w", s.Serial, err)
	}
	out.WriteByte('\n')
	writeLines(out, Cautions())
	if err := out.Flush(); err != nil {
		return fmt.Errorf("write unit %q: %w", s.Serial, err)
	}
	return nil
}

// writeLines writes sentences, one a line; a write error shows at the flush.
func writeLines(out *bufio.Writer, lines []string) {
	for _, l := range lines {
		out.WriteString(visible(l))
		out.WriteByte('\n')
	}
}

// writeAligned writes the short columns of a table, aligned.
func writeAligned(w io.Writer, t Table) error {
	var shown []int
	var cells []string
	for i, c := range t.Columns {
		if c.Short != "" && filled(t, i) {
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

// filled reports whether a column has any value.
func filled(t Table, column int) bool {
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
	return visible(c.String())
}
