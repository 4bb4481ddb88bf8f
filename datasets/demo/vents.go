package demo

import (
	"fmt"
	"math"
	"math/rand/v2"

	"fluedrift/model/combustion"
	"fluedrift/model/day"
	"fluedrift/model/judge"
	"fluedrift/model/vent"
)

// makeVents gives every unit its vent runs and what changed between the two
// register exports: vents re-routed, fuels converted, units moved.
func (e *estate) makeVents() {
	for _, u := range e.Units {
		r := e.stream(kindRegister, uint64(u.index))
		sharer := u.sharesVentWith()
		first := e.makeRun(u, r)
		if sharer != nil {
			first = sharer.Runs[0]
		}
		u.Runs = []Run{first}
		e.change(u, r, sharer != nil || (u.site.Plant != "" && u.site.common != "sequence"))
		for i := range u.Runs {
			e.recordRun(u, &u.Runs[i], i)
		}
		e.labelWrong(u)
	}
}

// sharesVentWith returns the first unit of a plant with a common vent.
func (u *Unit) sharesVentWith() *Unit {
	if u.site.Plant == "" || u.site.common != "vent" || u.site.units[0] == u {
		return nil
	}
	return u.site.units[0]
}

// makeRun invents a vent run; lengths are whole feet, as people measure them.
func (e *estate) makeRun(u *Unit, r *rand.Rand) Run {
	share := 0.12 + 0.75*r.Float64()*r.Float64() + 0.12*r.Float64()
	v := Run{From: day.None, RecordedFrom: day.None}
	v.lengthFt = math.Max(3, math.Round(share*u.Line.longestFt))
	v.RiseFt = math.Round(v.lengthFt * r.Float64() * 0.6)
	v.Elbows90, v.Elbows45 = 1+r.IntN(4), r.IntN(3)
	v.DiameterIn = diameterFor(u.InputMBH)
	v.Terminal = pick(r.Float64(), []string{"roof", "wall", "chimney"}, []float64{0.5, 0.4, 0.1})
	v.Material = pick(r.Float64(), []string{"stainless", "polypropylene", "aluminium"}, []float64{0.6, 0.3, 0.1})
	v.AirFrom = "own run"
	if air := r.Float64(); e.world.RoomAir {
		v.AirFrom = pick(air, []string{"own run", "same run", "room"}, []float64{0.6, 0.15, 0.25})
	}
	if v.AirFrom == "own run" {
		v.IntakeFt, v.IntakeIn, v.Intake90, v.Intake45 = math.Max(3, math.Round(0.8*v.lengthFt)), v.DiameterIn, 1+r.IntN(3), r.IntN(2)
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
func (e *estate) change(u *Unit, r *rand.Rand, fixed bool) {
	days := e.RegisterDays()
	reroute, convert, move := r.Float64(), r.Float64(), r.Float64()
	on := days[0] + 60 + day.Day(r.IntN(int(days[1]-days[0])-120))
	said := r.Float64() < 0.6
	next := e.makeRun(u, r)
	w := &e.world
	if u.Installed > days[0]-200 || u.State == judge.Removed || fixed {
		return
	}
	next.From, next.RecordedFrom = on, day.None
	if said {
		next.RecordedFrom = on
	}
	switch {
	case move < w.MovedShare:
		u.movedTo, u.movedOn = e.neighbour(u.site), on
		u.Runs = append(u.Runs, next)
	case reroute < w.ReroutedShare:
		next.AirFrom, next.IntakeFt, next.IntakeIn, next.Intake90, next.Intake45 = u.Runs[0].AirFrom, u.Runs[0].IntakeFt,
			u.Runs[0].IntakeIn, u.Runs[0].Intake90, u.Runs[0].Intake45
		u.Runs = append(u.Runs, next)
	case convert < w.ConvertedShare && !u.Line.NoPropane && u.site.Plant == "":
		p := fuelPeriod{from: on, recordedFrom: day.None, fuel: otherFuel(u.fuels[0].fuel)}
		if said {
			p.recordedFrom = on
		}
		u.fuels = append(u.fuels, p)
	}
}

// neighbour returns another site of the same area: the next earlier one, so
// that a bigger fleet moves nobody elsewhere.
func (e *estate) neighbour(s *Site) *Site {
	for i := s.index - e.sites[0].index - 3; i >= 0; i -= 3 {
		if e.sites[i].Area == s.Area && e.sites[i].Plant == "" {
			return e.sites[i]
		}
	}
	return s
}

// recordRun writes a run's length as the register has it and its covariate.
func (e *estate) recordRun(u *Unit, v *Run, n int) {
	w := &e.world
	v.RecordedFt = v.lengthFt
	key := uint64(u.index)
	if s := u.sharesVentWith(); s != nil {
		key = uint64(s.index)
	}
	if w.VentErrorSD > 0 {
		v.RecordedFt = math.Max(1, math.Round(v.lengthFt*math.Exp(w.VentErrorSD*e.normal(kindVentError, key, uint64(n)))))
	}
	if e.draw(kindVentError, key, uint64(n), 9) < w.VentTyped {
		v.RecordedFt = TypedVentFt
	}
	if e.draw(kindVentLength, key) < w.VentLengthMissing {
		v.RecordedFt = math.NaN()
	}
	v.Z = e.covariate(u, v)
}

// covariate is the vent covariate of a unit on a run.
func (e *estate) covariate(u *Unit, v *Run) float64 {
	if e.world.VentByFan {
		return lossPa(u, v) / u.Line.fanPa
	}
	return (v.lengthFt*MetresPerFoot + Elbow90M*float64(v.Elbows90) + Elbow45M*float64(v.Elbows45)) / u.Line.LongestM()
}

// FactoryZ is the covariate of the short run of the factory: 5 ft, one elbow.
func (e *estate) FactoryZ(u *Unit) float64 {
	return e.covariate(u, &Run{
		lengthFt: factoryRunFt, DiameterIn: u.Runs[0].DiameterIn, Elbows90: 1, Terminal: "wall",
		Material: "stainless", AirFrom: "room",
	})
}

// VentCovariate returns the true vent covariate of a unit on a day, a plain
// ratio: straight length plus Elbow90M and Elbow45M for each elbow, over the
// longest run the model line allows; in a world VentByFan the loss of vent and
// intake at full rate over the pressure the line's fan has.
func (e *estate) VentCovariate(unit int, day day.Day) float64 { return e.unit(unit).runOn(day).Z }

const factoryRunFt = 5

// labelWrong registers a unit with the other fuel. Only where CO2 itself is
// recorded, because O2 alone cannot show the label to be wrong.
func (e *estate) labelWrong(u *Unit) {
	u.WrongLabel = e.draw(kindLabel, uint64(u.index)) < e.world.Faults.WrongLabel &&
		!u.Line.NoPropane && len(u.fuels) == 1 && u.LineText != "" && u.office() != BookOffice && u.site.Plant == ""
}

// Temperatures of a loss: of the air outdoors, and what the flue gas loses on its
// way (common practice, no source).
const (
	lossOutdoorC = 10
	lossCoolK    = 5
)

// lossPa is the loss of a vent and of an intake of its own at full rate and
// target, Pa: the middle of what elbows and terminals of all kinds take.
func lossPa(u *Unit, v *Run) float64 {
	gas, fuel := combustion.PipelineGas, u.fuels[len(u.fuels)-1].fuel
	if fuel == Propane.Name {
		gas = combustion.Propane
	}
	flue, air, err := vent.Firing{
		Gas: gas, Air: combustion.AirO2Field, InputKW: float64(u.InputMBH) * KWPerMBH,
		CO2Percent: u.Line.targetCO2(fuel, first, u.Installed),
		FlueTempC:  u.flueC[first] - lossCoolK, AirTempC: lossOutdoorC, PressurePa: vent.PressurePa(u.site.AltitudeM),
	}.Streams()
	if err != nil {
		panic(fmt.Sprintf("unit %s: %v", u.Serial, err)) // targets of the invented lines lie below the fuels' CO2max
	}
	section := func(lengthFt, in float64, elbows90, elbows45 int) []vent.Section {
		return []vent.Section{{
			DiameterM: in * MetresPerInch, LengthM: lengthFt * MetresPerFoot, Elbows90: elbows90, Elbows45: elbows45,
			RoughnessM: vent.Roughness(v.Material),
		}}
	}
	out := vent.Run{Terminal: v.Terminal, Sections: section(v.lengthFt, v.DiameterIn, v.Elbows90, v.Elbows45)}
	loss := out.VentLoss(flue).TotalPa.Middle()
	if v.AirFrom == "own run" {
		in := vent.Run{Sections: section(v.IntakeFt, v.IntakeIn, v.Intake90, v.Intake45)}
		loss += in.AirLoss(air).TotalPa.Middle()
	}
	return loss
}
