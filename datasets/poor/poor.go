// Package poor takes records away from the demo's fleet: variants with ever fewer
// units, years, columns and kinds of rows, as fleets whose offices write down less
// have them. What is taken is taken from histories in memory, or from the exports
// that the fleet was written to, where the columns are in the files and no layout
// reads them. It is for tests only.
package poor

import (
	"math"
	"slices"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Lack is something that nobody wrote down.
type Lack int

// Lacks.
const (
	Air          Lack = iota // temperature of the combustion air
	Analyzers                // analyzers, and their calibrations
	OneAnalyzer              // every reading names the same analyzer
	CO                       // carbon monoxide
	Flags                    // whether a burner was adjusted
	Technicians              // technicians, and the analyzers that visits name
	Installed                // install days
	Control                  // burner controls
	VentLengths              // lengths of vents
	CO2Decimals              // CO2 in whole percents
	LeftReadings             // readings as left, factory tests among them
	AsFounds                 // readings as found
	LowFire                  // readings at low fire
	Targets                  // targets
)

// Variant is the demo's fleet with so many units and years, and what it lacks. Says
// is part of a sentence that its list says at the head.
type Variant struct {
	Name         string
	Units, Years int
	Lacks        []Lack
	Says         string
}

// All lists the variants.
func All() []Variant {
	v := func(name string, units, years int, says string, lacks ...Lack) Variant {
		return Variant{name, units, years, lacks, says}
	}
	const (
		unmeasured = "Drift could not be measured"
		measured   = "Drift was measured on"
		noAir      = "No air temperature"
		noFlags    = "whether a burner was adjusted"
		noLeft     = "No as-left reading"
		noFound    = "No as-found reading"
		noControl  = "No burner control"
		noInstall  = "No install day"
		noLow      = "No reading at low fire"
		noVents    = "vent's length is not on record"
		noCO       = "No CO is recorded"
		oneTool    = "one analyzer"
	)
	everything := []Lack{Air, Analyzers, Technicians, Flags, CO, Installed, Control, VentLengths}
	return []Variant{
		v("12 units of 2 years", 12, 2, unmeasured),
		v("12 units of 6 years", 12, 6, "Drift"),
		v("40 units of 2 years", 40, 2, "Drift"),
		v("40 units of 3 years", 40, 3, "Drift"),
		v("120 units of 2 years", 120, 2, measured),
		v("no air temperature", 120, 12, noAir, Air),
		v("no analyzer", 120, 12, "No reading names an analyzer", Analyzers),
		v("one analyzer", 120, 12, oneTool, OneAnalyzer),
		v("no adjusted flag", 120, 12, noFlags, Flags),
		v("no install day", 120, 12, noInstall, Installed),
		v("no burner control", 120, 12, noControl, Control),
		v("no vent lengths", 120, 12, noVents, VentLengths),
		v("no CO", 120, 12, noCO, CO),
		v("as found only", 120, 12, noLeft, LeftReadings),
		v("high fire only", 120, 12, noLow, LowFire),
		v("no targets", 120, 12, "No chance of being out of limits is given", Targets),
		v("no air temperature, no flag, no analyzer", 120, 12, noAir, Air, Flags, Analyzers),
		v("no install day, no control, no vents", 120, 12, noInstall, Installed, Control, VentLengths),
		v("40 units of 3 years, no air temperature, no flag", 40, 3, noFlags, Air, Flags),
		v("12 units of 3 years, as found only", 12, 3, unmeasured, LeftReadings),
		v("as left only", 120, 12, noFound, AsFounds),
		v("40 units of 3 years, as left only", 40, 3, noFound, AsFounds),
		v("CO2 in whole percents", 120, 12, "whole percents", CO2Decimals),
		v("40 units of 6 years", 40, 6, "Drift"),
		v("120 units of 3 years", 120, 3, measured),
		v("120 units of 6 years", 120, 6, measured),
		v("12 units of 3 years, no air temperature", 12, 3, noAir, Air),
		v("40 units of 2 years, high fire only", 40, 2, noLow, LowFire),
		v("40 units of 3 years, no install day, no control", 40, 3, noControl, Installed, Control),
		v("40 units of 6 years, one analyzer", 40, 6, oneTool, OneAnalyzer),
		v("40 units of 6 years, as found only", 40, 6, noLeft, LeftReadings),
		v("no analyzer, no technician", 120, 12, "No reading names an analyzer or a technician", Analyzers, Technicians),
		v("no flag, no CO", 120, 12, noCO, Flags, CO),
		v("high fire only, no flag", 120, 12, noFlags, LowFire, Flags),
		v("as found only, no air temperature", 120, 12, noLeft, LeftReadings, Air),
		v("120 units of 3 years, no vents, no air temperature", 120, 3, noAir, VentLengths, Air),
		v("everything but serial, day, CO2, fire and condition", 120, 12, noAir, everything...),
	}
}

// Take takes what is lacking from a history. Its readings and visits are copied
// first.
func (v *Variant) Take(h *judge.History) {
	h.Readings, h.Visits, h.VentRuns = slices.Clone(h.Readings), slices.Clone(h.Visits), slices.Clone(h.VentRuns)
	for _, l := range v.Lacks {
		l.take(h)
	}
}

func (l Lack) take(h *judge.History) {
	nan := math.NaN()
	switch l {
	case Air:
		each(h, func(r *judge.Reading) { r.AirTempC = nan })
	case Analyzers:
		each(h, func(r *judge.Reading) { r.Analyzer, r.Calibrated = "", day.None })
	case OneAnalyzer:
		each(h, func(r *judge.Reading) { r.Analyzer = "A-1" })
	case CO:
		each(h, func(r *judge.Reading) { r.COPPM, r.COLimit = nan, "" })
	case Flags:
		for i := range h.Visits {
			h.Visits[i].AdjustedHigh, h.Visits[i].AdjustedLow = "", ""
		}
	case Technicians:
		for i := range h.Visits {
			h.Visits[i].Technician, h.Visits[i].Analyzer = "", ""
		}
	case Installed:
		h.Unit.Installed = day.None
	case Control:
		h.Unit.Control = judge.ControlUnknown
	case VentLengths:
		for i := range h.VentRuns {
			h.VentRuns[i].LengthM = nan
		}
	case CO2Decimals:
		each(h, func(r *judge.Reading) { r.CO2Percent = math.Round(r.CO2Percent) })
	case LeftReadings:
		only(h, func(r *judge.Reading) bool { return r.Condition == judge.AsFound })
	case AsFounds:
		only(h, func(r *judge.Reading) bool { return r.Condition == judge.AsLeft })
	case LowFire:
		only(h, func(r *judge.Reading) bool { return r.Fire != judge.Low })
	case Targets:
		h.Targets = nil
	}
}

// each changes every reading.
func each(h *judge.History, change func(*judge.Reading)) {
	for i := range h.Readings {
		change(&h.Readings[i])
	}
}

// only keeps some readings.
func only(h *judge.History, keep func(*judge.Reading) bool) {
	h.Readings = slices.DeleteFunc(h.Readings, func(r judge.Reading) bool { return !keep(&r) })
}
