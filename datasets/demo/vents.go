package demo

import (
	"fmt"
	"math"
	"math/rand/v2"

	"fluedrift/model/combustion"
	"fluedrift/model/vent"
)

// registerDays are the days on which the unit register was exported.
func (f *Fleet) registerDays() [2]int32 { return [2]int32{f.opt.AsOf - 1022, f.opt.AsOf - 41} }

// makeVents gives every unit its vent runs and what changed between the two
// register exports: vents re-routed, fuels converted, units moved.
func (f *Fleet) makeVents() {
	for _, u := range f.units {
		r := f.stream(kindRegister, uint64(u.index))
		sharer := u.sharesVentWith()
		first := f.makeRun(u, r)
		if sharer != nil {
			first = sharer.runs[0]
		}
		u.runs = []run{first}
		f.change(u, r, sharer != nil || (u.site.plant != "" && u.site.common != "sequence"))
		for i := range u.runs {
			f.recordRun(u, &u.runs[i], i)
		}
		f.labelWrong(u)
	}
}

// sharesVentWith returns the first unit of a plant with a common vent.
func (u *unit) sharesVentWith() *unit {
	if u.site.plant == "" || u.site.common != "vent" || u.site.units[0] == u {
		return nil
	}
	return u.site.units[0]
}

// makeRun invents a vent run; lengths are whole feet, as people measure them.
func (f *Fleet) makeRun(u *unit, r *rand.Rand) run {
	share := 0.12 + 0.75*r.Float64()*r.Float64() + 0.12*r.Float64()
	v := run{from: noDay, recordedFrom: noDay}
	v.lengthFt = math.Max(3, math.Round(share*u.line.longestFt))
	v.riseFt = math.Round(v.lengthFt * r.Float64() * 0.6)
	v.elbows90, v.elbows45 = 1+r.IntN(4), r.IntN(3)
	v.diameterIn = diameterFor(u.inputMBH)
	v.terminal = pick(r.Float64(), []string{"roof", "wall", "chimney"}, []float64{0.5, 0.4, 0.1})
	v.material = pick(r.Float64(), []string{"stainless", "polypropylene", "aluminium"}, []float64{0.6, 0.3, 0.1})
	v.airFrom = "own run"
	if air := r.Float64(); f.world.RoomAir {
		v.airFrom = pick(air, []string{"own run", "same run", "room"}, []float64{0.6, 0.15, 0.25})
	}
	if v.airFrom == "own run" {
		v.intakeFt, v.intakeIn, v.intake90, v.intake45 = math.Max(3, math.Round(0.8*v.lengthFt)), v.diameterIn, 1+r.IntN(3), r.IntN(2)
	}
	return v
}

// diameterFor returns a vent diameter of a usual size, in.
func diameterFor(inputMBH int) float64 {
	for _, step := range []struct {
		upTo int
		in   float64
	}{{130, 3}, {300, 4}, {500, 6}, {800, 8}, {1300, 10}} {
		if inputMBH <= step.upTo {
			return step.in
		}
	}
	return 12
}

// change re-routes, converts or moves a unit between the register exports.
func (f *Fleet) change(u *unit, r *rand.Rand, fixed bool) {
	days := f.registerDays()
	reroute, convert, move := r.Float64(), r.Float64(), r.Float64()
	on := days[0] + 60 + int32(r.IntN(int(days[1]-days[0])-120))
	said := r.Float64() < 0.6
	next := f.makeRun(u, r)
	w := &f.world
	if u.installed > days[0]-200 || u.state == "removed" || fixed {
		return
	}
	next.from, next.recordedFrom = on, noDay
	if said {
		next.recordedFrom = on
	}
	switch {
	case move < w.MovedShare:
		u.movedTo, u.movedOn = f.neighbour(u.site), on
		u.runs = append(u.runs, next)
	case reroute < w.ReroutedShare:
		next.airFrom, next.intakeFt, next.intakeIn, next.intake90, next.intake45 = u.runs[0].airFrom, u.runs[0].intakeFt, u.runs[0].intakeIn, u.runs[0].intake90, u.runs[0].intake45
		u.runs = append(u.runs, next)
	case convert < w.ConvertedShare && !u.line.noPropane && u.site.plant == "":
		p := fuelPeriod{from: on, recordedFrom: noDay, fuel: otherFuel(u.fuels[0].fuel)}
		if said {
			p.recordedFrom = on
		}
		u.fuels = append(u.fuels, p)
	}
}

