package demo

import (
	"math"
	"slices"

	"fluedrift/model/day"
	"fluedrift/model/judge"
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
	Day       day.Day
	Fire      judge.Fire // "" where all or none
	Condition judge.Condition
	True      float64 // what should stand there, NaN where that means nothing
	Written   float64
	File      string // base name, "" where in no file
	Line      int
	Detail    string

	entry *Entry
	value int // index of the value, -1 for the visit
}

// WrongSetting is a visit with the analyzer set to another fuel.
type WrongSetting struct {
	Unit   int
	Serial string
	Day    day.Day
	Fuel   string // the analyzer's
}

// spoiler plants faults in what was written, and remembers them.
type spoiler struct {
	*ground
	faults  []Fault
	damaged [3]int // lines spoilt so far, by office
}

// spoilValues plants copies, typing errors and misspelt serials.
func (s *spoiler) spoilValues(e *Entry, before []*Entry) {
	if e.Visit.technician == nil {
		return
	}
	w, u, n := &s.world.Faults, uint64(e.Unit.index), uint64(e.Visit.number)
	if i := lastOf(e.Values, first); e.Visit.outside && i >= 0 && e.Values[i].Condition == judge.AsLeft {
		s.plant(e, i, Fault{Kind: FaultLeft, True: e.Values[i].gas(), Written: e.Values[i].gas()})
	}
	if len(before) > 0 && s.draw(kindCopy, u, n) < w.Copied {
		s.copyPrevious(e, before[len(before)-1])
	} else {
		planted := len(s.faults)
		s.typeWrong(e)
		if len(s.faults) == planted && !e.Visit.outside && e.Visit.setting == e.Unit.FuelOn(e.Visit.Day) {
			s.misplace(e)
		}
	}
	if s.draw(kindLetterCase, u, n) < w.LetterCase && SerialCase(e.Serial) != e.Serial {
		e.Serial = SerialCase(e.Serial)
		s.plant(e, -1, Fault{Kind: FaultLetterCase, Detail: e.Serial})
	} else if s.draw(kindStraySerial, u, n) < w.StraySerial {
		e.Serial = straySerial(e.Serial)
		s.plant(e, -1, Fault{Kind: FaultStray, Detail: e.Serial})
	}
}

// plant notes a fault at an entry's value (-1: the visit).
func (s *spoiler) plant(e *Entry, i int, fault Fault) {
	fault.Unit, fault.Serial, fault.Day = e.Unit.index, e.Unit.Serial, e.Visit.Day
	fault.entry, fault.value = e, i
	if i >= 0 {
		fault.Fire, fault.Condition = e.Unit.Line.FireName(e.Values[i].Fire), e.Values[i].Condition
	} else {
		fault.True, fault.Written = math.NaN(), math.NaN()
	}
	s.faults = append(s.faults, fault)
}

// copyPrevious writes the previous record down again as what was found.
func (s *spoiler) copyPrevious(e, before *Entry) {
	if before.Visit.technician == nil || e.Unit.FuelOn(before.Visit.Day) != e.Unit.FuelOn(e.Visit.Day) {
		return
	}
	for i := range e.Values {
		x := &e.Values[i]
		if x.Condition != judge.AsFound {
			continue
		}
		k := lastOf(before.Values, x.Fire)
		if k < 0 {
			continue
		}
		was := x.gas()
		*x = before.Values[k]
		x.Condition = judge.AsFound
		s.plant(e, i, Fault{Kind: FaultCopied, True: was, Written: x.gas()})
	}
}

// lastOf returns the index of the last value at a fire, -1 without one.
func lastOf(values []Value, fire int) int {
	last := -1
	for i := range values {
		if values[i].Fire == fire {
			last = i
		}
	}
	return last
}

// gas returns the gas value written, CO2 before O2.
func (x *Value) gas() float64 {
	if math.IsNaN(x.CO2) {
		return x.O2
	}
	return x.CO2
}

