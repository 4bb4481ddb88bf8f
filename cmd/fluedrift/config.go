package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/BurntSushi/toml"
)

// config is fluedrift.toml. Its tags are the documentation: `help config`
// prints them, and the defaults are set from them.
type config struct {
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
		IntervalMonths int       `toml:"interval_months" default:"12" help:"months from one full test to the next"`
		ServiceMonths  []int     `toml:"service_months" help:"months (1-12) in which full tests are planned; every month where not given"`
	} `toml:"plan"`
	Limits struct {
		COAttention float64            `toml:"co_attention_ppm" default:"100" help:"CO air-free that asks for attention, ppm"`
		COUrgent    float64            `toml:"co_urgent_ppm" default:"400" help:"CO air-free that is urgent, ppm"`
		AirO2       float64            `toml:"air_o2_percent" default:"20.9" help:"oxygen of dry air the records are converted with: 20.9, 20.95 or 21"`
		CO2Max      map[string]float64 `toml:"co2max_percent" help:"CO2 of dry flue gas without excess air by fuel, for converting O2 to CO2"`
	} `toml:"limits"`
	Gases   configGases    `toml:"gases" help:"composition of a fuel by its name: percent by mole of methane, ethane, propane, butane, hydrogen, nitrogen, carbon dioxide, ...; gives its CO2max, heating value and loss"`
	Targets []configTarget `toml:"targets" help:"entries that replace an exported target of the same fuel, fire, line or serial from a day on"`
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

	Model     configModel     `toml:"model" help:"figures of the drift model that records do not hold"`
	Crews     configCrews     `toml:"crews" help:"who drives, for days"`
	Hindsight configHindsight `toml:"hindsight" help:"how to look back, for hindsight"`
	Vents     configVents     `toml:"vents" help:"what is asked of vents, for vents"`

	digest string // SHA-256 of the file
	file   string // its own path, absolute
	folder string // where the file stands; paths are relative to it
}

// configTarget is one entry of [[targets]].
type configTarget struct {
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

// readConfig reads, defaults and checks the configuration.
func readConfig(path string) (*config, error) {
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fail(exitUsage, "configuration %q is not there\nname one with -config, or make an example with: fluedrift demo", path)
	}
	if err != nil {
		return nil, fail(exitUsage, "cannot read the configuration: %w", err)
	}
	c := &config{digest: digestOf(text)}
	setDefaults(reflect.ValueOf(c).Elem())
	meta, err := toml.Decode(string(text), c)
	if err != nil {
		return nil, fail(exitUsage, "%s: %w", path, tomlError(err))
	}
	if unknown := meta.Undecoded(); len(unknown) > 0 {
		return nil, fail(exitUsage, "%s:%d: unknown key %q\nthe known keys: fluedrift help config", path, lineOfKey(string(text), unknown[0]), unknown[0].String())
	}
	if c.file, err = filepath.Abs(path); err != nil {
		return nil, err
	}
	c.folder = filepath.Dir(c.file)
	if key, err := c.Gases.check(); err != nil {
		return nil, fail(exitUsage, "%s:%d: %s: %w", path, lineOfKey(string(text), key), key, err)
	}
	if err := c.check(); err != nil {
		return nil, fail(exitUsage, "%s: %w", path, err)
	}
	if err := c.checkOutputs(); err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return c, c.followWarehouse()
}

// tomlError puts the line in front of what the reader says.
func tomlError(err error) error {
	var p toml.ParseError
	if errors.As(err, &p) {
		return fmt.Errorf("line %d: %s", p.Position.Line, p.Message)
	}
	return err
}

// lineOfKey finds the line on which a key is written, 0 where it cannot tell.
func lineOfKey(text string, key toml.Key) int {
	table, last := strings.Join(key[:len(key)-1], "."), key[len(key)-1]
	at, fallback := "", 0
	for i, line := range strings.Split(text, "\n") {
		line = strings.TrimSpace(line)
		if strings.HasPrefix(line, "[") {
			at = strings.ReplaceAll(strings.Trim(strings.SplitN(line, "#", 2)[0], "[] \t"), `"`, "")
			if at == key.String() {
				return i + 1
			}
			continue
		}
		name := strings.Trim(strings.TrimSpace(strings.SplitN(line, "=", 2)[0]), `"'`)
		if name != last && name != key.String() {
			continue
		}
		if at == table {
			return i + 1
		}
		fallback = i + 1
	}
	return fallback
}

