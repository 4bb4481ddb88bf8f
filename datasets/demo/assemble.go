package demo

import (
	"cmp"
	"slices"

	"fluedrift/model/day"
)

// Offices beyond those of areas.
const factoryOffice = 3

// File is one export of readings.
type File struct {
	Name    string
	office  int
	day     day.Day // export day
	header  int     // line of the header
	entries []*Entry
	rows    []row
}

// row is one line of a file after the header.
type row struct {
	number  int
	entry   *Entry // nil for a line that is none
	index   int    // value in long form
	special string // blank, header, footer
}

// assemble puts the entries into files and gives every line its number.
func (rec *recorder) assemble() {
	type key struct {
		office int
		day    day.Day
	}
	byKey := map[key]*File{}
	for _, e := range rec.Entries {
		k := key{e.Office(), e.from}
		x, ok := byKey[k]
		if !ok {
			x = &File{Name: fileName(k.office, rec.mark(), k.day), office: k.office, day: k.day, header: 1}
			if k.office == BookOffice {
				x.header = 3
			}
			byKey[k] = x
			rec.files = append(rec.files, x)
		}
		x.entries = append(x.entries, e)
	}
	slices.SortFunc(rec.files, func(a, b *File) int {
		return cmp.Or(cmp.Compare(a.office, b.office), cmp.Compare(a.day, b.day))
	})
	for _, x := range rec.files {
		slices.SortStableFunc(x.entries, func(a, b *Entry) int {
			return cmp.Or(cmp.Compare(a.Visit.Day, b.Visit.Day), cmp.Compare(a.Unit.index, b.Unit.index), cmp.Compare(a.ID, b.ID))
		})
		rec.layOut(x)
	}
}

// Office returns the office an entry was exported by.
func (e *Entry) Office() int {
	if e.Visit.technician == nil {
		return factoryOffice
	}
	return e.Unit.office()
}

// fileName names an export; mark is that of its region.
func fileName(office int, mark string, day day.Day) string {
	switch office {
	case LongOffice:
		return "north_readings_" + mark + iso(day) + ".csv"
	case WideOffice:
		return "releves_sud_" + mark + format(day, "02-01-2006") + ".csv"
	case BookOffice:
		return "west_burner_tests_" + mark + format(day, "20060102") + ".xlsx"
	}
	return "factory_tests_" + mark + iso(day) + ".csv"
}

// Long reports whether the file has a row a reading.
func (x *File) Long() bool { return x.office == LongOffice || x.office == factoryOffice }

// layOut numbers the lines of a file, with blank, repeated header and footer
// lines between and behind where the world has them.
func (rec *recorder) layOut(x *File) {
	number := x.header
	add := func(r row) int {
		number++
		r.number = number
		x.rows = append(x.rows, r)
		return number
	}
	r := rec.stream(kindFile, uint64(x.office), uint64(x.day))
	blankAt, headerAt, footer := -1, -1, false
	if rec.world.Faults.Interleaved && (x.office == LongOffice || x.office == WideOffice) && len(x.entries) > 10 {
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
		e.File = x
		n := 1
		if x.Long() {
			n = len(e.Values)
		}
		for k := range n {
			l := e.fate(k, x.Long())
			l.Number = add(row{entry: e, index: k})
			e.Lines = append(e.Lines, l)
		}
	}
	if footer {
		add(row{special: skipped})
	}
}

// fate says what becomes of a line of an entry.
func (e *Entry) fate(k int, long bool) Line {
	switch {
	case e.Role == Repeated:
		return Line{Outcome: duplicate}
	case e.Role == EnteredTwo:
		return Line{Outcome: doubtful, reason: "likely-duplicate"}
	case e.Role == Correction && long && k != e.Changed:
		return Line{Outcome: duplicate}
	case e.corrected && (!long || k == e.Changed):
		return Line{Outcome: Superseded}
	case e.spoilt.kind != "" && k == e.spoilt.line:
		return Line{Outcome: e.spoiltOutcome(long), reason: e.spoilt.reason}
	}
	return Line{Outcome: Accepted}
}

// kindOf says how a line was made, "" where it is an ordinary one.
func (e *Entry) kindOf(k int, long bool) string {
	switch {
	case e.Role != original:
		return e.Role
	case e.corrected && (!long || k == e.Changed):
		return "corrected later"
	case e.spoilt.kind != "" && k == e.spoilt.line:
		return e.spoilt.kind
	}
	return ""
}
