package layout_test

import (
	"fmt"

	"fluedrift/ingest/layout"
)

// A layout for an export with a row a reading. A key that no layout knows is an error
// with its file and line.
func ExampleParse() {
	text := `name = "tests"
record = "readings"
form = "long"
source = "office"

[match]
names = ["tests_*.csv"]

[export_day]
from = "unknown"

[constants]
condition = "as left"

[[column]]
header = "Serial"
field = "serial"

[[column]]
header = "Day"
field = "day"

[[column]]
header = "Fire"
field = "fire"
codes = { Hi = "high", Lo = "low" }

[[column]]
header = "CO2"
field = "co2"
unit = "%"
`
	l, err := layout.Parse("tests.toml", text)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(l, l.Has("co2"), l.Has("o2"))
	_, err = layout.Parse("tests.toml", "nmae = \"tests\"\n")
	fmt.Println(err)
	// Output:
	// "tests" true false
	// tests.toml:1: unknown key "nmae"
	// a layout has the keys name, record, form, source, key and the tables [match] [export_day] [file] [constants] [[step]] [[column]]
}