// check holds the values against each other.
func (c *config) check() error {
	for _, m := range c.Plan.ServiceMonths {
		if m < 1 || m > 12 {
			return fmt.Errorf("plan.service_months: %d is not a month from 1 to 12", m)
		}
	}
	if c.Plan.IntervalMonths < 1 {
		return fmt.Errorf("plan.interval_months: %d is less than 1", c.Plan.IntervalMonths)
	}
	if !(c.Limits.COAttention > 0 && c.Limits.COAttention <= c.Limits.COUrgent) {
		return fmt.Errorf("limits: co_attention_ppm %g and co_urgent_ppm %g must be positive and in this order", c.Limits.COAttention, c.Limits.COUrgent)
	}
	if c.Limits.AirO2 < 20 || c.Limits.AirO2 > 21.5 {
		return fmt.Errorf("limits.air_o2_percent: %g is no share of oxygen in air\ngive 20.9, 20.95 or 21", c.Limits.AirO2)
	}
	for fuel, v := range c.Limits.CO2Max {
		if v <= 5 || v > 25 {
			return fmt.Errorf("limits.co2max_percent: %g for %q is outside 5-25 %%", v, fuel)
		}
	}
	for _, g := range c.Guards.Tolerate {
		if !slices.Contains(guardNames, g) {
			return fmt.Errorf("guards.tolerate: %q is no guard\nthe guards: %s", g, strings.Join(guardNames, ", "))
		}
	}
	switch {
	case c.Output.KeepDays < 0 || c.Output.KeepCount < 0:
		return fmt.Errorf("output: keep_days %d and keep_count %d must not be negative", c.Output.KeepDays, c.Output.KeepCount)
	case !slices.Contains(logForms, c.Output.Log):
		return fmt.Errorf("output.log: %q is neither text nor json", c.Output.Log)
	case c.Exports.MaxFiles < 1 || c.Exports.MaxFileMB < 1 || c.Exports.MaxUnpackedMB < 1 || c.Exports.MaxCellKB < 1,
		c.Exports.MaxRows < 1 || c.Exports.MaxParquetRows < 1:
		return errors.New("exports: max_files, max_file_mb, max_unpacked_mb, max_cell_kb, max_rows and max_parquet_rows must be positive")
	}
	if err := cmp.Or(c.checkIgnore(), c.Hindsight.check(), c.Model.check(), c.Vents.check()); err != nil {
		return err
	}
	for i, t := range c.Targets {
		if err := t.check(); err != nil {
			return fmt.Errorf("targets, entry %d: %w", i+1, err)
		}
	}
	return nil
}

func (t configTarget) check() error {
	switch {
	case t.Fuel == "" || t.Fire == "":
		return errors.New("fuel and fire are needed")
	case (t.Line == "") == (t.Serial == ""):
		return errors.New("give either line or serial")
	case (t.CO2 == nil) == (t.O2 == nil):
		return errors.New("give either co2 or o2")
	}
	for name, v := range map[string]*float64{"set_rich": t.SetRich, "set_lean": t.SetLean, "act_rich": t.ActRich, "act_lean": t.ActLean} {
		if v != nil && *v <= 0 {
			return fmt.Errorf("%s: %g is not a positive number of points", name, *v)
		}
	}
	return nil
}

// path makes a path of the configuration absolute.
func (c *config) path(p string) string {
	if filepath.IsAbs(p) {
		return p
	}
	return filepath.Join(c.folder, p)
}

// setDefaults fills a configuration from the default tags.
func setDefaults(v reflect.Value) {
	for i := range v.NumField() {
		f, text := v.Field(i), v.Type().Field(i).Tag.Get("default")
		if f.Kind() == reflect.Struct && f.Type() != reflect.TypeFor[time.Time]() {
			setDefaults(f)
			continue
		}
		if text == "" {
			continue
		}
		if _, err := fmt.Sscan(text, f.Addr().Interface()); err != nil {
			panic(fmt.Sprintf("default of %s: %v", v.Type().Field(i).Name, err))
		}
	}
}

// helpConfig prints every key with its default and meaning.
func helpConfig(w io.Writer) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "key\tdefault\tmeaning")
	top := reflect.TypeFor[config]()
	for i := range top.NumField() {
		section := top.Field(i)
		name := section.Tag.Get("toml")
		if name == "" {
			continue
		}
		kind := section.Type
		if kind.Kind() == reflect.Map {
			fmt.Fprintf(t, "[%s.\"name\"]\t\t%s\n", name, section.Tag.Get("help"))
			continue
		}
		if kind.Kind() == reflect.Slice {
			fmt.Fprintf(t, "[[%s]]\t\t%s\n", name, section.Tag.Get("help"))
			kind = kind.Elem()
		}
		for j := range kind.NumField() {
			key := kind.Field(j).Tag
			fmt.Fprintf(t, "%s.%s\t%s\t%s\n", name, key.Get("toml"), key.Get("default"), key.Get("help"))
		}
		helpEntries(t, name, kind)
	}
	t.Flush()
}

// helpEntries prints the keys of a section's entries: [[crews.crew]].
func helpEntries(w io.Writer, section string, kind reflect.Type) {
	for j := range kind.NumField() {
		entry := kind.Field(j).Type
		if entry.Kind() != reflect.Slice || entry.Elem().Kind() != reflect.Struct {
			continue
		}
		for k := range entry.Elem().NumField() {
			key := entry.Elem().Field(k).Tag
			fmt.Fprintf(w, "%s.%s.%s\t%s\t%s\n", section, kind.Field(j).Tag.Get("toml"), key.Get("toml"), key.Get("default"), key.Get("help"))
		}
	}
}
