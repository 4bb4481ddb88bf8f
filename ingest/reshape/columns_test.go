package reshape

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
)

func TestUniteAndFirstFilled(t *testing.T) {
	out, notes, err := reshaped(t, wantCells(`
		Day | Year | Mobile | Desk
		03/25 | 2024 | | 555
		03/26 | | 777 | 555`),
		layout.Step{Do: layout.Unite, Columns: []string{"Day", "year"}, With: "/", Into: "Date"},
		layout.Step{Do: layout.FirstFilled, Columns: []string{"Mobile", "Desk"}, Into: "Phone"})
	require.NoError(t, err)
	assert.Equal(t, wantCells(`
		Day | Year | Mobile | Desk | Date | Phone
		03/25 | 2024 | | 555 | 03/25/2024 | 555
		03/26 | | 777 | 555 | 03/26 | 777`), cellsOf(out))
	assert.Equal(t, []string{`1 cell of "Mobile", "Desk" not used, because a column before it holds another, the first in line 3`}, notes)
}

func TestMissingWhere(t *testing.T) {
	in := wantCells(`
		O2 | CO | Tested
		0 | 0 | N
		0 | 12 |
		0 | 5 | Y
		4.9 | 0 | n`)
	step := layout.Step{Do: layout.MissingWhere, Columns: []string{"O2", "CO"}, Values: []string{"0"}, Where: "Tested", Is: []string{"N", ""}}
	out, notes, err := reshaped(t, in, step)
	require.NoError(t, err)
	assert.Equal(t, wantCells(`
		O2 | CO | Tested
		| | N
		| 12 |
		0 | 5 | Y
		4.9 | | n`), cellsOf(out))
	assert.Equal(t, []string{`4 cells taken as missing, because column "Tested" says so`}, notes)
	step.Values = nil
	out, _, err = reshaped(t, in, step)
	require.NoError(t, err)
	assert.Equal(t, []string{"", "", "n"}, out[4].Cells)
}

func TestLeaveOut(t *testing.T) {
	out, _, err := reshaped(t, wantCells(`
		Unit | Status
		1 | VOID
		2 | done
		3 | draft
		4 |`), layout.Step{Do: layout.LeaveOut, Column: "status", Values: []string{"void", "Draft"}},
		layout.Step{Do: layout.FillDown, Columns: []string{"Status"}})
	require.NoError(t, err)
	var left []string
	for _, ln := range out {
		left = append(left, ln.Left)
	}
	assert.Equal(t, []string{"", `status is "void"`, "", `status is "draft"`, ""}, left)
	assert.Equal(t, []string{"4", "done"}, out[4].Cells, "what is left out goes through no further step")
}

func TestHeadingRows(t *testing.T) {
	out, _, err := reshaped(t, table{
		{"Unit", "CO2"},
		{"Office: North"},
		{"Site: Oak Hill", ""},
		{"1", "9.1"},
		{"", "Site: Elm"},
		{"2", "9.2"},
		{"Office: South"},
		{"3", "9.0"},
		{"Total", ""},
	}, layout.Step{Do: layout.HeadingRows, Patterns: []string{`Office: (?P<office>.+)`, `Site: (?P<site>.+)`}})
	require.NoError(t, err)
	var got table
	for _, ln := range out {
		if ln.Left == "" {
			got = append(got, ln.Cells)
			continue
		}
		assert.Equal(t, headingRow, ln.Left)
	}
	assert.Equal(t, table{
		{"Unit", "CO2", "office", "site"},
		{"1", "9.1", "North", "Oak Hill"},
		{"2", "9.2", "North", "Elm"},
		{"3", "9.0", "South", ""},
		{"Total", "", "South", ""},
	}, got)
}

func TestFromName(t *testing.T) {
	step := layout.Step{
		Do: layout.PartsOfName, Patterns: []string{`^(?P<office>\w+)/.*(?P<year>\d{4})(?:-Q(?P<quarter>\d))?`}, Checks: "Date",
	}
	read := func(name string) ([]string, []lines.Line, []string, error) {
		l := layoutOf(t, step)
		l.Days, _ = parse.NewDays("yyyy-mm-dd", 0)
		src := Rows(&tableRows{table: table{{"Date"}, {"2024-03-31"}, {"2024-04-01"}, {"2023-12-31"}, {"soon"}}}, l, name, nil)
		var all []lines.Line
		var doubts []string
		for {
			ln, err := src.Next()
			if err != nil {
				if len(all) == 5 {
					err = nil
				}
				return doubts, all, Notes(src), err
			}
			own := *ln
			own.Cells = append([]string{}, ln.Cells...)
			all, doubts = append(all, own), append(doubts, ln.Doubt)
		}
	}
	doubts, all, notes, err := read("north/tests 2024-Q1.csv")
	require.NoError(t, err)
	assert.Equal(t, []string{"2024-03-31", "north", "2024", "1"}, all[1].Cells)
	assert.Equal(t, []string{"", "", OutsideName, OutsideName, ""}, doubts)
	assert.Equal(t, []string{`2 days of column "Date" outside the period in the name: the first "2024-04-01" in line 3`}, notes)
	doubts, _, _, err = read("north/tests 2024.csv")
	require.NoError(t, err)
	assert.Equal(t, []string{"", "", "", OutsideName, ""}, doubts)
	_, _, _, err = read("tests.csv")
	assert.ErrorContains(t, err, `the name of the file, "tests.csv", fits no pattern of the step from_name`)
}

func TestPeriodOfAName(t *testing.T) {
	for _, c := range []struct{ year, quarter, month, from, to string }{
		{"2024", "", "", "2024-01-01", "2024-12-31"},
		{"24", "4", "", "2024-10-01", "2024-12-31"},
		{"2023", "Q1", "02", "2023-02-01", "2023-02-28"},
	} {
		p := periodOf([]string{"quarter", "year", "month"}, []string{c.quarter, c.year, c.month})
		assert.Equal(t, []string{c.from, c.to}, []string{p.from.String(), p.to.String()})
	}
	assert.False(t, periodOf([]string{"year"}, []string{"north"}).known())
}

// TestUniteIsUndone: separating what was put together gives the parts.
func TestUniteIsUndone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		part := rapid.StringMatching(`[a-z0-9]{1,5}`)
		a, b := part.Draw(t, "a"), part.Draw(t, "b")
		out, _, err := reshaped(t, table{{"A", "B"}, {a, b}}, layout.Step{Do: layout.Unite, Columns: []string{"A", "B"}, With: "-", Into: "AB"},
			layout.Step{Do: layout.Separate, Column: "AB", Patterns: []string{`(?P<one>.*)-(?P<two>.*)`}})
		require.NoError(t, err)
		require.Equal(t, []string{a, b}, out[1].Cells[3:])
	})
}

// TestLeftOutAndKeptAreAll: whatever a column holds, each row is kept or left out, by
// that column alone.
func TestLeftOutAndKeptAreAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := table{{"Unit", "Status"}}
		for _, s := range rapid.SliceOfN(rapid.SampledFrom([]string{"void", "VOID ", "done", ""}), 0, 9).Draw(t, "status") {
			in = append(in, []string{"1", s})
		}
		out, _, err := reshaped(t, in, layout.Step{Do: layout.LeaveOut, Column: "Status", Values: []string{"void"}})
		require.NoError(t, err)
		require.Len(t, out, len(in))
		for i, ln := range out[1:] {
			require.Equal(t, strings.EqualFold(strings.TrimSpace(in[i+1][1]), "void"), ln.Left != "")
		}
	})
}
