package estimate

import (
	"fluedrift/analysis"
	"fluedrift/model/drift"
)

// notSeparable is the mark of a unit that a suspect instrument read last.
const notSeparable = "analyzer or burner: not separable"

// stepOf is the step of the instrument that made a reading, nil where it stands
// with the others. Of a step only a difference of two instruments is known; the
// units of the later one carry it until another has read them.
func (f *FireFit) stepOf(r *drift.Reading) *drift.BiasStep {
	for i := range f.Fit.Steps {
		s := &f.Fit.Steps[i]
		if s.Period >= 0 && s.Period == r.Period || s.Period < 0 && s.Analyzer == r.Analyzer {
			return s
		}
	}
	return nil
}

// suspect says whether the reading a unit's state is reckoned from was made with an
// instrument that stands far off, and where the unit stands all the same: the state
// of today with the reading as displayed, and with all of the step taken off it.
func (f *FireFit) suspect(o *drift.Outlook, now drift.Forecast, today drift.Point, outProbability float64) *analysis.Suspect {
	if o.LastVisit < 0 {
		return nil
	}
	r := &f.series[o.Unit].Visits[o.LastVisit].Readings[o.LastReading]
	s := f.stepOf(r)
	if s == nil {
		return nil
	}
	taken, _ := f.Fit.ReadsOn(r.Analyzer, r.Period, r.Level)
	side := func(shift float64) int {
		rich, lean, out := now.States.Moved(shift).Outside(today.Lo, today.Hi)
		switch {
		case !(out >= outProbability):
			return 0
		case lean > rich:
			return -1
		}
		return 1
	}
	shown, righted := side(taken), side(taken-s.Difference)
	out := &analysis.Suspect{Analyzer: f.Analyzers[s.Analyzer].Name, Points: s.Difference, Verdict: analysis.NotSeparable}
	switch {
	case shown == 0 && righted == 0:
		out.Verdict = analysis.InEitherWay
	case shown == righted:
		out.Verdict = analysis.OutEitherWay
	}
	return out
}

// StepAt returns the step of a calibration period, nil where it has none, and the
// analyzer whose step was measured against this period's readings.
func (f *FireFit) StepAt(period int) (step *drift.BiasStep, against string) {
	for i := range f.Fit.Steps {
		s := &f.Fit.Steps[i]
		if s.Period < 0 {
			continue
		}
		if s.Period == period {
			step = s
		}
		if s.Other == period {
			against = f.Analyzers[s.Analyzer].Name
		}
	}
	return step, against
}
