// Package settings is what a user sets and is told by name: the keys of
// fluedrift.toml with their defaults and checks, the conditions a command can end
// in with their exit codes, and what changed from release to release. Each is one
// table, which the program, its help and its tests read.
//
// A key that is a parameter of another package becomes that package's own type
// here: rules of the estimate, crews of a plan, limits of the reading of exports.
// It writes nothing, and of files it reads only those the configuration names.
package settings

import (
	"bytes"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base32"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"time"

	"github.com/BurntSushi/toml"

	"fluedrift/model/combustion"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Config is fluedrift.toml. Its tags name the keys and their defaults, those that
// are another package's parameters excepted (defaults.go); meanings (help.go) say
// what each is for. `help config` prints all three.
type Config struct {
	Exports struct {
		Folder  string  `toml:"folder" default:"exports"`
		Layouts string  `toml:"layouts" default:"layouts"`
		Settle  float64 `toml:"settle_seconds" default:"2"`

		Ignore []string `toml:"ignore"`

		MaxFiles       int `toml:"max_files" default:"10000"`
		MaxFileMB      int `toml:"max_file_mb" default:"4096"`
		MaxUnpackedMB  int `toml:"max_unpacked_mb" default:"16384"`
		MaxRows        int `toml:"max_rows" default:"20000000"`
		MaxParquetRows int `toml:"max_parquet_rows" default:"20000000"`
		MaxCellKB      int `toml:"max_cell_kb" default:"1024"`
	} `toml:"exports"`
	Output struct {
		Warehouse string `toml:"warehouse" default:"warehouse.duckdb"`
		Lists     string `toml:"lists" default:"lists"`

		KeepDays      int    `toml:"keep_days" default:"400"`
		KeepCount     int    `toml:"keep_count" default:"30"`
		KeepMB        int    `toml:"keep_mb"`
		PackJSONOver  int    `toml:"pack_json_over" default:"2000"`
		GroupReadable bool   `toml:"group_readable"`
		Log           string `toml:"log"`
		Metrics       string `toml:"metrics"`
		PseudonymKey  string `toml:"pseudonym_key"`

		GroupWords         map[string]string `toml:"group_words"`
		HabitsByTechnician bool              `toml:"habits_by_technician"`
	} `toml:"output"`
	Plan struct {
		AsOf           time.Time `toml:"as_of"`
		IntervalMonths int       `toml:"interval_months" default:"-"`
		ServiceMonths  []int     `toml:"service_months"`
		UnseenDays     int       `toml:"unseen_days" default:"-"`
		RichWeight     float64   `toml:"rich_weight" default:"-"`
		LeanWeight     float64   `toml:"lean_weight" default:"-"`
		BookSoonerDays float64   `toml:"book_sooner_days" default:"-"`
	} `toml:"plan"`
	Limits struct {
		COAttention float64            `toml:"co_attention_ppm" default:"-"`
		COUrgent    float64            `toml:"co_urgent_ppm" default:"-"`
		AirO2       float64            `toml:"air_o2_percent" default:"-"`
		CO2Max      map[string]float64 `toml:"co2max_percent"`
	} `toml:"limits"`
	IDs     IDs      `toml:"ids"`
	Gases   Gases    `toml:"gases"`
	Targets []Target `toml:"targets"`
	Columns struct {
		Carry []string `toml:"carry"`
	} `toml:"columns"`
	Guards struct {
		MaxSetAside       float64  `toml:"max_set_aside" default:"0.10"`
		SetAsideTolerated float64  `toml:"set_aside_tolerated" default:"0.02"`
		MaxRegisterAside  float64  `toml:"max_register_set_aside" default:"0.05"`
		RegisterTolerated float64  `toml:"register_set_aside_tolerated" default:"0"`
		MaxFileAside      float64  `toml:"max_file_set_aside" default:"0.5"`
		MaxRefusedShare   float64  `toml:"max_refused_share" default:"0.20"`
		MaxAgeDays        int      `toml:"max_age_days" default:"0"`
		MaxMemoryMB       int      `toml:"max_memory_mb" default:"0"`
		Tolerate          []string `toml:"tolerate"`

		MaxReadingsLost  float64  `toml:"max_readings_lost" default:"0.02"`
		MaxExportShrink  float64  `toml:"max_export_shrink" default:"0.10"`
		ShrinkDays       int      `toml:"shrink_days" default:"30"`
		MaxListChange    float64  `toml:"max_list_change" default:"0.5"`
		MaxSourceAgeDays int      `toml:"max_source_age_days" default:"0"`
		MaxSourceGaps    float64  `toml:"max_source_gaps" default:"3"`
		EndedSources     []string `toml:"ended_sources"`
		FitMustHold      bool     `toml:"fit_must_hold"`

		UnreadTolerated      float64 `toml:"unread_tolerated" default:"0.20"`
		MaxUnreadRise        float64 `toml:"max_unread_rise" default:"0.10"`
		GroupChangeTolerated float64 `toml:"group_change_tolerated" default:"0.05"`
		MaxRemoved           float64 `toml:"max_removed" default:"0.05"`
		StrangersTolerated   float64 `toml:"strangers_tolerated" default:"0.05"`
		MaxStrangers         float64 `toml:"max_strangers" default:"0.5"`
		MaxModelLineChange   float64 `toml:"max_model_line_change" default:"0.02"`
		OutTolerated         float64 `toml:"out_tolerated" default:"0.40"`
		ColumnTolerated      float64 `toml:"column_tolerated" default:"1"`
		OneSideTolerated     float64 `toml:"one_side_tolerated" default:"0.95"`
		RecordAgeTolerated   int     `toml:"record_age_tolerated" default:"365"`
		MaxColumnJump        float64 `toml:"max_column_jump" default:"1"`
	} `toml:"guards"`

	Display   Display   `toml:"display"`
	Model     Model     `toml:"model"`
	Crews     Crews     `toml:"crews"`
	Hindsight Hindsight `toml:"hindsight"`
	Vents     Vents     `toml:"vents"`

	Digest string `toml:"-"` // SHA-256 of the file
	File   string `toml:"-"` // its own path, absolute
	folder string `toml:"-"` // where the file stands; paths are relative to it
	ids    idRules
}

// Target is one entry of [[targets]].
type Target struct {
	Fuel    string     `toml:"fuel"`
	Line    string     `toml:"line"`
	Serial  string     `toml:"serial"`
	Fire    judge.Fire `toml:"fire"`
	From    time.Time  `toml:"from"`
	CO2     *float64   `toml:"co2"`
	O2      *float64   `toml:"o2"`
	SetRich *float64   `toml:"set_rich"`
	SetLean *float64   `toml:"set_lean"`
	ActRich *float64   `toml:"act_rich"`
	ActLean *float64   `toml:"act_lean"`
}

// Path makes a path of the configuration absolute.
func (c *Config) Path(p string) string {
	if filepath.IsAbs(p) {
		return p
	}
	return filepath.Join(c.folder, p)
}

// OwnDay is the day a night is made for where no flag names another.
func (c *Config) OwnDay(today day.Day) day.Day {
	if c.Plan.AsOf.IsZero() {
		return today
	}
	return day.In(c.Plan.AsOf)
}

// ListsDigest is the digest of all that shapes a warehouse and its lists: what is
// said of crews, of looks back and of vents, units of measure, paths of outputs and
// guards may change between a night and a command that reads, the rest must not.
func (c *Config) ListsDigest() string {
	shaping := *c
	shaping.Crews, shaping.Vents, shaping.Display, shaping.Plan.AsOf = Crews{}, Vents{}, Display{}, time.Time{}
	shaping.Hindsight = Hindsight{Recalibrate: c.Hindsight.Recalibrate}
	none := Config{}
	shaping.Guards, shaping.Exports, shaping.Output = none.Guards, none.Exports, none.Output
	shaping.Exports.Folder, shaping.Exports.Layouts = c.Exports.Folder, c.Exports.Layouts
	shaping.Output.GroupWords, shaping.Output.HabitsByTechnician, shaping.Output.PseudonymKey = c.Output.GroupWords,
		c.Output.HabitsByTechnician, c.Output.PseudonymKey
	var text bytes.Buffer
	if err := toml.NewEncoder(&text).Encode(shaping); err != nil {
		return c.Digest
	}
	text.Write(c.ids.files)
	return DigestOf(text.Bytes())
}

// Burnable returns the compositions and the fuels of the configuration. A CO2max
// that limits.co2max_percent gives goes before the one a composition has.
func (c *Config) Burnable() (map[string]combustion.Gas, map[string]combustion.Fuel, error) {
	gases, err := combustion.Gases(c.Gases)
	if err != nil {
		return nil, nil, fmt.Errorf("gases: %w", err)
	}
	air, co2Max := combustion.AirO2(c.Limits.AirO2), map[string]float64{}
	for name := range c.Gases {
		burnt, err := gases[name].Burn(air)
		if err != nil {
			return nil, nil, fmt.Errorf("gases: %w", err)
		}
		co2Max[name] = burnt.CO2MaxPercent()
	}
	maps.Copy(co2Max, c.Limits.CO2Max)
	fuels, err := combustion.Fuels(co2Max, air)
	if err != nil {
		return nil, nil, fmt.Errorf("limits: %w", err)
	}
	return gases, fuels, nil
}

// Pseudonyms gives what stands for a technician code, nil where codes are
// shown. It is the first 50 bits of HMAC-SHA-256 (RFC 2104) under the secret:
// the same code gives the same pseudonym every night, and without the secret
// nobody can try codes out.
func (c *Config) Pseudonyms() (func(code string) string, error) {
	if c.Output.PseudonymKey == "" {
		return nil, nil
	}
	path := c.Path(c.Output.PseudonymKey)
	info, err := os.Stat(path)
	if err != nil {
		return nil, Fail(Usage, "output.pseudonym_key: %w\nmake one with: head -c 32 /dev/urandom | base64 > FILE", err)
	}
	if info.Mode().Perm()&0o007 != 0 {
		return nil, Fail(Usage, "output.pseudonym_key: everybody may read %s\ntake that away with: chmod o= %s", path, path)
	}
	key, err := os.ReadFile(path)
	if err != nil {
		return nil, Fail(Usage, "output.pseudonym_key: %w", err)
	}
	if key = bytes.TrimSpace(key); len(key) < shortestKey {
		return nil, Fail(Usage, "output.pseudonym_key: %s holds %d bytes, at least %d are needed\nmake one with: head "+
			"-c 32 /dev/urandom | base64 > FILE", path, len(key), shortestKey)
	}
	return func(code string) string {
		if aPseudonym.MatchString(code) { // of a file to mend: it holds no codes
			return code
		}
		sum := hmac.New(sha256.New, key)
		sum.Write([]byte(code))
		return "T-" + base32.StdEncoding.EncodeToString(sum.Sum(nil))[:10]
	}, nil
}
