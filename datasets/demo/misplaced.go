package demo

import (
	"math"

	"fluedrift/model/judge"
)

// misplace writes a visit's values in the wrong place, in the wrong unit, or
// takes them at the wrong time or spot. Each kind has a stream of its own; a
// visit has one kind at most.
func (s *spoiler) misplace(e *Entry) {
	w := &s.world.Faults
	for k, one := range []struct {
		share float64
		plant func(*Entry)
	}{
		{w.SwappedGases, s.swapGases},
		{w.SwappedFires, s.swapFires},
		{w.DegF, s.writeDegF},
		{w.RoomProbe, s.probeRoom},
		{w.Early, s.readEarly},
	} {
		if s.draw(kindShape, uint64(e.Unit.index), uint64(e.Visit.number), uint64(k)) < one.share {
			one.plant(e)
			return
		}
	}
}

// swapGases writes O2 and CO2 of a visit into each other's column; where the
// office has one column it is filled with the other gas. Worlds that record one
// gas everywhere are there to be compared with each other and have no such
// faults: O2 typed as CO2 has no twin.
func (s *spoiler) swapGases(e *Entry) {
	if s.world.Gases != AsOffices {
		return
	}
	fuel := fuelNamed(e.Unit.FuelOn(e.Visit.Day))
	for i := range e.Values {
		x := &e.Values[i]
		was, kind := x.gas(), FaultOtherGas
		switch {
		case math.IsNaN(x.CO2):
			x.O2 = s.shown(fuel.CO2FromO2(x.O2))
		case math.IsNaN(x.O2):
			x.CO2 = s.shown(fuel.O2FromCO2(x.CO2))
		default:
			x.CO2, x.O2, kind = x.O2, x.CO2, FaultGases
		}
		s.plant(e, i, Fault{Kind: kind, True: was, Written: x.gas()})
	}
}

// shown rounds a gas to what the world's analyzers show.
func (s *spoiler) shown(percent float64) float64 {
	if s.world.Display {
		return round(percent, 1)
	}
	return round(percent, 4)
}

// swapFires writes high fire as low and low as high, where both were read.
func (s *spoiler) swapFires(e *Entry) {
	if lastOf(e.Values, first) < 0 || lastOf(e.Values, second) < 0 {
		return
	}
	for i := range e.Values {
		x := &e.Values[i]
		x.Fire = first + second - x.Fire
		s.plant(e, i, Fault{Kind: FaultFires, True: x.gas(), Written: x.gas()})
	}
}

// mostAirC is the warmest air that a reader takes for degC; what is above it
// never gets past the door.
const mostAirC = 60 // degC

// writeDegF writes temperatures in degF where the office writes degC.
func (s *spoiler) writeDegF(e *Entry) {
	if e.Office() == LongOffice || e.Visit.airC*1.8+32 > mostAirC-1 {
		return
	}
	for i := range e.Values {
		x := &e.Values[i]
		was := x.Flue
		x.Flue, x.Air = math.Round(x.Flue*1.8+32), math.Round(x.Air*1.8+32)
		s.plant(e, i, Fault{Kind: FaultDegF, True: was, Written: x.Flue})
	}
}

// probeRoom takes the air in the room, at 18 to 24 degC, where the unit draws
// it from outdoors.
func (s *spoiler) probeRoom(e *Entry) {
	if e.Unit.runOn(e.Visit.Day).AirFrom == "room" {
		return
	}
	roomC := 18 + math.Floor(7*s.draw(kindShape, uint64(e.Unit.index), uint64(e.Visit.number), 10))
	for i := range e.Values {
		x := &e.Values[i]
		was := x.Air
		x.Air = roomC
		if e.Office() == LongOffice {
			x.Air = math.Round(roomC*1.8 + 32)
		}
		s.plant(e, i, Fault{Kind: FaultRoomProbe, True: was, Written: x.Air})
	}
}

// readEarly reads the first fire a minute after the start: the flue is cold,
// and CO2 stands 0.3 to 0.8 points lower than it will.
func (s *spoiler) readEarly(e *Entry) {
	fuel := fuelNamed(e.Unit.FuelOn(e.Visit.Day))
	less := 0.3 + 0.5*s.draw(kindShape, uint64(e.Unit.index), uint64(e.Visit.number), 11)
	for i := range e.Values {
		x := &e.Values[i]
		if x.Fire != first || x.Condition != judge.AsFound {
			continue
		}
		was := x.gas()
		if !math.IsNaN(x.CO2) {
			x.CO2 = s.shown(x.CO2 - less)
		}
		if !math.IsNaN(x.O2) {
			x.O2 = s.shown(x.O2 + less/fuel.CO2PerO2())
		}
		cold := func(c float64) float64 { return math.Round(15 + 0.3*(c-15)) }
		if e.Office() == LongOffice {
			x.Flue, x.Minutes = math.Round(cold((x.Flue-32)/1.8)*1.8+32), 1
		} else {
			x.Flue = cold(x.Flue)
		}
		s.plant(e, i, Fault{Kind: FaultEarly, True: was, Written: x.gas()})
	}
}
