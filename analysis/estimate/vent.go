package estimate

import (
	"math"
	"slices"

	"fluedrift/model/combustion"
	"fluedrift/model/judge"
	"fluedrift/model/vent"
)

// VentChoice is the one measure a fleet's vents are compared by, and how many
// units have what it takes.
type VentChoice struct {
	Measure      vent.Measure
	Units        int // looked at: every unit with a target
	OfFan, OfRun int // with loss and fan pressure; with length and longest run

	measurer ventMeasurer
}

// ventMeasurer reckons what is known of a run.
type ventMeasurer struct {
	gases              map[string]combustion.Gas
	judge              *judge.Config
	elbow90M, elbow45M float64
}

// lengthOf gives the length to reckon with from a recorded one and the longest.
type lengthOf func(lengthM, longestM float64) float64

// asRecorded takes a length as it is.
func asRecorded(lengthM, _ float64) float64 { return lengthM }

// Temperatures taken where none is recorded: 10 degC outdoors and a flue that
// loses 5 K on its way; 60 degC at a burner under ratio control, 130 degC at any
// other (common practice, no source). The loss goes with the absolute
// temperature squared at most: 20 K are 13 %.
const (
	ventOutdoorC, ventCoolK = 10, 5
	ventRatioC, ventOtherC  = 60, 130
)

// ChooseVents decides by what the vents of a fleet are compared: the loss of
// vent and intake at full rate over the pressure its fan has where at least half
// of the units have both, else the used length over the longest run. The length
// to reckon with comes from a recorded one by length (nil: as recorded).
func ChooseVents(histories []*judge.History, r *Config, length func(lengthM, longestM float64) float64) (VentChoice, error) {
	gases := r.Judge.Gases
	if gases == nil {
		var err error
		if gases, err = combustion.Gases(nil); err != nil {
			return VentChoice{}, err
		}
	}
	if length == nil {
		length = asRecorded
	}
	c := VentChoice{measurer: ventMeasurer{gases: gases, judge: &r.Judge, elbow90M: r.Elbow90M, elbow45M: r.Elbow45M}}
	var fleet []vent.Candidate
	for _, h := range histories {
		if len(h.Targets) == 0 {
			continue
		}
		one := c.measurer.candidate(h, runNow(h), length)
		fleet = append(fleet, one)
		c.Units++
		if !math.IsNaN(one.OfFan()) {
			c.OfFan++
		}
		if !math.IsNaN(one.OfRun()) {
			c.OfRun++
		}
	}
	c.Measure, _ = vent.Choose(fleet)
	return c, nil
}

// Of returns the chosen measure of one run of a unit with its length as recorded;
// NaN where it is not known, whatever else is.
func (c *VentChoice) Of(h *judge.History, run *judge.VentRun) float64 {
	return c.measure(h, run, asRecorded)
}

// measure is Of with the length to reckon with.
func (c *VentChoice) measure(h *judge.History, run *judge.VentRun, length lengthOf) float64 {
	m := &c.measurer
	if c.Measure == vent.NoMeasure || len(h.Targets) == 0 || run == nil || !run.Known {
		return math.NaN()
	}
	t := fullRateTarget(h)
	one := unmeasured(t)
	if c.Measure == vent.ShareOfRun {
		one.UsedM = m.usedM(run, t, length)
		return one.OfRun()
	}
	one.LossPa = m.lossPa(h, run, t, length)
	return one.OfFan()
}

// unmeasured is what a target says and a run has yet to.
func unmeasured(t *judge.Target) vent.Candidate {
	nan := math.NaN()
	return vent.Candidate{LossPa: vent.Range{Low: nan, High: nan}, FanPa: t.FanPa, UsedM: nan, LongestRunM: t.LongestRunM}
}

// candidate is what is known of a unit on a run.
func (m *ventMeasurer) candidate(h *judge.History, run *judge.VentRun, length lengthOf) vent.Candidate {
	if len(h.Targets) == 0 || run == nil || !run.Known {
		nan := math.NaN()
		return unmeasured(&judge.Target{FanPa: nan, LongestRunM: nan})
	}
	t := fullRateTarget(h)
	out := unmeasured(t)
	out.UsedM, out.LossPa = m.usedM(run, t, length), m.lossPa(h, run, t, length)
	return out
}

