package lines

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/ingest/layout"
)

// given are lines that are there.
type given struct {
	all []Line
	at  int
}

func (g *given) Next() (*Line, error) {
	if g.at == len(g.all) {
		return nil, io.EOF
	}
	g.at++
	ln := g.all[g.at-1]
	ln.Number, ln.Ended, ln.Text, ln.Cells = max(ln.Number, g.at), true, strings.Join(ln.Cells, "\t"), slices.Clone(ln.Cells)
	return &ln, nil
}
func (g *given) SetWidth(int) {}
func (g *given) Close() error { return nil }

func row(cells string, spans ...Span) Line {
	return Line{Cells: strings.Split(cells, "|"), Spans: spans}
}

// through gives the cells of lines after merged ones hold for theirs, and what is said of it.
func through(t *testing.T, toml string, all ...Line) (rows, notes []string) {
	t.Helper()
	l, err := layout.Parse("x.toml",
		"name = \"x\"\nrecord = \"readings\"\nform = \"long\"\nsource = \"x\"\n[match]\nnames = [\"x\"]\n[file]\ntype = \"xlsx\"\n"+toml)
	require.NoError(t, err)
	m := OverMerged(&given{all: all}, l)
	for {
		ln, err := m.Next()
		if errors.Is(err, io.EOF) {
			return rows, m.Notes()
		}
		require.NoError(t, err)
		require.Equal(t, strings.Join(ln.Cells, "\t"), ln.Text)
		rows = append(rows, fmt.Sprintf("%d %s", ln.Number, strings.Join(ln.Cells, "|")))
	}
}

const mergedColumns = `[[column]]
header = "Boiler"
field = "serial"
[[column]]
header = "Day"
field = "day"
[[column]]
header = "Fire"
field = "fire"
[[column]]
header = "Taken"
field = "condition"
[[column]]
header = "CO2"
field = "co2"
`

// A day that is merged over rows is that of each, down to its last and in rows that hold
// something of their own; a measurement is that of its first.
func TestMergedOverRows(t *testing.T) {
	rows, notes := through(t, "header = 2\nfooter = [\"^Sum\"]\n"+mergedColumns,
		row("Tests|||||", Span{0, 2}),
		row("Boiler|Day|Fire|Taken|CO2|Note", Span{1, 3}),
		row("K1|2024-01-02|high|as found|9.1|dirty", Span{1, 8}, Span{4, 4}, Span{0, 4}),
		row("||high|as left||"), row("|||||"), row("K2||high|as found|9|"), row("Sum|||||9"),
		row("K3|2024-01-03|high|as found|9|"), row("K4||high|as found|9|"))
	assert.Equal(t, []string{
		"1 Tests|||||", "2 Boiler|Day|Fire|Taken|CO2|Note", "3 K1|2024-01-02|high|as found|9.1|dirty", "4 K1|2024-01-02|high|as left||",
		"5 |||||",
		"6 K2|2024-01-02|high|as found|9|", "7 Sum|||||9", "8 K3|2024-01-03|high|as found|9|", "9 K4||high|as found|9|",
	}, rows)
	assert.Equal(t, []string{
		`1 cell of column "Boiler" takes the value of the cell that is merged over it; the first is in line 4`,
		`2 cells of column "Day" take the value of the cell that is merged over them; the first is in line 4`,
		`1 cell of column "Day" lies hidden under a merged one and is read as it is; the first is in line 8`,
		`1 cell of column "CO2" stays blank under a merged one: a measurement belongs to one row (merged = true if it belongs to all); the ` +
			`first is in line 4`,
	}, notes)
}

// A layout says of a column that its merged cells hold for all of their rows, or for the
// first.
func TestMergedAsDeclared(t *testing.T) {
	lines := []Line{row("Boiler|Day|Fire|Taken|CO2"), row("K1|2024-01-02|high|as found|9.1", Span{1, 3}, Span{4, 3}), row("K1||high|as left|")}
	rows, _ := through(t, strings.Replace(mergedColumns, "field = \"co2\"", "field = \"co2\"\nmerged = true", 1), lines...)
	assert.Equal(t, "3 K1|2024-01-02|high|as left|9.1", rows[2])
	rows, _ = through(t, strings.Replace(mergedColumns, "field = \"day\"", "field = \"day\"\nmerged = false", 1), lines...)
	assert.Equal(t, "3 K1||high|as left|", rows[2])
	rows, _ = through(t, `[[step]]
do = "separate"
column = "Both"
patterns = ['(?P<CO2>\S+) / (?P<CO>\S+)']
`+mergedColumns+"[[column]]\nheader = \"CO\"\nfield = \"co\"\nbasis = \"as measured\"\n",
		row("Boiler|Day|Fire|Taken|Both"), row("K1|2024-01-02|high|as found|9.1 / 20", Span{4, 3}), row("K1|2024-01-02|high|as left|"))
	assert.Equal(t, "3 K1|2024-01-02|high|as left|", rows[2], "a column that measurements are cut from")
}
