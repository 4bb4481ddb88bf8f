package poor

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// Strip takes what is lacking from a fleet that was written to a folder: from its
// layouts, which then pass over the columns and rows, and from its exports where a
// whole file is lacking or a column is written otherwise.
func (v *Variant) Strip(dir string) error {
	for _, l := range v.Lacks {
		if err := l.strip(dir); err != nil {
			return fmt.Errorf("take away for %q: %w", v.Name, err)
		}
	}
	return nil
}

// fieldsOf are the columns that a lack leaves unread, by the names of layouts.
var fieldsOf = map[Lack][]string{
	Air: {"air_temp"}, Analyzers: {"analyzer"}, OneAnalyzer: {"analyzer"}, CO: {"co"}, Flags: {"adjusted"}, Technicians: {"technician"},
	Installed: {"installed"}, Control: {"control"}, VentLengths: {"vent_length"},
}

func (l Lack) strip(dir string) error {
	if fields := fieldsOf[l]; fields != nil {
		if err := layouts(dir, func(name, text string) string { return unread(text, isField(fields)) }); err != nil {
			return err
		}
	}
	switch l {
	case Analyzers, OneAnalyzer:
		if err := remove(dir, "analyzer_checks"); err != nil {
			return err
		}
	}
	switch l {
	case OneAnalyzer:
		return layouts(dir, func(_, text string) string {
			return strings.Replace(text, "[constants]\n", "[constants]\nanalyzer = \"A-1\"\n", 1)
		})
	case CO2Decimals:
		return exports(dir, wholeCO2)
	case LeftReadings:
		if err := remove(dir, "factory_tests"); err != nil {
			return err
		}
		return rows(dir, `condition = "as left"`, ",After,")
	case AsFounds:
		return rows(dir, `condition = "as found"`, ",Before,")
	case LowFire:
		return rows(dir, `fire = "low"`, ",Lo,|,low,")
	case Targets:
		return remove(dir, "model_lines")
	}
	return nil
}

// layouts rewrites every layout.
func layouts(dir string, change func(name, text string) string) error {
	return files(filepath.Join(dir, "layouts", "*.toml"), func(name string, text []byte) ([]byte, error) {
		return []byte(change(name, string(text))), nil
	})
}

// exports rewrites every export that is text.
func exports(dir string, change func(name string, text []byte) ([]byte, error)) error {
	return files(filepath.Join(dir, "exports", "*.csv"), change)
}

func files(pattern string, change func(name string, text []byte) ([]byte, error)) error {
	all, err := filepath.Glob(pattern)
	if err != nil {
		return err
	}
	for _, path := range all {
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if text, err = change(filepath.Base(path), text); err != nil {
			return err
		}
		if err := os.WriteFile(path, text, 0o644); err != nil {
			return err
		}
	}
	return nil
}

// remove takes away the exports of a name with their layout.
func remove(dir, name string) error {
	all, err := filepath.Glob(filepath.Join(dir, "*", name+"*"))
	if err != nil {
		return err
	}
	for _, path := range all {
		if err := os.Remove(path); err != nil {
			return err
		}
	}
	return nil
}

const columnBegins = "[[column]]\n"

// unread has the columns that fit passed over. A layout that reads none of its
// required fields any more is no layout of readings, and stays as it is.
func unread(text string, fits func(block string) bool) string {
	blocks := strings.Split(text, columnBegins)
	for i, b := range blocks {
		if i == 0 || !fits(b) {
			continue
		}
		header, _, _ := strings.Cut(b, "\n")
		blocks[i] = header + "\nignore = true\n\n"
	}
	return strings.Join(blocks, columnBegins)
}

func isField(fields []string) func(string) bool {
	return func(block string) bool {
		return slices.ContainsFunc(fields, func(f string) bool { return strings.Contains(block, "field = \""+f+"\"\n") })
	}
}

// rows passes over a kind of readings: the columns that hold them where a row is a
// visit, the rows that a pattern fits where it is a reading.
func rows(dir, key, pattern string) error {
	return layouts(dir, func(_, text string) string {
		if !strings.Contains(text, "form = \"long\"\n") {
			return unread(text, func(block string) bool { return strings.Contains(block, "\n"+key+"\n") })
		}
		return strings.Replace(text, "[file]\n", "[file]\nskip = [\""+pattern+"\"]\n", 1)
	})
}

// wholeCO2 rounds the CO2 of an export of readings.
func wholeCO2(name string, text []byte) ([]byte, error) {
	comma, decimal := ',', "."
	switch {
	case strings.HasPrefix(name, "releves_sud"):
		comma, decimal = ';', ","
	case !strings.HasPrefix(name, "north_readings") && !strings.HasPrefix(name, "factory_tests"):
		return text, nil
	}
	r := csv.NewReader(bytes.NewReader(text))
	r.Comma, r.FieldsPerRecord, r.LazyQuotes = comma, -1, true
	all, err := r.ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	for i, cells := range all[1:] {
		for k, text := range cells {
			if k >= len(all[0]) || !strings.HasPrefix(all[0][k], "CO2") {
				continue
			}
			if v, err := strconv.ParseFloat(strings.Replace(text, decimal, ".", 1), 64); err == nil {
				all[i+1][k] = strconv.FormatFloat(math.Round(v), 'f', 0, 64)
			}
		}
	}
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	w.Comma = comma
	if err := w.WriteAll(all); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return out.Bytes(), nil
}