// usedM is the straight length plus the elbows' lengths; NaN where either is not
// known. A count of 45 degree elbows that is missing is none.
func (m *ventMeasurer) usedM(run *judge.VentRun, t *judge.Target, length lengthOf) float64 {
	if run.Elbows90 < 0 {
		return math.NaN()
	}
	return length(run.LengthM, t.LongestRunM) + m.elbow90M*float64(run.Elbows90) + m.elbow45M*float64(max(run.Elbows45, 0))
}

// fullRateTarget is the target of high fire or of the only one, else the first.
func fullRateTarget(h *judge.History) *judge.Target {
	i := slices.IndexFunc(h.Targets, func(t judge.FireTarget) bool { return t.Fire == judge.High || t.Fire == judge.Single })
	return &h.Targets[max(i, 0)].Target
}

// lossPa is the loss of vent and intake at full rate and target; NaN where a
// size, the input or the fuel is not known.
func (m *ventMeasurer) lossPa(h *judge.History, run *judge.VentRun, t *judge.Target, length lengthOf) vent.Range {
	nan := math.NaN()
	u := &h.Unit
	gas, known := m.gases[u.Fuel]
	if !known || !(u.InputKW > 0) {
		return vent.Range{Low: nan, High: nan}
	}
	altitudeM := h.AltitudeOn(run.From)
	if math.IsNaN(altitudeM) {
		altitudeM = 0
	}
	firing := vent.Firing{
		Gas: gas, Air: m.judge.Fuels[u.Fuel].Air, InputKW: u.InputKW, CO2Percent: m.judge.TargetCO2(t, u.Fuel),
		FlueTempC: flueTempC(h) - ventCoolK, AirTempC: ventOutdoorC, PressurePa: vent.PressurePa(altitudeM),
	}
	flue, air, err := firing.Streams()
	if err != nil {
		return vent.Range{Low: nan, High: nan}
	}
	out, in := ventRuns(run)
	out.Sections[0].LengthM = length(run.LengthM, t.LongestRunM)
	loss := out.VentLoss(flue).TotalPa
	if len(in.Sections) > 0 {
		loss = loss.Add(in.AirLoss(air).TotalPa)
	}
	return loss
}

// flueTempC is the middle of a unit's flue temperatures at full rate, else what
// its burner control implies.
func flueTempC(h *judge.History) float64 {
	var temps []float64
	for i := range h.Readings {
		x := &h.Readings[i]
		if (x.Fire == judge.High || x.Fire == judge.Single) && !math.IsNaN(x.FlueTempC) {
			temps = append(temps, x.FlueTempC)
		}
	}
	switch {
	case len(temps) > 0:
		return median(temps)
	case h.Unit.Control == judge.ControlRatio:
		return ventRatioC
	}
	return ventOtherC
}

// ventRuns maps a recorded vent run to the vent and the combustion-air run of
// package vent. The kind of elbows is not on record, so that their loss spans
// all kinds. Air from the room has no run; one around the vent is not reckoned
// and has none either. A count of 45 degree elbows that is missing beside one of
// 90 degrees is none.
func ventRuns(r *judge.VentRun) (out, in vent.Run) {
	rough := vent.Roughness(r.Material)
	elbows45 := r.Elbows45
	if r.Elbows90 >= 0 {
		elbows45 = max(elbows45, 0)
	}
	out = vent.Run{Terminal: r.Terminal, Sections: []vent.Section{
		{DiameterM: r.DiameterM, LengthM: r.LengthM, RiseM: r.RiseM, Elbows90: r.Elbows90, Elbows45: elbows45, RoughnessM: rough},
	}}
	if r.AirFrom == "own run" {
		intake45 := r.IntakeElbows45
		if r.IntakeElbows90 >= 0 {
			intake45 = max(intake45, 0)
		}
		in = vent.Run{Sections: []vent.Section{
			{DiameterM: r.IntakeDiameterM, LengthM: r.IntakeLengthM, Elbows90: r.IntakeElbows90, Elbows45: intake45, RoughnessM: rough},
		}}
	}
	return out, in
}