// setGas replaces the gas value written.
func (x *Value) setGas(percent float64) {
	if math.IsNaN(x.CO2) {
		x.O2 = percent
	} else {
		x.CO2 = percent
	}
}

// typeWrong types a value wrong here and there.
func (s *spoiler) typeWrong(e *Entry) {
	for i := range e.Values {
		key := uint64(i)
		if s.draw(kindTyping, uint64(e.Unit.index), uint64(e.Visit.number), key) < s.world.Faults.Typing {
			s.slip(e, i, FaultTyping, s.draw(kindTyping, uint64(e.Unit.index), uint64(e.Visit.number), key, 1))
		}
	}
}

// slip types one gas value wrong: its two digits swapped, the first one off by
// one, or the second replaced.
func (s *spoiler) slip(e *Entry, i int, kind string, r float64) {
	x := &e.Values[i]
	was := x.gas()
	x.setGas(slipped(was, r, e.Unit.FuelOn(e.Visit.Day)))
	if x.gas() != was {
		s.plant(e, i, Fault{Kind: kind, True: was, Written: x.gas()})
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
func (s *spoiler) spoilLast(u *Unit, written []*Entry) {
	if s.draw(kindTypingLast, uint64(u.index)) >= s.world.Faults.TypingLast || len(written) < 2 {
		return
	}
	e := written[len(written)-1]
	fire := int(s.draw(kindTypingLast, uint64(u.index), 1) * float64(u.Line.Fires()))
	r := 0.31 + 0.69*s.draw(kindTypingLast, uint64(u.index), 2)
	for i := len(e.Values) - 1; i >= 0; i-- {
		if e.Values[i].Fire != fire {
			continue
		}
		s.slip(e, i, FaultTypingLast, r)
		for k := range i { // a copy of what was found repeats the error
			if e.Values[k].Fire == fire && !e.Visit.adjusted {
				e.Values[k].setGas(e.Values[i].gas())
			}
		}
		return
	}
}

// again returns the doubles and the correction of an entry, if it is to have any.
func (s *spoiler) again(e *Entry) []*Entry {
	w, u, n := &s.world.Faults, uint64(e.Unit.index), uint64(e.Visit.number)
	if e.Visit.technician == nil {
		return nil
	}
	luck := s.draw(kindDouble, u, n)
	switch {
	case s.draw(kindCorrection, u, n) < w.Corrections:
		return s.correct(e)
	case luck < w.Doubles:
		return []*Entry{e.copyOf(Repeated)}
	case luck < w.Doubles+w.LikelyDouble && e.ID != "" && e.complete():
		c := e.copyOf(EnteredTwo)
		c.ID = e.ID[:1] + "9" + e.ID[2:]
		return []*Entry{c}
	case s.draw(kindDamage, u, n) < w.Damaged:
		e.spoilt = s.damageFor(e)
	}
	return nil
}

// correct lets the first export hold a wrong value and a later one the right.
func (s *spoiler) correct(e *Entry) []*Entry {
	days := s.correctionDays()
	k := slices.IndexFunc(days, func(d day.Day) bool { return d > e.from+20 })
	if k < 0 {
		return nil
	}
	c := e.copyOf(Correction)
	c.from = days[k]
	i := int(s.draw(kindCorrection, uint64(e.Unit.index), uint64(e.Visit.number), 1) * float64(len(e.Values)))
	e.Values[i].setGas(slipped(e.Values[i].gas(), 0.5+0.5*s.draw(kindCorrection, uint64(e.Unit.index), uint64(e.Visit.number), 2),
		e.Unit.FuelOn(e.Visit.Day)))
	if e.Values[i].gas() == c.Values[i].gas() {
		return nil
	}
	c.Changed, e.Changed, e.corrected = i, i, true
	return []*Entry{c}
}

// correctionDays are the days on which offices exported corrections.
func (s *spoiler) correctionDays() []day.Day {
	a := s.Options.AsOf
	return []day.Day{a - 2500, a - 1300, a - 520, a - 20}
}
