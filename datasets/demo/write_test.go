package demo_test

import (
	"bytes"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
	"golang.org/x/text/encoding/charmap"

	"fluedrift/datasets/demo"
	"fluedrift/datasets/worlds"
	"fluedrift/model/day"
)

// written writes a fleet to a temporary folder and returns all files by path.
func written(t *testing.T, f *worlds.DemoFleet) map[string][]byte {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, f.Write(dir))
	return filesIn(t, dir)
}

// physicalLines are the lines of an export as text: of a CSV as they stand, of
// a workbook the cells joined by semicolons.
func physicalLines(t *testing.T, name string, text []byte) []string {
	t.Helper()
	if strings.HasSuffix(name, ".xlsx") {
		book, err := excelize.OpenReader(bytes.NewReader(text))
		require.NoError(t, err)
		defer book.Close()
		rows, err := book.GetRows("Burner tests", excelize.Options{RawCellValue: true})
		require.NoError(t, err)
		var lines []string
		for _, r := range rows {
			lines = append(lines, strings.Join(r, ";"))
		}
		return lines
	}
	if strings.HasPrefix(name, "releves") {
		var err error
		text, err = charmap.Windows1252.NewDecoder().Bytes(text)
		require.NoError(t, err)
	}
	return strings.Split(strings.TrimSuffix(string(text), "\n"), "\n")
}

// The same options give the same bytes, workbooks included; another seed gives
// others.
func TestSameBytes(t *testing.T) {
	one := written(t, worlds.Demo(demo.Options{Units: 60, Years: 6}))
	two := written(t, worlds.Demo(demo.Options{Units: 60, Years: 6}))
	other := written(t, worlds.Demo(demo.Options{Units: 60, Years: 6, Seed: 2}))
	require.Equal(t, len(one), len(two))
	for name, text := range one {
		assert.True(t, bytes.Equal(text, two[name]), name)
	}
	assert.NotEqual(t, one["truth/units.csv"], other["truth/units.csv"])
}

// What a person would look for in the folder: enough files of every kind, in
// the forms the layouts declare.
func TestFilesAsPeopleHaveThem(t *testing.T) {
	files := written(t, worlds.Demo(demo.Options{}))
	exports, layouts := 0, 0
	for name := range files {
		switch {
		case strings.HasPrefix(name, "exports"):
			exports++
		case strings.HasPrefix(name, "layouts"):
			layouts++
		}
	}
	assert.GreaterOrEqual(t, exports, 20)
	assert.Equal(t, 9, layouts)
	for name, text := range files {
		if strings.HasSuffix(name, ".csv") {
			assert.Equal(t, byte('\n'), text[len(text)-1], name)
			assert.NotContains(t, string(text), "NaN,NaN", name)
			assert.NotContains(t, string(text), "-0,", name)
		}
	}
	south := files["exports/releves_sud_07-01-2020.csv"]
	assert.Contains(t, string(south), "R\xe9gl\xe9") // Windows-1252: é is E9 (Unicode, Code page 1252 mapping table)
	assert.Contains(t, string(files["exports/north_readings_2020-01-06.csv"]), `, `)
}

// Every planted line stands where the truth says, and shows what the truth says.
func TestPlantedLinesStandWhereTheTruthSays(t *testing.T) {
	f := worlds.Demo(demo.Options{})
	files := written(t, f)
	lines := map[string][]string{}
	mark := map[string]string{
		"letter in number": "9.l", "comma in number": `"9,4"`, "degC behind degF": "61 C", "degF behind degC": "142 F",
		"words for date":  "early in spring",
		"letter in input": "O0,", "installed on 31 February": "2011-02-31", "unknown control": "see plate", "unknown answer": "maybe later",
		"year to come": "2092", "unknown condition": "Midway", "unknown reason": "???", "serial as number": "7.0013E+11",
		"formula error": "#DIV/0!",
		"ten times":     "94", "not a number": "NaN", "control character": "\x07", "total line": "ombre de", "31 February": "2019",
	}
	kinds := map[string]int{}
	for _, p := range f.PlantedLines() {
		if lines[p.File] == nil {
			lines[p.File] = physicalLines(t, p.File, files["exports/"+p.File])
		}
		text := lines[p.File][p.Line-1]
		kinds[p.Kind]++
		switch p.Kind {
		case "blank":
			assert.Empty(t, text)
		case "repeated header":
			assert.Equal(t, lines[p.File][0], text)
		case "total line":
			assert.True(t, strings.HasPrefix(text, "Total readings,") || strings.HasPrefix(text, "Nombre de fiches;"), text)
		case "serial as number", "no serial":
			assert.NotContains(t, text, p.Serial)
		default:
			assert.Contains(t, strings.ToLower(text), strings.ToLower(p.Serial[:len(p.Serial)-1]), p)
		}
		if m, ok := mark[p.Kind]; ok && p.Kind != "total line" {
			assert.Contains(t, text, m, p)
		}
	}
	for _, kind := range demo.DamageKinds() {
		assert.Positive(t, kinds[kind], kind)
	}
	for _, kind := range []string{
		"double", "likely double", "correction", "corrected later", "blank", "repeated header", "total line",
		"letter in input", "installed on 31 February", "unknown control", "contract missing",
	} {
		assert.Positive(t, kinds[kind], kind)
	}
}

// Every reading a perfect reader has stands on the line it names, with its
// serial and its gas values as text.
func TestReadingsStandWhereTheyComeFrom(t *testing.T) {
	f := worlds.Demo(demo.Options{Units: 150})
	files := written(t, f)
	lines := map[string][]string{}
	for _, h := range f.Histories() {
		for _, r := range h.Readings {
			name, number := origin(t, r.Origin)
			if lines[name] == nil {
				lines[name] = physicalLines(t, name, files["exports/"+name])
			}
			text := lines[name][number-1]
			assert.Contains(t, strings.ToLower(text), strings.ToLower(h.Unit.Serial), r.Origin)
			assert.Contains(t, text, dayAsWritten(name, r.Day), r.Origin)
			for _, gas := range []float64{r.CO2Percent, r.O2Percent} {
				shown := number1(gas)
				if strings.HasPrefix(name, "releves") {
					shown = demo.Comma(shown)
				}
				if strings.HasSuffix(name, ".xlsx") {
					shown = strings.TrimSuffix(shown, ".0")
				}
				assert.Contains(t, text, shown, r.Origin)
			}
		}
	}
}

// dayAsWritten is a day in the form of an office's exports.
func dayAsWritten(name string, day day.Day) string {
	switch {
	case strings.HasPrefix(name, "north"):
		return demo.Format(day, "01/02/2006")
	case strings.HasPrefix(name, "releves"):
		return demo.Format(day, "02.01.2006")
	case strings.HasPrefix(name, "west"):
		return strconv.Itoa(int(day) + 25569) // 1970-01-01 is day number 25569 of the 1900 system (ECMA-376 part 1, 18.17.4.1)
	}
	return demo.ISO(day)
}

func number1(x float64) string { return demo.Number(x, 1) }
