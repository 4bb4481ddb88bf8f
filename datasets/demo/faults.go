package demo

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Kinds of planted faults that leave a line readable.
const (
	FaultTyping     = "typing error"
	FaultTypingLast = "typing error, last reading"
	FaultCopied     = "copied reading"
	FaultLetterCase = "serial in other letters"
	FaultStray      = "serial not in register"
	FaultLabel      = "wrong fuel label"
	FaultSetting    = "analyzer set to the other fuel"
	FaultLeft       = "left outside the setting band"
	FaultJump       = "jump"
	FaultCOHigh     = "high CO"
	FaultGases      = "O2 and CO2 exchanged"
	FaultOtherGas   = "one gas typed as the other"
	FaultFires      = "high and low fire exchanged"
	FaultDegF       = "degF in a column of degC"
	FaultRoomProbe  = "air taken in the room"
	FaultEarly      = "before warm-up"
)

// Fault is something planted that a reader cannot see on the line itself.
type Fault struct {
	Unit      int
	Serial    string // the unit's own
	Kind      string
	Day       int32
	Fire      string // "" where all or none
	Condition string
	True      float64 // what should stand there, NaN where that means nothing
	Written   float64
	File      string // base name, "" where in no file
	Line      int
	Detail    string

	entry *entry
	value int // index of the value, -1 for the visit
}

// WrongSetting is a visit with the analyzer set to another fuel.
type WrongSetting struct {
	Unit   int
	Serial string
	Day    int32
	Fuel   string // the analyzer's
}

// spoilValues plants copies, typing errors and misspelt serials.
func (f *Fleet) spoilValues(e *entry, before []*entry) {
	if e.v.technician == nil {
		return
	}
	w, u, n := &f.world.Faults, uint64(e.u.index), uint64(e.v.number)
	if i := lastOf(e.values, first); e.v.outside && i >= 0 && e.values[i].condition == asLeft {
		f.plant(e, i, Fault{Kind: FaultLeft, True: e.values[i].gas(), Written: e.values[i].gas()})
	}
	if len(before) > 0 && f.draw(kindCopy, u, n) < w.Copied {
		f.copyPrevious(e, before[len(before)-1])
	} else {
		planted := len(f.faults)
		f.typeWrong(e)
		if len(f.faults) == planted && !e.v.outside && e.v.setting == e.u.fuelOn(e.v.day) {
			f.misplace(e)
		}
	}
	if f.draw(kindLetterCase, u, n) < w.LetterCase && serialCase(e.serial) != e.serial {
		e.serial = serialCase(e.serial)
		f.plant(e, -1, Fault{Kind: FaultLetterCase, Detail: e.serial})
	} else if f.draw(kindStraySerial, u, n) < w.StraySerial {
		e.serial = straySerial(e.serial)
		f.plant(e, -1, Fault{Kind: FaultStray, Detail: e.serial})
	}
}

// plant notes a fault at an entry's value (-1: the visit).
func (f *Fleet) plant(e *entry, i int, fault Fault) {
	fault.Unit, fault.Serial, fault.Day = e.u.index, e.u.serial, e.v.day
	fault.entry, fault.value = e, i
	if i >= 0 {
		fault.Fire, fault.Condition = e.u.line.fireName(e.values[i].fire), e.values[i].condition
	} else {
		fault.True, fault.Written = math.NaN(), math.NaN()
	}
	f.faults = append(f.faults, fault)
}

// copyPrevious writes the previous record down again as what was found.
func (f *Fleet) copyPrevious(e, before *entry) {
	if before.v.technician == nil || e.u.fuelOn(before.v.day) != e.u.fuelOn(e.v.day) {
		return
	}
	for i := range e.values {
		x := &e.values[i]
		if x.condition != asFound {
			continue
		}
		k := lastOf(before.values, x.fire)
		if k < 0 {
			continue
		}
		was := x.gas()
		*x = before.values[k]
		x.condition = asFound
		f.plant(e, i, Fault{Kind: FaultCopied, True: was, Written: x.gas()})
	}
}

