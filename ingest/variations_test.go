package ingest

import (
	"context"
	"fmt"
	"sort"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/datasets/measured"
)

// The kinds of pollution follow those of the Pollock benchmark (Vitagliano,
// Hameed, Jiang, Reisener, Wu, Naumann: Pollock: A Data Loading Benchmark, PVLDB
// 16, 2023, from memory): one clean file, and variations of its delimiters,
// quotes, escapes, record ends, and of header, columns and rows. The variations
// here are generated, and the file is our own.

// variation is one way to write the clean table, and the dialect declared for
// it.
type variation struct {
	kind, name string
	keys       fileKeys
	text       string
	loses      bool // the table itself was changed: rows or cells are not there any more
}

// clean is the table all variations come from: commas, quotes and line ends in
// free text, blank cells, a long text.
func clean() [][]string {
	rows := [][]string{strings.Split(readingsHeader, ",")}
	for i := range 24 {
		tech := []string{
			"T1", "T2, jr", `T3 "the third"`, "T4; T5", "T6|T7", "T8\tT9", "", "Éva", strings.Repeat("T", 300), "two words",
			"it's T10",
		}[i%11]
		rows = append(rows, []string{
			fmt.Sprintf("A%d", i), fmt.Sprintf("%05d", i%5), fmt.Sprintf("2023-02-%02d", 1+i), "annual", tech, "M1",
			[]string{"high", "low"}[i%2], "found-so", fmt.Sprintf("9.%d", i%10), "4.9", fmt.Sprint(i), "181.5", []string{"19", "-4.5", ""}[i%3],
		})
	}
	return rows
}

// writer writes a table in a dialect.
type writer struct {
	delimiter, quote, escape, end string
	always                        bool // quotes around every cell
}

func (w writer) row(cells []string) string {
	var out []string
	for _, c := range cells {
		needs := w.always || strings.Contains(c, w.delimiter) || strings.ContainsAny(c, "\r\n") || w.quote != "" && strings.Contains(c, w.quote)
		apart := w.escape != "" && w.escape != w.quote // an escape of its own is escaped, too
		if apart && strings.Contains(c, w.escape) {
			needs, c = true, strings.ReplaceAll(c, w.escape, w.escape+w.escape)
		}
		if needs && w.quote != "" {
			c = w.quote + strings.ReplaceAll(c, w.quote, w.escape+w.quote) + w.quote
		}
		out = append(out, c)
	}
	return strings.Join(out, w.delimiter) + w.end
}

func (w writer) table(rows [][]string) string {
	var b strings.Builder
	for _, r := range rows {
		b.WriteString(w.row(r))
	}
	return b.String()
}

var plain = writer{",", `"`, `"`, "\n", false}

