package estimate

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"

	"fluedrift/model/drift"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// LowLessHigh names the third response: low fire less high fire at one visit, in
// which the common part of a burner cancels and the offset of its governor stays.
const LowLessHigh = "low less high"

// Study is what an engineer looks at and a night has no time for.
type Study struct {
	Variances map[judge.Fire][]drift.Variance // by fire: standard deviations with their errors
	Offset    *FireFit                        // of LowLessHigh; nil where no visit has both fires
	Shifts    []ShiftFit                      // of all units; none where Stored are
	Stored    []queries.Shift                 // of all units, as the night stored them
}

// fitOffset fits low less high fire with the columns of a fire; nil where no unit
// has both.
func fitOffset(ctx context.Context, b *builder) (*FireFit, error) {
	out := &FireFit{Fire: LowLessHigh}
	both := []judge.Fire{judge.High, judge.Low}
	tools := collectInstruments(b.histories, func(x *judge.Reading) bool { return slices.Contains(both, x.Fire) }, false)
	for i, h := range b.histories {
		_, _, high := targetOf(h, both[:1])
		_, target, low := targetOf(h, both[1:])
		if !high || !low || fuelInDoubt(&b.judgements[i]) {
			continue
		}
		r := &record{b: b, h: h, uses: b.judgements[i].Uses, doubted: b.doubted[i], tools: tools, target: target, fire: judge.Low, set: both}
		out.units, out.index = append(out.units, newUnitSeries(r, (*reader).pairsAt)), append(out.index, i)
	}
	if len(out.units) == 0 {
		return nil, nil
	}
	if err := b.fitSeries(ctx, out, tools); err != nil {
		return nil, err
	}
	out.Effects = effects{b, out}.list()
	return out, nil
}

// ShiftFit is a fit of shifts: each unit gives one difference across an event,
// explained by the vent, the air and the analyzers. Its noise is its own.
type ShiftFit struct {
	Name      string // eventInstalled, eventRerouted
	Fire      judge.Fire
	Units     int // that the fit is of
	Events    int // units that had one
	Fit       *drift.Fit
	Analyzers []Analyzer

	classes classes // of burner control
}

// Names of the events.
const (
	eventInstalled = "installation"
	eventRerouted  = "re-routing"
)

// Names of the columns of shifts. What a unit gains between the factory's bench
// and its place is no effect of the vent unless it goes with the vent.
const (
	colBench   = "bench, transport, gas and altitude, "
	colReroute = "re-routing, whatever the vent"
	colGap     = "time between"
)

// benchColumn names what units of a class gain on the way from the bench. It holds the
// effect of the bench's own vent, which goes by the burner control as any vent's does:
// one constant for all would take it from the classes' vent effects.
func benchColumn(class string) string { return colBench + classWords(class) }

// minShifts is how many differences a fit of shifts needs.
const minShifts = 20

// maxShiftYears is the longest time between the readings of a shift.
const maxShiftYears = 3

// event finds a unit's readings before and after an event, -1 without them, and
// the vent covariate's part in it.
type event func(u *unitSeries) (before, after int, z float64)

// shifts are those of the units of a fire: at installation, and where vents were re-routed.
type shifts struct {
	b *builder
	f *FireFit
}

// fit fits either kind.
func (s shifts) fit(ctx context.Context, most int) (out []ShiftFit, err error) {
	moving := drift.Theta{Q: s.f.Beta.Theta.Q, Tau: s.f.Beta.Theta.Tau}
	rerouted := func(string) string { return colReroute }
	for _, task := range []shiftTask{
		{eventInstalled, benchColumn, installation, drift.Theta{}, nil, most},
		{eventRerouted, rerouted, rerouting, moving, []drift.Column{{Name: colGap, Unit: "points a year"}}, most},
	} {
		one, err := s.kind(ctx, task)
		if err != nil {
			return nil, err
		}
		if one != nil {
			out = append(out, *one)
		}
	}
	return out, nil
}

// shiftTask is one kind of event and how it is fitted.
type shiftTask struct {
	name     string
	constant func(class string) string // name of its column; one for all classes or one each
	find     event
	theta    drift.Theta
	drift    []drift.Column
	most     int // units; 0: all
}

// kind fits one kind of event; nil where too few units had it.
func (s shifts) kind(ctx context.Context, t shiftTask) (*ShiftFit, error) {
	b, f := s.b, s.f
	var pairs []pair
	for _, u := range f.units {
		if before, after, z := t.find(u); before >= 0 && !math.IsNaN(z) {
			pairs = append(pairs, pair{u, before, after, z})
		}
	}
	if len(pairs) < minShifts {
		return nil, nil
	}
	events := len(pairs)
	if t.most > 0 && events > t.most {
		pairs = drawn(pairs, t.most, b.rules.Seed)
	}
	counts := map[string]int{}
	for _, p := range pairs {
		counts[string(p.u.h.Unit.Control)]++
	}
	classes := newClassesOf(counts, minShifts)
	design := drift.Design{Drift: t.drift}
	constants, vents, airs := map[string]int{}, map[string]int{}, map[string]int{}
	for _, k := range classes.names {
		name := t.constant(k)
		if _, ok := constants[name]; !ok {
			constants[name] = len(design.Level)
			design.Level = append(design.Level, drift.Column{Name: name, Unit: "points"})
		}
		vents[k], airs[k] = len(design.Level), len(design.Level)+1
		design.Level = append(design.Level,
			drift.Column{Name: b.vents.column(k), Unit: b.vents.effectUnit("points")},
			drift.Column{Name: airColumn(k), Unit: "points per K"})
	}
	in := drift.Input{Design: design, Rules: b.rules.Drift, Analyzers: len(f.Analyzers)}
	for _, p := range pairs {
		k := classes.class(string(p.u.h.Unit.Control))
		level := func(reading int, after, z float64) []float64 {
			l := make([]float64, len(design.Level))
			l[constants[t.constant(k)]], l[vents[k]], l[airs[k]] = after, z, p.u.airOf(reading)-noAirC
			return l
		}
		s := drift.Series{Unit: p.u.h.Unit.Serial, Runs: []drift.Run{{Rate: slices.Repeat([]float64{1}, len(t.drift))}}}
		s.Visits = []drift.Visit{
			p.u.shiftVisit(p.before, drift.AsLeft, level(p.before, 0, 0)),
			p.u.shiftVisit(p.after, drift.AsFound, level(p.after, 1, p.z)),
		}
		if len(t.drift) > 0 {
			s.Visits[1].Readings[0].Y -= p.u.driftBetween(f.Beta, p.before, p.after)
		}
		in.Series = append(in.Series, s)
	}
	fit, err := fitShift(ctx, in, t.theta, b.rules.Workers)
	if err != nil || fit == nil {
		return nil, err
	}
	return &ShiftFit{Name: t.name, Fire: f.Fire, Units: len(pairs), Events: events, Fit: fit, Analyzers: f.Analyzers, classes: classes}, nil
}

