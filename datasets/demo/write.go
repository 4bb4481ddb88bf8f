package demo

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"iter"
	"os"
	"path/filepath"
	"strings"
)

// Write writes the fleet to a folder: exports/, layouts/, fluedrift.toml, and
// truth/, which no reader of the exports needs. Files of an earlier fleet with
// the same names are replaced; others stay. A fleet of a later region adds its
// exports, and its truth to the files that stand.
func (f *Fleet) Write(dir string) error {
	for _, sub := range []string{"exports", "layouts", "truth"} {
		if err := os.MkdirAll(filepath.Join(dir, sub), 0o755); err != nil {
			return fmt.Errorf("folder of the fleet: %w", err)
		}
	}
	by := offices(f.pen)
	for _, x := range f.files {
		text, err := by[x.office].export(x)
		if err != nil {
			return fmt.Errorf("export %q: %w", x.Name, err)
		}
		if err := put(dir, "exports", x.Name, text); err != nil {
			return err
		}
	}
	var layouts []layout
	for _, o := range by {
		layouts = append(layouts, o.layout())
	}
	for _, t := range f.registry.tables() {
		rows := append([][]string{headers(t.layout.columns)}, t.rows...)
		if err := put(dir, "exports", t.name, csvBytes(rows, ",")); err != nil {
			return err
		}
		layouts = append(layouts, t.layout)
	}
	if f.region > 0 {
		return f.writeTruth(dir)
	}
	for _, l := range layouts {
		if err := put(dir, "layouts", strings.ReplaceAll(l.name, " ", "_")+".toml", []byte(l.text())); err != nil {
			return err
		}
	}
	if err := put(dir, "", "fluedrift.toml", []byte(configText(f.Options.AsOf))); err != nil {
		return err
	}
	return f.writeTruth(dir)
}

// office is one that exports readings.
type office interface {
	layout() layout                 // what its exports mean
	export(x *File) ([]byte, error) // the bytes of one
}

// offices are those that write with a pen, by number.
func offices(p pen) []office {
	return []office{LongOffice: longForm{p}, WideOffice: wideForm{p}, BookOffice: workbook{p}, factoryOffice: factorySheet{p}}
}

// csvBytes writes rows as CSV; a row without cells is a blank line.
func csvBytes(rows [][]string, delimiter string) []byte {
	var b bytes.Buffer
	for _, cells := range rows {
		for i, text := range cells {
			if i > 0 {
				b.WriteString(delimiter)
			}
			if strings.ContainsAny(text, delimiter+`"`) {
				text = `"` + strings.ReplaceAll(text, `"`, `""`) + `"`
			}
			b.WriteString(text)
		}
		b.WriteByte('\n')
	}
	return b.Bytes()
}

// put writes one file of the fleet.
func put(dir, sub, name string, text []byte) error {
	path := filepath.Join(dir, sub, name)
	if err := os.WriteFile(path, text, 0o644); err != nil {
		return fmt.Errorf("file of the fleet: %w", err)
	}
	return nil
}

// addRows writes rows of the truth, behind those of the regions before and without the
// heading a second time.
func (f *Fleet) addRows(dir, name string, rows iter.Seq[[]string]) (err error) {
	how := os.O_WRONLY | os.O_CREATE | os.O_TRUNC
	if f.region > 0 {
		how = os.O_WRONLY | os.O_APPEND
	}
	out, err := os.OpenFile(filepath.Join(dir, "truth", name), how, 0o644)
	if err != nil {
		return fmt.Errorf("file of the fleet: %w", err)
	}
	defer func() { err = errors.Join(err, out.Close()) }()
	b, heading := bufio.NewWriter(out), true
	for row := range rows {
		if !heading || f.region == 0 {
			b.Write(csvBytes([][]string{row}, ",")) // Flush tells of its error
		}
		heading = false
	}
	return b.Flush()
}