// lastOf returns the index of the last value at a fire, -1 without one.
func lastOf(values []value, fire int) int {
	last := -1
	for i := range values {
		if values[i].fire == fire {
			last = i
		}
	}
	return last
}

// gas returns the gas value written, CO2 before O2.
func (x *value) gas() float64 {
	if math.IsNaN(x.co2) {
		return x.o2
	}
	return x.co2
}

// setGas replaces the gas value written.
func (x *value) setGas(percent float64) {
	if math.IsNaN(x.co2) {
		x.o2 = percent
	} else {
		x.co2 = percent
	}
}

// typeWrong types a value wrong here and there.
func (f *Fleet) typeWrong(e *entry) {
	for i := range e.values {
		key := uint64(i)
		if f.draw(kindTyping, uint64(e.u.index), uint64(e.v.number), key) < f.world.Faults.Typing {
			f.slip(e, i, FaultTyping, f.draw(kindTyping, uint64(e.u.index), uint64(e.v.number), key, 1))
		}
	}
}

// slip types one gas value wrong: its two digits swapped, the first one off by
// one, or the second replaced.
func (f *Fleet) slip(e *entry, i int, kind string, r float64) {
	x := &e.values[i]
	was := x.gas()
	x.setGas(slipped(was, r, e.u.fuelOn(e.v.day)))
	if x.gas() != was {
		f.plant(e, i, Fault{Kind: kind, True: was, Written: x.gas()})
	}
}

// slipped returns a wrongly typed value that a burner could still show.
func slipped(percent, r float64, fuel string) float64 {
	whole := math.Floor(percent)
	tenth := math.Round((percent - whole) * 10)
	swapped := tenth + whole/10
	most := fuelNamed(fuel).CO2MaxPercent - 0.3
	switch {
	case r < 0.3 && whole < 10 && swapped > 3 && swapped < most && swapped != percent:
		return round(swapped, 1)
	case r < 0.65 && percent > 4.5:
		return round(percent-1, 4)
	case r < 0.8 && percent+1 < most:
		return round(percent+1, 4)
	}
	return round(whole+math.Mod(tenth+5, 10)/10, 1)
}

// spoilLast types the last readings of some units wrong.
func (f *Fleet) spoilLast(u *unit, written []*entry) {
	if f.draw(kindTypingLast, uint64(u.index)) >= f.world.Faults.TypingLast || len(written) < 2 {
		return
	}
	e := written[len(written)-1]
	fire := int(f.draw(kindTypingLast, uint64(u.index), 1) * float64(u.line.fires()))
	r := 0.31 + 0.69*f.draw(kindTypingLast, uint64(u.index), 2)
	for i := len(e.values) - 1; i >= 0; i-- {
		if e.values[i].fire != fire {
			continue
		}
		f.slip(e, i, FaultTypingLast, r)
		for k := range i { // a copy of what was found repeats the error
			if e.values[k].fire == fire && !e.v.adjusted {
				e.values[k].setGas(e.values[i].gas())
			}
		}
		return
	}
}

// again returns the doubles and the correction of an entry, if it is to have any.
func (f *Fleet) again(e *entry) []*entry {
	w, u, n := &f.world.Faults, uint64(e.u.index), uint64(e.v.number)
	if e.v.technician == nil {
		return nil
	}
	luck := f.draw(kindDouble, u, n)
	switch {
	case f.draw(kindCorrection, u, n) < w.Corrections:
		return f.correct(e)
	case luck < w.Doubles:
		return []*entry{e.copyOf(repeated)}
	case luck < w.Doubles+w.LikelyDouble && e.id != "" && e.complete():
		c := e.copyOf(enteredTwo)
		c.id = e.id[:1] + "9" + e.id[2:]
		return []*entry{c}
	case f.draw(kindDamage, u, n) < w.Damaged:
		e.spoilt = f.damageFor(e)
	}
	return nil
}