// dialects are the variations of a whole file.
func dialects() (all []variation) {
	add := func(kind, name string, w writer, edit func(string) string, keys fileKeys) {
		text := w.table(clean())
		if edit != nil {
			text = edit(text)
		}
		all = append(all, variation{kind, name, keys, text, false})
	}
	same := func(k ...string) fileKeys {
		keys := fileKeys{}
		for i := 0; i < len(k); i += 2 {
			keys[k[i]] = k[i+1]
		}
		return keys
	}
	for _, end := range []string{"\n", "\r\n", "\r"} {
		for _, always := range []bool{false, true} {
			for _, d := range []string{",", ";", "\t", "|", ":", "^", "~", " ", "§", "\x1f"} {
				for _, q := range []string{`"`, "'", "`", "%"} {
					key := strconv.Quote(d)
					add("dialect", fmt.Sprintf("delimiter %q quote %q end %q always %v", d, q, end, always), writer{d, q, q, end, always}, nil,
						same("delimiter", key, "quote", strconv.Quote(q)))
				}
			}
			add("escape", fmt.Sprintf("backslash end %q always %v", end, always), writer{",", `"`, `\`, end, always}, nil, nil)
			add("escape", fmt.Sprintf("backslash declared end %q always %v", end, always), writer{",", `"`, `\`, end, always}, nil,
				same("escape", `"\\"`))
			add("escape", fmt.Sprintf("none end %q always %v", end, always), writer{",", `"`, "", end, always}, nil, nil)
		}
		add("record end", fmt.Sprintf("last missing %q", end), writer{",", `"`, `"`, end, false},
			func(s string) string { return strings.TrimSuffix(s, end) }, nil)
		add("record end", fmt.Sprintf("last missing, declared %q", end), writer{",", `"`, `"`, end, false},
			func(s string) string { return strings.TrimSuffix(s, end) }, same("last_line", `"any"`))
		add("record end", fmt.Sprintf("blank lines below %q", end), writer{",", `"`, `"`, end, false},
			func(s string) string { return s + end + end }, nil)
		add("encoding", fmt.Sprintf("byte order mark %q", end), writer{",", `"`, `"`, end, false}, func(s string) string { return "\ufeff" + s },
			nil)
	}
	add("record end", "mixed", plain, func(s string) string { return strings.Replace(s, "\n", "\r\n", 5) }, nil)
	add("undeclared", "delimiter", writer{";", `"`, `"`, "\n", false}, nil, nil)
	add("undeclared", "quote", writer{",", "'", "'", "\n", false}, nil, nil)
	add("undeclared", "delimiter of two characters", writer{", ", `"`, `"`, "\n", false}, nil, nil)
	add("encoding", "latin-1 declared utf-8", plain, func(s string) string { return strings.ReplaceAll(s, "É", "\xc9") }, nil)
	add("encoding", "latin-1", plain, func(s string) string { return strings.ReplaceAll(s, "É", "\xc9") }, same("encoding", `"latin-1"`))
	add("encoding", "byte 0 at the end", plain, func(s string) string { return s + "\x00\n" }, nil)
	return all
}

// faults are the variations of header, columns and single rows.
func faults() (all []variation) {
	add := func(kind, name string, loses bool, edit func(rows [][]string) [][]string, keys fileKeys) {
		rows := edit(clean())
		all = append(all, variation{kind, name, keys, plain.table(rows), loses})
	}
	insert := func(at int, lines ...[]string) func([][]string) [][]string {
		return func(rows [][]string) [][]string {
			return append(append(append([][]string{}, rows[:at]...), lines...), rows[at:]...)
		}
	}
	columns := len(clean()[0])
	for n := 1; n <= 4; n++ {
		title := make([][]string, n)
		for i := range title {
			title[i] = []string{"Mill tests", "2023"}
		}
		add("header", fmt.Sprintf("%d lines above, declared", n), false, insert(0, title...), fileKeys{"header": fmt.Sprint(n + 1)})
		add("header", fmt.Sprintf("%d lines above", n), false, insert(0, title...), nil)
	}
	add("header", "none", true, func(rows [][]string) [][]string { return rows[1:] }, nil)
	add("header", "twice", false, insert(1, clean()[0]), nil)
	add("header", "and a blank line", false, insert(1, make([]string, columns)), nil)
	add("header", "longer than the rows", true, func(rows [][]string) [][]string { rows[0] = append(rows[0], "Note"); return rows }, nil)
	add("header", "letters changed", false, func(rows [][]string) [][]string {
		rows[0] = strings.Split(strings.ToUpper(readingsHeader), ",")
		return rows
	}, nil)
	for c := range columns {
		add("column", fmt.Sprintf("%d missing", c), true, func(rows [][]string) [][]string {
			for i, r := range rows {
				rows[i] = append(append([]string{}, r[:c]...), r[c+1:]...)
			}
			return rows
		}, nil)
		add("column", fmt.Sprintf("%d twice", c), true, func(rows [][]string) [][]string {
			for i, r := range rows {
				rows[i] = append(append([]string{}, r...), r[c])
			}
			return rows
		}, nil)
		add("column", fmt.Sprintf("%d renamed", c), true, func(rows [][]string) [][]string { rows[0][c] += "?"; return rows }, nil)
		add("column", fmt.Sprintf("%d without a name", c), true, func(rows [][]string) [][]string { rows[0][c] = ""; return rows }, nil)
		add("column", fmt.Sprintf("another before %d", c), false, func(rows [][]string) [][]string {
			for i, r := range rows {
				extra := []string{"x", "Note"}[min(1-min(i, 1), 1)]
				rows[i] = append(append(append([]string{}, r[:c]...), extra), r[c:]...)
			}
			return rows
		}, nil)
	}
	return append(all, rowFaults()...)
}

// rowFaults are the variations of single rows and characters.
func rowFaults() (all []variation) {
	add := func(kind, name string, loses bool, edit func(rows [][]string) [][]string, keys fileKeys) {
		all = append(all, variation{kind, name, keys, plain.table(edit(clean())), loses})
	}
	insert := func(at int, lines ...[]string) func([][]string) [][]string {
		return func(rows [][]string) [][]string {
			return append(append(append([][]string{}, rows[:at]...), lines...), rows[at:]...)
		}
	}
	columns := len(clean()[0])
	base := clean()
	for at := 1; at < len(base); at++ {
		row := base[at]
		replaceRow := func(with []string) func([][]string) [][]string {
			return func(rows [][]string) [][]string { rows[at] = with; return rows }
		}
		add("row", fmt.Sprintf("%d too short", at), true, replaceRow(row[:columns-1]), nil)
		add("row", fmt.Sprintf("%d too long", at), true, replaceRow(append(append([]string{}, row...), "")), nil)
		add("row", fmt.Sprintf("%d much too long", at), true, replaceRow(append(append([]string{}, row...), row...)), nil)
		add("row", fmt.Sprintf("%d of one cell", at), true, replaceRow(row[:1]), nil)
		add("row", fmt.Sprintf("blank before %d", at), false, insert(at, []string{""}), nil)
		add("row", fmt.Sprintf("blank cells before %d", at), false, insert(at, make([]string, columns)), nil)
		add("row", fmt.Sprintf("header before %d", at), false, insert(at, base[0]), nil)
		add("row", fmt.Sprintf("total before %d", at), false, insert(at, []string{"Total", "24"}), nil)
		// Single characters, in the text of the row itself.
		lines := make([]string, len(base))
		for i, r := range base {
			lines[i] = plain.row(r)
		}
		for name, edit := range map[string]func(string) string{
			"quote added in front":    func(s string) string { return `"` + s },
			"quote added at the end":  func(s string) string { return strings.TrimSuffix(s, "\n") + "\"\n" },
			"quote inside a cell":     func(s string) string { return strings.Replace(s, "annual", `ann"ual`, 1) },
			"quote opened in a cell":  func(s string) string { return strings.Replace(s, "annual", `"annual`, 1) },
			"delimiter changed":       func(s string) string { return strings.ReplaceAll(s, ",", ";") },
			"delimiter added":         func(s string) string { return strings.Replace(s, ",", ",,", 1) },
			"delimiter lost":          func(s string) string { return strings.Replace(s, ",annual", "annual", 1) },
			"record end lost":         func(s string) string { return strings.TrimSuffix(s, "\n") },
			"record end CR":           func(s string) string { return strings.TrimSuffix(s, "\n") + "\r" },
			"record end in a cell":    func(s string) string { return strings.Replace(s, "annual", "ann\nual", 1) },
			"blanks around a quote":   func(s string) string { return strings.Replace(s, "annual", ` "annual"`, 1) },
			"text behind a quote":     func(s string) string { return strings.Replace(s, "annual", `"annual"x`, 1) },
			"backslash before quotes": func(s string) string { return strings.ReplaceAll(s, `""`, `\"`) },
		} {
			changed := append([]string{}, lines...)
			changed[at] = edit(lines[at])
			loses := changed[at] != lines[at] && name != "record end CR"
			all = append(all, variation{"character", fmt.Sprintf("%d %s", at, name), nil, strings.Join(changed, ""), loses})
		}
	}
	return all
}

// verdict is what became of a variation: "exact", "rows set aside" (all others
// exact), "refused", or "wrong".
func verdict(t *testing.T, v variation, want map[string]string) (string, string) {
	o := folder(t, map[string]string{"tests.toml": readingsLayout(v.keys), "tests.csv": v.text})
	w := fakeWarehouse{}
	r, err := read(context.Background(), w, o)
	if err != nil {
		return "not a layout", err.Error()
	}
	f := r.Files[0]
	if f.Outcome != WasRead {
		return "refused", f.Reason
	}
	visits := map[string]rowMap{}
	for _, row := range w["record.visits"] {
		visits[row["visit_row"]] = row
	}
	seen := map[string]bool{}
	for _, row := range w["record.readings"] {
		visit := visits[row["visit_row"]]
		id := visit["visit_id"]
		got := shownRow(visit, row)
		if want[id] != got || seen[id] {
			return "wrong", fmt.Sprintf("%s: %s, should be %s", id, got, want[id])
		}
		seen[id] = true
	}
	switch {
	case f.SetAside > 0:
		return "rows set aside", strings.Join(reasons(f), " ")
	case len(seen) == len(want):
		return "exact", ""
	}
	return "wrong", fmt.Sprintf("%d of %d rows and none set aside", len(seen), len(want))
}

func shownRow(visit, row rowMap) string {
	return visit.show("visit_id", "serial", "day", "reason", "technician", "analyzer") + " " +
		row.show("fire", "condition", "co2_percent", "o2_percent", "co_ppm", "flue_temp_c", "air_temp_c")
}

func reasons(f File) (all []string) {
	for r := range f.Reasons {
		all = append(all, r)
	}
	sort.Strings(all)
	return all
}

// TestVariations: with its dialect declared every variation of the clean file
// loads exactly, or is refused or set aside with the reason; none loads wrongly.
// It prints the share of each outcome by kind.
func TestVariations(t *testing.T) {
	clean := clean()
	o := folder(t, map[string]string{"tests.toml": readingsLayout(nil), "tests.csv": plain.table(clean)})
	_, w := readInto(t, o)
	want := map[string]string{}
	for i, row := range w["record.readings"] {
		want[fmt.Sprintf("A%d", i)] = shownRow(w["record.visits"][i], row)
	}
	require.Len(t, want, len(clean)-1)
	assert.Equal(t, `visit_id=A2 serial=00002 day=2023-02-03 reason=annual technician=T3 "the third" analyzer=M1 fire=high condition=as `+
		`found co2_percent=9.2 o2_percent=4.9 co_ppm=2 flue_temp_c=181.5`, want["A2"])
	all := append(dialects(), faults()...)
	share := map[string]map[string]int{}
	for i, v := range all {
		if !long() && i%7 != 0 {
			continue
		}
		got, why := verdict(t, v, want)
		if share[v.kind] == nil {
			share[v.kind] = map[string]int{}
		}
		share[v.kind][got]++
		if v.kind == "undeclared" {
			continue // the cells are what the layout says, whatever was meant
		}
		assert.NotContains(t, []string{"wrong", "not a layout"}, got, "%s: %s: %s", v.kind, v.name, why)
		if v.loses {
			assert.NotEqual(t, "exact", got, "%s: %s", v.kind, v.name)
		}
	}
	printShares(t, share)
}

// printShares prints the table of outcomes by kind.
func printShares(t *testing.T, share map[string]map[string]int) {
	var b strings.Builder
	fmt.Fprintf(&b, "\n%-12s %10s %10s %15s %10s %8s\n", "kind", "variations", "exact", "rows set aside", "refused", "wrong")
	var kinds []string
	for k := range share {
		kinds = append(kinds, k)
	}
	sort.Strings(kinds)
	sum := map[string]int{}
	line := func(kind string, s map[string]int) {
		n := s["exact"] + s["rows set aside"] + s["refused"] + s["wrong"]
		fmt.Fprintf(&b, "%-12s %10d %9.1f%% %14.1f%% %9.1f%% %8d\n", kind, n, 100*float64(s["exact"])/float64(n),
			100*float64(s["rows set aside"])/float64(n), 100*float64(s["refused"])/float64(n), s["wrong"])
	}
	for _, k := range kinds {
		line(k, share[k])
		for v, n := range share[k] {
			sum[v] += n
		}
	}
	line("all", sum)
	t.Log(b.String())
	kept := measured.Of(t, "spoilt-files")
	for _, k := range kinds {
		s := share[k]
		n := s["exact"] + s["rows set aside"] + s["refused"] + s["wrong"]
		for _, outcome := range []string{"exact", "rows set aside", "refused", "wrong"} {
			kept.Count(k, outcome, s[outcome], n, map[bool]string{true: "0"}[outcome == "wrong" && k != "undeclared"])
		}
	}
}
