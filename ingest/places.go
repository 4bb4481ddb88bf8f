package ingest

import (
	"math"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
	"fluedrift/model/day"
)

func iso(d day.Day) string {
	if d == day.None || d == math.MaxInt32 {
		return "the last day"
	}
	return parse.ISO.Format(d)
}

// Places of the reading fields that rules name.
var (
	fieldSite       = placeOf("site")
	fieldVisitID    = placeOf("visit_id")
	fieldSerial     = placeOf("serial")
	fieldDay        = placeOf("day")
	fieldTime       = placeOf("time")
	fieldTechnician = placeOf("technician")
	fieldAnalyzer   = placeOf("analyzer")
	fieldAdjusted   = placeOf("adjusted")
	fieldFire       = placeOf("fire")
	fieldRate       = placeOf("rate")
	fieldCondition  = placeOf("condition")
	fieldCO2        = placeOf("co2")
	fieldO2         = placeOf("o2")
	fieldCO         = placeOf("co")
	fieldFlue       = placeOf("flue_temp")
	fieldAir        = placeOf("air_temp")
)

// measuredFields are the places of what is measured in a reading. A rate says at which
// fire something was to be read, not what was.
var measuredFields = func() (all []int) {
	for i, f := range layout.Fields(layout.Readings) {
		if f.Place == layout.OfReading && i != fieldRate && (f.Kind == layout.Measured || f.Kind == layout.CO) {
			all = append(all, i)
		}
	}
	return all
}()

// fieldOfUnit is the place of the serial in a line of a register.
var fieldOfUnit = placeIn(layout.Units, "serial")

func placeOf(name string) int { return placeIn(layout.Readings, name) }

func placeIn(record, name string) int {
	for i, f := range layout.Fields(record) {
		if f.Name == name {
			return i
		}
	}
	panic("no field " + name)
}
