package settings

// meanings say what each key is for, by its name with its section; a section's own
// is said under its name alone.
var meanings = map[string]string{
	"exports.folder":         "folder of exported files; read only, never written or moved",
	"exports.layouts":        "folder of layouts (*.toml) that say what an export means",
	"exports.settle_seconds": "seconds after which a file that was just written is checked again, to see whether it grows",
	"exports.ignore": "patterns of names in the exports folder that are no exports, such as \"*.pdf\" or \"archive\" (a " +
		"folder: all in it); other names that no layout matches end the night with code 10. What a " +
		"layout matches is read all the same",
	"exports.max_files":        "entries the exports folder may hold before nothing is read",
	"exports.max_file_mb":      "megabytes an export may have; a larger one is refused",
	"exports.max_unpacked_mb":  "megabytes a compressed export may unpack to; one with more is refused",
	"exports.max_rows":         "rows a text or a workbook may have; one with more is refused",
	"exports.max_parquet_rows": "rows a Parquet file may have, as its end says; one with more is refused before it is read",
	"exports.max_cell_kb":      "kilobytes of text a cell of a workbook may hold; a workbook with more is refused",

	"output.warehouse":  "the database; rebuilt from the exports by each build, never edited",
	"output.lists":      "folder the lists are published in",
	"output.keep_days":  "days after which a publication may be removed; 0 keeps all. The latest good one always stays",
	"output.keep_count": "publications (as-of days) that stay however old they are",
	"output.keep_mb": "megabytes that publications may have together: the oldest go first, whatever keep_days and keep_count say. The " +
		"newest always stays, and so do the one it is compared with and the latest; 0: no such bound",
	"output.pack_json_over": "lines above which the JSON of a list is packed, as NAME.json.gz: it is twice as large as the CSV otherwise; " +
		"0 packs none",
	"output.group_readable": "let the group read warehouse and lists (modes 0640 and 0750); false where not given: the owner " +
		"alone (0600 and 0700)",
	"output.log": "text or json: log records on the error stream instead of plain lines (-log goes before it)",
	"output.metrics": "text file (exposition format 0.0.4) for a textfile collector, written at the end of every " +
		"night, failed ones too; readable by all, it holds numbers only",
	"output.pseudonym_key": "file with a secret of at least 16 bytes: technician codes are replaced by pseudonyms made with " +
		"it, in the warehouse and in all lists",
	"output.group_words": "your own words for the groups of the list, by their usual words: {\"book sooner\" = \"within two weeks\"}",
	"output.habits_by_technician": "count recording habits by technician code too, where a source has five technicians or more; " +
		"false where not given",

	"plan.as_of":           "day the lists are made for; the day of the run where not given (-as-of goes before it)",
	"plan.interval_months": "months from one routine visit (start-up, annual, seasonal start, or every fire read) to the next",
	"plan.unseen_days": "days over which what a visit avoids is counted, and for which an overdue unit left over is taken to go " +
		"without a visit",
	"plan.book_sooner_days": "days out of limits that a visit now has to avoid for a unit to be booked sooner; it stays so until a " +
		"visit avoids less than three quarters of that",
	"plan.rich_weight":    "weight of a day out of limits on the rich side, with its points beyond, in the order of a list and of days",
	"plan.lean_weight":    "the same on the lean side",
	"plan.service_months": "months (1-12) in which routine visits are planned; every month where not given",

	"ids.serial": "how serials are written, as \"B-0000\" or a list: 0 is a digit, missing ones are zeros at the left; # a number of " +
		"any length; ? a letter; the rest stands for itself. b102 and B0102 are B-0102 then; what does not fit stays as " +
		"written. Two serials of a register that become one are an error",
	"ids.serial_aliases":   "CSV with the columns written and id: serials that people write otherwise, or that a boiler had before",
	"ids.analyzer":         "the same for the ids of analyzers",
	"ids.analyzer_aliases": "the same for the ids of analyzers",
	"ids.analyzer_users": "CSV with the columns technician, analyzer, from and to (days as yyyy-mm-dd, both counted, blank: open): " +
		"whose analyzer stands for one that a reading does not name; two at a time are an error",

	"limits.co_attention_ppm": "air-free CO that asks for attention, ppm",
	"limits.co_urgent_ppm":    "air-free CO that is urgent, ppm",
	"limits.air_o2_percent":   "oxygen of dry air the records are converted with: 20.9, 20.95 or 21",
	"limits.co2max_percent":   "CO2 of dry flue gas without excess air by fuel, for converting O2 to CO2",
	"gases": "composition of a fuel by its name: percent by mole of methane, ethane, propane, butane, " +
		"hydrogen, nitrogen, carbon dioxide, ...; gives its CO2max, heating value and loss",
	"targets": "entries that replace an exported target of the same fuel, fire, line or serial from a day on",

	"targets.fuel":     "fuel the entry is for",
	"targets.line":     "model line; give line or serial",
	"targets.serial":   "serial of one unit; goes before its line",
	"targets.fire":     "high, low or single",
	"targets.from":     "first day it holds; always where not given",
	"targets.co2":      "target CO2, % by volume dry; give co2 or o2",
	"targets.o2":       "target O2, % by volume dry",
	"targets.set_rich": "points the setting band reaches to the rich side",
	"targets.set_lean": "points the setting band reaches to the lean side",
	"targets.act_rich": "points the action band (the limits) reaches to the rich side; twice the setting band where not given",
	"targets.act_lean": "points the action band (the limits) reaches to the lean side",

	"columns.carry": "register columns that travel unchanged to the lists (all where not given)",

	"guards.max_set_aside": "share of record lines set aside, or with a reading that a cell cost, above which nothing is published",
	"guards.set_aside_tolerated": "share of record lines set aside, doubtful, without a cell that cannot be read or in sheets " +
		"that no layout reads above which the " +
		"night ends with code 10",
	"guards.max_register_set_aside": "share of the lines of a register, target or calibration export that are set aside or doubtful " +
		"above which nothing is published; under three lines are let pass",
	"guards.register_set_aside_tolerated": "share of such lines, and of those without a cell, above which the night ends with " +
		"code 10; 0: any line",
	"guards.max_file_set_aside": "share of the lines of any one export, or of the cells of one of its columns, set aside above " +
		"which the night ends with code 10, and " +
		"nothing is published where it is the newest of its source; exports under five lines are let pass",
	"guards.max_refused_share": "share of the bytes of all exports in refused files above which nothing is published",
	"guards.max_memory_mb": "most memory of a night, MiB, the engine's and its own: a night collects more often near it, and " +
		"one that needs more ends with code 1; 0 for no bound",
	"guards.max_age_days": "days the newest record may be old before the night ends with code 11; 0 for no limit",
	"guards.tolerate": "guards that end a night with 10 instead of 12: gone, refused, set aside, register lines, newest " +
		"file, shrunk, checks, readings, list size, fit, clock, unread, groups, removed, serials, " +
		"registers, column, out, one side, old records; one that only asks for a look (10) then leaves the code as it is",
	"guards.max_readings_lost": "share of the last publication's readings that may be gone before nothing is published",
	"guards.max_export_shrink": "share of its usable lines an export of the same name, or the newest of a register, target or " +
		"calibration layout, may lose before nothing is published; under three lines are let pass",
	"guards.shrink_days": "days over which max_export_shrink also looks back: a little lost every night adds up; 0 for the " +
		"last publication alone",
	"guards.max_list_change": "share by which the number of listed or due units may change before nothing is published; " +
		"changes under 10 units are let pass",
	"guards.max_source_age_days": "days the newest export of each layout may be old before the night ends with code 10; 0 for no " +
		"limit",
	"guards.max_source_gaps": "times the usual gap between a source's record days (95 of 100 are shorter) after which it is " +
		"silent and the night ends with code 10, 14 days at the least; 0 for no limit",
	"guards.ended_sources": "sources, as layouts name them, from which nothing more is expected",
	"guards.fit_must_hold": "publish nothing where a fit fell back to fixed ratios that the last publication had estimated; " +
		"false where not given: code 10",
	"guards.unread_tolerated": "share of the units listed that may be without any reading before the night ends with code 10",
	"guards.max_unread_rise":  "by how much that share may rise from one publication to the next before nothing is published",
	"guards.group_change_tolerated": "share of units that may stand in another group than in the last publication before the night " +
		"ends with code 10",
	"guards.max_removed": "share of the last list's units that a register may call removed before nothing is published",
	"guards.strangers_tolerated": "share of a file's lines that may name serials outside the register before the night ends with " +
		"code 10",
	"guards.max_strangers": "the same share above which nothing is published",
	"guards.max_model_line_change": "share of their common units for which two layouts of units may name different model lines " +
		"before nothing is published",
	"guards.out_tolerated": "share of the units with a chance that may probably be out of limits before the night ends with " +
		"code 10 and no unit is called faulty by itself",
	"guards.column_tolerated": "how far off target the median of one column's newest readings may be, in action bands, before " +
		"the same",
	"guards.one_side_tolerated": "share of the newest readings of one column that may be on one side of the target by a similar " +
		"amount, beyond the setting band, before the same",
	"guards.record_age_tolerated": "days the newest record may be older than the list before the same; 0 for no limit",
	"guards.max_column_jump": "setting bands by which the median of a column's newest readings may move since the last " +
		"publication before nothing is published",
	"display": "units of measure of what people read: text, pages, workbook, sheets; CSV, JSON, Parquet and the " +
		"warehouse stay in SI",

	"display.units": "us (MBH, ft and in, degF, in w.c., miles) or metric (kW, m and mm, degC, Pa, km); where not given " +
		"those of the register's layout, of several the one by which most units were read, and metric where it has none",
	"display.input":       "kW or MBH; as display.units where not given",
	"display.length":      "m (and mm) or ft (and in); as display.units where not given",
	"display.temperature": "degC or degF; as display.units where not given",
	"display.pressure":    "Pa, mbar or in w.c.; as display.units where not given",
	"display.distance":    "km or mi; as display.units where not given",

	"model": "figures of the drift model that are not in the records",

	"model.out_probability": "chance out of limits from which a unit counts as probably out",
	"model.typing_share":    "share of readings typed wrongly, for a last reading that nothing confirms",
	"model.jumps_per_year":  "real jumps of a unit in a year, for the same",
	"model.share_adjusted":  "share of units found far out that are adjusted, until 20 records show it",
	"model.vent_error": "error of recorded vent lengths, standard deviation of the logarithm (0.2: about 20 %); 0 takes " +
		"them as exact",
	"model.air_mean_c": "mean of the outdoor air through the year, degC, for temperatures not recorded; from the records " +
		"where not given",
	"model.air_swing_k": "half the way from the coldest to the warmest day of the year, K; goes with air_mean_c",
	"model.coldest_day": "coldest day of the year, 1-366; goes with air_mean_c",
	"model.room_mean_c": "mean of the room's air, degC, for units that burn it; goes with air_mean_c",
	"model.air_spread_k": "how far the air of a single day lies from the season's course, K, standard deviation: it widens " +
		"every probability; from the records where they show it and air_mean_c is not given",
	"model.ratio_wandering":   "a year's wandering, a multiple of the noise of a reading, where the records do not show it",
	"model.ratio_slope":       "spread of units' own drift a year, for the same",
	"model.ratio_analyzer":    "spread of analyzers' constant errors, for the same",
	"model.ratio_calibration": "spread of their errors from calibration to calibration, for the same",
	"model.noise_points":      "noise of a reading, points of CO2, where the records do not show it",
	"model.prior_rate":        "drift assumed until there are 400 differences, points a year",
	"model.prior_rate_sd":     "standard deviation of that assumption",
	"model.prior_vent":        "the same of vents: points a year per standard deviation of the fleet's vents",
	"model.prior_vent_sd":     "standard deviation of that assumption",
	"model.prior_age":         "the same of age: points a year per year",
	"model.prior_age_sd":      "standard deviation of that assumption",
	"model.prior_air_sd":      "standard deviation of the assumed effect of the air, points per K; its mean is by burner control",
	"model.prior_ageing_sd": "how fast analyzers may age between calibrations, points a year in either direction; counts at " +
		"every amount of data",
	"model.certificate_sd":     "standard deviation of the error that a calibration finds, points",
	"model.level_steps":        "days from which the level of all units of an area changed",
	"model.level_steps.area":   "area as the register writes it; \"*\": all",
	"model.level_steps.day":    "first day of the new level",
	"model.level_steps.reason": "what happened, such as another gas quality",
	"crews":                    "who drives, for days",

	"crews.first_day":            "first day to plan; the day after the as-of day where not given",
	"crews.weeks":                "weeks to plan",
	"crews.start":                "when crews start, where a crew has no other time",
	"crews.end":                  "when crews are back, where a crew has no other time",
	"crews.working_days":         "mon, tue, wed, thu, fri, sat, sun; monday to friday where not given",
	"crews.holidays":             "days (yyyy-mm-dd) on which nobody drives",
	"crews.country":              "country on whose national holidays nobody works, by its two letters of ISO 3166-1 (us, gb, de)",
	"crews.km_per_hour":          "speed on the road, where no table gives minutes",
	"crews.detour":               "road over great circle (mean Earth radius 6371.0088 km)",
	"crews.unknown_minutes":      "minutes of a drive between places of unknown position",
	"crews.minutes_file":         "CSV with a header and the columns from, to, minutes: drives between sites, or crew codes",
	"crews.arrive_minutes":       "at a stop, before and after the work",
	"crews.first_unit_minutes":   "on site for the first unit of a stop",
	"crews.further_unit_minutes": "for each further unit of the stop",
	"crews.minutes_by_group":     "other minutes for units of a group, by its usual words: {\"go today\" = 120}",
	"crews.pull_forward_days":    "a test due up to so many days after the weeks may be made within them",
	"crews.has_to_be_seen": "groups whose units have to be visited, by their usual words; a unit whose CO is urgent always " +
		"has to be",
	"crews.least_days":              "days out of limits avoided below which a stop is not worth the drive",
	"crews.due_test_days":           "days out of limits that a test made when it falls due counts as",
	"crews.iterations":              "how many times a part of the plan is taken out and inserted again",
	"crews.crew":                    "one entry [[crews.crew]] a crew",
	"crews.crew.code":               "short name, as in the plan",
	"crews.crew.latitude":           "of where it starts and ends, degrees",
	"crews.crew.longitude":          "of where it starts and ends, degrees",
	"crews.crew.start":              "hh:mm; crews.start where not given",
	"crews.crew.end":                "hh:mm; crews.end where not given",
	"crews.crew.working_days":       "crews.working_days where not given",
	"crews.crew.away":               "days (yyyy-mm-dd) it does not work",
	"crews.crew.areas":              "areas it goes to; all where not given",
	"crews.crew.fuels":              "fuels it may work on; all where not given",
	"crews.crew.model_lines":        "model lines it may work on; all where not given",
	"crews.crew.most_drive_minutes": "minutes of driving a day at most; no limit but the hours where not given",
	"crews.hours":                   "one entry [[crews.hours]] a site with hours of its own",
	"crews.hours.site":              "the site, as in the register",
	"crews.hours.open":              "stretches hh:mm-hh:mm in which the work must lie",
	"crews.hours.days":              "weekdays it is open; all where not given",
	"crews.hours.closed":            "days (yyyy-mm-dd) it is closed",
	"crews.promises_file": "CSV with a header and the columns serial and day (crew too, where it is fixed; others are " +
		"passed over): visits agreed on. It is only read; a copy of an edited days.csv will do",
	"crews.promised":        "one entry [[crews.promised]] a visit agreed on, beside the answers on record",
	"crews.promised.serial": "the unit",
	"crews.promised.day":    "the day",
	"crews.promised.crew":   "the crew; any where not given",
	"hindsight":             "how past lists are compared with what was found, for hindsight",

	"hindsight.origins":        "past days to forecast from, a quarter apart",
	"hindsight.horizon_months": "months after such a day in which the next visit counts",
	"hindsight.crew_visits":    "units a crew can visit in a quarter: of that many first units, how many were found out of limits",
	"hindsight.stale_months":   "months since the last visit from which someone who plans by last visit would go",
	"hindsight.draws":          "resamples of sites from which the intervals are computed",
	"hindsight.seed":           "seed of their random numbers",
	"hindsight.recalibrate": "correct the list's probabilities by the newest hindsight older than the as-of day, where it found them " +
		"off by more than noise; each is marked",
	"vents": "what the vent study asks, for vents",

	"vents.elbow_90_m": "straight metres a 90 degree elbow stands for in the study; the appliance's instructions decide",
	"vents.elbow_45_m": "straight metres a 45 degree elbow stands for",
	"vents.question": "the one comparison declared beforehand: installation, re-routing, drift, or by-design: the one with the " +
		"narrowest expected interval by vents, air and times, before any reading",
	"vents.control": "its burner control, or by-design likewise",
	"vents.fire":    "its fire: high, low, or low less high",
	"vents.bound_points": "points of CO2 (a year for drift) for 10 m, or 30 ft, more of equivalent length within which an " +
		"effect counts as none",
	"vents.draws":       "draws from which the bands of curves are computed",
	"vents.seed":        "seed of their random numbers",
	"vents.simulations": "fits for each point of the correction for errors in recorded lengths; 0 for no correction",
}
