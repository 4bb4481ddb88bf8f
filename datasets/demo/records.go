package demo

import (
	"fmt"
	"math"
	"strings"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Roles of an entry in the exports.
const (
	original   = "original"
	Repeated   = "double"
	EnteredTwo = "likely double"
	Correction = "correction"
)

// Outcomes a line ends in.
const (
	Accepted   = "accepted"
	Superseded = "superseded"
	duplicate  = "duplicate"
	doubtful   = "doubtful"
	setAside   = "set aside"
	// The line stands without a cell, or without the reading that the cell was of.
	CellAside    = "cell set aside"
	ReadingAside = "reading set aside"
	blankLine    = "blank"
	headerLine   = "header"
	skipped      = "skipped"
)

// Value is a reading as an office wrote it, in the office's own units.
type Value struct {
	Fire      int
	Condition judge.Condition
	CO2, O2   float64 // NaN where not written
	CO        float64
	COLimit   string  // "below" where the instrument's lowest figure was written
	Flue, Air float64 // degF in the long form, else degC
	Supply    float64 // in w.c., long form only
	Minutes   float64 // since the start of firing, long form only
	Between   bool    // set again afterwards
}

// Entry is one visit in one export.
type Entry struct {
	Unit      *Unit
	Visit     *Visit
	ID        string // "" where the office gives none
	Serial    string // as written
	Flag      string // adjusted as written: yes, no or ""
	Tester    string
	Meter     string // analyzer id as written
	Role      string
	Twin      *Entry  // the entry this one repeats or corrects
	corrected bool    // a later export corrects this entry
	Changed   int     // the value in which an entry and its correction differ
	from      day.Day // export day
	Values    []Value
	spoilt    damage // damage.kind "" where readable
	Lines     []Line // one a value in long form, else one
	File      *File
}

// Line is the fate of one line of an entry.
type Line struct {
	Number          int
	Outcome, reason string
}

// recorder writes down what technicians saw, as the offices did.
type recorder struct {
	*Truth
	Entries []*Entry // every recorded visit, by unit and day

	register *registry
	spoil    *spoiler
	files    []*File // exports in the order of their names
}

// record writes down every visit at its office, spoils what is to be spoilt,
// and adds doubles and corrections.
func (rec *recorder) record() {
	for _, u := range rec.Units {
		var written []*Entry
		for _, v := range u.visits {
			if e := rec.write(u, v); e != nil {
				rec.spoil.spoilValues(e, written)
				written = append(written, e)
			}
		}
		rec.spoil.spoilLast(u, written)
		u.LastRecorded = day.None
		if n := len(written); n > 0 {
			u.LastRecorded = written[n-1].Visit.Day
		}
		start := len(rec.Entries)
		for _, e := range written {
			rec.Entries = append(rec.Entries, e)
			rec.Entries = append(rec.Entries, rec.spoil.again(e)...)
		}
		if rec.world.Gases == OnlyO2 {
			fuels := rec.register.FuelPeriods(u, written)
			for _, e := range rec.Entries[start:] {
				e.turnToO2(fuels)
			}
		}
	}
}

// firstTry is a setting that was measured and set again.
func firstTry(x Value, r float64) Value {
	off := round(0.2+0.3*r, 1)
	if !math.IsNaN(x.CO2) {
		x.CO2 = round(x.CO2-off, 4)
	}
	if !math.IsNaN(x.O2) {
		x.O2 = round(x.O2+1.8*off, 1)
	}
	x.CO, x.Between = math.Round(1.1*x.CO)+1, true
	return x
}

// turnToO2 writes every CO2 value as the O2 that goes with it, for the fuel
// that a reader of the register takes the unit to burn.
func (e *Entry) turnToO2(fuels []judge.FuelPeriod) {
	name, _ := FuelAt(fuels, e.Visit.Day)
	fuel := fuelNamed(name)
	for i := range e.Values {
		x := &e.Values[i]
		x.O2 = round(fuel.O2FromCO2(math.Min(x.CO2, fuel.CO2MaxPercent)), 4)
		x.CO2 = math.NaN()
	}
}

// write records one visit, nil where nothing is left to write.
func (rec *recorder) write(u *Unit, v *Visit) *Entry {
	w := &rec.world
	r := rec.stream(kindRecord, uint64(u.index), uint64(v.number))
	flag, meter := r.Float64(), r.Float64()
	e := &Entry{Unit: u, Visit: v, Serial: u.Serial, Role: original, Flag: "no", from: rec.exportDay(u, v)}
	if v.adjusted {
		e.Flag = "yes"
	}
	if v.technician != nil {
		e.Tester = v.technician.id
		if flag < w.FlagMissing {
			e.Flag = ""
		}
	}
	if !w.NoAnalyzers && (v.technician == nil || meter >= w.AnalyzerMissing) {
		e.Meter = rec.meterOn(v).id
	}
	if v.technician == nil {
		e.ID = fmt.Sprintf("F%05d", u.index+1)
	} else if u.office() != BookOffice {
		e.ID = []string{"N", "S"}[u.office()] + visitDigits(u.index+1, v.number)
	}
	gauge := [2]float64{r.NormFloat64(), r.NormFloat64()} // supply pressure at each fire
	tries := r.Float64() < w.SecondTries && e.Office() == LongOffice
	for _, rd := range rec.kept(u, v) {
		x := rec.written(u, v, rd, gauge[rd.fire])
		if tries && v.adjusted && rd.condition == judge.AsLeft {
			e.Values = append(e.Values, firstTry(x, r.Float64()))
		}
		e.Values = append(e.Values, x)
	}
	if len(e.Values) == 0 || v.technician == nil && !w.FactoryTests {
		return nil
	}
	return e
}

// visitDigits number a visit. Those of units from the ninety thousandth on begin with
// 0, so that nobody has the 9 of a visit that was entered twice.
func visitDigits(unit, visit int) string {
	if unit < 90_000 {
		return fmt.Sprintf("%05d%02d", unit, visit)
	}
	return fmt.Sprintf("0%06d%02d", unit, visit)
}

// swappedFor is how long two technicians carry each other's analyzer, days, from
// the first of July three years before the as-of day's.
const swappedFor = 184

// meterOn returns the analyzer a visit is said to have been made with.
func (rec *recorder) meterOn(v *Visit) *Analyzer {
	from := day.Of(yearOf(rec.Options.AsOf)-3, 7, 1)
	t := v.technician
	if !rec.world.Swapped || t == nil || t.key.number > 1 || v.Day < from || v.Day >= from+swappedFor {
		return v.analyzer
	}
	return rec.analyzerOf(rec.technicianOf(t.key.area, 1-t.key.number), v.Day)
}

// kept returns the readings the world lets be recorded.
func (rec *recorder) kept(u *Unit, v *Visit) []reading {
	var kept []reading
	left := map[int]bool{}
	for _, rd := range v.readings {
		left[rd.fire] = left[rd.fire] || rd.condition == judge.AsLeft
	}
	for _, rd := range v.readings {
		if rec.world.OneFire && rd.fire == second {
			continue
		}
		if rec.world.AsLeftOnly && rd.condition == judge.AsFound {
			if left[rd.fire] || v.adjusted {
				continue
			}
			rd.condition = judge.AsLeft
		}
		kept = append(kept, rd)
	}
	return kept
}

// written turns what was shown into what the office writes.
func (rec *recorder) written(u *Unit, v *Visit, rd reading, noise float64) Value {
	x := Value{Fire: rd.fire, Condition: rd.condition, CO2: rd.co2, O2: rd.o2, Supply: math.NaN(), Minutes: math.NaN()}
	office := u.office()
	if v.technician == nil {
		office = WideOffice // the factory writes CO2 and degC
	}
	x.Flue, x.Air = math.Round(rd.flueC), math.Round(v.airC)
	burnt := fuelNamed(u.FuelOn(v.Day))
	diluted := 1 - rd.o2/float64(burnt.Air)
	switch office {
	case LongOffice:
		x.CO = math.Round(rd.coPPM)
		x.Flue, x.Air = math.Round(rd.flueC*1.8+32), math.Round(v.airC*1.8+32)
		x.Supply = round((u.supplyPa+15*noise)/PaPerInWC, 1)
		x.Minutes = 5 + math.Floor(20*rec.draw(kindMinutes, uint64(u.index), uint64(v.number), uint64(rd.fire)))
		if x.CO < 4 {
			x.CO, x.COLimit = 4, "below"
		}
	case WideOffice:
		x.CO, x.O2 = math.Round(rd.coPPM*diluted), math.NaN()
	case BookOffice:
		x.CO, x.CO2 = math.Round(rd.coPPM*(20.9-3)/20.9), math.NaN()
	}
	if rec.world.Gases != AsOffices { // O2 is made from the CO2 at the very end
		x.CO2, x.O2 = rd.co2, math.NaN()
	}
	if !rec.world.Display {
		x.Air, x.Flue = round(v.airC, 2), round(rd.flueC, 1)
		if office == LongOffice {
			x.Air, x.Flue = round(v.airC*1.8+32, 2), round(rd.flueC*1.8+32, 1)
		}
	}
	if v.technician != nil && rec.draw(kindAirMissing, uint64(u.index), uint64(v.number)) < rec.world.AirMissing {
		x.Air = math.NaN()
	}
	return x
}

// exportDay returns the day on which the office exported a visit: early in
// January for the year before, the workbook every third year, the last time
// two days before the as-of day.
func (rec *recorder) exportDay(u *Unit, v *Visit) day.Day {
	if v.technician == nil {
		return rec.RegisterDays()[1]
	}
	year := yearOf(v.Day) + 1
	if u.office() == BookOffice {
		year += 2 - yearOf(v.Day)%3
	}
	return min(day.Of(year, 1, 6+u.office()), rec.Options.AsOf-lastExport)
}

// SerialCase writes a serial in the other letters.
func SerialCase(serial string) string { return strings.ToLower(serial) }

// straySerial returns a serial that looks right and belongs to nobody.
func straySerial(serial string) string { return serial[:len(serial)-1] + "9" }

// copyOf repeats an entry.
func (e *Entry) copyOf(role string) *Entry {
	c := *e
	c.Role, c.Twin, c.Lines, c.spoilt = role, e, nil, damage{}
	c.Values = append([]Value(nil), e.Values...)
	return &c
}

// complete reports whether every value has a gas and another measure.
func (e *Entry) complete() bool {
	for i := range e.Values {
		if math.IsNaN(e.Values[i].gas()) || math.IsNaN(e.Values[i].CO) {
			return false
		}
	}
	return true
}
