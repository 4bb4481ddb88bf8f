package watch

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// VentOptions say how long a vent run counts and how long the run was that a
// model line was set on at the factory.
type VentOptions struct {
	Elbow90M, Elbow45M float64 // straight metres an elbow stands for
	// FactoryRunM gives the factory's run of a model line on a fuel, m; NaN where
	// none is declared.
	FactoryRunM func(line, fuel string) float64
	Startups    Startups
}

// Startups tell what start-ups of a fleet show of units like one, from its fit of
// them; the zero value tells nothing.
type Startups struct {
	Units map[judge.Fire]int // that the fit of a fire is of
	// Expect gives what a start-up of a unit on a vent run on a day shows less the
	// factory's last reading, points, with its 90 % prediction interval; ok is false
	// where the fit cannot tell.
	Expect func(h *judge.History, fire judge.Fire, run *judge.VentRun, day day.Day) (points, low, high float64, ok bool)
}

// What an expected shift is from.
const (
	ShiftByFit  = "fit"
	ShiftByLine = "line"
)

// Gap is how a unit stands with its start-up.
type Gap int

// The gaps, in the order of the list: of a vent run, and of a place it moved to.
const (
	GapUntested     Gap = iota // not tested on its vent run
	GapMoved                   // not tested since it moved
	GapPerhaps                 // may not have been tested since its vent changed
	GapMovedPerhaps            // or since it moved
	GapLater                   // tested later, start-up not on record
	GapMovedLater              // tested after it moved, start-up there not on record
)

// order puts gaps of one standing together.
func (g Gap) order() int { return int(g) / 2 }

// StartupGap is a unit whose vent run differs from the one it was set on at the
// factory and that has no start-up reading on it, or one that moved and was not
// started up at its new place.
type StartupGap struct {
	Unit                         judge.Unit
	Rank                         int
	Fire                         judge.Fire
	Gap                          Gap
	Since, UncertainSince        day.Day // the vent run holds from, and some day since; day.None known
	TestedOn                     day.Day // first reading on the run; day.None none
	EquivalentM, FactoryRunM     float64 // lengths; NaN unknown
	ShiftPoints                  float64 // expected at start-up on such a run; NaN where it cannot be told
	ShiftLow, ShiftHigh          float64 // 90 % prediction interval
	ShiftBy                      string  // ShiftByFit, ShiftByLine; "" where there is none
	FactoryOffPoints             float64 // how far from target the factory left it; NaN no record
	ExpectedPoints               float64 // the two together: off target if nobody has set it since
	TargetCO2Percent, BandPoints float64 // target, and the setting band's side it is expected on

	moved bool // since its setting: nothing of the factory's shows any more
}

// shift is what start-ups on record say of units that left the factory on a
// short run: points = intercept + slope x, x the run beyond the factory's in
// parts of the longest run allowed.
type shift struct {
	intercept, slope, sd, meanX, sxx float64
	n                                int
}

// Fewer start-ups than this give no line (common practice, no source).
const leastStartups = 20

// StartupGaps lists the gaps of a fleet by how they stand, then the largest
// expected deviation, then the serial; lines give the ranks. The shift to expect
// is that of the fit of start-ups (VentRules.Startups). Where that cannot tell it is
// a line by least squares through the fleet's own start-ups, a fire at a time: as
// found at start-up minus as left at the factory, by the length of run beyond the
// factory's. It returns how many start-ups each fire's fit, else line, rests on.
func StartupGaps(histories []*judge.History, lines []Line, r Config, v VentOptions) ([]StartupGap, map[judge.Fire]int) {
	ranks := make(map[string]int, len(lines))
	for i := range lines {
		ranks[lines[i].Unit.Serial] = lines[i].Rank
	}
	starts := recordStarts(histories)
	shifts, rests := fitShifts(histories, r, v)
	maps.Copy(rests, v.Startups.Units)
	var gaps []StartupGap
	for _, h := range histories {
		if !h.Unit.InRegister || h.Unit.State == judge.Removed {
			continue
		}
		for _, t := range h.Targets {
			g, ok := gapOf(h, t, r, v, starts[h.Unit.Source])
			if !ok {
				continue
			}
			g.Rank = ranks[h.Unit.Serial]
			if g.moved {
				g.expectNothing(r, h, t)
				gaps = append(gaps, g)
				continue
			}
			g.expect(v.Startups, shifts[fitFire(t.Fire)], r, h, t)
			gaps = append(gaps, g)
		}
	}
	slices.SortFunc(gaps, func(a, b StartupGap) int {
		return cmp.Or(cmp.Compare(a.Gap.order(), b.Gap.order()), cmp.Compare(absKnown(b.ExpectedPoints), absKnown(a.ExpectedPoints)),
			strings.Compare(a.Unit.Serial, b.Unit.Serial), cmp.Compare(a.Fire, b.Fire))
	})
	return gaps, rests
}

