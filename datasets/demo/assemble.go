package demo

import (
	"cmp"
	"fmt"
	"slices"
)

// Offices beyond those of areas.
const factoryOffice = 3

// file is one export of readings.
type file struct {
	name    string
	office  int
	day     int32 // export day
	header  int   // line of the header
	entries []*entry
	rows    []row
}

// row is one line of a file after the header.
type row struct {
	number  int
	entry   *entry // nil for a line that is none
	index   int    // value in long form
	special string // blank, header, footer
}

// assemble puts the entries into files and gives every line its number.
func (f *Fleet) assemble() {
	type key struct {
		office int
		day    int32
	}
	byKey := map[key]*file{}
	for _, e := range f.entries {
		k := key{e.office(), e.from}
		x, ok := byKey[k]
		if !ok {
			x = &file{name: fileName(k.office, k.day), office: k.office, day: k.day, header: 1}
			if k.office == bookOffice {
				x.header = 3
			}
			byKey[k] = x
			f.files = append(f.files, x)
		}
		x.entries = append(x.entries, e)
	}
	slices.SortFunc(f.files, func(a, b *file) int {
		return cmp.Or(cmp.Compare(a.office, b.office), cmp.Compare(a.day, b.day))
	})
	for _, x := range f.files {
		slices.SortStableFunc(x.entries, func(a, b *entry) int {
			return cmp.Or(cmp.Compare(a.v.day, b.v.day), cmp.Compare(a.u.index, b.u.index), cmp.Compare(a.id, b.id))
		})
		f.layOut(x)
	}
}

// office returns the office an entry was exported by.
func (e *entry) office() int {
	if e.v.technician == nil {
		return factoryOffice
	}
	return e.u.office()
}

// fileName names an export.
func fileName(office int, day int32) string {
	switch office {
	case longOffice:
		return "north_readings_" + iso(day) + ".csv"
	case wideOffice:
		return "releves_sud_" + format(day, "02-01-2006") + ".csv"
	case bookOffice:
		return "west_burner_tests_" + format(day, "20060102") + ".xlsx"
	}
	return "factory_tests_" + iso(day) + ".csv"
}

// long reports whether the file has a row a reading.
func (x *file) long() bool { return x.office == longOffice || x.office == factoryOffice }

// layOut numbers the lines of a file, with blank, repeated header and footer
// lines between and behind where the world has them.
func (f *Fleet) layOut(x *file) {
	number := x.header
	add := func(r row) int {
		number++
		r.number = number
		x.rows = append(x.rows, r)
		return number
	}
	r := f.stream(kindFile, uint64(x.office), uint64(x.day))
	blankAt, headerAt, footer := -1, -1, false
	if f.world.Faults.Interleaved && (x.office == longOffice || x.office == wideOffice) && len(x.entries) > 10 {
		if r.Float64() < 0.5 {
			blankAt = 3 + r.IntN(len(x.entries)-5)
		}
		if r.Float64() < 0.4 {
			headerAt = 3 + r.IntN(len(x.entries)-5)
		}
		footer = r.Float64() < 0.5
	}
	for i, e := range x.entries {
		if i == blankAt {
			add(row{special: blankLine})
		}
		if i == headerAt {
			add(row{special: headerLine})
		}
		e.file = x
		n := 1
		if x.long() {
			n = len(e.values)
		}
		for k := range n {
			l := e.fate(k, x.long())
			l.number = add(row{entry: e, index: k})
			e.lines = append(e.lines, l)
		}
	}
	if footer {
		add(row{special: skipped})
	}
}

// fate says what becomes of a line of an entry.
func (e *entry) fate(k int, long bool) line {
	switch {
	case e.role == repeated:
		return line{outcome: duplicate}
	case e.role == enteredTwo:
		return line{outcome: doubtful, reason: "likely-duplicate"}
	case e.role == correction && long && k != e.changed:
		return line{outcome: duplicate}
	case e.corrected && (!long || k == e.changed):
		return line{outcome: superseded}
	case e.spoilt.kind != "" && k == e.spoilt.line:
		return line{outcome: setAside, reason: e.spoilt.reason}
	}
	return line{outcome: accepted}
}

// origin names a line of an entry as file:line.
func (e *entry) origin(k int) string {
	if len(e.lines) == 1 {
		k = 0
	}
	return fmt.Sprintf("%s:%d", e.file.name, e.lines[k].number)
}
