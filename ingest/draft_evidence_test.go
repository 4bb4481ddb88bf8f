package ingest

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/ingest/layout"
)

// proposeOne proposes a layout for one file.
func proposeOne(t *testing.T, rows ...string) Proposal {
	t.Helper()
	all, err := Propose(context.Background(), folder(t, map[string]string{"x.csv": asLines(rows...)}), nil,
		func(string, string) string { return "" })
	require.NoError(t, err)
	require.Len(t, all, 1)
	return all[0]
}

// TestRecordsOfManyFiles: what a row is, by headers of many offices. A lone field that
// another record has too never beats a record with more of them, and tickets are none.
func TestRecordsOfManyFiles(t *testing.T) {
	for header, record := range map[string]string{
		"Asset No,Office,Site,Model,Input (MBH),Fuel,Installed,Status": layout.Units,
		"Tag;Type;kW;Fuel":                                        layout.Units,
		"Boiler,Model,Installed,Analyzer":                         layout.Units,
		"Date,Unit #,Tech,Analyzer,HF O2,HF CO,LF O2":             layout.Readings,
		"Visit ID,Visit Date,Asset No,High CO2 %,Low CO2 %,Model": layout.Readings,
		"Serial,Day,CO2,Fire,Condition,Status":                    layout.Readings,
		"Analyzer,Cal Date,Span CO2,Found CO2":                    layout.Analyzers,
		"Meter,Calibrated,Certificate,Serial No":                  layout.Analyzers,
		"Model line,Fuel,Fire,Target CO2":                         layout.ModelLines,
		"Plant,Serial,Common vent":                                layout.Plants,
		"Serial,Answered,Answer":                                  layout.Answers,
		"Ticket,Opened,Unit,Problem,Resolution,State":             "",
		"Job,Logged,Plant No,Fault,Type,Status":                   "",
		"Invoice,Customer,Model,Hours,Status":                     "",
		"Date,Kilometres,Van":                                     "",
	} {
		cut := map[bool]string{true: ";", false: ","}[strings.Contains(header, ";")]
		p := proposeOne(t, header, "1"+strings.Repeat(cut, strings.Count(header, cut)))
		got := ""
		if p.Sure {
			got = p.Record
		}
		assert.Equal(t, record, got, header)
	}
}

// TestALoneThousandsMark: a comma before three digits among whole numbers parts
// thousands, whatever parts the cells; where a comma stands elsewhere too it is decimal.
func TestALoneThousandsMark(t *testing.T) {
	for cells, want := range map[string]string{
		"380 620 1,240":     `decimal = ".",thousands = ","`,
		"380 620 1,240 9,5": `decimal = ","`,
		"0,125 0,250 0,500": `decimal = ","`,
		"1,240 2,310 980":   `decimal = ","`, // half of them and more: nothing tells
		"12,5 9,1 8":        `decimal = ","`,
		"38 62 124":         `decimal = "."`,
	} {
		rows := []string{"Tag;Type;Input kW"}
		for i, c := range strings.Fields(cells) {
			rows = append(rows, fmt.Sprintf("K%d;T40;%s", i, c))
		}
		var lines []string
		for line := range strings.Lines(proposeOne(t, rows...).Text) {
			if strings.HasPrefix(line, "decimal") || strings.HasPrefix(line, "thousands") {
				line, _, _ = strings.Cut(line, " #")
				lines = append(lines, line)
			}
		}
		assert.Equal(t, want, strings.Join(lines, ","), cells)
	}
}

// TestCellsOverrideHeaders: cells above what a gas can be are not that gas, a header of
// two gases is the first of them, and the header with more words of a field has it.
func TestCellsOverrideHeaders(t *testing.T) {
	p := proposeOne(t, "Serial,Date,CO2 %,CO ppm @ 3% O2,O2 heater,Gas temp,Flue gas temp degC",
		"K1,2024-03-25,9.1,20,55,180,181", "K2,2024-03-26,9.2,24,61,190,191", "K3,2024-03-27,9.0,22,58,170,171")
	assert.Equal(t, "co2", columnOf(t, p, "CO2 %").Field)
	assert.Equal(t, "co", columnOf(t, p, "CO ppm @ 3% O2").Field)
	assert.Contains(t, p.Text, "basis = \"reference\" # guess: by its header\nreference_o2 = 3")
	assert.Equal(t, "", columnOf(t, p, "O2 heater").Field)
	assert.Equal(t, "flue_temp", columnOf(t, p, "Flue gas temp degC").Field)
	assert.Contains(t, strings.Join(p.Notes, "\n"), `column "O2 heater" is not read as o2: 3 of 3 numbers lie outside 0 to 21 %`)
}

// TestIDsAreThoseOfOtherFiles: of an id of the maker and a plant number, the serial is
// the one that the readings have, whatever the headers say.
func TestIDsAreThoseOfOtherFiles(t *testing.T) {
	plants, tests := []string{"Plant No,Maker's tag,Type,Load kW"}, []string{"Plant No,Date,CO2 full,CO2 low"}
	for i := range 12 {
		plants = append(plants, fmt.Sprintf("P%02d,%d,R40,380", i, 88100+i))
		tests = append(tests, fmt.Sprintf("P%02d,2024-03-25,9.%d,8.%d", i, i%3, i%4))
	}
	all, err := Propose(context.Background(), folder(t, map[string]string{"plants.csv": asLines(plants...), "tests.csv": asLines(tests...)}),
		nil,
		func(string, string) string { return "" })
	require.NoError(t, err)
	for _, p := range all {
		assert.Equal(t, "serial", columnOf(t, p, "Plant No").Field, p.Label)
	}
}

// TestNotesAreNoTable: a page of text with commas asks nobody what its rows are; a table
// does, in words, and takes the answer.
func TestNotesAreNoTable(t *testing.T) {
	notes := proposeOne(t, "Read me, then the cards, and the register", "Boilers are listed once.", "Tests, newest first.", "Ask the office.")
	assert.False(t, notes.Sure)
	assert.Empty(t, notes.Questions)
	jobs := proposeOne(t, "Ticket,Opened,Boiler,Problem,State", "1,2024-03-25,K1,noise,open", "2,2024-03-26,K2,drip,closed")
	require.Len(t, jobs.Questions, 1)
	assert.Contains(t, jobs.Questions[0].Choices, "a register of boilers")
	exports := folder(t, map[string]string{"x.csv": asLines("Ticket,Opened,Boiler,Problem,State", "1,2024-03-25,K1,noise,open")})
	all, err := Propose(context.Background(), exports, nil, func(_,
		key string,
	) string {
		return map[string]string{"rows": "A register of boilers"}[key]
	})
	require.NoError(t, err)
	assert.Equal(t, layout.Units, all[0].Record)
}