// absKnown orders by size to two decimals; what is not known last.
func absKnown(v float64) float64 {
	if math.IsNaN(v) {
		return -1
	}
	return math.Round(100 * math.Abs(v))
}

// fitFire puts the only fire of a unit with high fire.
func fitFire(fire judge.Fire) judge.Fire {
	if fire == judge.Single {
		return judge.High
	}
	return fire
}

// recordStarts finds the first visit in the field of each source: what was
// installed before has no start-up to be found.
func recordStarts(histories []*judge.History) map[string]day.Day {
	starts := map[string]day.Day{}
	for _, h := range histories {
		for _, visit := range h.Visits {
			if visit.Reason == judge.FactoryTest {
				continue
			}
			if day, ok := starts[h.Unit.Source]; !ok || visit.Day < day {
				starts[h.Unit.Source] = visit.Day
			}
		}
	}
	return starts
}

// gapOf finds the gap of a unit at a fire that it has.
func gapOf(h *judge.History, t judge.FireTarget, r Config, v VentOptions, begins day.Day) (StartupGap, bool) {
	run, changed := runInForce(h, r.AsOf)
	if !hasFire(h, t.Fire) {
		return StartupGap{}, false
	}
	if m := h.LastMove(r.AsOf); m != nil && (run == nil || run.From <= m.Day) {
		return movedGap(h, t, r, v, m, run, begins)
	}
	if run == nil {
		return StartupGap{}, false
	}
	g := StartupGap{
		Unit: h.Unit, Fire: t.Fire, Since: run.From, UncertainSince: run.UncertainFrom, TestedOn: day.None,
		EquivalentM: v.equivalent(run), FactoryRunM: v.FactoryRunM(h.Unit.ModelLine, h.Unit.Fuel),
	}
	if !changed {
		g.Since, g.UncertainSince = h.Unit.Installed, day.None
	}
	if g.EquivalentM <= g.FactoryRunM || g.Since == day.None {
		return g, false
	}
	return g, g.decide(h, r.AsOf, t.Fire, g.test(h, r, t.Fire, changed), changed, begins)
}

// movedGap finds the gap of a unit that moved and has no later vent run than the one,
// if any, on record for its new place.
func movedGap(
	h *judge.History, t judge.FireTarget, r Config, v VentOptions, m *judge.Move, run *judge.VentRun, begins day.Day,
) (StartupGap, bool) {
	g := StartupGap{
		Unit: h.Unit, Fire: t.Fire, Since: m.Day, UncertainSince: m.After, TestedOn: day.None,
		EquivalentM: math.NaN(), FactoryRunM: v.FactoryRunM(h.Unit.ModelLine, h.Unit.Fuel), moved: true,
	}
	if run != nil {
		g.EquivalentM = v.equivalent(run)
	}
	return g, g.decide(h, r.AsOf, t.Fire, g.test(h, r, t.Fire, true), true, begins)
}

// test finds the first reading of a fire since the run holds, and says whether one
// was of a start-up on it.
func (g *StartupGap) test(h *judge.History, r Config, fire judge.Fire, changed bool) (startUp bool) {
	fieldReadings(h, r.AsOf, func(x *judge.Reading) {
		reason := h.Visits[x.Visit].Reason
		if x.Fire != fire || !hasGas(x) || r.Judge.NoBurner(x) || x.Day < g.Since && !(reason == judge.StartUp && !changed) {
			return
		}
		if g.TestedOn == day.None {
			g.TestedOn = x.Day
		}
		startUp = startUp || reason == judge.StartUp || reason == judge.VentAltered || x.Day <= g.Since+startUpDays
	})
	return startUp
}

