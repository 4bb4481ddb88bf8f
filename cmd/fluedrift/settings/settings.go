// Package settings is what a user sets and is told by name: the keys of
// fluedrift.toml with their defaults and checks, the conditions a command can end
// in with their exit codes, and what changed from release to release. Each is one
// table, which the program, its help and its tests read.
//
// A key that is a parameter of another package becomes that package's own type
// here: rules of the estimate, crews of a plan, limits of the reading of exports.
// It writes nothing, and of files it reads only those the configuration names.
package settings

import "time"

// Config is fluedrift.toml. Its tags are the documentation: `help config`
// prints them, and the defaults are set from them.
type Config struct {
	Exports struct {
		Folder  string  `toml:"folder" default:"exports" help:"folder of exported files; read only, never written or moved"`
		Layouts string  `toml:"layouts" default:"layouts" help:"folder of layouts (*.toml) that say what an export means"`
		Settle  float64 `toml:"settle_seconds" default:"2" help:"seconds after which a file written just now is looked at again, to see whether it grows"`

		Ignore []string `toml:"ignore" help:"patterns of names in the exports folder that are no exports, such as \"*.pdf\" or \"archive\" (a folder: all in it); other names that no layout matches end the night with code 10. What a layout matches is read all the same"`

		MaxFiles       int `toml:"max_files" default:"10000" help:"entries the exports folder may hold before nothing is read"`
		MaxFileMB      int `toml:"max_file_mb" default:"4096" help:"megabytes an export may have; a larger one is refused"`
		MaxUnpackedMB  int `toml:"max_unpacked_mb" default:"16384" help:"megabytes a compressed export may unpack to; one with more is refused"`
		MaxRows        int `toml:"max_rows" default:"20000000" help:"rows a text or a workbook may have; one with more is refused"`
		MaxParquetRows int `toml:"max_parquet_rows" default:"20000000" help:"rows a Parquet file may have, as its end tells it; one with more is refused before they are read"`
		MaxCellKB      int `toml:"max_cell_kb" default:"1024" help:"kilobytes of text a cell of a workbook may hold; a workbook with more is refused"`
	} `toml:"exports"`
	Output struct {
		Warehouse string `toml:"warehouse" default:"warehouse.duckdb" help:"the database; rebuilt from the exports by each build, never edited"`
		Lists     string `toml:"lists" default:"lists" help:"folder the lists are published in"`

		KeepDays      int    `toml:"keep_days" default:"400" help:"days after which a publication may be removed; 0 keeps all. The latest good one always stays"`
		KeepCount     int    `toml:"keep_count" default:"30" help:"publications (as-of days) that stay however old they are"`
		GroupReadable bool   `toml:"group_readable" help:"let the group read warehouse and lists (modes 0640 and 0750); false where not given: the owner alone (0600 and 0700)"`
		Log           string `toml:"log" help:"text or json: log records on the error stream instead of plain lines (-log goes before it)"`
		Metrics       string `toml:"metrics" help:"text file (exposition format 0.0.4) for a textfile collector, written at the end of every night, failed ones too; readable by all, it holds numbers only"`
		PseudonymKey  string `toml:"pseudonym_key" help:"file with a secret of at least 16 bytes: technician codes are replaced by pseudonyms made with it, in the warehouse and in all lists"`

		TierWords          map[string]string `toml:"tier_words" help:"own words for tiers on the list, by their usual words: {\"CO urgent\" = \"CO first\"}"`
		HabitsByTechnician bool              `toml:"habits_by_technician" help:"count recording habits by technician code too, where a source has five technicians or more; false where not given"`
	} `toml:"output"`
	Plan struct {
		AsOf           time.Time `toml:"as_of" help:"day the lists are made for; the day of the run where not given (-as-of goes before it)"`
		IntervalMonths int       `toml:"interval_months" default:"-" help:"months from one full test to the next"`
		ServiceMonths  []int     `toml:"service_months" help:"months (1-12) in which full tests are planned; every month where not given"`
	} `toml:"plan"`
	Limits struct {
		COAttention float64            `toml:"co_attention_ppm" default:"-" help:"CO air-free that asks for attention, ppm"`
		COUrgent    float64            `toml:"co_urgent_ppm" default:"-" help:"CO air-free that is urgent, ppm"`
		AirO2       float64            `toml:"air_o2_percent" default:"-" help:"oxygen of dry air the records are converted with: 20.9, 20.95 or 21"`
		CO2Max      map[string]float64 `toml:"co2max_percent" help:"CO2 of dry flue gas without excess air by fuel, for converting O2 to CO2"`
	} `toml:"limits"`
	Gases   Gases    `toml:"gases" help:"composition of a fuel by its name: percent by mole of methane, ethane, propane, butane, hydrogen, nitrogen, carbon dioxide, ...; gives its CO2max, heating value and loss"`
	Targets []Target `toml:"targets" help:"entries that replace an exported target of the same fuel, fire, line or serial from a day on"`
	Columns struct {
		Carry []string `toml:"carry" help:"register columns that travel unchanged to the lists (all where not given)"`
	} `toml:"columns"`
	Guards struct {
		MaxSetAside       float64  `toml:"max_set_aside" default:"0.10" help:"share of record lines set aside above which nothing is published"`
		SetAsideTolerated float64  `toml:"set_aside_tolerated" default:"0.02" help:"share of record lines set aside, doubtful or in sheets that no layout reads above which the night ends with code 10"`
		MaxRegisterAside  float64  `toml:"max_register_set_aside" default:"0.05" help:"share of the lines of a register, target or calibration export that are set aside or doubtful above which nothing is published; under three lines are let pass"`
		RegisterTolerated float64  `toml:"register_set_aside_tolerated" default:"0" help:"share of such lines above which the night ends with code 10; 0: any line"`
		MaxFileAside      float64  `toml:"max_file_set_aside" default:"0.5" help:"share of the lines of any one export set aside above which the night ends with code 10, and nothing is published where it is the newest of its source; exports under five lines are let pass"`
		MaxRefusedShare   float64  `toml:"max_refused_share" default:"0.20" help:"share of the bytes of all exports in refused files above which nothing is published"`
		MaxAgeDays        int      `toml:"max_age_days" default:"0" help:"days the newest record may be old before the night ends with code 11; 0 for no limit"`
		Tolerate          []string `toml:"tolerate" help:"guards that end a night with 10 instead of 12: gone, refused, set aside, register lines, newest file, shrunk, checks, readings, list size, fit, clock, unread, tiers, removed, serials, registers, column, out, one side, old records; where one only asks for a look (10), it then leaves the code"`

		MaxReadingsLost  float64  `toml:"max_readings_lost" default:"0.02" help:"share of the last publication's readings that may be gone before nothing is published"`
		MaxExportShrink  float64  `toml:"max_export_shrink" default:"0.10" help:"share of its usable lines an export of the same name, or the newest of a register, target or calibration layout, may lose before nothing is published; under three lines are let pass"`
		ShrinkDays       int      `toml:"shrink_days" default:"30" help:"days over which max_export_shrink also looks back: a little lost every night adds up; 0 for the last publication alone"`
		MaxListChange    float64  `toml:"max_list_change" default:"0.5" help:"share by which the number of listed or due units may change before nothing is published; changes under 10 units are let pass"`
		MaxSourceAgeDays int      `toml:"max_source_age_days" default:"0" help:"days the newest export of each layout may be old before the night ends with code 10; 0 for no limit"`
		MaxSourceGaps    float64  `toml:"max_source_gaps" default:"3" help:"times the usual gap between a source's record days (95 of 100 are shorter) after which it is silent and the night ends with code 10, 14 days at the least; 0 for no limit"`
		EndedSources     []string `toml:"ended_sources" help:"sources, as layouts name them, from which nothing more is expected"`
		FitMustHold      bool     `toml:"fit_must_hold" help:"publish nothing where a fit fell back to fixed ratios that the last publication had estimated; false where not given: code 10"`

		UnreadTolerated     float64 `toml:"unread_tolerated" default:"0.20" help:"share of the units listed that may be without any reading before the night ends with code 10"`
		MaxUnreadRise       float64 `toml:"max_unread_rise" default:"0.10" help:"by how much that share may rise from one publication to the next before nothing is published"`
		TierChangeTolerated float64 `toml:"tier_change_tolerated" default:"0.05" help:"share of units that may stand in another tier than in the last publication before the night ends with code 10"`
		MaxRemoved          float64 `toml:"max_removed" default:"0.05" help:"share of the last list's units that a register may call removed before nothing is published"`
		StrangersTolerated  float64 `toml:"strangers_tolerated" default:"0.05" help:"share of a file's lines that may name serials outside the register before the night ends with code 10"`
		MaxStrangers        float64 `toml:"max_strangers" default:"0.5" help:"the same share above which nothing is published"`
		MaxModelLineChange  float64 `toml:"max_model_line_change" default:"0.02" help:"share of their common units for which two layouts of units may name different model lines before nothing is published"`
		OutTolerated        float64 `toml:"out_tolerated" default:"0.40" help:"share of the units with a chance that may be probably out of limits before the night ends with code 10 and no unit is called faulty by itself"`
		ColumnTolerated     float64 `toml:"column_tolerated" default:"1" help:"action bands by which the newest readings of one column may lie off target in the middle before the same"`
		OneSideTolerated    float64 `toml:"one_side_tolerated" default:"0.95" help:"share of the newest readings of one column that may lie on one side of the target by a like amount, beyond the setting band, before the same"`
		RecordAgeTolerated  int     `toml:"record_age_tolerated" default:"365" help:"days the newest record may be older than the list before the same; 0 for no limit"`
		MaxColumnJump       float64 `toml:"max_column_jump" default:"1" help:"setting bands by which the middle of a column's newest readings may move since the last publication before nothing is published"`
	} `toml:"guards"`

	Model     Model     `toml:"model" help:"figures of the drift model that records do not hold"`
	Crews     Crews     `toml:"crews" help:"who drives, for days"`
	Hindsight Hindsight `toml:"hindsight" help:"how to look back, for hindsight"`
	Vents     Vents     `toml:"vents" help:"what is asked of vents, for vents"`

	Digest string `toml:"-"` // SHA-256 of the file
	File   string `toml:"-"` // its own path, absolute
	folder string `toml:"-"` // where the file stands; paths are relative to it
}

// Target is one entry of [[targets]].
type Target struct {
	Fuel    string    `toml:"fuel" help:"fuel the entry is for"`
	Line    string    `toml:"line" help:"model line; give line or serial"`
	Serial  string    `toml:"serial" help:"serial of one unit; goes before its line"`
	Fire    string    `toml:"fire" help:"high, low or single"`
	From    time.Time `toml:"from" help:"first day it holds; always where not given"`
	CO2     *float64  `toml:"co2" help:"target CO2, % by volume dry; give co2 or o2"`
	O2      *float64  `toml:"o2" help:"target O2, % by volume dry"`
	SetRich *float64  `toml:"set_rich" help:"points the setting band reaches to the rich side"`
	SetLean *float64  `toml:"set_lean" help:"points the setting band reaches to the lean side"`
	ActRich *float64  `toml:"act_rich" help:"points the action band reaches to the rich side; twice the setting band where not given"`
	ActLean *float64  `toml:"act_lean" help:"points the action band reaches to the lean side"`
}