// Ended is how the fit ended.
func (s *ShiftFit) Ended() Ended {
	return OfShifts{Shifts: s.Fit.Counts.Differences, AnalyzerRatio: s.Fit.Theta.B1}
}

// pair is what a unit tells of an event.
type pair struct {
	u             *unitSeries
	before, after int
	z             float64
}

// shiftStream parts their random numbers from those of the draws.
const shiftStream = 100

// drawn keeps some pairs in their order, drawn by a seed.
func drawn(pairs []pair, n int, seed uint64) (out []pair) {
	keep := rand.New(rand.NewPCG(seed, shiftStream)).Perm(len(pairs))[:n]
	slices.Sort(keep)
	for _, k := range keep {
		out = append(out, pairs[k])
	}
	return out
}

// fitShift cleans and fits with the analyzer ratio of the best criterion.
func fitShift(ctx context.Context, in drift.Input, th drift.Theta, workers int) (*drift.Fit, error) {
	fleet, err := drift.NewFleet(in)
	if err != nil {
		return nil, err
	}
	o := drift.EvaluateOptions{Workers: workers}
	th.B1 = drift.FixedRatios.B1
	cleaned, list, err := fleet.Clean(ctx, th, o)
	if err != nil {
		return nil, ctx.Err() // nothing to tell apart
	}
	if th, err = cleaned.BiasRatio(ctx, th, maxBiasRatio, o); err != nil {
		return nil, ctx.Err()
	}
	fit, err := cleaned.Evaluate(ctx, th, o)
	if err != nil {
		return nil, ctx.Err()
	}
	fit.Unconfirmed = list
	return fit, nil
}

// maxBiasRatio is the largest spread of analyzers' errors a fit of shifts takes, as
// a multiple of its noise.
const maxBiasRatio = 4

// Air taken where nothing tells: on a bench that does not say, and at a unit
// without a climate, degC (common practice, no source).
const (
	BenchAirC = 20
	noAirC    = 10
)

// startUpDays is how long after the install day a first visit still counts as the
// start-up, whatever reason was written down (common practice, no source).
const startUpDays = 60

// installation pairs the last reading of the factory with the start-up as found,
// of one fuel, where nobody had set the burner in between.
func installation(u *unitSeries) (before, after int, z float64) {
	before = -1
	for i := range u.h.Readings {
		x := &u.h.Readings[i]
		if x.Fire != u.fire || u.uses[i] >= judge.StateOnly {
			continue
		}
		if u.h.Visits[x.Visit].Reason == judge.FactoryTest {
			before = i
			continue
		}
		if before < 0 {
			return -1, -1, 0
		}
		left := &u.h.Readings[before]
		alike := x.Fuel == left.Fuel && !u.h.MovedBetween(left.Day, x.Day)
		onOneRun := x.VentRun >= 0 && !x.VentUncertain
		if x.Condition != judge.AsFound || !alike || !onOneRun || !u.atStartup(x) || u.h.Tied(x) != nil {
			return -1, -1, 0
		}
		return before, i, u.b.vents.measure(u.h, &u.h.VentRuns[x.VentRun])
	}
	return -1, -1, 0
}

// rerouting pairs the last reading on one vent run with the first as-found reading on the
// next, where nobody had set the burner in between; z is the change of the vent covariate.
// The as-found reading of the visit at which the vent was altered counts as taken on the new run.
func rerouting(u *unitSeries) (before, after int, z float64) {
	last := -1
	for i := range u.h.Readings {
		x := &u.h.Readings[i]
		if x.Fire != u.fire || u.uses[i] >= judge.StateOnly || x.VentRun < 0 || u.h.Visits[x.Visit].Reason == judge.FactoryTest {
			continue
		}
		if last >= 0 {
			y := &u.h.Readings[last]
			touched := y.Condition == judge.AsFound && u.h.Visits[y.Visit].Adjusted(u.fire) != judge.No
			altered := x.VentRun != y.VentRun && !x.VentUncertain && !y.VentUncertain
			alike := x.Fuel == y.Fuel && years(x.Day)-years(y.Day) <= maxShiftYears && !u.h.MovedBetween(y.Day, x.Day)
			if altered && x.Condition == judge.AsFound && !touched && alike && u.h.Tied(x) == nil && u.h.Tied(y) == nil {
				old, new := &u.h.VentRuns[y.VentRun], &u.h.VentRuns[x.VentRun]
				return last, i, u.b.vents.measure(u.h, new) - u.b.vents.measure(u.h, old)
			}
		}
		last = i
	}
	return -1, -1, 0
}
