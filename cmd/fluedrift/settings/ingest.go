package settings

import (
	"errors"
	"io/fs"
	"math"
	"path"
	"path/filepath"

	"fluedrift/ingest"
	"fluedrift/ingest/layout"
	"fluedrift/model/day"
)

// Layouts are the layouts of the configuration by name. They belong to it: a
// fault in one is a fault of the configuration.
func (c *Config) Layouts() (map[string]*layout.Layout, error) {
	folder := c.Path(c.Exports.Layouts)
	all, err := layout.Load(folder)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, Fail(Usage, "the layouts folder %s is not there\nset exports.layouts in the configuration (%w)", folder, err)
	}
	if err != nil {
		return nil, Fail(Usage, "%w", err)
	}
	byName := map[string]*layout.Layout{}
	for _, l := range all {
		byName[l.Name] = l
	}
	return byName, nil
}

// ExportPath is where an export lies.
func (c *Config) ExportPath(name string) string {
	return filepath.Join(c.Path(c.Exports.Folder), filepath.FromSlash(name))
}

// IngestOptions are how the configuration has exports read, as of a day and with what
// Pseudonyms gives for technician codes.
func (c *Config) IngestOptions(asOf day.Day, alias func(code string) string) ingest.Options {
	return ingest.Options{
		Folder: c.Path(c.Exports.Folder), Layouts: c.Path(c.Exports.Layouts), AsOf: asOf,
		Targets: c.ingestTargets(), Technician: alias, Limits: c.ingestLimits(), IDs: c.ids.ingest(alias),
	}
}

// Serial is the serial that a text stands for.
func (c *Config) Serial(text string) string {
	id, _ := c.ids.serial.Resolve(text)
	return id
}

// ingestLimits are the limits of the configuration as the reader takes them.
func (c *Config) ingestLimits() ingest.Config {
	return ingest.Config{
		Files: c.Exports.MaxFiles, FileBytes: int64(c.Exports.MaxFileMB) << 20, UnpackedBytes: int64(c.Exports.MaxUnpackedMB) << 20,
		CellBytes: int64(c.Exports.MaxCellKB) << 10, Rows: int64(c.Exports.MaxRows), ParquetRows: int64(c.Exports.MaxParquetRows),
	}
}

// ingestTargets are the targets of the configuration as the reader takes them.
func (c *Config) ingestTargets() []ingest.Target {
	number := func(p *float64) float64 {
		if p == nil {
			return math.NaN()
		}
		return *p
	}
	var all []ingest.Target
	for _, t := range c.Targets {
		one := ingest.Target{
			ModelLine: t.Line, Serial: c.Serial(t.Serial), Fuel: t.Fuel, Fire: t.Fire, From: day.None,
			CO2Percent: number(t.CO2), O2Percent: number(t.O2), SetRich: number(t.SetRich), SetLean: number(t.SetLean),
			ActRich: number(t.ActRich), ActLean: number(t.ActLean),
		}
		if !t.From.IsZero() {
			one.From = day.In(t.From)
		}
		all = append(all, one)
	}
	return all
}

// IsIgnored says whether exports.ignore names an entry of the exports folder: by
// its path, by its own name, or by a folder it lies in.
func (c *Config) IsIgnored(name string) bool {
	for _, pattern := range c.Exports.Ignore {
		if ok, _ := path.Match(pattern, path.Base(name)); ok {
			return true
		}
		for at := name; at != "."; at = path.Dir(at) {
			if ok, _ := path.Match(pattern, at); ok {
				return true
			}
		}
	}
	return false
}
