package companies

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"

	"github.com/xuri/excelize/v2"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// mgPerKWh is the mass of CO in the dry flue gas of a kWh of net heat, mg, a ppm at no
// excess air, as tables of units for natural gas print it (from memory).
const mgPerKWh = 1.074

// bookColumn is a column of the yearly workbooks: what it is, and the cell of a visit.
type bookColumn struct {
	Column
	cell func(*visit) any
}

// bookForm is how the workbooks of some years look.
type bookForm struct {
	columns []bookColumn
	sheets  []string
	sheet   func(d day.Day) int
	dates   func(r *rand.Rand, d day.Day) any
	comma   float64 // share of the measures that are typed as text, with a comma
	basis   string  // of CO
	merged  bool    // the day stands once for the rows of a day
	hidden  string  // a sheet without readings
}

// months are the names of the sheets of the older workbooks.
var months = []string{
	"Januar", "Februar", "März", "April", "Mai", "Juni", "Juli", "August", "September", "Oktober", "November", "Dezember",
}

// olderForm has a sheet a month, days without a year, and texts with commas.
func olderForm() bookForm {
	form := bookForm{
		sheets: months, sheet: func(d day.Day) int { return int(d.Month()) - 1 }, comma: 0.7, basis: "as measured", merged: true,
		dates:  func(_ *rand.Rand, d day.Day) any { return d.Time().Format("02.01.") },
		hidden: "Auswertung",
		columns: []bookColumn{
			plain("Anlage", "serial", func(v *visit) any { return v.readings[0].ID }),
			plain("Datum", "day", nil),
			plain("Monteur", "technician", func(v *visit) any { return v.technician }),
			plain("Messgerät", "analyzer", func(v *visit) any { return v.analyzer }),
			plain("Anlass", "reason", func(v *visit) any {
				return map[judge.Reason]string{judge.Annual: "Wartung", judge.StartUp: "Inbetriebnahme", judge.CallOut: "Störung"}[v.reason]
			}),
		},
	}
	for _, s := range slotsOf("Volllast", "Teillast", " ", "vor Einstellung", "nach Einstellung") {
		form.columns = append(form.columns, s.gas("CO2 %", "co2", "%"), s.gas("CO ppm", "co", "ppm"))
		if s.fire == judge.High && s.cond == judge.AsFound {
			form.columns = append(form.columns, s.gas("Abgas °C", "flue_temp", "degC"))
		}
	}
	form.columns = append(form.columns,
		plain("Raumluft °C", "air_temp", func(v *visit) any { return v.air }),
		plain("eingestellt", "adjusted", func(v *visit) any { return yesNo(v.adjusted, "ja", "nein") }),
		plain("Bemerkung", "", nil))
	return form
}

// newerForm has a sheet a quarter, days as a workbook stores them, and numbers.
func newerForm() bookForm {
	form := bookForm{
		sheets: []string{"1. Quartal", "2. Quartal", "3. Quartal", "4. Quartal"},
		sheet:  func(d day.Day) int { return (int(d.Month()) - 1) / 3 }, comma: 0.06, basis: "air-free", hidden: "Listen",
		dates: func(r *rand.Rand, d day.Day) any {
			switch p := r.Float64(); {
			case p < 0.03:
				return dotted(d)
			case p < 0.05:
				return d.Time().Format("2.1.06")
			default:
				return d
			}
		},
		columns: []bookColumn{
			plain("Lfd. Nr.", "", nil),
			plain("Datum", "day", nil),
			plain("Anlagen-Nr.", "serial", func(v *visit) any { return v.readings[0].ID }),
			plain("Techniker", "technician", func(v *visit) any { return v.technician }),
			plain("Analysegerät", "analyzer", func(v *visit) any { return v.analyzer }),
			plain("Art", "reason", func(v *visit) any {
				return map[judge.Reason]string{judge.Annual: "Jahreswartung", judge.StartUp: "IBN", judge.CallOut: "Störung"}[v.reason]
			}),
		},
	}
	for _, s := range slotsOf("Große Flamme", "Kleine Flamme", " - ", "Eingangsmessung", "Ausgangsmessung") {
		if s.cond == judge.AsFound {
			form.columns = append(form.columns, s.gas("O2 %", "o2", "%"))
		}
		form.columns = append(form.columns, s.gas("CO2 %", "co2", "%"), s.gas("CO mg/kWh", "co", "mg/kWh"))
		if s.cond == judge.AsFound {
			form.columns = append(form.columns, s.gas("Abgastemp. °C", "flue_temp", "degC"))
		}
	}
	form.columns = append(form.columns,
		plain("Verbrennungsluft °C", "air_temp", func(v *visit) any { return v.air }),
		plain("nachgestellt", "adjusted", func(v *visit) any { return yesNo(v.adjusted, "ja", "nein") }),
		plain("Bemerkungen", "", nil))
	return form
}

