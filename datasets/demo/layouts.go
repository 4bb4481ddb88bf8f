package demo

import (
	"fmt"
	"strings"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// column is one column of an export and what a layout says about it.
type column struct {
	fire                       judge.Fire
	condition                  judge.Condition
	header, field, unit, basis string
	referenceO2                string
	codes                      [][2]string // export word, our word
	carry                      string
	ignore                     bool
}

// layout is one layout file.
type layout struct {
	name, record, form, source string
	patterns                   string // base names, path.Match syntax
	dayPattern                 string // export day in the name
	file                       [][2]string
	constants                  [][2]string
	columns                    []column
}

// text writes a layout as TOML.
func (l *layout) text() string {
	var b strings.Builder
	put := func(key, value string) { fmt.Fprintf(&b, "%s = %s\n", key, value) }
	fmt.Fprintf(&b, "# What the %s exports mean. Written by the invented fleet.\n", l.name)
	put("name", quoted(l.name))
	put("record", quoted(l.record))
	if l.form != "" {
		put("form", quoted(l.form))
	}
	put("source", quoted(l.source))
	fmt.Fprintf(&b, "\n[match]\nnames = [%s]\n", quoted(l.patterns))
	fmt.Fprintf(&b, "\n[export_day]\nfrom = \"name\"\npattern = %s\n", quoted(l.dayPattern))
	fmt.Fprintf(&b, "\n[file]\n")
	for _, kv := range l.file {
		put(kv[0], kv[1])
	}
	if len(l.constants) > 0 {
		fmt.Fprintf(&b, "\n[constants]\n")
		for _, kv := range l.constants {
			put(kv[0], quoted(kv[1]))
		}
	}
	for i := range l.columns {
		b.WriteString(l.columns[i].text())
	}
	return b.String()
}

// text writes one column as TOML.
func (c *column) text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "\n[[column]]\nheader = %s\n", quoted(c.header))
	for _, kv := range [][2]string{
		{"field", c.field},
		{"unit", c.unit},
		{"fire", string(c.fire)},
		{"condition", string(c.condition)},
		{"basis", c.basis},
		{"carry", c.carry},
	} {
		if kv[1] != "" {
			fmt.Fprintf(&b, "%s = %s\n", kv[0], quoted(kv[1]))
		}
	}
	if c.referenceO2 != "" {
		fmt.Fprintf(&b, "reference_o2 = %s\n", c.referenceO2)
	}
	if c.ignore {
		b.WriteString("ignore = true\n")
	}
	if len(c.codes) > 0 {
		parts := make([]string, len(c.codes))
		for i, kv := range c.codes {
			parts[i] = quoted(kv[0]) + " = " + quoted(kv[1])
		}
		fmt.Fprintf(&b, "codes = { %s }\n", strings.Join(parts, ", "))
	}
	return b.String()
}

// quoted writes a TOML basic string.
func quoted(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\t", `\t`).Replace(s) + `"`
}

// headers returns the header line's cells.
func headers(columns []column) []string {
	out := make([]string, len(columns))
	for i := range columns {
		out[i] = columns[i].header
	}
	return out
}

// csvFile is the [file] table of a CSV export.
func csvFile(delimiter, encoding, decimal, dates string, more ...[2]string) [][2]string {
	kv := [][2]string{
		{"type", `"csv"`},
		{"delimiter", quoted(delimiter)},
		{"encoding", quoted(encoding)},
		{"header", "1"},
		{"decimal", quoted(decimal)},
		{"dates", quoted(dates)},
	}
	return append(append(kv, more...), [2]string{"last_line", `"whole"`})
}

// configText is the configuration that goes with files of an as-of day.
func configText(asOf day.Day) string {
	return fmt.Sprintf(`# The configuration of the invented fleet.

[exports]
folder  = "exports"
layouts = "layouts"
settle_seconds = 0   # these exports are written whole; a real fleet leaves this out

[output]
warehouse = "warehouse.duckdb"
lists     = "lists"

[plan]
as_of           = %s   # a real fleet leaves this out: the day of the run
interval_months = 12
service_months  = [4, 5, 6, 7, 8, 9, 10, 11]

[limits]
co_attention_ppm = 100   # CO air-free
co_urgent_ppm    = 400
air_o2_percent   = 20.9
co2max_percent   = { "natural gas" = 11.8, "propane" = 13.7 }

[guards]
max_set_aside       = 0.10
set_aside_tolerated = 0.02
register_set_aside_tolerated = 0.05   # lines of the register of 2023 that cannot be read; that of 2026 has these units
max_age_days        = 60

[columns]
carry = ["contract"]

[crews]   # who drives, for: fluedrift days
first_unit_minutes   = 60
further_unit_minutes = 45

[[crews.crew]]
code      = "north van"
latitude  = 45.2
longitude = -36.5
areas     = ["North 1", "North 2", "North 3"]

[[crews.crew]]
code      = "south van"
latitude  = 44.8
longitude = -36.0
areas     = ["South 1", "South 2", "South 3"]

[[crews.crew]]
code      = "west van"
latitude  = 45.0
longitude = -37.0
areas     = ["West 1", "West 2", "West 3"]
`, iso(asOf))
}
