package estimate

import (
	"context"
	"math"

	"fluedrift/analysis"
	"fluedrift/model/drift"
)

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

// suspect says whether the reading a unit's state is computed from was made with an
// instrument that stands far off, and where the unit stands all the same: the state of
// today with the reading as displayed, and with all of the step taken off it.
func (f *FireFit) suspect(o *drift.Predictive, now drift.Forecast, today drift.Point, outProbability float64) *analysis.Suspect {
	if o.LastVisit < 0 {
		return nil
	}
	r := &f.series[o.Unit].Visits[o.LastVisit].Readings[o.LastReading]
	s := f.stepOf(r)
	if s == nil {
		return nil
	}
	taken, _ := f.Fit.ReadsOn(r.Analyzer, r.Period, r.Level)
	outside := func(shift float64) (side int, p float64) {
		rich, lean, out := now.States.Moved(shift).Outside(today.Lo, today.Hi)
		if lean > rich {
			return -1, out
		}
		return 1, out
	}
	shownSide, shown := outside(taken)
	rightedSide, righted := outside(taken - s.Difference)
	out := &analysis.Suspect{Analyzer: f.Analyzers[s.Analyzer].Name, Points: s.Difference, Verdict: analysis.NotSeparable}
	switch {
	case math.Max(shown, righted) < outProbability:
		out.Verdict = analysis.InEitherWay
	case shownSide == rightedSide && math.Min(shown, righted) >= math.Max(sureOut, outProbability):
		out.Verdict = analysis.OutEitherWay
	}
	return out
}

// sureOut is the probability from which a unit counts as outside whichever of two
// instruments is right: less is worth another reading first.
const sureOut = 0.9

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

// shareSteps lets each fire's fit name what the other has named, where its own readings
// agree: one instrument read both fires.
func shareSteps(ctx context.Context, fits []*FireFit) error {
	for _, from := range fits {
		for _, s := range from.Fit.Steps {
			for _, to := range fits {
				if to == from {
					continue
				}
				if err := to.name(ctx, from, &s); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// name finds an instrument of another fire's fit among this one's, by name and
// calibration, and names it too.
func (f *FireFit) name(ctx context.Context, from *FireFit, s *drift.BiasStep) error {
	tool := &from.Analyzers[s.Analyzer]
	var p Period
	for _, one := range tool.Periods {
		if one.Column == s.Period {
			p = one
		}
	}
	for a := range f.Analyzers {
		if f.Analyzers[a].Name != tool.Name || f.Analyzers[a].Standin != tool.Standin {
			continue
		}
		for _, one := range f.Analyzers[a].Periods {
			if step, _ := f.StepAt(one.Column); step != nil || one.Calibrated != p.Calibrated || one.Year != p.Year {
				continue
			}
			again, err := f.Fit.Naming(ctx, a, one.Column)
			if err != nil {
				return err
			}
			if f.Beta == f.Fit {
				f.Beta = again
			}
			f.Fit = again
		}
	}
	return nil
}