// plain is a column under a header of one line.
func plain(header, field string, cell func(*visit) any) bookColumn {
	c := bookColumn{Column{Header: []string{header}, Field: field}, cell}
	if field == "air_temp" {
		c.Unit = "degC"
	}
	return c
}

// bookSlot is a fire and condition, under a merged header.
type bookSlot struct {
	title string
	fire  judge.Fire
	cond  judge.Condition
}

// slotsOf lists the four slots of a visit by the words of their headers.
func slotsOf(high, low, between, found, left string) []bookSlot {
	return []bookSlot{
		{high + between + found, judge.High, judge.AsFound},
		{high + between + left, judge.High, judge.AsLeft},
		{low + between + found, judge.Low, judge.AsFound},
		{low + between + left, judge.Low, judge.AsLeft},
	}
}

// gas is a column of a slot.
func (s bookSlot) gas(header, field, unit string) bookColumn {
	cell := func(v *visit) any {
		r := v.at(s.fire, s.cond)
		if r == nil {
			return nil
		}
		x := map[string]float64{"co2": r.CO2, "o2": r.O2, "co": r.COPPM, "flue_temp": r.Flue}[field]
		if unit == "mg/kWh" {
			x = math.Round(x * mgPerKWh)
		}
		if math.IsNaN(x) {
			return nil
		}
		return x
	}
	return bookColumn{Column{Header: []string{s.title, header}, Field: field, Fire: s.fire, Cond: s.cond, Unit: unit}, cell}
}

// yesNo writes a flag.
func yesNo(is bool, yes, no string) string {
	if is {
		return yes
	}
	return no
}

// branchYear writes the workbook of a year, and what its rows truly say.
func branchYear(h *house, f *fleet, year int) (File, []Reading, error) {
	form := newerForm()
	if year < 2023 {
		form = olderForm()
	}
	w := bookWriter{
		form: form, name: fmt.Sprintf("Messprotokolle/Messprotokolle %d.xlsx", year), r: stream(h.seed, ofTyping, uint64(year)),
		book: excelize.NewFile(),
	}
	defer w.book.Close()
	for i, sheet := range form.sheets {
		var visits []visit
		for _, v := range f.visits {
			if v.day.Year() == year && form.sheet(v.day) == i {
				visits = append(visits, v)
			}
		}
		if err := w.sheet(sheet, visits); err != nil {
			return File{}, nil, err
		}
	}
	if err := w.others(); err != nil {
		return File{}, nil, err
	}
	data, err := bytesOf(w.book)
	file := File{Name: w.name, Data: data, Record: "readings", Lines: w.lines}
	for _, c := range form.columns {
		if c.Field != "" {
			file.Useful = append(file.Useful, c.Column)
		}
	}
	return file, w.readings, err
}

// bytesOf packs a workbook with the same stamps every time.
func bytesOf(book *excelize.File) ([]byte, error) {
	if err := book.SetDocProps(&excelize.DocProperties{
		Created: "2026-01-05T08:00:00Z", Modified: "2026-01-05T08:00:00Z", Creator: "office",
	}); err != nil {
		return nil, err
	}
	var b bytes.Buffer
	err := book.Write(&b)
	return b.Bytes(), err
}

// others adds the sheets that hold no readings: one hidden, and in newer workbooks one
// with hints for those who type.
func (w *bookWriter) others() error {
	sheets := map[string][][]any{w.form.hidden: {{"Auswertung"}, {"Monat", "Messungen"}}}
	for i, m := range months {
		sheets[w.form.hidden] = append(sheets[w.form.hidden], []any{m, 10 + i})
	}
	names := []string{w.form.hidden}
	if w.form.hidden == "Listen" {
		sheets["Listen"] = [][]any{{"Art", "nachgestellt"}, {"Jahreswartung", "ja"}, {"IBN", "nein"}, {"Störung"}}
		sheets["Hinweise"] = [][]any{
			{"Hinweise zum Ausfüllen"}, {"Bitte jede Messung in eine eigene Zeile."}, {"CO2 mit einer Stelle hinter dem Komma."},
		}
		names = append(names, "Hinweise")
	}
	for _, name := range names {
		if _, err := w.book.NewSheet(name); err != nil {
			return err
		}
		for i, row := range sheets[name] {
			if err := w.book.SetSheetRow(name, fmt.Sprintf("A%d", i+1), &row); err != nil {
				return err
			}
		}
	}
	if err := w.book.DeleteSheet("Sheet1"); err != nil {
		return err
	}
	const visible = false
	return w.book.SetSheetVisible(w.form.hidden, visible)
}
