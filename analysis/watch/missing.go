package watch

import (
	"math"

	"fluedrift/model/judge"
)

// fewReadings is how many readings from the field it takes to say that a column is
// missing for all, and not for want of readings.
const fewReadings = 10

// Missing names what no record of the fleet holds, one sentence each: what a list
// lacks for all units alike and no mark of a unit tells.
func Missing(histories []*judge.History, asOf int32) (sentences []string) {
	var seen recorded
	for _, h := range histories {
		seen.take(h, asOf)
	}
	if seen.readings < fewReadings {
		return nil
	}
	for _, m := range []struct {
		missing bool
		words   string
	}{
		{seen.airTemps == 0, "No air temperature is recorded: what the season does to CO2 is assumed from the day of the year."},
		{seen.whole == seen.co2 && seen.co2 >= fewReadings, "CO2 is recorded in whole percents: nothing finer than a point can be told."},
		{seen.co2 == 0 && seen.wholeO2 == seen.o2, "O2 is recorded in whole percents, and no CO2: nothing finer than about half a point of CO2 can be told."},
		{seen.flags == 0, "No record says whether a burner was adjusted: that is inferred from what was found and left."},
		{len(seen.analyzers) == 1 && seen.unnamed == 0, "All readings name one analyzer: if it reads wrong, nothing in the records can tell."},
		{len(seen.analyzers) == 0 && seen.technicians == 0, "No reading names an analyzer or a technician: an analyzer that reads wrong cannot be told from a burner."},
		{len(seen.analyzers) == 0 && seen.technicians > 0, "No reading names an analyzer: technicians stand for them, as if each had always used the same one."},
		{seen.found == 0, "No as-found reading is recorded: how burners drift between visits cannot be measured."},
		{seen.left == 0, "No as-left reading is recorded: what burners were set to is not known."},
		{seen.low == 0 && seen.lowTargets > 0, "No reading at low fire is recorded: nothing is said of it."},
		{seen.installed == 0, "No install day is recorded: the age of the boilers is not known."},
		{seen.controls == 0, "No burner control is recorded: all burners are taken to answer to air temperature alike."},
		{seen.targets == 0, "No target is declared for any unit: only CO is judged."},
		{seen.co == 0, "No CO is recorded in any reading."},
	} {
		if m.missing {
			sentences = append(sentences, m.words)
		}
	}
	return sentences
}

// recorded counts what the records of a fleet hold.
type recorded struct {
	readings, airTemps, co2, whole, o2, wholeO2, co int
	flags, unnamed, technicians, found, left        int
	installed, controls, targets, lowTargets, low   int
	analyzers                                       map[string]bool
}

func (s *recorded) take(h *judge.History, asOf int32) {
	if h.Unit.Installed != judge.NoDay {
		s.installed++
	}
	if h.Unit.Control != "" {
		s.controls++
	}
	s.targets += len(h.Targets)
	for _, t := range h.Targets {
		if t.Fire == judge.Low {
			s.lowTargets++
		}
	}
	for i := range h.Visits {
		v := &h.Visits[i]
		if v.AdjustedHigh == judge.Yes || v.AdjustedHigh == judge.No || v.AdjustedLow == judge.Yes || v.AdjustedLow == judge.No {
			s.flags++
		}
		if v.Technician != "" {
			s.technicians++
		}
	}
	fieldReadings(h, asOf, s.reading)
}

func (s *recorded) reading(r *judge.Reading) {
	count := func(n *int, holds bool) {
		if holds {
			*n++
		}
	}
	isWhole := func(v float64) bool { return v == math.Trunc(v) }
	s.readings++
	count(&s.airTemps, !math.IsNaN(r.AirTempC))
	count(&s.co2, !math.IsNaN(r.CO2Percent))
	count(&s.whole, isWhole(r.CO2Percent))
	count(&s.o2, !math.IsNaN(r.O2Percent))
	count(&s.wholeO2, isWhole(r.O2Percent))
	count(&s.co, r.COLimit != "" || !math.IsNaN(r.COPPM))
	count(&s.found, r.Condition == judge.AsFound)
	count(&s.left, r.Condition == judge.AsLeft)
	count(&s.low, r.Fire == judge.Low)
	count(&s.unnamed, r.Analyzer == "")
	if r.Analyzer == "" {
		return
	}
	if s.analyzers == nil {
		s.analyzers = map[string]bool{}
	}
	s.analyzers[r.Analyzer] = true
}
