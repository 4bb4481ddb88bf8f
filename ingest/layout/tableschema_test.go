package layout

import (
	"encoding/json"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestTableSchema: a contract names columns as the file does, bounds in the unit of the
// column, words as they are written, and days by the marks of strptime; what a step makes
// is none of its columns, what it cuts is.
func TestTableSchema(t *testing.T) {
	l, err := Parse("t.toml", `
name = "tests"
record = "readings"
form = "long"
source = "a"
[match]
names = ["*.csv"]
[export_day]
from = "unknown"
[file]
delimiter = ";"
decimal = ","
dates = "dd.mm.yyyy"
missing = ["-"]
[[step]]
do = "separate"
column = "Stage"
patterns = ['(?P<fire>\w+)/(?P<state>\w+)']
[[column]]
header = "Unit"
field = "serial"
[[column]]
header = "Done"
field = "day"
[[column]]
header = "fire"
field = "fire"
codes = { HF = "high" }
[[column]]
header = "state"
field = "condition"
codes = { AF = "as found" }
[[column]]
header = "Why"
field = "reason"
codes = { Yearly = "annual" }
[[column]]
header = "CO2"
field = "co2"
[[column]]
header = "CO"
field = "co"
[[column]]
header = "Flue F"
field = "flue_temp"
unit = "degF"
`)
	require.NoError(t, err)
	text, err := json.Marshal(SchemaOf(l))
	require.NoError(t, err)
	var got struct {
		Fields  []map[string]any `json:"fields"`
		Missing []string         `json:"missingValues"`
		Dialect map[string]any   `json:"dialect"`
	}
	require.NoError(t, json.Unmarshal(text, &got))
	fields := map[string]map[string]any{}
	for _, f := range got.Fields {
		fields[f["name"].(string)] = f
	}
	require.Len(t, fields, 7)
	assert.NotContains(t, fields, "fire")
	assert.Equal(t, "string", fields["Stage"]["type"])
	assert.Equal(t, "%d.%m.%Y", fields["Done"]["format"])
	assert.Equal(t, map[string]any{"required": true}, fields["Unit"]["constraints"])
	flue := fields["Flue F"]
	assert.Equal(t, []any{",", "degF"}, []any{flue["decimalChar"], flue["unit"]})
	limits := flue["constraints"].(map[string]any)
	assert.InDelta(t, -58, limits["minimum"], 1e-9)  // -50 degC
	assert.InDelta(t, 1472, limits["maximum"], 1e-9) // 800 degC
	words := fields["Why"]["constraints"].(map[string]any)["enum"].([]any)
	assert.Contains(t, words, "Yearly")
	assert.Contains(t, words, "start-up")
	assert.NotContains(t, words, "annual")
	co := regexp.MustCompile(`^(?:` + fields["CO"]["constraints"].(map[string]any)["pattern"].(string) + `)$`)
	for cell, fits := range map[string]bool{"35": true, "< 5": true, "OL": true, "1,5": true, "x": false, "35 mg": false} {
		assert.Equal(t, fits, co.MatchString(cell), cell)
	}
	assert.Equal(t, []string{"", "-"}, got.Missing)
	assert.Equal(t, ";", got.Dialect["delimiter"])
}