// startUpDays is how long after the run holds a reading still counts as its
// start-up, whatever reason was written down (common practice, no source).
const startUpDays = 60

// decide says how the unit stands; false where there is no gap.
func (g *StartupGap) decide(h *judge.History, asOf day.Day, fire judge.Fire, startUp, changed bool, begins day.Day) bool {
	switch {
	case startUp:
		return false
	case g.TestedOn != day.None:
		g.Gap = g.called(GapLater, GapMovedLater)
		return g.Since >= begins && (!changed || g.moved)
	case changed && g.UncertainSince != day.None && readAfter(h, g.UncertainSince, asOf, fire):
		g.Gap = g.called(GapPerhaps, GapMovedPerhaps)
	default:
		g.Gap = g.called(GapUntested, GapMoved)
	}
	return true
}

// called chooses the gap of a unit that moved, or of one that did not.
func (g *StartupGap) called(inPlace, moved Gap) Gap {
	if g.moved {
		return moved
	}
	return inPlace
}

func readAfter(h *judge.History, day, asOf day.Day, fire judge.Fire) bool {
	found := false
	fieldReadings(h, asOf, func(x *judge.Reading) { found = found || x.Fire == fire && x.Day > day })
	return found
}

// hasFire reports whether a unit has a fire that a target is declared for: one
// of a line may declare high and single fire both.
func hasFire(h *judge.History, fire judge.Fire) bool {
	any := false
	for i := range h.Readings {
		if h.Readings[i].Fire == fire {
			return true
		}
		any = true
	}
	switch {
	case any:
		return false
	case h.Unit.Firing == "on-off":
		return fire == judge.Single
	default:
		return fire != judge.Single
	}
}

// runInForce returns the vent run of the as-of day where it is known, and
// whether another known one was there before it.
func runInForce(h *judge.History, asOf day.Day) (run *judge.VentRun, changed bool) {
	for i := range h.VentRuns {
		if h.VentRuns[i].From > asOf {
			break
		}
		changed = changed || run != nil && run.Known
		run = &h.VentRuns[i]
	}
	if run == nil || !run.Known {
		return nil, false
	}
	return run, changed
}

// equivalent is the straight length with the elbows', NaN where not all known.
func (v VentOptions) equivalent(run *judge.VentRun) float64 {
	if run.Elbows90 < 0 {
		return math.NaN()
	}
	return run.LengthM + v.Elbow90M*float64(run.Elbows90) + v.Elbow45M*float64(max(run.Elbows45, 0))
}

// ventBeyond is the run beyond the factory's in parts of the longest allowed.
func ventBeyond(equivalentM, factoryM, longestM float64) float64 {
	if !(longestM > 0) {
		return math.NaN()
	}
	return (equivalentM - factoryM) / longestM
}

// fitShifts fits the line of each fire.
func fitShifts(histories []*judge.History, r Config, v VentOptions) (map[judge.Fire]*shift, map[judge.Fire]int) {
	xs, ys := map[judge.Fire][]float64{}, map[judge.Fire][]float64{}
	for _, h := range histories {
		if len(h.VentRuns) == 0 || !h.VentRuns[0].Known {
			continue
		}
		eachStartup(h, r, func(fire judge.Fire, points, longest float64) {
			x := ventBeyond(v.equivalent(&h.VentRuns[0]), v.FactoryRunM(h.Unit.ModelLine, h.Unit.Fuel), longest)
			if !math.IsNaN(x) && !math.IsNaN(points) {
				xs[fire], ys[fire] = append(xs[fire], x), append(ys[fire], points)
			}
		})
	}
	shifts, rests := map[judge.Fire]*shift{}, map[judge.Fire]int{}
	for fire, x := range xs {
		rests[fire] = len(x)
		if len(x) < leastStartups {
			continue
		}
		y := ys[fire]
		s := &shift{n: len(x), meanX: stat.Mean(x, nil)}
		s.intercept, s.slope = stat.LinearRegression(x, y, nil, false)
		rss := 0.0
		for i := range x {
			e := y[i] - s.intercept - s.slope*x[i]
			rss += e * e
			s.sxx += (x[i] - s.meanX) * (x[i] - s.meanX)
		}
		s.sd = math.Sqrt(rss / float64(len(x)-2))
		shifts[fire] = s
	}
	return shifts, rests
}

