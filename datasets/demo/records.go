package demo

import (
	"fmt"
	"math"
	"strings"

	"fluedrift/model/judge"
)

// Roles of an entry in the exports.
const (
	original   = "original"
	repeated   = "double"
	enteredTwo = "likely double"
	correction = "correction"
)

// Outcomes a line ends in.
const (
	accepted   = "accepted"
	superseded = "superseded"
	duplicate  = "duplicate"
	doubtful   = "doubtful"
	setAside   = "set aside"
	blankLine  = "blank"
	headerLine = "header"
	skipped    = "skipped"
)

// value is a reading as an office wrote it, in the office's own units.
type value struct {
	fire      int
	condition string
	co2, o2   float64 // NaN where not written
	co        float64
	coLimit   string  // "below" where the instrument's lowest figure was written
	flue, air float64 // degF in the long form, else degC
	supply    float64 // in w.c., long form only
	minutes   float64 // since the start of firing, long form only
	between   bool    // set again afterwards
}

// entry is one visit in one export.
type entry struct {
	u         *unit
	v         *visit
	id        string // "" where the office gives none
	serial    string // as written
	flag      string // adjusted as written: yes, no or ""
	tester    string
	meter     string // analyzer id as written
	role      string
	twin      *entry // the entry this one repeats or corrects
	corrected bool   // a later export corrects this entry
	changed   int    // the value in which an entry and its correction differ
	from      int32  // export day
	values    []value
	spoilt    damage // damage.kind "" where readable
	lines     []line // one a value in long form, else one
	file      *file
}

// line is the fate of one line of an entry.
type line struct {
	number          int
	outcome, reason string
}

// record writes down every visit at its office, spoils what is to be spoilt,
// and adds doubles and corrections.
func (f *Fleet) record() {
	for _, u := range f.units {
		var written []*entry
		for _, v := range u.visits {
			if e := f.write(u, v); e != nil {
				f.spoilValues(e, written)
				written = append(written, e)
			}
		}
		f.spoilLast(u, written)
		u.lastRecorded = noDay
		if n := len(written); n > 0 {
			u.lastRecorded = written[n-1].v.day
		}
		start := len(f.entries)
		for _, e := range written {
			f.entries = append(f.entries, e)
			f.entries = append(f.entries, f.again(e)...)
		}
		if f.world.Gases == OnlyO2 {
			fuels := f.fuelPeriods(u, written)
			for _, e := range f.entries[start:] {
				e.turnToO2(fuels)
			}
		}
	}
}

// firstTry is a setting that was measured and set again.
func firstTry(x value, r float64) value {
	off := round(0.2+0.3*r, 1)
	if !math.IsNaN(x.co2) {
		x.co2 = round(x.co2-off, 4)
	}
	if !math.IsNaN(x.o2) {
		x.o2 = round(x.o2+1.8*off, 1)
	}
	x.co, x.between = math.Round(1.1*x.co)+1, true
	return x
}

// turnToO2 writes every CO2 value as the O2 that goes with it, for the fuel
// that a reader of the register takes the unit to burn.
func (e *entry) turnToO2(fuels []judge.FuelPeriod) {
	name, _ := fuelAt(fuels, e.v.day)
	fuel := fuelNamed(name)
	for i := range e.values {
		x := &e.values[i]
		x.o2 = round(fuel.O2FromCO2(math.Min(x.co2, fuel.CO2MaxPercent)), 4)
		x.co2 = math.NaN()
	}
}

// write records one visit, nil where nothing is left to write.
func (f *Fleet) write(u *unit, v *visit) *entry {
	w := &f.world
	r := f.stream(kindRecord, uint64(u.index), uint64(v.number))
	flag, meter := r.Float64(), r.Float64()
	e := &entry{u: u, v: v, serial: u.serial, role: original, flag: "no", from: f.exportDay(u, v)}
	if v.adjusted {
		e.flag = "yes"
	}
	if v.technician != nil {
		e.tester = v.technician.id
		if flag < w.FlagMissing {
			e.flag = ""
		}
	}
	if !w.NoAnalyzers && (v.technician == nil || meter >= w.AnalyzerMissing) {
		e.meter = f.meterOn(v).id
	}
	if v.technician == nil {
		e.id = fmt.Sprintf("F%05d", u.index+1)
	} else if u.office() != bookOffice {
		e.id = fmt.Sprintf("%s%05d%02d", []string{"N", "S"}[u.office()], u.index+1, v.number)
	}
	gauge := [2]float64{r.NormFloat64(), r.NormFloat64()} // supply pressure at each fire
	tries := r.Float64() < w.SecondTries && e.office() == longOffice
	for _, rd := range f.kept(u, v) {
		x := f.written(u, v, rd, gauge[rd.fire])
		if tries && v.adjusted && rd.condition == asLeft {
			e.values = append(e.values, firstTry(x, r.Float64()))
		}
		e.values = append(e.values, x)
	}
	if len(e.values) == 0 || v.technician == nil && !w.FactoryTests {
		return nil
	}
	return e
}