// neighbour returns another site of the same area: the next earlier one, so
// that a bigger fleet moves nobody elsewhere.
func (f *Fleet) neighbour(s *site) *site {
	for i := s.index - 3; i >= 0; i -= 3 {
		if f.sites[i].area == s.area && f.sites[i].plant == "" {
			return f.sites[i]
		}
	}
	return s
}

// recordRun writes a run's length as the register has it and its covariate.
func (f *Fleet) recordRun(u *unit, v *run, n int) {
	w := &f.world
	v.recordedFt = v.lengthFt
	key := uint64(u.index)
	if s := u.sharesVentWith(); s != nil {
		key = uint64(s.index)
	}
	if w.VentErrorSD > 0 {
		v.recordedFt = math.Max(1, math.Round(v.lengthFt*math.Exp(w.VentErrorSD*f.normal(kindVentError, key, uint64(n)))))
	}
	if f.draw(kindVentError, key, uint64(n), 9) < w.VentTyped {
		v.recordedFt = TypedVentFt
	}
	if f.draw(kindVentLength, key) < w.VentLengthMissing {
		v.recordedFt = math.NaN()
	}
	v.z = f.covariate(u, v)
}

// covariate is the vent covariate of a unit on a run.
func (f *Fleet) covariate(u *unit, v *run) float64 {
	if f.world.VentByFan {
		return lossPa(u, v) / u.line.fanPa
	}
	return (v.lengthFt*metresPerFoot + Elbow90M*float64(v.elbows90) + Elbow45M*float64(v.elbows45)) / u.line.longestM()
}

// factoryZ is the covariate of the short run of the factory: 5 ft, one elbow.
func (f *Fleet) factoryZ(u *unit) float64 {
	return f.covariate(u, &run{lengthFt: factoryRunFt, diameterIn: u.runs[0].diameterIn, elbows90: 1, terminal: "wall", material: "stainless", airFrom: "room"})
}

const factoryRunFt = 5

// labelWrong registers a unit with the other fuel. Only where CO2 itself is
// recorded, because O2 alone cannot show the label to be wrong.
func (f *Fleet) labelWrong(u *unit) {
	u.wrongLabel = f.draw(kindLabel, uint64(u.index)) < f.world.Faults.WrongLabel &&
		!u.line.noPropane && len(u.fuels) == 1 && u.lineText != "" && u.office() != bookOffice && u.site.plant == ""
}

// Temperatures of a loss: of the air outdoors, and what the flue gas loses on its
// way (common practice, no source).
const (
	lossOutdoorC = 10
	lossCoolK    = 5
)

// lossPa is the loss of a vent and of an intake of its own at full rate and
// target, Pa: the middle of what elbows and terminals of all kinds take.
func lossPa(u *unit, v *run) float64 {
	gas, fuel := combustion.PipelineGas, u.fuels[len(u.fuels)-1].fuel
	if fuel == propane.Name {
		gas = combustion.Propane
	}
	flue, air, err := vent.Firing{Gas: gas, Air: combustion.AirO2Field, InputKW: float64(u.inputMBH) * kWPerMBH, CO2Percent: u.line.targetCO2(fuel, first, u.installed),
		FlueTempC: u.flueC[first] - lossCoolK, AirTempC: lossOutdoorC, PressurePa: vent.PressurePa(u.site.altitudeM)}.Streams()
	if err != nil {
		panic(fmt.Sprintf("unit %s: %v", u.serial, err)) // targets of the invented lines lie below the fuels' CO2max
	}
	section := func(lengthFt, in float64, elbows90, elbows45 int) []vent.Section {
		return []vent.Section{{DiameterM: in * metresPerInch, LengthM: lengthFt * metresPerFoot, Elbows90: elbows90, Elbows45: elbows45, RoughnessM: vent.Roughness(v.material)}}
	}
	out := vent.Run{Terminal: v.terminal, Sections: section(v.lengthFt, v.diameterIn, v.elbows90, v.elbows45)}
	loss := out.VentLoss(flue).TotalPa.Middle()
	if v.airFrom == "own run" {
		in := vent.Run{Sections: section(v.intakeFt, v.intakeIn, v.intake90, v.intake45)}
		loss += in.AirLoss(air).TotalPa.Middle()
	}
	return loss
}