// eachStartup calls fn for each fire that was left at the factory and found at
// start-up on the same fuel, with the difference in points of CO2.
func eachStartup(h *judge.History, r Config, fn func(fire judge.Fire, points, longestM float64)) {
	left := map[judge.Fire]*judge.Reading{}
	done := map[judge.Fire]bool{}
	for i := range h.Readings {
		x := &h.Readings[i]
		if x.Day > r.AsOf || !hasGas(x) || x.Fire == judge.Point || r.Judge.NoBurner(x) {
			continue
		}
		switch reason := h.Visits[x.Visit].Reason; {
		case reason == judge.FactoryTest && x.Condition == judge.AsLeft:
			left[x.Fire] = x
		case reason == judge.StartUp && x.Condition == judge.AsFound && left[x.Fire] != nil && !done[x.Fire] && left[x.Fire].Fuel == x.Fuel &&
			!h.MovedBetween(left[x.Fire].Day, x.Day) && h.Tied(x) == nil:
			done[x.Fire] = true
			fn(fitFire(x.Fire), r.Judge.CO2(x)-r.Judge.CO2(left[x.Fire]), x.Target.LongestRunM)
		}
	}
}

// predict returns the shift at x with its 90 % prediction interval.
func (s *shift) predict(x float64) (points, low, high float64) {
	points = s.intercept + s.slope*x
	n := float64(s.n)
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: n - 2}.Quantile(0.95)
	half := t * s.sd * math.Sqrt(1+1/n+(x-s.meanX)*(x-s.meanX)/s.sxx)
	return points, points - half, points + half
}

// expectNothing fills in the target alone: nothing tells how a burner was left that
// was set for another place.
func (g *StartupGap) expectNothing(r Config, h *judge.History, t judge.FireTarget) {
	nan := math.NaN()
	g.ShiftPoints, g.ShiftLow, g.ShiftHigh, g.FactoryOffPoints, g.ExpectedPoints, g.BandPoints = nan, nan, nan, nan, nan, nan
	g.TargetCO2Percent = r.Judge.TargetCO2(&t.Target, h.Unit.Fuel)
}

// expect fills in what is to be expected of a gap.
func (g *StartupGap) expect(fit Startups, line *shift, r Config, h *judge.History, t judge.FireTarget) {
	g.expectNothing(r, h, t)
	for i := range h.Readings {
		x := &h.Readings[i]
		if isFactory(h, x) && x.Fire == t.Fire && x.Condition == judge.AsLeft && hasGas(x) && x.Fuel == h.Unit.Fuel && !r.Judge.NoBurner(x) {
			g.FactoryOffPoints = r.Judge.CO2(x) - g.TargetCO2Percent
		}
	}
	if !g.byFit(fit, r, h, t) && !g.byLine(line, t) {
		return
	}
	g.ExpectedPoints = g.ShiftPoints
	if !math.IsNaN(g.FactoryOffPoints) {
		g.ExpectedPoints += g.FactoryOffPoints
	}
	band := r.Judge.Setting(&t.Target, h.Unit.Fuel)
	g.BandPoints = band.Rich
	if g.ExpectedPoints < 0 {
		g.BandPoints = band.Lean
	}
}

// byFit takes the shift from the fit of start-ups; false where it cannot tell.
func (g *StartupGap) byFit(fit Startups, r Config, h *judge.History, t judge.FireTarget) (ok bool) {
	run, _ := runInForce(h, r.AsOf)
	if fit.Expect == nil || run == nil {
		return false
	}
	points, low, high, ok := fit.Expect(h, t.Fire, run, g.Since)
	if ok {
		g.ShiftPoints, g.ShiftLow, g.ShiftHigh, g.ShiftBy = points, low, high, ShiftByFit
	}
	return ok
}

// byLine takes it from the line; false where there is none, or the length is not
// known.
func (g *StartupGap) byLine(line *shift, t judge.FireTarget) bool {
	x := ventBeyond(g.EquivalentM, g.FactoryRunM, t.Target.LongestRunM)
	if line == nil || math.IsNaN(x) {
		return false
	}
	g.ShiftPoints, g.ShiftLow, g.ShiftHigh = line.predict(x)
	g.ShiftBy = ShiftByLine
	return true
}
