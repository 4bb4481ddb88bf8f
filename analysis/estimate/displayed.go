package estimate

import (
	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Displayed is what a reading of one fire on a day would show.
type Displayed struct {
	Fire                                  judge.Fire
	Chance                                analysis.Probability // that it shows outside the action band
	ExpectedPoints, LowPoints, HighPoints float64              // off the target, with the 90 % interval of the reading
	RichPoints, LeanPoints                float64              // the action band about the target, Lean < 0 < Rich
	StateChance                           analysis.Probability // that the burner truly stands outside it
}

// DisplayedAt forecasts what a reading of the i-th history would show on a day, by
// fire. A side of the band counts from half a step beyond it: a value shown in
// steps lies outside from there. A fire whose fuel is in doubt is left out.
func (f *Fleet) DisplayedAt(i int, day day.Day, stepPoints float64) (out []Displayed) {
	f.indexed.Do(f.indexFits)
	for _, at := range f.fitsOf[i] {
		fit := &f.Fits[at.fit]
		u := fit.units[at.series]
		if u.fuelInDoubt {
			continue
		}
		band, _ := u.b.rules.Judge.Action(&u.target, u.h.Unit.Fuel)
		now := fit.Fit.Predictor().Predictive(at.series).At(u.point(day, band))
		s := Displayed{
			Fire: u.fire, ExpectedPoints: now.Reading.Mean, LowPoints: now.Reading.Low, HighPoints: now.Reading.High,
			RichPoints: band.Rich, LeanPoints: band.Lean, StateChance: chanceOf(day, now),
		}
		now.PRich, now.PLean, now.POut = now.Shown.Outside(band.Lean-stepPoints/2, band.Rich+stepPoints/2)
		s.Chance = chanceOf(day, now)
		out = append(out, s)
	}
	return out
}

// Leaving tells between which days a fire of the i-th history is expected to
// leave its action band, as its forecast does where it is not Brief; day.None where
// that is open.
func (f *Fleet) Leaving(i int, fire judge.Fire) (from, to day.Day) {
	f.indexed.Do(f.indexFits)
	for _, at := range f.fitsOf[i] {
		fit := &f.Fits[at.fit]
		u := fit.units[at.series]
		if u.fire != fire || u.fuelInDoubt {
			continue
		}
		band, _ := u.b.rules.Judge.Action(&u.target, u.h.Unit.Fuel)
		leaving := fit.Fit.Predictor().Predictive(at.series).FirstPassage(u.points(u.b.months(), band), u.b.rules.OutProbability)
		_, from, to = leavingOf(leaving)
		return from, to
	}
	return day.None, day.None
}

// position is where a history stands in a fit.
type position struct{ fit, series int }

func (f *Fleet) indexFits() {
	f.fitsOf = make([][]position, len(f.Forecasts))
	for k := range f.Fits {
		for s, i := range f.Fits[k].index {
			f.fitsOf[i] = append(f.fitsOf[i], position{k, s})
		}
	}
}
