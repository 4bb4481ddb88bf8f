package companies

import (
	"fmt"
	"math"
	"math/rand/v2"

	"github.com/xuri/excelize/v2"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Rows of a sheet: a title, a blank row, two lines of headers, and the records.
const (
	titleRow  = 1
	headerRow = 3
	firstRow  = 5
)

// bookWriter writes one workbook and notes what its rows truly say.
type bookWriter struct {
	form     bookForm
	name     string
	r        *rand.Rand // of those who type
	book     *excelize.File
	dated    int // style of days
	lines    int
	readings []Reading
}

// sheet writes a sheet: its title, its headers, a row a visit, and what stands below.
func (w *bookWriter) sheet(name string, visits []visit) error {
	if _, err := w.book.NewSheet(name); err != nil {
		return err
	}
	if err := w.head(name); err != nil {
		return err
	}
	row, before := firstRow, day.None
	for i := range visits {
		v := &visits[i]
		w.forget(v)
		fault := w.mistakes(v)
		for n, cells := range w.rows(v, fault, i+1) {
			if w.form.merged && v.day == before && n == 0 {
				if err := w.mergeDay(name, row); err != nil {
					return err
				}
			}
			if err := w.book.SetSheetRow(name, at(1, row), &cells); err != nil {
				return err
			}
			if err := w.styleDay(name, row, cells); err != nil {
				return err
			}
			row, before = row+1, v.day
			w.lines++
		}
		w.note(v, fault, name, row-1)
	}
	foot := [][]any{{"Anzahl Messungen:", len(visits)}, {"Für die Richtigkeit: Brandt"}}
	for i := range foot {
		if err := w.book.SetSheetRow(name, at(1, row+1+i), &foot[i]); err != nil {
			return err
		}
	}
	return nil
}

// at names a cell.
func at(column, row int) string {
	name, err := excelize.CoordinatesToCellName(column, row)
	if err != nil {
		panic(err) // columns and rows are ours
	}
	return name
}

// head writes the title over the whole width and the two lines of headers, cells merged
// over the columns of a slot or over both lines.
func (w *bookWriter) head(sheet string) error {
	columns := w.form.columns
	if err := w.book.SetCellValue(sheet, at(1, titleRow), "Messprotokolle Niederlassung Küste, "+sheet); err != nil {
		return err
	}
	if err := w.book.MergeCell(sheet, at(1, titleRow), at(len(columns), titleRow)); err != nil {
		return err
	}
	for i := 0; i < len(columns); {
		h := columns[i].Header
		end := i + 1
		for len(h) > 1 && end < len(columns) && columns[end].Header[0] == h[0] {
			end++
		}
		if err := w.book.SetCellValue(sheet, at(i+1, headerRow), h[0]); err != nil {
			return err
		}
		last := headerRow
		if len(h) == 1 {
			last++
		}
		if err := w.book.MergeCell(sheet, at(i+1, headerRow), at(end, last)); err != nil {
			return err
		}
		for ; len(h) > 1 && i < end; i++ {
			if err := w.book.SetCellValue(sheet, at(i+1, headerRow+1), columns[i].Header[1]); err != nil {
				return err
			}
		}
		i = end
	}
	return nil
}

// forget leaves a CO out now and then.
func (w *bookWriter) forget(v *visit) {
	for i := range v.readings {
		if w.r.Float64() < 0.01 {
			v.readings[i].COPPM = math.NaN()
		}
	}
}

// mistakes draws what goes wrong in the row of a visit; at most one thing does, but for
// the id.
func (w *bookWriter) mistakes(v *visit) Fault {
	switch p := w.r.Float64(); {
	case p < 0.06:
		return Misspelt
	case p < 0.066:
		return Doubled
	case p < 0.074:
		return Corrected
	case p < 0.078:
		return NoPoint
	case p < 0.086:
		return OtherUnit
	default:
		return ""
	}
}

// rows writes a visit as one row, or two where it is doubled or corrected.
func (w *bookWriter) rows(v *visit, fault Fault, number int) [][]any {
	right := w.row(v, fault, number)
	switch fault {
	case Doubled:
		return [][]any{right, right}
	case Corrected:
		wrong := *v
		wrong.readings = append([]Reading(nil), v.readings...)
		wrong.readings[0].CO2 = round(wrong.readings[0].CO2-1.1, 1)
		right[len(right)-1] = "Korrektur"
		return [][]any{w.row(&wrong, fault, number), right}
	default:
		return [][]any{right}
	}
}

// row writes the cells of a visit.
func (w *bookWriter) row(v *visit, fault Fault, number int) []any {
	cells := make([]any, len(w.form.columns))
	for i, c := range w.form.columns {
		switch {
		case c.Header[0] == "Lfd. Nr.":
			cells[i] = number
		case c.Field == "day":
			cells[i] = w.form.dates(w.r, v.day)
		case c.cell == nil:
			cells[i] = any(one(w.r, []string{"", "", "", "", "Filter getauscht", "Kunde nicht da", "n.i.O., siehe Bericht"}))
		default:
			cells[i] = w.typed(c, c.cell(v), fault, v)
		}
	}
	return cells
}

// typed writes a cell as somebody types it.
func (w *bookWriter) typed(c bookColumn, cell any, fault Fault, v *visit) any {
	x, isNumber := cell.(float64)
	first := c.Fire == judge.High && c.Cond == judge.AsFound
	switch {
	case c.Field == "serial" && fault == Misspelt:
		var number int
		fmt.Sscanf(v.readings[0].ID, "HK %d", &number)
		return misspell(w.r, "HK", " ", number, 4)
	case c.Field == "co2" && first && fault == NoPoint:
		return math.Round(10 * x)
	case c.Field == "flue_temp" && first && fault == OtherUnit:
		return fmt.Sprintf("%.0f °F", x*1.8+32)
	case isNumber && w.r.Float64() < w.form.comma:
		return comma(x, map[string]int{"co2": 1, "o2": 1, "flue_temp": 1}[c.Field])
	}
	return cell
}

// styleDay shows a day number as a day.
func (w *bookWriter) styleDay(sheet string, row int, cells []any) error {
	if w.dated == 0 {
		style, err := w.book.NewStyle(&excelize.Style{NumFmt: 14})
		if err != nil {
			return err
		}
		w.dated = style
	}
	for i, c := range cells {
		d, ok := c.(day.Day)
		if !ok {
			continue
		}
		if err := w.book.SetCellValue(sheet, at(i+1, row), int(d)+dayNumber1970); err != nil {
			return err
		}
		if err := w.book.SetCellStyle(sheet, at(i+1, row), at(i+1, row), w.dated); err != nil {
			return err
		}
	}
	return nil
}

// dayNumber1970 is the number that a workbook counts 1970-01-01 by.
const dayNumber1970 = 25569

// mergeDay lets the day of the row above hold for this one too.
func (w *bookWriter) mergeDay(sheet string, row int) error {
	for i, c := range w.form.columns {
		if c.Field == "day" {
			return w.book.MergeCell(sheet, at(i+1, row-1), at(i+1, row))
		}
	}
	return nil
}

// note keeps what the row of a visit truly says.
func (w *bookWriter) note(v *visit, fault Fault, sheet string, row int) {
	for _, r := range v.readings {
		r.File, r.Sheet, r.Row, r.Fault, r.COBasis = w.name, sheet, row, fault, w.form.basis
		written := map[string]bool{}
		for _, c := range w.form.columns {
			if c.Fire == r.Fire && c.Cond == r.Condition {
				written[c.Field] = true
			}
		}
		if !written["o2"] {
			r.O2 = math.NaN()
		}
		if !written["flue_temp"] {
			r.Flue = math.NaN()
		}
		w.readings = append(w.readings, r)
	}
}
