package estimate

import (
	"context"
	"math"
	"sync/atomic"

	"github.com/sourcegraph/conc"

	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/drift"
)

// horizonMonths is how far ahead the leaving of the band is looked for.
const horizonMonths = 60

// forecast forecasts every unit of a fit that was read at its fire: what nobody
// read has no forecast, because drift since the install day alone says nothing of
// where a burner was set. Units are shared among the workers; each writes its
// own, so that the result does not depend on their number.
func (b *builder) forecast(ctx context.Context, f *FireFit, out []*analysis.Forecast) error {
	months := b.months()
	f.calibrate(months[0])
	common := b.ranks.draws(f)
	last := make([]int, len(f.units))
	var next atomic.Int32
	var all conc.WaitGroup
	fires := make([]*analysis.FireForecast, len(f.units))
	for range max(b.rules.Workers, 1) {
		all.Go(func() {
			p := f.Fit.Predictor()
			for {
				i := int(next.Add(1)) - 1
				if i >= len(f.units) || ctx.Err() != nil {
					return
				}
				if last[i] = -1; !f.units[i].read() {
					continue
				}
				o := p.Predictive(i)
				fires[i] = b.unit(f, i, o, months, common)
				last[i] = f.lastAnalyzer(o)
			}
		})
	}
	all.Wait()
	if err := ctx.Err(); err != nil {
		return err
	}
	f.current = make([]int, len(f.Analyzers))
	for i, at := range f.index {
		if fires[i] == nil {
			continue
		}
		out[at].Fires = append(out[at].Fires, *fires[i])
		if last[i] >= 0 {
			f.current[last[i]]++
		}
	}
	return nil
}

// plan looks up the planned days.
func (b *builder) plan() {
	b.planned = make([]day.Day, len(b.histories))
	for i, h := range b.histories {
		if b.planned[i] = b.rules.Planned(h); b.planned[i] == day.None || b.planned[i] < b.rules.AsOf {
			b.planned[i] = b.rules.AsOf
		}
	}
}

// calibrate holds the forecasts of the as-of day together to what the fleet's
// burners are found at.
func (f *FireFit) calibrate(asOf day.Day) {
	var units []int
	var days []drift.Point
	for i, u := range f.units {
		if u.read() {
			units, days = append(units, i), append(days, u.today(asOf))
		}
	}
	f.Fit.Calibrate(units, days)
}

// lastAnalyzer is the column of what made the reading a unit's state is computed from, -1
// where there is none.
func (f *FireFit) lastAnalyzer(o *drift.Predictive) int {
	if o.LastVisit < 0 {
		return -1
	}
	return f.series[o.Unit].Visits[o.LastVisit].Readings[o.LastReading].Analyzer
}

// months are the days a forecast scans: the as-of day and the same day of the
// months after it.
func (b *builder) months() []day.Day {
	days := make([]day.Day, horizonMonths+1)
	for i := range days {
		days[i] = b.rules.AsOf.MonthsOn(i)
	}
	days[0] = b.rules.AsOf
	return days
}

// unit is the forecast of one unit at one fire; common are the draws that units share.
func (b *builder) unit(f *FireFit, k int, o *drift.Predictive, months []day.Day, common *drift.Draws) *analysis.FireForecast {
	u := f.units[k]
	target := b.rules.Judge.TargetCO2(&u.target, u.h.Unit.Fuel)
	band, _ := b.rules.Judge.Action(&u.target, u.h.Unit.Fuel)
	l := lookAhead(u, o, months, band)
	now := l.now
	out := &analysis.FireForecast{
		Fire: u.fire, RatePercent: math.NaN(), TargetCO2Percent: target, ActRichPercent: band.Rich, ActLeanPercent: -band.Lean,
		CO2Percent: target + now.State.Mean, LowPercent: target + now.State.Low, HighPercent: target + now.State.High,
		RecordedLowPercent: target + now.Reading.Low, RecordedHighPercent: target + now.Reading.High,
		Today: chanceOf(b.rules.AsOf, now), Parts: partsOf(now.Parts, len(b.rules.LevelSteps) > 0),
	}
	if off := u.hiddenAt(o); off != 0 {
		out.Parts[0].Points += off
		out.Parts = append(out.Parts, analysis.Part{Kind: analysis.PartDisplay, Points: -off})
	}
	out.Earlier = b.earlier(f, l)
	b.ahead(out, l, b.planned[f.index[k]])
	extrapolated := b.path(out, l)
	if !b.rules.Brief {
		b.harm(out, l)
		b.ranks.draw(f, k, l, out, common)
	}
	if d := o.Last; d != nil {
		day := day.Day(math.Round(f.series[o.Unit].Visits[d.Visit].T * 365.25))
		out.Unconfirmed = &analysis.Unconfirmed{
			Day: day, ReadPercent: target + d.Y, ExpectedPercent: target + d.Expected,
			MistakeProbability: d.Wrong, LargerOut: math.Max(now.POutKept, now.POutWithout),
		}
	}
	out.Within(b.rules.Judge.MostCO2(u.h.Unit.Fuel))
	out.Suspect = f.suspect(o, now, *l.point(0), b.rules.OutProbability)
	out.Marks = append(marksOf(f, o, now.Marks|extrapolated), b.vents.marks(u.h)...)
	if u.fuelInDoubt {
		withhold(out)
	}
	return out
}

