package watch

import (
	"math"
	"slices"

	"fluedrift/model/judge"
)

// Sheet is what goes to a unit on paper: what it should be set to and by whom
// that is said, how it was last found and left, and what is known of its gas
// and vent.
type Sheet struct {
	About
	Line    *Line
	Chart   Chart
	NotRead string // exports that were not read and might have what is not on record
	Fires   []SheetFire
	Parts   []*judge.Visit // on which parts were recorded since the last routine visit
	Carry   []Fact         // what travels along from the register
}

// SheetFire is one fire on the sheet.
type SheetFire struct {
	Fire     *FireLine
	Found    []SheetReading // newest as found; several where nothing tells which was first
	Left     *SheetReading  // newest as left; nil without one
	Settings *judge.Reading // newest with pressures, fan speed, flame signal or draft; nil without one
}

// SheetReading is a reading with its CO.
type SheetReading struct {
	*judge.Reading
	CO CO
}

// Fact is a name and what is known under it.
type Fact struct{ Name, Words string }

// SheetOf puts a unit's sheet together. Carry is what travels along from the
// register, in the order wanted.
func SheetOf(h *judge.History, l *Line, r Config, carry []Fact) Sheet {
	s := Sheet{About: aboutOf(h, r.AsOf), Line: l, Chart: ChartOf(h, l, r), NotRead: r.NotRead, Carry: carry}
	for i := range l.Fires {
		s.Fires = append(s.Fires, sheetFire(h, &l.Fires[i], r))
	}
	for i := range h.Visits {
		if v := &h.Visits[i]; v.Parts != "" && v.Day >= l.LastRoutine && v.Day <= r.AsOf {
			s.Parts = append(s.Parts, v)
		}
	}
	return s
}

func sheetFire(h *judge.History, f *FireLine, r Config) SheetFire {
	out := SheetFire{Fire: f}
	fieldReadings(h, r.AsOf, func(x *judge.Reading) {
		if !sameFire(x.Fire, x.RatePercent, f.Fire, f.RatePercent) {
			return
		}
		read := SheetReading{x, coOf(x, r)}
		switch {
		case !hasGas(x) || h.Elsewhere(x.Day, r.AsOf):
		case x.Condition == judge.AsFound:
			if tied := h.Tied(x); tied == nil || tied[0] == x {
				out.Found = nil
			}
			out.Found = append(out.Found, read)
		case x.Condition == judge.AsLeft:
			out.Left = &read
		}
		if hasSettings(x) {
			out.Settings = x
		}
	})
	return out
}

// hasSettings reports whether gas pressures, fan speed, flame signal or draft were
// recorded.
func hasSettings(x *judge.Reading) bool {
	all := []float64{x.SupplyPa, x.ManifoldPa, x.FanSpeedRPM, x.FlameSignalUA, x.DraftPa}
	return slices.ContainsFunc(all, func(v float64) bool { return !math.IsNaN(v) })
}
