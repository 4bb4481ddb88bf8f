package settings

// A Release is one version of the program with what changed for those who use it.
type Release struct {
	Version string
	Schema  int // of its publications: run.json and lists
	Changes []Entry
}

// An Entry is one thing a user, a configuration or a program that reads the
// lists can meet. Names are as TestEveryChangeHasAnEntry writes them, separated
// by ", "; a name that ends in * stands for all that begin so.
type Entry struct{ Names, What string }

// Releases is the change log, newest first. The newest is the version being
// worked on: the test names what is missing here.
var Releases = []Release{
	{"0.2.0", 4, []Entry{
		{"code 2, code 64", "a wrong command line, configuration or layout ends with 64; 2 is left to crashes that " +
			"cannot be caught. Change schedulers that look for 2."},
		{"key guards.max_memory_mb", "bounds the memory of a night, the engine's and its own; a night that needs more ends with 1."},
		{"code 1", "a panic of the program is caught: the message names the stage, the metrics are written."},
		{"key output.metrics", "text format 0.0.4 with gauges only, which textfile collectors read: " +
			"fluedrift_build_info, and fluedrift_night_condition with the label condition. help operations prints " +
			"alert rules, help schedule a unit that reports a night that failed (OnFailure=)."},
		{"command demo", "ends with 0 where its night would end with 10, and says what it is to be looked at for: the demo planted it. " +
			"It writes any number of units in the same memory: above 10,200 the offices export region by region."},
		{"command help", "help changes prints this log."},
		{"command version", "the version comes from the build (-ldflags \"-X main.stamped=...\" or the commit), and " +
			"version also prints the schemas. A warehouse is read if its schema is this program's, whatever version " +
			"made it; publications of schemas 1 to 4 are read, one of any other is passed over with a note (code " +
			"10), and commands that read end with 14."},
		{"guard newest_file, guard register_lines, key guards.max_file_set_aside, key guards.max_register_set_aside, " +
			"key guards.register_set_aside_tolerated", "lines that cannot be used are counted file by file and by " +
			"kind of record too: a register with one such line ends with 10, one with more than a share, or the " +
			"newest file of a source, with 12."},
		{"guard shrunk, key guards.shrink_days", "a file or a register that loses accepted lines little by little is " +
			"compared with the publications of the last 30 days, not only with the newest."},
		{
			"run.json inputs.cause, run.json inputs.source, run.json inputs.to_mend, run.json inputs.shrank_ok",
			"what these guards compare: why lines of a file cannot be used, its source, whether it holds lines to " +
				"correct, and whether its shrinking was tolerated.",
		},
		{"key exports.ignore, run.json inputs.ignored", "an entry of the exports folder that no layout is for, a link " +
			"or a pipe ends the night with 10 and is named first in its line and on every list; exports.ignore names what is no export."},
		{"key guards.max_source_gaps, key guards.ended_sources", "a source whose newest record is old by its own " +
			"rhythm ends the night with 10; name sources that write no more."},
		{"layout file.other_sheets, layout file.blank_headers, run.json inputs.unread.what, run.json " +
			"inputs.unread.lines, run.json inputs.unread.sheet", "sheets of a workbook that no layout reads, and " +
			"numbers under a blank header, are counted, named and end the night with 10; a layout names those " +
			"that are no records. Doubtful lines and lines not read count in guards.set_aside_tolerated."},
		{"guard registers, key guards.max_model_line_change", "two layouts of units that contradict each other: " +
			"serials that differ only in spelling, or another model line for many units, end with 12."},
		{"guard serials, key guards.max_strangers, key guards.strangers_tolerated", "readings whose serials are in no " +
			"register, counted file by file."},
		{
			"guard removed, guard groups, key guards.max_removed, key guards.group_change_tolerated",
			"units that a register calls removed, and units whose group changed since the last publication.",
		},
		{
			"guard unread, key guards.max_unread_rise, key guards.unread_tolerated",
			"a unit without any accepted reading has no chance and is asked about or overdue; their share is in the " +
				"summary line and guarded.",
		},
		{"code 14, run.json settings_digest, run.json publication", "warehouse and publication say which settings " +
			"shaped them and that they go together. A command that reads ends with 14 where the warehouse is of " +
			"another configuration or another publication than the list that is out, or is damaged; the message " +
			"names the command that makes it again."},
		{"flag inspect -o, flag list -o, flag unit -o, flag days -o, flag hindsight -o, flag vents -o, key " +
			"output.warehouse, key output.lists, key output.metrics", "an output inside the exports or the layouts, " +
			"or onto anything that is read or made, is refused with 64; a device, a pipe or a socket is written " +
			"to; a file that is no warehouse (no metrics) of this program is not replaced."},
		{"column watchlist.co_recorded", "CO on lines that cannot be used puts its unit among those to see for CO " +
			"and ends the night with 10, until the line is corrected or a later full test found CO low at every fire; " +
			"a unit whose last visit told no CO is not told that it can wait, a source without CO is named first."},
		{"run.json inputs.without_gas", "a line of readings without CO2 and O2 is a visit, and no longer set aside: " +
			"its day, reason, technician and what was adjusted count. The newest export of a source most of whose " +
			"lines are such is named (code 10)."},
		{"column watchlist.co_asked_since", "the day of the first list that asked to see to an urgent CO; the reason " +
			"says it too, and how old the reading is."},
		{"command days, key crews.promises_file", "a plan is written to an edition lists/days/<as-of>.<n> of its own, " +
			"which the link lists/days/<as-of> shows: a plan that was edited is never overwritten. Visits agreed on " +
			"are read from a table that the program never writes."},
		{"flag nightly -publish, flag nightly -as-of", "a night that -as-of asks for another day than plan.as_of " +
			"(else today) writes its lists beside the newest; latest and the warehouse move to that day only with -publish."},
		{
			"guard out, guard column, guard one_side, guard old_records, key guards.out_tolerated, key " +
				"guards.column_tolerated, key guards.one_side_tolerated, key guards.record_age_tolerated",
			"on the first night too: where much of a fleet looks out of limits, the newest readings of one column " +
				"lie far off target or all on one side, or the newest record is old, the night ends with 10, " +
				"names that as the likelier cause, and calls no unit faulty by itself.",
		},
		{"key guards.max_column_jump", "the middle of a column's newest readings that moves by more since the last " +
			"publication ends with 12."},
		{"run.json common_cause, run.json medians.*", "the likelier cause that the list names, and the middle of the " +
			"newest readings of each column, which the next night compares with."},
		{"run.json unused", "by serial, what could not be used of a unit that is listed for it."},
		{"run.json schema, run.json program", "run.json and the lists in JSON carry the number of their schema; the " +
			"version of the program stands in run.json under timing, because two builds of the same program make the same lists."},
		{
			"column analyzers.reads, column analyzers.linking_units, column analyzers.ageing_*",
			"the list of analyzers says in words what is known of each, how many units link it to others and how its " +
				"reading changes between calibrations. A bias is that of the newest day of its period; where only a " +
				"difference of two instruments is known neither has one.",
		},
		{
			"key model.prior_ageing_sd, key model.certificate_sd, run.json fits.calibration_trend_points",
			"analyzers may age between calibrations, and the errors that calibrations find are used in the fit.",
		},
		{"column watchlist.reasons", "units whose last analyzer reads far off what " +
			"read them before, where it decides whether they are out of limits: they are to be read again with " +
			"another one and are not called left off target."},
		{"key model.air_spread_k", "the spread of a day's air about the season, which every probability holds: 4 K before."},
		{"key exports.max_rows, key exports.max_parquet_rows", "an export of more rows than this is refused: a " +
			"compressed file of a few kilobytes can hold thousands of millions. The message of each limit on exports names its key."},
		{"key exports.max_cell_kb", "a workbook with a cell of more text than this is refused: a small file can " +
			"unpack to a cell of gigabytes. Spreadsheets hold 32,767 characters in a cell."},
		{"column watchlist.planned_day, column watchlist.last_full_test, column watchlist.days_since_full_test, " +
			"column watchlist.last_routine_visit, column watchlist.days_since_routine_visit", "the planned day counts " +
			"from the last routine visit: a start-up, annual or seasonal-start visit by its reason, or one of any reason " +
			"with a reading at every fire. It was the last full test. What the visit did not record is the mark " +
			"\"last visit not fully recorded\", which names it."},
		{"column watchlist.out_probability, column watchlist.worst_out_probability", "out_probability is the chance " +
			"out of limits on the as-of day in every row; before it was that of the worst day until the planned visit " +
			"in all tiers but one, which is worst_out_probability now. The order has not changed."},
		{"column startup-gaps.gap, column startup-gaps.since", "a unit that the register states at another site, or " +
			"elsewhere on the map, has moved: what was read before says nothing of its setting now, its vent run is " +
			"unknown until one is stated for the new place, and the start-up there is asked for. One site written " +
			"in two ways is no move, nor is one that a later export takes back."},
		{"column records-to-fix.reason", "as-found-recorded-twice: several as-found readings of one fire at one " +
			"visit, none with a time that makes it the first. Before, the first line counted; now their mean does, " +
			"with twice the uncertainty. vent-of-new-place: the vent run of a unit that moved is not on record."},
		{"column watchlist.days_avoided, column watchlist.points_beyond, column watchlist.visit_key", "what a visit today " +
			"is expected to avoid: days out of limits, points beyond them, and both in one figure."},
		{"key crews.country", "days keeps the national holidays of this country off the road. A unit whose CO is urgent is the " +
			"first stop of the first day of a crew that can reach it, and two sites of one name far apart are two stops."},
		{"key crews.unseen_days, key crews.rich_weight, key crews.lean_weight, key plan.unseen_days, key plan.rich_weight, " +
			"key plan.lean_weight", "the benefit of a visit is counted in one way by the list and by days: these keys of " +
			"[crews] moved to [plan], and both weights are 1 where they are not given (rich_weight was 1.25)."},
		{"key display.*", "people read quantities in the units of the register's layout, or in those of the new section " +
			"[display]: MBH, ft and in, degF, in w.c. and miles, or kW, m and mm, degC, Pa or mbar and km, rounded as they " +
			"were recorded. Before, all were SI. CSV, JSON, Parquet and the warehouse stay in SI. Records to correct are " +
			"described in the units of their own file."},
		{"key targets.fire", "a target at a fire other than high, low, single or point is a wrong configuration (code 64); " +
			"before, the night broke off with an error of the database (code 1)."},
		{"flag list -group, flag list -tier, column watchlist.group, column watchlist.tier, column watchlist.next_step, " +
			"column changed.group*, column changed.tier*, column days.group, column days.tier, column days.next_step, " +
			"column days-left.group, column days-left.tier, group *, tier *", "each unit stands in the first of five groups that " +
			"fits: go " +
			"today, ask before driving, book sooner, test overdue, can wait. They take the place of tiers and next steps. " +
			"Units are booked sooner by what a visit now avoids, and put in order by that."},
		{"key plan.book_sooner_days", "a unit is booked sooner where a visit now avoids this many days out of limits, and " +
			"stays so until it avoids less than three quarters of them."},
		{"run.json still_booked", "the serials that are booked sooner only because the list before did."},
		{
			"key crews.minutes_by_group, key crews.minutes_by_tier, key crews.tier_weight, key output.group_words, " +
				"key output.tier_words",
			"keys by tier are keys by group; the guard tiers is called groups. tier_weight is gone: visits are weighed by what they " +
				"avoid.",
		},
		{"column changed.what, column changed.out_probability, column changed.out_probability_before", "what changed: done " +
			"(visited since), visited and still out, visited and still due, eased, no longer due, new, worse, with the chance " +
			"out of limits on both lists. They were new, gone and moved up. What only time did is left out and counted at the head."},
		{
			"column watchlist.rank*, column watchlist.place*, column watchlist.tied, column changed.rank*, column changed.place*, " +
				"column co.rank, column co.place, column days.rank, column days.place, column days-left.rank, column days-left.place, " +
				"column startup-gaps.rank, column startup-gaps.place, column verify.rank, column verify.place",
			"a place on the list is called rank. Its interval is that of the units to book sooner.",
		},
		{"column days.coordinates_from, column days.place_from", "what stands in for coordinates."},
		{"command hindsight", "hindsight.csv has the words of the pages: found out of limits, as-found reading."},
		{"layout file.dates, layout column.dates", "several ways of writing days, tried in order, and English names of months " +
			"(mmm). Ways that differ in the order of day and month cannot stand together."},
		{"field units.input", "an input below 2 kW is out of bounds: a thousands mark taken for a decimal one made boilers of 0.29 kW."},
		{"command start, flag start -dir, flag start -as-of, flag start -o, flag start -format", "looks at a folder of " +
			"exports, writes a configuration and a layout for each kind of file that load as they are written, and asks what " +
			"only a person can know: at a terminal one after the other, else in decisions.toml, where " +
			"the answers go. A file that a person edited is left as it is. It ends with " +
			"what a list made now could and could not judge. -format html says it as a page, with each column, the evidence for " +
			"what it is taken for, and how the first rows are stored."},
		{"command help", "help layouts, help fields, help units and help codes print what a layout can say, from the tables it " +
			"is read by, with a worked example of each record and form."},
		{"command inspect, flag inspect -o, flag inspect -format", "a layout that cannot be read stops its own files alone; " +
			"the others are inspected, and the command ends with 64. inspect -format layout -o FOLDER writes each draft into " +
			"a file of its own. Without a configuration, *.toml files beside the caller are no layouts."},
		{"layout constants, layout column.condition, layout column.fire", "a column of CO2 or O2 in the wide form needs both " +
			"a fire and a condition, of which a column of the row may say one for all of them, and no reading may have a value from " +
			"two columns. Where the serial is a constant, a file " +
			"with two readings of one fire and condition on a day is refused: its lines are those of several boilers."},
		{"layout step.*, run.json inputs.joined", "steps that rows go through before columns are read: blank cells filled from " +
			"above, one cell cut into several and several put into one, rows left out or headed by others, what the name of a file " +
			"tells, rows of one value put together into visits, texts looked up in " +
			"a table, load percent taken as a fire by its range (in_ranges), " +
			"earlier revisions of a record skipped. Lines that steps read into others are counted as joined."},
		{"command query, flag query -*", "answers one SQL statement that reads, from the warehouse of the newest list: -e or -f, " +
			"as text, CSV, JSON or Parquet, with limits of rows, memory and time."},
		{"command help", "help warehouse and help tables NAME print what is in the warehouse: its relations, how they join, each column. " +
			"The warehouse carries the same as comments."},
		{"layout file.quote", "a quote that opens in a line and never closes no longer refuses its file: the line is set aside " +
			"(unterminated-quote), what stands below it is read, the file is named. A file with more than five such lines that are " +
			"more than one in twenty is refused."},
		{"command help", "help man prints the manual page, help completion bash (zsh, fish) what a shell loads, help schedule " +
			"FILE one file of the schedule as it is installed."},
		{"layout column.unit", "CO may be in mg/kWh, a mass per net heat, with basis = \"air-free\"."},
		{"layout file.rows", "files of JSON objects (type jsonl and json), tables of pages (html) and .zip are read: of objects, rows names " +
			"the list whose elements are rows. Workbooks are read by their relationships and to the last byte; a password, an old " +
			"binary form and other documents are named."},
		{"run.json inputs.cells_set_aside, run.json inputs.lines_with_cells_set_aside, run.json inputs.lines_without_a_reading, " +
			"guard set_aside, guard newest_file, guard register_lines", "a cell that cannot be read and is not required is set " +
			"aside alone (source.cells_set_aside), and its line is used; one that a reading needs costs that reading, never the " +
			"other fire or the boiler. Before, the line was set aside. The guards count both, and a column most of whose cells " +
			"are set aside as they do an export. A corrected line that comes back replaces the one it was copied from."},
		{"key ids.serial, key ids.serial_aliases, key ids.analyzer, key ids.analyzer_aliases", "one boiler or analyzer has one id, " +
			"however it is written: a declared shape, and a file of aliases. A register in which two serials become one ends with 64. " +
			"fluedrift unit finds a boiler by any of its spellings. help ids says how."},
		{"field readings.site", "the place that a line of readings names. records-to-fix says for which unit of the register a serial " +
			"outside it was probably written: by separator, zeros, letter case, a look-alike, or a digit at the same site."},
		{"key ids.analyzer_users", "a file that says who used which analyzer from when to when, for readings that name none."},
		{"layout file.escape", "the escape and N alone, without quotes, is a blank cell, and an escape may stand before a line end " +
			"inside quotes: both as dumps of databases write them."},
		{"flag inspect -schema", "writes what a layout expects of its exports as Table Schema, so that whoever writes them can " +
			"check them first."},
		{"layout file.header, layout file.delimiter, layout column.header, layout column.position", "a file without a header " +
			"(header = 0, columns by position), a header over several lines (header = [3, 4]), several names of one column over the " +
			"years (header = [\"CO2 HF\", \"High CO2\"]), delimiters of several characters."},
		{"layout file.months, layout file.zone, field units.installed", "names of months in German, French, Spanish, Dutch and Italian, " +
			"ordinal days (do), counts since 1970 in a zone; an install day may be a month or a year alone, stands for the day in the " +
			"middle of it, and its row is marked."},
		{"layout step.table, layout step.by, layout step.table_by, layout step.take, layout step.prefix", "the step join takes columns " +
			"from the rows of other files, by a key: readings by the id of their visit. Layouts of such files have record = \"table\"."},
		{"field analyzers.span_co2, field analyzers.found_co2, field analyzers.adjusted, field analyzers.found_error", "a log of " +
			"calibrations may say what the analyzer read of which gas: its error is the difference. An error beyond 2 points is set " +
			"aside, and a calibration that left the analyzer as found starts nothing anew."},
		{
			"field visits.visit_id, field visits.serial, field visits.site, field visits.day, " +
				"field visits.time, field visits.reason, field visits.technician, field visits.analyzer, " +
				"field visits.adjusted, field visits.parts, field visits.not_reached, field visits.outdoor_temp",
			"a layout may have record = \"visits\": tickets and service calls are visits without readings, with their parts. None " +
				"is a routine visit, and an id outside the register makes no boiler: it is a record to correct. " +
				"start asks whether a row is one. A call-out counts in the note on many call-outs where it has a reading.",
		},
		{"layout file.sheet", "may be a pattern, such as \"*\" for all, or a list: sheets of one header are read as one table, " +
			"where line 2000012 is row 12 of the third. Days without a year get that of the file's or sheet's name by the steps " +
			"from_name and unite."},
		{"field units.second_id", "another id by which records name a boiler: they are that boiler's, after its own serials. A line of " +
			"readings under a second id of several boilers is set aside, and records-to-fix names the lines of the register. So do " +
			"start and inspect, where a second id is that of several boilers, or of one that nothing on record names."},
		{"field units.removed", "the day a boiler was taken out: from that day on its state is removed."},
		{"layout column.units, layout column.unit_from, layout column.unit_codes", "the unit of measure may stand behind each number " +
			"(358 degF in a column of degC), or in another column of the line; where that is blank, unit is the one. " +
			"A unit that is not declared costs that cell alone."},
		{"layout column.basis_from, layout column.basis_codes", "what CO is measured in may stand in another column of the line. Where it " +
			"does not, CO is kept with an unknown basis, and texts that no code knows are counted."},
		{"field units.valid_from, field units.valid_to", "a register may have a row a validity period, of which the latest start holds " +
			"on each day: visits have the vent run, the fuel and the targets of the model line of their day."},
		{"field readings.fire, field model_lines.fire", "a fire may be middle, with a target of its own: no drift is modelled there. A unit " +
			"whose targets are all of a single fire is read at it, where its records call it high."},
		{"layout step.checks", "a day outside the year, quarter or month of the file's or sheet's name is doubtful: it leaves the fit of " +
			"drift, and records-to-fix asks for it."},
		{"command build, flag build -o", "stops after reading: the warehouse it makes holds records and no forecasts, and " +
			"unit, days and vents end on it with 14 (run nightly first). It no longer replaces the warehouse of a published " +
			"list, unless -o names that file; -o FILE makes one anywhere else."},
		{"key vents.control, key vents.question, key vents.bound_points", "the comparison that the vent study declares is one within a " +
			"burner control. by-design, which takes the place of by-rows, chooses it by what vents, air and times promise. The bound is of " +
			"10 m, or 30 ft, more of equivalent length, as the study's first table is."},
		{"layout file.struck_out", "inspect and start say which sheets, rows and columns of a workbook are hidden, which cells are struck " +
			"out or have a note, and how many. All of it is read; struck_out = \"left out\" skips rows that are struck out whole."},
		{"flag inspect -format", "html: a page with the columns of each file, what each is taken for, how sure and why, what else it could " +
			"be, and the first rows as they are stored."},
		{"flag vents -against", "another vent beside that of -at: how far what to expect of the two differs. With a model line, -at says " +
			"what to leave a burner at on the bench."},
		{"layout step.of", "the step from_title finds office, year and the like in the lines above the header, or in the footers: named " +
			"parts of a pattern become columns, as those of from_name do."},
		{"layout file.table", "a file may hold several tables, one below the other, each read by a layout of its own: table is its number, " +
			"and its header is found by the names of its columns. The second is named x[table 2].csv."},
		{"layout column.merged", "a cell of a workbook or of a page that is merged over rows holds for each of them, but a measurement at " +
			"the burner for the first, whose other rows keep blank cells; inspect says how many. merged says otherwise of a column."},
		{"key output.pack_json_over", "the JSON of a list of more than 2,000 lines is packed: NAME.json.gz in place of NAME.json, which " +
			"most readers of JSON open as it is. CSV and Parquet stay; pack_json_over = 0 packs none."},
		{"key output.keep_mb", "bounds what publications take together: the oldest go first. Not given, nothing changes."},
	}},
	{"0.1.0", 1, nil},
}