// swappedFor is how long two technicians carry each other's analyzer, days, from
// the first of July three years before the as-of day's.
const swappedFor = 184

// meterOn returns the analyzer a visit is said to have been made with.
func (f *Fleet) meterOn(v *visit) *analyzer {
	from := Day(yearOf(f.opt.AsOf)-3, 7, 1)
	t := v.technician
	if !f.world.Swapped || t == nil || t.key.number > 1 || v.day < from || v.day >= from+swappedFor {
		return v.analyzer
	}
	return f.analyzerOf(f.technicianOf(t.key.area, 1-t.key.number), v.day)
}

// kept returns the readings the world lets be recorded.
func (f *Fleet) kept(u *unit, v *visit) []reading {
	var kept []reading
	left := map[int]bool{}
	for _, rd := range v.readings {
		left[rd.fire] = left[rd.fire] || rd.condition == asLeft
	}
	for _, rd := range v.readings {
		if f.world.OneFire && rd.fire == second {
			continue
		}
		if f.world.AsLeftOnly && rd.condition == asFound {
			if left[rd.fire] || v.adjusted {
				continue
			}
			rd.condition = asLeft
		}
		kept = append(kept, rd)
	}
	return kept
}

// written turns what was shown into what the office writes.
func (f *Fleet) written(u *unit, v *visit, rd reading, noise float64) value {
	x := value{fire: rd.fire, condition: rd.condition, co2: rd.co2, o2: rd.o2, supply: math.NaN(), minutes: math.NaN()}
	office := u.office()
	if v.technician == nil {
		office = wideOffice // the factory writes CO2 and degC
	}
	x.flue, x.air = math.Round(rd.flueC), math.Round(v.airC)
	burnt := fuelNamed(u.fuelOn(v.day))
	diluted := 1 - rd.o2/float64(burnt.Air)
	switch office {
	case longOffice:
		x.co = math.Round(rd.coPPM)
		x.flue, x.air = math.Round(rd.flueC*1.8+32), math.Round(v.airC*1.8+32)
		x.supply = round((u.supplyPa+15*noise)/paPerInWC, 1)
		x.minutes = 5 + math.Floor(20*f.draw(kindMinutes, uint64(u.index), uint64(v.number), uint64(rd.fire)))
		if x.co < 4 {
			x.co, x.coLimit = 4, "below"
		}
	case wideOffice:
		x.co, x.o2 = math.Round(rd.coPPM*diluted), math.NaN()
	case bookOffice:
		x.co, x.co2 = math.Round(rd.coPPM*(20.9-3)/20.9), math.NaN()
	}
	if f.world.Gases != AsOffices { // O2 is made from the CO2 at the very end
		x.co2, x.o2 = rd.co2, math.NaN()
	}
	if !f.world.Display {
		x.air, x.flue = round(v.airC, 2), round(rd.flueC, 1)
		if office == longOffice {
			x.air, x.flue = round(v.airC*1.8+32, 2), round(rd.flueC*1.8+32, 1)
		}
	}
	if v.technician != nil && f.draw(kindAirMissing, uint64(u.index), uint64(v.number)) < f.world.AirMissing {
		x.air = math.NaN()
	}
	return x
}

// exportDay returns the day on which the office exported a visit: early in
// January for the year before, the workbook every third year, the last time
// two days before the as-of day.
func (f *Fleet) exportDay(u *unit, v *visit) int32 {
	if v.technician == nil {
		return f.registerDays()[1]
	}
	year := yearOf(v.day) + 1
	if u.office() == bookOffice {
		year += 2 - yearOf(v.day)%3
	}
	return min(Day(year, 1, 6+u.office()), f.opt.AsOf-lastExport)
}

// serialCase writes a serial in the other letters.
func serialCase(serial string) string { return strings.ToLower(serial) }

// straySerial returns a serial that looks right and belongs to nobody.
func straySerial(serial string) string { return serial[:len(serial)-1] + "9" }

// copyOf repeats an entry.
func (e *entry) copyOf(role string) *entry {
	c := *e
	c.role, c.twin, c.lines, c.spoilt = role, e, nil, damage{}
	c.values = append([]value(nil), e.values...)
	return &c
}
