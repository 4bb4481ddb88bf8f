package demo

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Visit is a day's work at a unit, with what the analyzer showed.
type Visit struct {
	number     int // of the unit, from 1
	Day        day.Day
	Minute     int16
	Reason     judge.Reason
	technician *technician // nil at the factory
	analyzer   *Analyzer
	adjusted   bool
	OutdoorC   float64
	airC       float64
	setting    string // fuel the analyzer was set to
	Parts      string
	NotReached string
	outside    bool // left outside the setting band at the first fire
	readings   []reading
}

// reading is one set of gas values as shown.
type reading struct {
	fire      int
	condition judge.Condition
	co2, o2   float64 // % by volume dry, as displayed
	coPPM     float64 // air-free
	flueC     float64
	copied    bool // as left written down from as found, not measured
}

// event is something that brings a technician.
type event struct {
	day    day.Day
	reason judge.Reason
	forced bool // the burner is set whatever is found
	parts  string
}

// simulation is one unit on its way through the years.
type simulation struct {
	t     *Truth
	u     *Unit
	r     *rand.Rand
	paths []*Path
}

// simulate lives through a unit's years and leaves its visits and epochs.
func (t *Truth) simulate(u *Unit) {
	s := &simulation{t: t, u: u, r: t.stream(kindVisits, uint64(u.index))}
	repairs := s.plantJumps()
	for fire := range u.Line.Fires() {
		s.paths = append(s.paths, t.PathOf(u, fire))
	}
	if u.FactoryDay != day.None {
		s.factory()
	} else {
		s.startOld()
	}
	s.live(append(s.planned(), repairs...))
	s.closeJumps()
}

// plantJumps draws failing parts, and the call-outs they lead to.
func (s *simulation) plantJumps() []event {
	r := s.t.stream(kindJump, uint64(s.u.index))
	var calls []event
	start, end := max(s.t.from, s.u.Installed), s.u.end(s.t.Options.AsOf)
	for d := start; ; {
		gap := r.ExpFloat64()
		size := (0.3 + 0.7*r.Float64()) * float64(1-2*r.IntN(2))
		noticed, after := r.Float64(), int32(1+r.IntN(30))
		if s.t.world.JumpsPerYear == 0 {
			return nil
		}
		d += day.Day(int32(math.Min(gap/s.t.world.JumpsPerYear, 100)*daysPerYear) + 1)
		if d >= end {
			break
		}
		s.u.jumps = append(s.u.jumps, Jump{Unit: s.u.index, Serial: s.u.Serial, Day: d, CO2Points: round(size, 3), Repaired: day.None})
		if noticed < s.t.world.JumpCallOut {
			part := pick(r.Float64(), []string{"gas valve", "fan", "gasket", "filter"}, []float64{1, 1, 1, 1})
			calls = append(calls, event{day: d + day.Day(after), reason: judge.CallOut, forced: true, parts: part})
		}
	}
	return calls
}

// closeJumps notes when each jump was set right.
func (s *simulation) closeJumps() {
	for i := range s.u.jumps {
		j := &s.u.jumps[i]
		for _, e := range s.u.Epochs[first] {
			if e.day >= j.Day {
				j.Repaired = e.day
				break
			}
		}
	}
	s.t.Jumps = append(s.t.Jumps, s.u.jumps...)
}

// startOld gives a unit older than the records a level to begin with.
func (s *simulation) startOld() {
	for fire, p := range s.paths {
		day := s.t.from - 400
		p.set(day, 10, 0)
		target := s.u.Line.targetCO2(s.u.FuelOn(day), fire, s.t.from)
		e := &s.u.Epochs[fire][0]
		e.level = target + s.u.startLevel[fire] - p.Above(*e, s.t.from, 10)
	}
}

// FactoryAirC is the air on the factory's bench, degC.
const FactoryAirC = 20

// factory sets a new unit on the bench, on a short run.
func (s *simulation) factory() {
	u := s.u
	v := &Visit{
		Day: u.FactoryDay, Minute: -1, Reason: judge.FactoryTest, analyzer: s.t.bench(u.FactoryDay),
		adjusted: true, OutdoorC: math.NaN(), airC: FactoryAirC, setting: u.FuelOn(u.FactoryDay),
	}
	for fire := range s.paths {
		s.setFire(v, fire, s.target(fire, v.Day)+0.5*s.t.world.SetSD*s.r.NormFloat64())
	}
	u.visits = append(u.visits, v)
}

func (s *simulation) target(fire int, day day.Day) float64 {
	return s.u.Line.targetCO2(s.u.FuelOn(day), fire, day)
}

// planned returns start-up, annual visits, and those of alterations.
func (s *simulation) planned() []event {
	u, end := s.u, s.u.end(s.t.Options.AsOf)
	var events []event
	if u.FactoryDay != day.None {
		events = append(events, event{day: u.Installed, reason: judge.StartUp})
	}
	for y := yearOf(s.t.from); y <= yearOf(end); y++ {
		d := day.Of(y, 1, 1) + day.Day(u.serviceDay) + day.Day(25*s.r.NormFloat64())
		missed := s.r.Float64() < s.t.world.MissedShare || u.Contract == "call" && (y+u.index)%2 == 0
		if !missed && d > s.t.from && d < end && (d > u.Installed+150 || u.FactoryDay == day.None && d > u.Installed) {
			events = append(events, event{day: d, reason: judge.Annual})
		}
	}
	for _, v := range u.Runs[1:] {
		if v.RecordedFrom != day.None || s.r.Float64() < 0.5 {
			events = append(events, event{day: v.From, reason: judge.VentAltered})
		}
	}
	for _, p := range u.fuels[1:] {
		events = append(events, event{day: p.from, reason: judge.FuelConversion, forced: true})
	}
	return events
}

// live sends technicians: the planned events in order, and each month perhaps
// a call-out where the unit is far off.
func (s *simulation) live(events []event) {
	slices.SortStableFunc(events, func(a, b event) int { return cmp.Compare(a.day, b.day) })
	end, last := s.u.end(s.t.Options.AsOf), s.t.from-1
	do := func(e event) {
		if e.day < last+6 && !e.forced || e.day <= last || e.day < s.u.Installed || e.day >= end {
			return
		}
		s.send(e)
		last = e.day
	}
	next := 0
	for _, month := range monthly(s.t.from, end) {
		for next < len(events) && events[next].day < month {
			do(events[next])
			next++
		}
		luck, day := s.r.Float64(), month+day.Day(s.r.IntN(27))
		if luck < s.t.world.CallOutsPerYear/12 && day >= s.u.Installed && day > last && day < end && s.worst(day) > 0.3 {
			do(event{day: day, reason: judge.CallOut})
		}
	}
	for _, e := range events[next:] {
		do(e)
	}
}

// worst returns the largest true deviation of any fire on a day, in points.
func (s *simulation) worst(day day.Day) float64 {
	air := s.t.ExpectedAirC(s.u.index, day)
	most := 0.0
	for fire, p := range s.paths {
		most = math.Max(most, math.Abs(p.CO2(day, air)-s.target(fire, day)))
	}
	return most
}
