//go:build unix

package measured_test

import (
	"database/sql"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// peerLayout makes the layout of one of the three exports: a field a column, in the order
// of a heading.
func peerLayout(name, record, form string, heading, fields []string) string {
	var b strings.Builder
	b.WriteString("name = \"" + name + "\"\nrecord = \"" + record + "\"\n" + form + "source = \"office\"\n\n[match]\nnames = [\"" + name +
		".csv\"]\n\n" +
		"[export_day]\nfrom = \"declared\"\nday = \"2026-02-28\"\n\n" +
		"[file]\ntype = \"csv\"\ndelimiter = \",\"\nencoding = \"utf-8\"\nheader = 1\ndecimal = \".\"\ndates = \"yyyy-mm-dd\"\n" +
		"missing = [\"\"]\nlast_line = \"whole\"\n")
	for i, field := range fields {
		b.WriteString("\n[[column]]\nheader = \"" + heading[i] + "\"\n" + field + "\n")
	}
	return b.String()
}

// peerFiles are the layouts and the configuration of the comparison.
var peerFiles = map[string]string{
	"layouts/units.toml": peerLayout("units", "units", "", unitsHeading, []string{
		`field = "serial"`, `field = "site"`, `field = "area"`, `field = "model_line"`, `field = "control"`, `field = "installed"`,
		`field = "fuel"`,
		"field = \"vent_length\"\nunit = \"m\"", `field = "elbows_90"`, `field = "elbows_45"`, `field = "air_from"`,
	}),
	"layouts/lines.toml": peerLayout("lines", "model_lines", "", linesHeading, []string{
		`field = "model_line"`, `field = "fuel"`, `field = "fire"`, `field = "valid_from"`, "field = \"target_co2\"\nunit = \"%\"",
		`field = "set_rich"`,
		`field = "set_lean"`, `field = "act_rich"`, `field = "act_lean"`, "field = \"longest_run\"\nunit = \"m\"",
	}),
	"layouts/readings.toml": peerLayout("readings", "readings", "form = \"long\"\n", readingsHeading, []string{
		`field = "visit_id"`, `field = "serial"`, `field = "day"`, `field = "reason"`, `field = "technician"`, `field = "analyzer"`,
		`field = "adjusted"`,
		`field = "fire"`, "field = \"condition\"\ncodes = { \"before\" = \"as found\", \"after\" = \"as left\" }",
		"field = \"co2\"\nunit = \"%\"",
		"field = \"co\"\nunit = \"ppm\"\nbasis = \"as measured\"", "field = \"flue_temp\"\nunit = \"degC\"",
		"field = \"air_temp\"\nunit = \"degC\"",
	}),
	"fluedrift.toml": `[exports]
folder = "exports"
layouts = "layouts"
settle_seconds = 0
[output]
warehouse = "warehouse.duckdb"
lists = "lists"
[plan]
as_of = ` + peersAsOf + `
interval_months = 12
[limits]
co_attention_ppm = 100
co_urgent_ppm = 400
air_o2_percent = 20.9
co2max_percent = { "natural gas" = 11.8, "propane" = 13.7 }
`,
}

// floorOfPeers is the engine's typed scan of the readings, two threads, CPU seconds.
func floorOfPeers(t *testing.T, path string) float64 {
	start := ownCPU(t)
	db, err := sql.Open("duckdb", "?threads=2")
	require.NoError(t, err)
	columns, rest := make([]string, len(readingsHeading)), make([]string, len(readingsHeading))
	into := make([]any, len(readingsHeading))
	for i, name := range readingsHeading {
		kind := "varchar"
		switch {
		case name == "Date":
			kind = "date"
		case i > 8:
			kind = "double"
		}
		columns[i], rest[i], into[i] = "'"+name+"': '"+kind+"'", `max("`+name+`")`, new(any)
	}
	query := "select " + strings.Join(rest, ", ") +
		" from read_csv(?, header = true, auto_detect = false, delim = ',', quote = '\"', columns = {" +
		strings.Join(columns, ", ") + "})"
	require.NoError(t, db.QueryRow(query, path).Scan(into...))
	require.NoError(t, db.Close())
	return ownCPU(t) - start
}
