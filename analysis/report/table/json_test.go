package table

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/model/day"
)

// A list of any texts, numbers and days is read back as it was written, one without rows
// too; what stands in the file is what a library of JSON makes of it, and lines that
// another program wrote otherwise are read all the same.
func TestListsOfJSONComeBack(t *testing.T) {
	text := rapid.StringOf(rapid.SampledFrom([]rune("a\"\\,{}:é\u00a0\u200e\x00\n\u2028\U000e0001\x7f")))
	cell := rapid.OneOf(rapid.Just(Cell{}), rapid.Map(text, TextCell), rapid.Just(DayCell(day.Of(2026, 3, 2))),
		rapid.Map(rapid.IntRange(-99_999, 99_999), func(n int) Cell { return NumberCell(float64(n)/100, 2) }))
	rapid.Check(t, func(t *rapid.T) {
		list := Table{Name: "watchlist", AsOf: day.Of(2026, 3, 2), Head: []string{text.Draw(t, "head")}, Rows: [][]Cell{}}
		for _, kind := range []Kind{Text, Number, Day} {
			list.Columns = append(list.Columns, Column{Name: string(kind) + text.Draw(t, "name"), Kind: kind})
		}
		for range rapid.IntRange(0, 3).Draw(t, "rows") {
			row := make([]Cell, len(list.Columns))
			for i := range row {
				if row[i] = cell.Draw(t, "cell"); row[i].kind != list.Columns[i].Kind {
					row[i] = Cell{}
				}
			}
			list.Rows = append(list.Rows, row)
		}
		var first, again bytes.Buffer
		require.NoError(t, WriteJSON(&first, list))
		back, _, err := ReadJSON(bytes.NewReader(first.Bytes()))
		require.NoError(t, err)
		require.Equal(t, list.Rows, back.Rows)
		require.NoError(t, WriteJSON(&again, back))
		require.Equal(t, first.String(), again.String())

		var library struct{ Rows []map[string]any }
		require.NoError(t, json.Unmarshal(first.Bytes(), &library))
		for i, row := range list.Rows {
			for j, c := range row {
				if c.kind == Text {
					escaped, err := plainJSON(c.text)
					require.NoError(t, err)
					require.Contains(t, first.String(), ":"+string(escaped))
					require.Equal(t, c.text, library.Rows[i][list.Columns[j].Name])
				}
			}
		}
		if len(list.Rows) > 0 {
			spaced, _, err := ReadJSON(strings.NewReader(strings.Replace(first.String(), "\n{", "\n { ", 1)))
			require.NoError(t, err)
			require.Equal(t, list.Rows, spaced.Rows)
		}
	})
}

// A list cut off, or with a value that is neither text nor number, is an error.
func TestDamagedListsOfJSON(t *testing.T) {
	list := Table{Name: "co", Columns: []Column{{Name: "a", Kind: Text}}, Rows: [][]Cell{{TextCell("x")}, {TextCell("y")}}}
	var whole bytes.Buffer
	require.NoError(t, WriteJSON(&whole, list))
	for cut := range whole.Len() - 1 {
		_, _, err := ReadJSON(bytes.NewReader(whole.Bytes()[:cut]))
		require.Error(t, err, cut)
	}
	for _, value := range []string{`true`, `NaN`, `[1]`, `"x`} {
		_, _, err := ReadJSON(strings.NewReader(strings.Replace(whole.String(), `"x"`, value, 1)))
		assert.Error(t, err, value)
	}
}