// path adds the path to a forecast and when the unit is expected to leave its band, and
// returns the mark of one that reaches too far ahead.
func (b *builder) path(out *analysis.FireForecast, l *lookahead) drift.Mark {
	out.FirstOutsideFrom, out.FirstOutsideTo = day.None, day.None
	if b.rules.Brief {
		return 0
	}
	out.Path = l.path(out.TargetCO2Percent, out.Planned.Day)
	leaving := l.o.FirstPassageBy(l.points, l.out, b.rules.OutProbability)
	out.FirstOutside, out.FirstOutsideFrom, out.FirstOutsideTo = leavingOf(leaving)
	return leaving.Marks & drift.Extrapolated
}

// withhold takes the probabilities from the forecast of a unit whose fuel is in
// doubt: nobody knows which target it should be held to. Such a unit stands
// above all forecasts on the list.
func withhold(f *analysis.FireForecast) {
	nan := math.NaN()
	for _, c := range []*analysis.Probability{&f.Today, &f.Planned, &f.Worst, &f.Earlier} {
		c.Rich, c.Lean = nan, nan
	}
	f.FirstOutside, f.FirstOutsideFrom, f.FirstOutsideTo, f.Unconfirmed, f.Suspect = "", day.None, day.None, nil, nil
	f.Harm, f.Aim = nil, analysis.Aim{}
	f.Marks = append(f.Marks, analysis.Mark{Kind: analysis.MarkNotHeldToTarget})
}

// ahead adds the planned day and the worst month before it.
func (b *builder) ahead(out *analysis.FireForecast, l *lookahead, planned day.Day) {
	out.Planned = chanceOf(planned, l.o.At(l.u.point(planned, l.band)))
	out.Worst = out.Today
	if out.Planned.Out() > out.Worst.Out() {
		out.Worst = out.Planned
	}
	for i, day := range l.months {
		if i == 0 || day >= planned {
			continue
		}
		if p := l.out(i); p > out.Worst.Out() {
			out.Worst = chanceOf(day, l.o.At(*l.point(i)))
		}
	}
}

// earlier is the probability on the day of the list before, where the unit was not read
// since.
func (b *builder) earlier(f *FireFit, l *lookahead) analysis.Probability {
	on, o := b.rules.Earlier, l.o
	if on == 0 || o.LastVisit >= 0 && f.series[o.Unit].Visits[o.LastVisit].T > years(on) {
		return analysis.Probability{Day: day.None, Rich: math.NaN(), Lean: math.NaN()}
	}
	return chanceOf(on, o.At(l.u.point(on, l.band)))
}

// chanceOf reads the probabilities of a forecast; a side without a band is 0
// where the other has one.
func chanceOf(day day.Day, f drift.Forecast) analysis.Probability {
	c := analysis.Probability{Day: day, Rich: f.PRich, Lean: f.PLean}
	if math.IsNaN(f.POut) {
		return analysis.Probability{Day: day, Rich: math.NaN(), Lean: math.NaN()}
	}
	if math.IsNaN(c.Rich) {
		c.Rich = 0
	}
	if math.IsNaN(c.Lean) {
		c.Lean = 0
	}
	return c
}

// partsOf names what an expected CO2 is made of, on top of the target.
func partsOf(p drift.Parts, steps bool) []analysis.Part {
	parts := []analysis.Part{
		{Kind: analysis.PartLast, Points: p.Last},
		{Kind: analysis.PartAnalyzer, Points: p.Analyzer},
		{Kind: analysis.PartSmoothing, Points: p.Smoothing},
		{Kind: analysis.PartDrift, Points: p.Drift},
		{Kind: analysis.PartSlope, Points: p.Slope},
		{Kind: levelPart(steps), Points: p.Season},
	}
	if p.Fleet != 0 {
		parts = append(parts, analysis.Part{Kind: analysis.PartFleet, Points: p.Fleet})
	}
	return parts
}

// levelPart is what is outside the unit.
func levelPart(steps bool) analysis.PartKind {
	if steps {
		return analysis.PartAirSteps
	}
	return analysis.PartAir
}

// leavingOf says whether and when a unit is expected to leave its action band.
func leavingOf(l drift.FirstPassage) (what analysis.Leaving, from, to day.Day) {
	d := func(t float64) day.Day {
		if math.IsNaN(t) {
			return day.None
		}
		return day.Day(math.Round(t * 365.25))
	}
	from, to = d(l.Early), d(l.Late)
	switch l.When {
	case drift.NotJudged:
		return "", day.None, day.None
	case drift.Already:
		return analysis.LeavingAlready, from, to
	case drift.NotWithin:
		return analysis.LeavingNot, from, to
	}
	return analysis.LeavingWithin, from, to
}
