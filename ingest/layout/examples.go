package layout

import (
	"embed"
	"path"
	"slices"
)

// Example is a worked example: a small file and the layout that reads it.
type Example struct {
	Form   string // long or wide for readings, else the record, what the file is stored as, or what a step does
	Named  string // name of the file
	Means  string // what the first row becomes
	Layout string
	File   string
	Table  string            // of a lookup: the table beside the layout, lines.csv
	Beside map[string]string // other files and layouts that it takes, by their names
}

//go:embed examples/*.toml examples/*.csv examples/*.jsonl examples/*.html
var examples embed.FS

// Examples are the worked examples, readings first.
func Examples() []Example {
	all := []Example{
		{
			Form: Long, Named: "north_2024-04-01.csv",
			Means: "A row a reading: boiler 004417 on 2024-03-25 at high fire as found, CO2 9.1 %, CO 18 ppm as " +
				"measured, flue gas 181.1 degC.",
		},
		{
			Form: Wide, Named: "cards_1.csv",
			Means: "A row a visit with a column for each fire and condition: boiler 7310 on 2024-03-25, high fire 9.4 % " +
				"as found and 9.0 % as left.",
		},
		{
			Form: "wide_half", Named: "before_after_1.csv",
			Means: "A row a visit's half: the header says the fire, a column the condition. Boiler 7310 on 2024-03-25, high fire 9.4 % " +
				"as found and 9.0 % as left.",
		},
		{
			Form: Visits, Named: "calls_1.csv",
			Means: "Service calls, visits without readings: a call-out to boiler 004417 on 2024-03-25, when the gas valve was replaced. " +
				"A part is cut out of what was written.",
		},
		{
			Form: Units, Named: "boilers_2024-04-01.csv",
			Means: "The register, a row a boiler: 004417 burns natural gas, 117.2 kW, 9.75 m of vent.",
		},
		{
			Form: "periods", Named: "assets_2024-04-01.csv",
			Means: "A register with a row a validity period: boiler 7310 is a T40 until 2021-08-31 and a T60 from the next day on. Where " +
				"periods overlap the latest start holds.",
		},
		{
			Form: ModelLines, Named: "targets.csv",
			Means: "Targets by model line and fire: a T40 burning natural gas is set to 9.2 % CO2 at high fire, ±0.3.",
		},
		{
			Form: Analyzers, Named: "calibrations_1.csv",
			Means: "Calibrations: analyzer K7 was checked on 2024-03-02 and read 0.1 points high.",
		},
		{
			Form: Plants, Named: "plants.csv",
			Means: "Boilers that share a vent, an intake or a sequence: 004417 and 004418 share one vent.",
		},
		{
			Form: Answers, Named: "answers_1.csv",
			Means: "What came of a call or a visit: a visit to boiler 004417 is planned for 2024-05-01.",
		},
		{
			Form: "jsonl", Named: "visits_1.jsonl",
			Means: "An object of JSON a line, a row an element of its list: boiler 004417 on 2024-03-25 at high fire as found, " +
				"CO2 9.1 %, CO 18 ppm.",
		},
		{
			Form: "html", Named: "tests_1.xls",
			Means: "A table of a page, here under the name of a workbook: boiler 7310 on 2024-03-25, high fire 9.2 % as left.",
		},
		{
			Form: "headers", Named: "year_2024.csv",
			Means: "A header over two lines, and a column with another name in other years: CO2 at high fire of boiler 7310 on " +
				"2024-03-25 is 9.4 %.",
		},
		{
			Form: "no_header", Named: "memory_1.csv",
			Means: "No header: columns by their position, with two characters between cells.",
		},
		{
			Form: "tables", Named: "both_1.csv",
			Means: "Two tables in one file, each under its header and read by a layout of its own: CO2 at high fire of boiler 7310 on " +
				"2024-03-25 is 9.4 %.",
			Beside: map[string]string{"list.toml": "name = \"list above the tests\"\nrecord = \"units\"\nsource = \"both\"\n\n[match]\nnames = " +
				"[\"both_*.csv\"]\n\n[file]\ntable = 1\n\n[[column]]\nheader = \"Boiler\"\nfield = \"serial\"\n\n[[column]]\nheader = \"Line\"\n" +
				"field = \"model_line\"\n"},
		},
		{
			Form: FillDown, Named: "route_1.csv",
			Means: "Cells that are blank where they repeat what stands above: both readings are of " +
				"boiler 7310 on 2024-03-25.",
		},
		{
			Form: Separate, Named: "fleet_1.csv",
			Means: "One cell cut into several: \"35 ft + 3 el\" is 35 ft of straight vent and 3 " +
				"elbows of 90 degrees. A cell that fits no pattern leaves both blank and is counted.",
		},
		{
			Form: Unite, Named: "year_1.csv",
			Means: "Columns put together into one: a day without a year, and the year, are 2024-03-25.",
		},
		{
			Form: FirstFilled, Named: "contacts_1.csv",
			Means: "The first of several columns that holds something: the mobile number, else that of the desk.",
		},
		{
			Form: MissingWhere, Named: "forms_1.csv",
			Means: "A zero that means no value where another column says so: low fire of boiler 7310 was not reached, and its O2 " +
				"is not 0 %.",
		},
		{
			Form: LeaveOut, Named: "tickets_1.csv",
			Means: "Rows left out by a column: the draft is skipped, and counted.",
		},
		{
			Form: PartsOfName, Named: "north_list_1.csv",
			Means: "What stands in the name of the file alone: both boilers are of the office north.",
		},
		{
			Form: FromTitle, Named: "tests_of_north.csv",
			Means: "What stands above the header alone: the office, and the year of days that have none: boiler 7310 on 2024-03-25.",
		},
		{
			Form: HeadingRows, Named: "by_site_1.csv",
			Means: "Rows of one cell that head those below: 7310 is at Oak Hill, 7311 at Elm.",
		},
		{
			Form: PivotWider, Named: "measured_1.csv",
			Means: "A row a value, put together into a row a visit: boiler 7310 on 2024-03-25, 4.4 % O2 and 18 ppm CO at high fire.",
		},
		{
			Form: LookupIn, Named: "models_1.csv", Table: exampleFile("lookup.table.csv"),
			Means: "Texts looked up in a table beside the layout, here lines.csv: boiler 7310 is a T40; 7311 is not in the table and " +
				"keeps its T60.",
		},
		{
			Form: Join, Named: "details_1.csv",
			Means: "Readings that hold no more of their visit than its number, which a file of another layout (record = \"table\") has " +
				"beside boiler and day: visit 17 was at boiler 7310 on 2024-03-25, high fire 9.1 % as found.",
			Beside: map[string]string{"visits_1.csv": "visit,boiler,day\n17,7310,2024-03-25\n", "visits.toml": "name = \"visits\"\nrecord = " +
				"\"table\"\n\n[match]\nnames = [\"visits_*.csv\"]\n"},
		},
		{
			Form: "units_of_cells", Named: "abroad_1.csv",
			Means: "The unit of measure of each cell, behind its number or in another column: boiler 7310 on 2024-03-25, flue gas 181.1 " +
				"degC, written 358 °F, and air 20 degC, written 68 beside F.",
		},
		{
			Form: InRanges, Named: "loads_1.csv",
			Means: "Loads as fires: boiler 7310 on 2024-03-25 at high fire, 95 % of its load, 4.4 % O2, and 5.0 % at middle fire. A load in " +
				"none of the ranges is counted.",
		},
		{
			Form: "basis_of_cells", Named: "mixed_1.csv",
			Means: "What CO is measured in, by cell or by another column: boiler 7310 on 2024-03-25, high fire 18 ppm as measured, low " +
				"fire 25 ppm air-free.",
		},
		{
			Form: KeepLatest, Named: "reports_1.csv",
			Means: "Revisions of one report, of which the latest stands: 4.4 % O2 at boiler 7310; the earlier revision is skipped.",
		},
	}
	for i := range all {
		stored := ".csv"
		if slices.Contains(types, all[i].Form) {
			stored = "." + all[i].Form
		}
		all[i].Layout, all[i].File = exampleFile(all[i].Form+".toml"), exampleFile(all[i].Form+stored)
	}
	return all
}

func exampleFile(name string) string {
	text, err := examples.ReadFile(path.Join("examples", name))
	if err != nil {
		panic(err) // it is embedded
	}
	return string(text)
}
