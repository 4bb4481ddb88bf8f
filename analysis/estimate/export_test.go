package estimate

import (
	"context"

	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// judgedBy judges a fleet; where the rules say nothing of pairs of gases, by those
// of the histories.
func judgedBy(histories []*judge.History, r Config) ([]judge.Judgement, Config) {
	if r.Judge.Pairs == nil {
		r.Judge.Pairs = judge.PairsIn(histories, &r.Judge)
	}
	all := make([]judge.Judgement, len(histories))
	for i, h := range histories {
		all[i] = judge.Judge(h, r.Judge)
	}
	return all, r
}

// Run judges a fleet and fits it.
func Run(ctx context.Context, histories []*judge.History, r Config) (*Fleet, error) {
	judgements, r := judgedBy(histories, r)
	return Fit(ctx, histories, judgements, r)
}

// Resume judges a fleet and restores its fits.
func Resume(ctx context.Context, histories []*judge.History, r Config, night Stored) (*Fleet, error) {
	judgements, r := judgedBy(histories, r)
	return Restore(ctx, histories, judgements, r, night)
}

// State is what a fit expects of a unit's true CO2 on a day, % by volume dry,
// with its 90 % interval, for tests against the truth of invented fleets.
type State struct{ Mean, Low, High float64 }

// StatesOn forecasts every unit of a fit on some days; index[k] is the history
// of the k-th unit.
func (f *Fleet) StatesOn(fit *FireFit, days []day.Day) (index []int, fires []judge.Fire, states [][]State) {
	p := fit.Fit.Predictor()
	for k, u := range fit.units {
		o := p.Predictive(k)
		target := f.b.rules.Judge.TargetCO2(&u.target, u.h.Unit.Fuel)
		band, _ := f.b.rules.Judge.Action(&u.target, u.h.Unit.Fuel)
		one := make([]State, len(days))
		for i, day := range days {
			s := o.At(u.point(day, band)).State
			one[i] = State{target + s.Mean, target + s.Low, target + s.High}
		}
		states, fires = append(states, one), append(fires, u.fire)
	}
	return fit.index, fires, states
}

// VentNow is the vent measure reckoned with for the run in force of a history.
func (f *Fleet) VentNow(i int) float64 { return f.b.vents.now(f.b.histories[i]) }

// OwnSlopes are the units' own drift rates by a fit, points a year.
func (f *FireFit) OwnSlopes() (index []int, fires []judge.Fire, slopes []float64) {
	p := f.Fit.Predictor()
	for k, u := range f.units {
		v, _ := p.Slope(k)
		slopes, fires = append(slopes, v), append(fires, u.fire)
	}
	return f.index, fires, slopes
}

// VentsSuspected, Suspects and StepOf are the rules behind what is suspected.
var (
	VentsSuspected = suspectedVents
	Suspects       = suspects
	StepOf         = stepOf
)

// HarmCourse is how badly a unit is expected to stand at a fire on days: if nobody comes,
// and if somebody sets it to its target on one of them, on that day and those after it.
type HarmCourse struct {
	Fire    judge.Fire
	Without []drift.Harm
	Set     [][]drift.Harm // by the day it is set on; the first is that day
}

// HarmCourses are those of every history on days ahead, set on one of the first so many
// of them and followed for so many more.
func (f *Fleet) HarmCourses(days []day.Day, settings, ahead int) [][]HarmCourse {
	out := make([][]HarmCourse, len(f.Forecasts))
	for i := range f.Fits {
		fit := &f.Fits[i]
		p := fit.Fit.Predictor()
		for k, u := range fit.units {
			if !u.read() {
				continue
			}
			band, _ := f.b.rules.Judge.Action(&u.target, u.h.Unit.Fuel)
			o, c := p.Predictive(k), HarmCourse{Fire: u.fire}
			points := make([]drift.Point, len(days))
			for d := range days {
				points[d] = u.point(days[d], band)
				c.Without = append(c.Without, o.Mixture(points[d]).Harm(band.Lean, band.Rich))
			}
			for s := range settings {
				set, harm := o.Visited(points[s]), []drift.Harm(nil)
				for d := s; d < len(days) && d <= s+ahead; d++ {
					harm = append(harm, set.Mixture(points[d]).Harm(band.Lean, band.Rich))
				}
				c.Set = append(c.Set, harm)
			}
			out[fit.index[k]] = append(out[fit.index[k]], c)
		}
	}
	return out
}

// WholeFleet is the group of the whole fleet.
const WholeFleet = drift.WholeFleet

// FreeChances are today's chances of every history at its worse fire as they are
// before forecasts are held to what the fleet's burners are found at; -1 without one.
func (f *Fleet) FreeChances() []float64 {
	out := make([]float64, len(f.Forecasts))
	for i := range out {
		out[i] = -1
	}
	for i := range f.Fits {
		fit := *f.Fits[i].Fit
		fit.Held = drift.Calibration{}
		p := fit.Predictor()
		for k, u := range f.Fits[i].units {
			if at := f.Fits[i].index[k]; u.read() {
				out[at] = max(out[at], p.Predictive(k).POut(u.today(f.b.rules.AsOf)))
			}
		}
	}
	return out
}

// Remedy is a set of things an estimate does against what spoils a fit.
type Remedy = ablation

// What a test can leave out of an estimate, to measure what it is worth.
const (
	SettlingColumn   = settlingColumn
	ControlColumns   = controlColumns
	EstimatedRatios  = estimatedRatios
	UnflaggedFit     = unflaggedFit
	SuspectedVents   = typedVents
	FinestGas        = finestGas
	AsFoundColumn    = asFoundColumn
	YearlyAir        = yearlyAir
	CommonVentStrata = commonVentStrata
)

// LeaveOut leaves remedies out.
func (r *Config) LeaveOut(m Remedy) { r.ablated |= m }

// PutBack has remedies in force again.
func (r *Config) PutBack(m Remedy) { r.ablated &^= m }

// LeaveOutAs leaves out what another estimate leaves out, and nothing else.
func (r *Config) LeaveOutAs(other Config) { r.ablated = other.ablated }

// On is what an analyzer reads too high on a day of the period.
func (p *Period) On(d day.Day) (points, sd float64) {
	if p.Calibrated == day.None {
		return p.Reads.At(0)
	}
	return p.Reads.At(years(d) - years(p.Calibrated))
}

// both returns the two measures of one run, for a test to see side by side.
func (c *VentChoice) both(h *judge.History, run *judge.VentRun) (ofFan, ofRun float64) {
	one := c.measurer.candidate(h, run, asRecorded)
	return one.OfFan(), one.OfRun()
}
