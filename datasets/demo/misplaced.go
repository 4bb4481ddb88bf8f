package demo

import "math"

// misplace writes a visit's values in the wrong place, in the wrong unit, or
// takes them at the wrong time or spot. Each kind has a stream of its own; a
// visit has one kind at most.
func (f *Fleet) misplace(e *entry) {
	w := &f.world.Faults
	for k, one := range []struct {
		share float64
		plant func(*entry)
	}{{w.SwappedGases, f.swapGases}, {w.SwappedFires, f.swapFires}, {w.DegF, f.writeDegF}, {w.RoomProbe, f.probeRoom}, {w.Early, f.readEarly}} {
		if f.draw(kindShape, uint64(e.u.index), uint64(e.v.number), uint64(k)) < one.share {
			one.plant(e)
			return
		}
	}
}

// swapGases writes O2 and CO2 of a visit into each other's column; where the
// office has one column it is filled with the other gas. Worlds that record one
// gas everywhere are there to be compared with each other and have no such
// faults: O2 typed as CO2 has no twin.
func (f *Fleet) swapGases(e *entry) {
	if f.world.Gases != AsOffices {
		return
	}
	fuel := fuelNamed(e.u.fuelOn(e.v.day))
	for i := range e.values {
		x := &e.values[i]
		was, kind := x.gas(), FaultOtherGas
		switch {
		case math.IsNaN(x.co2):
			x.o2 = f.shown(fuel.CO2FromO2(x.o2))
		case math.IsNaN(x.o2):
			x.co2 = f.shown(fuel.O2FromCO2(x.co2))
		default:
			x.co2, x.o2, kind = x.o2, x.co2, FaultGases
		}
		f.plant(e, i, Fault{Kind: kind, True: was, Written: x.gas()})
	}
}

// shown rounds a gas to what the world's analyzers show.
func (f *Fleet) shown(percent float64) float64 {
	if f.world.Display {
		return round(percent, 1)
	}
	return round(percent, 4)
}

// swapFires writes high fire as low and low as high, where both were read.
func (f *Fleet) swapFires(e *entry) {
	if lastOf(e.values, first) < 0 || lastOf(e.values, second) < 0 {
		return
	}
	for i := range e.values {
		x := &e.values[i]
		x.fire = first + second - x.fire
		f.plant(e, i, Fault{Kind: FaultFires, True: x.gas(), Written: x.gas()})
	}
}

// mostAirC is the warmest air that a reader takes for degC; what is above it
// never gets past the door.
const mostAirC = 60 // degC

// writeDegF writes temperatures in degF where the office writes degC.
func (f *Fleet) writeDegF(e *entry) {
	if e.office() == longOffice || e.v.airC*1.8+32 > mostAirC-1 {
		return
	}
	for i := range e.values {
		x := &e.values[i]
		was := x.flue
		x.flue, x.air = math.Round(x.flue*1.8+32), math.Round(x.air*1.8+32)
		f.plant(e, i, Fault{Kind: FaultDegF, True: was, Written: x.flue})
	}
}

// probeRoom takes the air in the room, at 18 to 24 degC, where the unit draws
// it from outdoors.
func (f *Fleet) probeRoom(e *entry) {
	if e.u.runOn(e.v.day).airFrom == "room" {
		return
	}
	roomC := 18 + math.Floor(7*f.draw(kindShape, uint64(e.u.index), uint64(e.v.number), 10))
	for i := range e.values {
		x := &e.values[i]
		was := x.air
		x.air = roomC
		if e.office() == longOffice {
			x.air = math.Round(roomC*1.8 + 32)
		}
		f.plant(e, i, Fault{Kind: FaultRoomProbe, True: was, Written: x.air})
	}
}

// readEarly reads the first fire a minute after the start: the flue is cold,
// and CO2 stands 0.3 to 0.8 points lower than it will.
func (f *Fleet) readEarly(e *entry) {
	fuel := fuelNamed(e.u.fuelOn(e.v.day))
	less := 0.3 + 0.5*f.draw(kindShape, uint64(e.u.index), uint64(e.v.number), 11)
	for i := range e.values {
		x := &e.values[i]
		if x.fire != first || x.condition != asFound {
			continue
		}
		was := x.gas()
		if !math.IsNaN(x.co2) {
			x.co2 = f.shown(x.co2 - less)
		}
		if !math.IsNaN(x.o2) {
			x.o2 = f.shown(x.o2 + less/fuel.CO2PerO2())
		}
		cold := func(c float64) float64 { return math.Round(15 + 0.3*(c-15)) }
		if e.office() == longOffice {
			x.flue, x.minutes = math.Round(cold((x.flue-32)/1.8)*1.8+32), 1
		} else {
			x.flue = cold(x.flue)
		}
		f.plant(e, i, Fault{Kind: FaultEarly, True: was, Written: x.gas()})
	}
}