// complete reports whether every value has a gas and another measure.
func (e *entry) complete() bool {
	for i := range e.values {
		if math.IsNaN(e.values[i].gas()) || math.IsNaN(e.values[i].co) {
			return false
		}
	}
	return true
}

// correct lets the first export hold a wrong value and a later one the right.
func (f *Fleet) correct(e *entry) []*entry {
	days := f.correctionDays()
	k := slices.IndexFunc(days, func(d int32) bool { return d > e.from+20 })
	if k < 0 {
		return nil
	}
	c := e.copyOf(correction)
	c.from = days[k]
	i := int(f.draw(kindCorrection, uint64(e.u.index), uint64(e.v.number), 1) * float64(len(e.values)))
	e.values[i].setGas(slipped(e.values[i].gas(), 0.5+0.5*f.draw(kindCorrection, uint64(e.u.index), uint64(e.v.number), 2), e.u.fuelOn(e.v.day)))
	if e.values[i].gas() == c.values[i].gas() {
		return nil
	}
	c.changed, e.changed, e.corrected = i, i, true
	return []*entry{c}
}

// correctionDays are the days on which offices exported corrections.
func (f *Fleet) correctionDays() []int32 {
	a := f.opt.AsOf
	return []int32{a - 2500, a - 1300, a - 520, a - 20}
}

// Faults returns the planted faults in the order of units and days.
func (f *Fleet) Faults() []Fault {
	faults := append([]Fault(nil), f.faults...)
	for i := range faults {
		x := &faults[i]
		if x.entry != nil && x.entry.file != nil {
			n := 0
			if x.value > 0 && len(x.entry.lines) > 1 {
				n = x.value
			}
			x.File, x.Line = x.entry.file.name, x.entry.lines[n].number
		}
	}
	faults = append(faults, f.unitFaults()...)
	slices.SortStableFunc(faults, func(a, b Fault) int {
		return cmp.Or(cmp.Compare(a.Unit, b.Unit), cmp.Compare(a.Day, b.Day), cmp.Compare(a.Kind, b.Kind))
	})
	return faults
}

// unitFaults returns what was planted at units and visits rather than values.
func (f *Fleet) unitFaults() []Fault {
	var out []Fault
	nan := math.NaN()
	for _, u := range f.units {
		if u.wrongLabel {
			out = append(out, Fault{Unit: u.index, Serial: u.serial, Kind: FaultLabel, Day: noDay, True: nan, Written: nan,
				Detail: fmt.Sprintf("burns %s, registered %s", u.fuels[0].fuel, u.labelOf(u.fuels[0].fuel))})
		}
		if u.coFrom != noDay {
			out = append(out, Fault{Unit: u.index, Serial: u.serial, Kind: FaultCOHigh, Day: u.coFrom, True: nan, Written: nan,
				Detail: fmt.Sprintf("CO times %.1f", u.coTimes)})
		}
		for _, j := range u.jumps {
			out = append(out, Fault{Unit: u.index, Serial: u.serial, Kind: FaultJump, Day: j.Day, True: nan, Written: j.CO2Points,
				Detail: "set right " + iso(j.Repaired)})
		}
	}
	for _, s := range f.settings {
		out = append(out, Fault{Unit: s.Unit, Serial: s.Serial, Kind: FaultSetting, Day: s.Day, True: nan, Written: nan, Detail: "set to " + s.Fuel})
	}
	return out
}

// Jumps returns all failing parts by unit and day.
func (f *Fleet) Jumps() []Jump { return append([]Jump(nil), f.jumps...) }

// WrongSettings returns the visits with the analyzer set to the other fuel.
func (f *Fleet) WrongSettings() []WrongSetting { return append([]WrongSetting(nil), f.settings...) }
