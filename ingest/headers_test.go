package ingest

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// withHeaders is the tests' layout with some headers written otherwise.
func withHeaders(keys fileKeys, pairs ...string) string {
	text := readingsLayout(keys)
	for i := 0; i < len(pairs); i += 2 {
		text = strings.Replace(text, fmt.Sprintf("header = %q", pairs[i]), pairs[i+1], 1)
	}
	return text
}

// byPosition are the columns of the tests' layout by their place.
func byPosition() (pairs []string) {
	for i, name := range strings.Split(readingsHeader, ",") {
		pairs = append(pairs, name, fmt.Sprintf("position = %d", i+1))
	}
	return pairs
}

// TestHeaders: a header may be missing, run over several lines, or have names that
// changed over the years. What is wrong with one is said.
func TestHeaders(t *testing.T) {
	seven := []string{"fire", "co2_percent"}
	upper := "Visit,Serial,Date,Why,Tech,Meter,Fire,Taken,Gas,,,Temperature,"
	lower := ",,,,,,,,CO2,O2,CO,flue,air"
	joined := []string{
		"CO2", `header = "Gas CO2"`, "O2", `header = "Gas O2"`, "CO", `header = "Gas CO"`, "Flue",
		`header = "Temperature flue"`, "Air", `header = "Temperature air"`,
	}
	renamed := strings.Replace(readingsHeader, "CO2", "CO2 HF", 1)
	for _, c := range []struct {
		name, layout, text string
		want               []string
		says               string
	}{
		{
			"none", withHeaders(fileKeys{"header": "0"}, byPosition()...), asLines(goodRow, "", goodRowWith("high", "low")),
			[]string{"1 read fire=high co2_percent=9.1", "3 read fire=low co2_percent=9.1"},
			"",
		},
		{
			"none, a cell too many", withHeaders(fileKeys{"header": "0"}, byPosition()...), asLines(goodRow, goodRow+",1"),
			[]string{"1 read fire=high co2_percent=9.1", "2 aside wrong-field-count"},
			"",
		},
		{
			"none, a stray quote in the first line", withHeaders(fileKeys{"header": "0"}, byPosition()...), asLines(goodRowWith("T1", `"T1`),
				goodRow),
			[]string{"1 aside unterminated-quote", "2 read fire=high co2_percent=9.1"},
			"",
		},
		{"none, no bytes", withHeaders(fileKeys{"header": "0"}, byPosition()...), "", []string{"refused empty-file"}, ""},
		{
			"two lines", withHeaders(fileKeys{"header": "[2, 3]"}, joined...), asLines("Mill", upper, lower, goodRow),
			[]string{"4 read fire=high co2_percent=9.1"},
			"",
		},
		{"two lines, one there", withHeaders(fileKeys{"header": "[1, 2]"}, joined...), asLines(upper), []string{"refused empty-file"}, ""},
		{
			"two lines, the upper one damaged", withHeaders(fileKeys{"header": "[1, 2]"},
				joined...), asLines(strings.Replace(upper, "Gas", `"Gas`, 1), lower, goodRow),
			[]string{"refused no-header"},
			"line 1: a quote opens",
		},
		{
			"the first name", withHeaders(nil, "CO2", `header = ["CO2 HF", "High CO2"]`), asLines(renamed, goodRow),
			[]string{"2 read fire=high co2_percent=9.1"},
			"",
		},
		{
			"the other name", withHeaders(nil, "CO2", `header = ["CO2 HF", "High CO2"]`), asLines(strings.Replace(renamed, "CO2 HF", "high co2", 1),
				goodRowWith("9.1", "9,1")),
			[]string{`2 aside wrong-field-count`},
			"",
		},
		{
			"neither name", withHeaders(nil, "CO2", `header = ["CO2 HF", "High CO2"]`), readingsFile(goodRow),
			[]string{"refused missing-column"},
			`not in the header: "CO2 HF" or "High CO2"`,
		},
		{
			"both names", withHeaders(nil, "CO2", `header = ["CO2 HF", "CO2"]`, "O2", "ignore = true\nheader = \"O2\"", "field = \"o2\"\n", ""),
			asLines(strings.Replace(renamed, "O2,CO,", "CO2,CO,", 1), goodRow), nil, `the header has "CO2 HF", "CO2"`,
		},
		{
			"a delimiter of two characters", readingsLayout(fileKeys{"delimiter": `"::"`}), strings.ReplaceAll(readingsFile(goodRow,
				goodRowWith("T1", `"T1,, ""a"""`)), ",", "::"),
			[]string{"2 read fire=high co2_percent=9.1", "3 read fire=high co2_percent=9.1"},
			"",
		},
		{
			"half a delimiter", readingsLayout(fileKeys{"delimiter": `", "`}), strings.ReplaceAll(readingsFile(goodRow), ",", ", ") + goodRow + "\n",
			[]string{"2 read fire=high co2_percent=9.1", "3 aside wrong-field-count"},
			"",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			if c.name == "both names" {
				c.layout = strings.Replace(c.layout, "ignore = true\nheader = \"O2\"\nfield = \"o2\"",
					"header = \"O2\"\nignore = true\noptional = true", 1)
			}
			r, w := readInto(t, folder(t, map[string]string{"tests.toml": c.layout, "tests.csv": c.text}))
			if c.want != nil {
				assert.Equal(t, c.want, fate(r.Files[0], w, "record.readings", seven...), r.Files[0].Message)
			}
			assert.Contains(t, r.Files[0].Message, c.says)
		})
	}
}

// TestHeadersAreCounted: the lines of a header are its own, and a header that is not
// there is no line.
func TestHeadersAreCounted(t *testing.T) {
	r, _ := readInto(t, folder(t, map[string]string{
		"tests.toml": withHeaders(fileKeys{"header": "0"}, byPosition()...), "tests.csv": asLines(goodRow, goodRow),
	}))
	f := r.Files[0]
	require.Equal(t, []int64{2, 0, 0, 2}, []int64{f.Lines, f.Header, f.Skipped, f.Parsed}, f.Message)
	r, _ = readInto(t, folder(t, map[string]string{
		"tests.toml": withHeaders(fileKeys{"header": "[2, 3]"}), "tests.csv": asLines("Mill", "", readingsHeader, goodRow),
	}))
	f = r.Files[0]
	require.Equal(t, []int64{4, 2, 1, 1}, []int64{f.Lines, f.Header, f.Skipped, f.Parsed}, f.Message)
}
