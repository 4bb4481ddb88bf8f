package demo

import (
	"math"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// send lets a technician do a visit: find, decide, set, write.
func (s *simulation) send(e event) {
	t, u := s.t, s.u
	v := s.arrive(e)
	found := make([]reading, 0, 2)
	worst := 0.0
	for fire, p := range s.paths {
		rd := s.show(v, fire, p.CO2(v.Day, v.airC)-t.world.AsFoundLow)
		rd.condition = judge.AsFound
		found = append(found, rd)
		worst = math.Max(worst, math.Abs(rd.co2-s.target(fire, v.Day)))
	}
	luck := s.r.Float64()
	switch {
	case e.forced:
		v.adjusted = true
	case worst > v.technician.threshold+1e-9:
		v.adjusted = luck < t.world.AdjustShare
	default:
		v.adjusted = luck < 0.08
	}
	missed := s.r.Float64() < t.world.AsFoundMissing || v.technician.noAsFound
	if v.technician.selective {
		missed = worst <= 0.2
	}
	if worst > 0.3 && t.draw(kindFarMissing, uint64(u.index), uint64(v.number)) < t.world.FarMissing {
		missed = true
	}
	if e.reason == judge.FuelConversion {
		missed = true // what was found was the other fuel's
	}
	if !missed {
		v.readings = append(v.readings, found...)
	}
	s.leave(v, found, missed)
	s.shutOut(v)
	u.visits = append(u.visits, v)
}

// arrive fills in day, people, instrument and weather.
func (s *simulation) arrive(e event) *Visit {
	t, u := s.t, s.u
	v := &Visit{
		number: len(u.visits) + 1, Day: e.day, Reason: e.reason, Parts: e.parts,
		Minute: int16(450 + 5*s.r.IntN(100)),
	}
	area, number := u.site.Area, u.index%techniciansPerArea
	who, other := s.r.Float64(), s.r.IntN(techniciansPerArea)
	switch {
	case who < 0.06: // the neighbours help out
		area, number = 3*(area/3)+(area+1)%3, other
	case who < 0.4:
		number = other
	}
	if t.draw(kindContractor, uint64(u.index), uint64(v.number)) < t.world.OneContractor {
		area, number = 0, 0
	}
	v.technician = t.technicianOf(area, number)
	v.analyzer = t.analyzerOf(v.technician, v.Day)
	v.OutdoorC, v.airC = t.outdoorC(u.SiteOn(v.Day), v.Day), t.AirC(u.index, v.Day)
	v.setting = u.FuelOn(v.Day)
	wrong := t.draw(kindSetting, uint64(u.index), uint64(v.number)) < t.world.Faults.WrongSetting
	if wrong && u.office() == LongOffice && !u.WrongLabel && !u.Line.NoPropane {
		v.setting = otherFuel(v.setting)
		t.Settings = append(t.Settings, WrongSetting{Unit: u.index, Serial: u.Serial, Day: v.Day, Fuel: v.setting})
	}
	return v
}

// biasOf returns what an analyzer adds to the true CO2 of a fuel.
func (s *simulation) biasOf(v *Visit) float64 {
	b := v.analyzer.BiasOn(v.Day)
	if s.t.world.Cell { // the same error of O2 is more CO2 where CO2max is higher
		b *= fuelNamed(s.u.FuelOn(v.Day)).CO2MaxPercent / naturalGas.CO2MaxPercent
	}
	return b
}

// noise draws the error of one reading of the visit's analyzer, CO2 points.
func (s *simulation) noise(v *Visit, fire int) float64 {
	sd := s.t.world.NoiseSD * v.analyzer.noise
	if fire == second && s.t.world.LowNoise > 0 {
		sd *= s.t.world.LowNoise
	}
	return sd * s.r.NormFloat64()
}

// show returns what the analyzer displays when the true CO2 is the given one.
func (s *simulation) show(v *Visit, fire int, co2 float64) reading {
	burnt := fuelNamed(s.u.FuelOn(v.Day))
	seen := clampCO2(co2+s.biasOf(v)+s.noise(v, fire), burnt.CO2MaxPercent)
	o2 := burnt.O2FromCO2(seen)
	rd := reading{fire: fire, co2: s.displayCO2(fuelNamed(v.setting).CO2FromO2(o2)), o2: s.display(o2)}
	s.senses(v, &rd, co2)
	return rd
}

// setFire sets a fire so that the analyzer shows the wanted CO2, and returns
// the reading as left. What is truly set follows from bias and noise.
func (s *simulation) setFire(v *Visit, fire int, want float64) {
	burnt := fuelNamed(s.u.FuelOn(v.Day))
	o2 := fuelNamed(v.setting).O2FromCO2(want)
	set := burnt.CO2FromO2(o2) - s.biasOf(v) - s.noise(v, fire)
	set = clampCO2(set, burnt.CO2MaxPercent)
	s.paths[fire].set(v.Day, v.airC, set)
	rd := reading{fire: fire, condition: judge.AsLeft, co2: s.displayCO2(want), o2: s.display(o2)}
	s.senses(v, &rd, set)
	v.readings = append(v.readings, rd)
}

// display rounds to what an analyzer shows.
func (s *simulation) display(percent float64) float64 {
	if s.t.world.Display {
		return round(percent, 1)
	}
	return round(percent, 4)
}

// displayCO2 is display for CO2, which some analyzers show in coarser steps.
func (s *simulation) displayCO2(percent float64) float64 {
	if step := s.t.world.DisplayStep; step > 0 {
		return math.Round(percent/step) * step
	}
	return s.display(percent)
}

// senses adds CO and flue temperature to a reading.
func (s *simulation) senses(v *Visit, rd *reading, co2 float64) {
	u := s.u
	rich := co2 - s.target(rd.fire, v.Day)
	co := u.coBase[rd.fire] * math.Exp(0.15*s.r.NormFloat64()+2.5*math.Min(math.Max(0, rich-0.6), 2))
	if u.coFrom != day.None && v.Day >= u.coFrom {
		co *= u.coTimes
	}
	rd.coPPM = math.Min(math.Max(co, 1), 4000)
	rd.flueC = u.flueC[rd.fire] + 4*rich + 0.2*(v.airC-10) + 1.5*s.r.NormFloat64()
}

// leave sets the burner where that was decided, and writes as left.
func (s *simulation) leave(v *Visit, found []reading, missed bool) {
	w, t := &s.t.world, v.technician
	written, idle := s.r.Float64(), s.r.Float64()
	if !v.adjusted {
		if (missed && idle < 0.8) || (!missed && t.copies) {
			for _, rd := range found {
				rd.condition, rd.copied = judge.AsLeft, !missed
				v.readings = append(v.readings, rd)
			}
		}
		return
	}
	n := len(v.readings)
	outside := s.r.Float64() < w.Faults.LeftOutside
	for fire := range s.paths {
		want := s.target(fire, v.Day) + t.habit + w.SetSD*s.r.NormFloat64()
		side := float64(1 - 2*s.r.IntN(2))
		if outside && fire == first {
			b := s.u.Line.BandCO2(s.u.FuelOn(v.Day), s.u.Line.Set[fire])
			want = s.target(fire, v.Day) + side*(b.Rich+0.15+0.35*written)
			v.outside = true
		}
		s.setFire(v, fire, want)
	}
	if written < w.AsLeftMissing && !missed { // some trace of the setting always stays
		v.readings = v.readings[:n]
	}
}

// shutOut drops high fire where the plant could not take the heat.
func (s *simulation) shutOut(v *Visit) {
	luck := s.r.Float64()
	if !s.t.world.Habits || luck > 0.025 || s.u.Line.Fires() == 1 || v.adjusted {
		return
	}
	v.NotReached = "high: no load"
	kept := v.readings[:0]
	for _, rd := range v.readings {
		if rd.fire != first {
			kept = append(kept, rd)
		}
	}
	v.readings = kept
}
