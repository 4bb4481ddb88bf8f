package demo

import (
	"fmt"
	"math"
	"math/rand/v2"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

const (
	MetresPerFoot = 0.3048    // exact, NIST SP 811
	MetresPerInch = 0.0254    // exact, NIST SP 811
	KWPerMBH      = 0.2930711 // 1000 Btu/h (IT), NIST SP 811
	PaPerInWC     = 249.0889  // conventional inch of water, NIST SP 811
)

// Equivalent lengths of elbows in VentCovariate, m. Invented, of the order of
// what instructions allow.
const (
	Elbow90M = 1.5
	Elbow45M = 0.75
)

// lastExport is how many days before the as-of day the offices exported last.
const lastExport = 2

// Site is one place with units.
type Site struct {
	index, Area    int
	Name           string
	units          []*Unit
	Plant          string // "" where units share nothing
	common         string // vent | intake | sequence
	AltitudeM      float64
	Latitude       float64
	Longitude      float64
	climateOffsetC float64
}

// Run is a unit's vent from a day on.
type Run struct {
	From, RecordedFrom day.Day // recordedFrom: as the register says, day.None where it does not
	lengthFt, RiseFt   float64
	DiameterIn         float64
	Elbows90, Elbows45 int
	Terminal, Material string
	AirFrom            string
	IntakeFt, IntakeIn float64
	Intake90, Intake45 int
	RecordedFt         float64 // as registered; NaN where missing
	Z                  float64
}

// fuelPeriod is a unit's true fuel from a day on.
type fuelPeriod struct {
	from, recordedFrom day.Day
	fuel               string
}

// Unit is one boiler with its truth.
type Unit struct {
	index      int
	Serial     string
	site       *Site
	movedTo    *Site // later site, nil where it stays
	movedOn    day.Day
	Line       *ModelLine
	LineText   string // as registered
	InputMBH   int
	Installed  day.Day
	State      judge.State
	StateFrom  day.Day
	Contract   string
	serviceDay int // day of the year of the annual visit
	Runs       []Run
	fuels      []fuelPeriod
	WrongLabel bool
	FactoryDay day.Day
	startLevel [2]float64 // deviation at the start of records of older units
	Slope      [2]float64
	coBase     [2]float64
	coFrom     day.Day // day from which the burner makes CO, day.None
	coTimes    float64
	flueC      [2]float64
	supplyPa   float64
	Epochs     [2][]Epoch
	jumps      []Jump
	visits     []*Visit

	LastRecorded day.Day // day of the last visit on record, day.None without one
}

// end returns the first day on which nobody tests the unit any more: removed,
// or past the last export.
func (u *Unit) end(asOf day.Day) day.Day {
	if u.State == judge.Removed {
		return min(u.StateFrom, asOf-lastExport)
	}
	return asOf - lastExport
}

// SiteOn returns where the unit stands on a day.
func (u *Unit) SiteOn(day day.Day) *Site {
	if u.movedTo != nil && day >= u.movedOn {
		return u.movedTo
	}
	return u.site
}

// runOn returns the vent run on a day; the first reaches back.
func (u *Unit) runOn(day day.Day) *Run {
	r := &u.Runs[0]
	for i := range u.Runs[1:] {
		if u.Runs[i+1].From <= day {
			r = &u.Runs[i+1]
		}
	}
	return r
}

// FuelOn returns the fuel truly burnt on a day.
func (u *Unit) FuelOn(day day.Day) string {
	name := u.fuels[0].fuel
	for _, p := range u.fuels[1:] {
		if p.from <= day {
			name = p.fuel
		}
	}
	return name
}

// FireIndex returns the index of a fire, -1 for one the unit has not.
func (u *Unit) FireIndex(name judge.Fire) int {
	for k := range u.Line.Fires() {
		if u.Line.FireName(k) == name {
			return k
		}
	}
	return -1
}

// labelOf returns the fuel the register gives where the true one is burnt.
func (u *Unit) labelOf(fuel string) string {
	if u.WrongLabel {
		return otherFuel(fuel)
	}
	return fuel
}

// office returns which office keeps the unit's records.
func (u *Unit) office() int { return u.site.Area % 3 }

// estate is what stands in the field: model lines, sites and units with their
// vents.
type estate struct {
	*ground
	Units []*Unit // in the order of invention

	lines []ModelLine
	sites []*Site

	firstSite, untilSite int // half-open
	unitsBefore          int // at the sites before
}

// unit returns the unit with a number.
func (e *estate) unit(number int) *Unit { return e.Units[number-e.unitsBefore] }

// full reports whether the estate has every unit that the options ask for.
func (e *estate) full() bool { return e.unitsBefore+len(e.Units) >= e.Options.Units }

// makeSites invents sites until there are enough units, or enough sites.
func (e *estate) makeSites() {
	for n := e.firstSite; n < e.untilSite && !e.full(); n++ {
		r := e.stream(kindSite, uint64(n))
		s := &Site{
			index: n, Area: n%3 + 3*(n/120), Name: siteName(n, r),
			AltitudeM: math.Round(20 + 400*r.Float64()*r.Float64()), Latitude: round(44+2*r.Float64(), 4),
			Longitude: round(-38+3*r.Float64(), 4),
		}
		s.climateOffsetC = e.world.SiteClimateSD * r.NormFloat64()
		count := pick(r.Float64(), []int{1, 2, 3, 4}, []float64{0.6, 0.22, 0.12, 0.06})
		shared, kind := r.Float64() < 0.5, r.Float64()
		if count > 1 && shared {
			s.Plant = fmt.Sprintf("P%04d", n+1)
			s.common = pick(kind, []string{"vent", "intake", "sequence"}, []float64{0.6, 0.2, 0.2})
		}
		e.sites = append(e.sites, s)
		for i := 0; i < count && !e.full(); i++ {
			u := e.makeUnit(e.unitsBefore+len(e.Units), s)
			e.Units = append(e.Units, u)
			s.units = append(s.units, u)
		}
	}
	e.makeVents()
}

// makeUnit invents one boiler at a site; units of a plant are alike.
func (e *estate) makeUnit(index int, s *Site) *Unit {
	r := e.stream(kindUnit, uint64(index))
	u := &Unit{index: index, site: s, Serial: serial(index, r), movedOn: day.None, coFrom: day.None, FactoryDay: day.None, StateFrom: day.None}
	weights := make([]float64, len(e.lines))
	for i := range e.lines {
		weights[i] = e.lines[i].weight
	}
	refs := make([]*ModelLine, len(e.lines))
	for i := range e.lines {
		refs[i] = &e.lines[i]
	}
	u.Line = pick(r.Float64(), refs, weights)
	u.InputMBH = u.Line.inputsMBH[r.IntN(len(u.Line.inputsMBH))]
	age := r.Float64()
	onLP := r.Float64() < 0.18
	if len(s.units) > 0 && s.Plant != "" {
		u.Line, u.InputMBH = s.units[0].Line, s.units[0].InputMBH
	}
	fuel := naturalGas.Name
	if onLP && !u.Line.NoPropane {
		fuel = Propane.Name
	}
	if len(s.units) > 0 {
		fuel = s.units[0].fuels[0].fuel
		if u.Line.NoPropane {
			fuel = naturalGas.Name
		}
	}
	u.fuels = []fuelPeriod{{from: day.None, recordedFrom: day.None, fuel: fuel}}
	span := float64(e.Options.AsOf - e.from)
	if age < 0.4 { // older than the records
		u.Installed = e.from - day.Day(age/0.4*8*daysPerYear) - 30
	} else {
		u.Installed = e.from + 30 + day.Day((age-0.4)/0.6*(span*0.96-60))
		u.FactoryDay = u.Installed - 25 - day.Day(r.IntN(90))
	}
	u.Contract = pick(r.Float64(), []string{"full", "parts", "call"}, []float64{0.5, 0.3, 0.2})
	u.serviceDay = pick(r.Float64(), []int{270, 120, 20}, []float64{0.7, 0.22, 0.08}) + r.IntN(75) - 37
	if e.world.Autumn {
		u.serviceDay = 270 + u.serviceDay%41 - 20
	}
	u.State = pick(r.Float64(), []judge.State{judge.InService, judge.Standby, judge.OffForTheSeason, judge.Isolated, judge.Removed},
		[]float64{0.955, 0.015, 0.01, 0.01, 0.01})
	if u.State != judge.InService {
		u.StateFrom = max(u.Installed+200, e.Options.AsOf-30-day.Day(r.IntN(600)))
	}
	u.supplyPa = map[string]float64{naturalGas.Name: 7, Propane.Name: 11}[fuel]*PaPerInWC + 60*r.NormFloat64()
	u.LineText = u.Line.Name
	if e.draw(kindLine, uint64(index)) < e.world.Faults.NoModelLine {
		u.LineText = ""
	}
	e.giveCharacter(u, r)
	return u
}

// giveCharacter draws what makes a unit differ from its like.
func (e *estate) giveCharacter(u *Unit, r *rand.Rand) {
	s := e.stream(kindSlope, uint64(u.index))
	common := s.NormFloat64()
	for fire := range 2 {
		own := s.NormFloat64()
		c := e.world.FireShare
		u.Slope[fire] = e.world.SlopeSD * (math.Sqrt(c)*common + math.Sqrt(1-c)*own)
		u.startLevel[fire] = 0.12 * s.NormFloat64()
		u.coBase[fire] = math.Exp(2.9 + 0.45*s.NormFloat64())
	}
	hot := 0.0
	if u.Line.Control != judge.ControlRatio {
		hot = 70 // not condensing
	}
	u.flueC = [2]float64{62 + hot + 6*r.NormFloat64(), 50 + 0.7*hot + 4*r.NormFloat64()}
	co := e.stream(kindCOFault, uint64(u.index))
	if co.Float64() < e.world.COHighShare {
		u.coFrom = e.Options.AsOf - day.Day(co.IntN(730))
		u.coTimes = pick(co.Float64(), []float64{9, 45}, []float64{0.6, 0.4}) * (0.8 + 0.4*co.Float64())
	}
}

// serial invents a serial in one of three styles. None ends in 9, so that a
// serial with a last digit 9 belongs to nobody.
func serial(index int, r *rand.Rand) string {
	style, jump, last := r.Float64(), r.IntN(7), r.IntN(8)
	n := index*7 + jump
	switch {
	case style < 0.45:
		return fmt.Sprintf("7001%07d%d", 3100000+n, last)
	case style < 0.8:
		return fmt.Sprintf("KB-%06d-%c%d", n, 'A'+rune(last), last)
	}
	return fmt.Sprintf("00%06d%d", 310000+n, last)
}
