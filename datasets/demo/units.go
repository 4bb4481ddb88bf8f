package demo

import (
	"fmt"
	"math"
	"math/rand/v2"
)

const (
	metresPerFoot = 0.3048    // exact, NIST SP 811
	metresPerInch = 0.0254    // exact, NIST SP 811
	kWPerMBH      = 0.2930711 // 1000 Btu/h (IT), NIST SP 811
	paPerInWC     = 249.0889  // conventional inch of water, NIST SP 811
)

// Equivalent lengths of elbows in VentCovariate, m. Invented, of the order of
// what instructions allow.
const (
	Elbow90M = 1.5
	Elbow45M = 0.75
)

// lastExport is how many days before the as-of day the offices exported last.
const lastExport = 2

// site is one place with units.
type site struct {
	index, area    int
	name           string
	units          []*unit
	plant          string // "" where units share nothing
	common         string // vent | intake | sequence
	altitudeM      float64
	latitude       float64
	longitude      float64
	climateOffsetC float64
}

// run is a unit's vent from a day on.
type run struct {
	from, recordedFrom int32 // recordedFrom: as the register says, noDay where it does not
	lengthFt, riseFt   float64
	diameterIn         float64
	elbows90, elbows45 int
	terminal, material string
	airFrom            string
	intakeFt, intakeIn float64
	intake90, intake45 int
	recordedFt         float64 // as registered; NaN where missing
	z                  float64
}

// fuelPeriod is a unit's true fuel from a day on.
type fuelPeriod struct {
	from, recordedFrom int32
	fuel               string
}

// unit is one boiler with its truth.
type unit struct {
	index      int
	serial     string
	site       *site
	movedTo    *site // later site, nil where it stays
	movedOn    int32
	line       *modelLine
	lineText   string // as registered
	inputMBH   int
	installed  int32
	state      string
	stateFrom  int32
	contract   string
	serviceDay int // day of the year of the annual visit
	runs       []run
	fuels      []fuelPeriod
	wrongLabel bool
	factoryDay int32
	startLevel [2]float64 // deviation at the start of records of older units
	slope      [2]float64
	coBase     [2]float64
	coFrom     int32 // day from which the burner makes CO, noDay
	coTimes    float64
	flueC      [2]float64
	supplyPa   float64
	epochs     [2][]epoch
	jumps      []Jump
	visits     []*visit

	lastRecorded int32 // day of the last visit on record, noDay without one
}

// end returns the first day on which nobody tests the unit any more: removed,
// or past the last export.
func (u *unit) end(asOf int32) int32 {
	if u.state == "removed" {
		return min(u.stateFrom, asOf-lastExport)
	}
	return asOf - lastExport
}

// siteOn returns where the unit stands on a day.
func (u *unit) siteOn(day int32) *site {
	if u.movedTo != nil && day >= u.movedOn {
		return u.movedTo
	}
	return u.site
}

// runOn returns the vent run on a day; the first reaches back.
func (u *unit) runOn(day int32) *run {
	r := &u.runs[0]
	for i := range u.runs[1:] {
		if u.runs[i+1].from <= day {
			r = &u.runs[i+1]
		}
	}
	return r
}

// fuelOn returns the fuel truly burnt on a day.
func (u *unit) fuelOn(day int32) string {
	name := u.fuels[0].fuel
	for _, p := range u.fuels[1:] {
		if p.from <= day {
			name = p.fuel
		}
	}
	return name
}

// labelOf returns the fuel the register gives where the true one is burnt.
func (u *unit) labelOf(fuel string) string {
	if u.wrongLabel {
		return otherFuel(fuel)
	}
	return fuel
}

// office returns which office keeps the unit's records.
func (u *unit) office() int { return u.site.area % 3 }

// makeSites invents sites until there are enough units.
func (f *Fleet) makeSites() {
	for n := 0; len(f.units) < f.opt.Units; n++ {
		r := f.stream(kindSite, uint64(n))
		s := &site{index: n, area: n%3 + 3*(n/120), name: siteName(n, r),
			altitudeM: math.Round(20 + 400*r.Float64()*r.Float64()), latitude: round(44+2*r.Float64(), 4), longitude: round(-38+3*r.Float64(), 4)}
		s.climateOffsetC = f.world.SiteClimateSD * r.NormFloat64()
		count := pick(r.Float64(), []int{1, 2, 3, 4}, []float64{0.6, 0.22, 0.12, 0.06})
		shared, kind := r.Float64() < 0.5, r.Float64()
		if count > 1 && shared {
			s.plant = fmt.Sprintf("P%04d", n+1)
			s.common = pick(kind, []string{"vent", "intake", "sequence"}, []float64{0.6, 0.2, 0.2})
		}
		f.sites = append(f.sites, s)
		for i := 0; i < count && len(f.units) < f.opt.Units; i++ {
			u := f.makeUnit(len(f.units), s)
			f.units = append(f.units, u)
			s.units = append(s.units, u)
		}
	}
	f.makeVents()
}

// makeUnit invents one boiler at a site; units of a plant are alike.
func (f *Fleet) makeUnit(index int, s *site) *unit {
	r := f.stream(kindUnit, uint64(index))
	u := &unit{index: index, site: s, serial: serial(index, r), movedOn: noDay, coFrom: noDay, factoryDay: noDay, stateFrom: noDay}
	weights := make([]float64, len(f.lines))
	for i := range f.lines {
		weights[i] = f.lines[i].weight
	}
	refs := make([]*modelLine, len(f.lines))
	for i := range f.lines {
		refs[i] = &f.lines[i]
	}
	u.line = pick(r.Float64(), refs, weights)
	u.inputMBH = u.line.inputsMBH[r.IntN(len(u.line.inputsMBH))]
	age := r.Float64()
	onLP := r.Float64() < 0.18
	if len(s.units) > 0 && s.plant != "" {
		u.line, u.inputMBH = s.units[0].line, s.units[0].inputMBH
	}
	fuel := naturalGas.Name
	if onLP && !u.line.noPropane {
		fuel = propane.Name
	}
	if len(s.units) > 0 {
		fuel = s.units[0].fuels[0].fuel
		if u.line.noPropane {
			fuel = naturalGas.Name
		}
	}
	u.fuels = []fuelPeriod{{from: noDay, recordedFrom: noDay, fuel: fuel}}
	span := float64(f.opt.AsOf - f.from)
	if age < 0.4 { // older than the records
		u.installed = f.from - int32(age/0.4*8*daysPerYear) - 30
	} else {
		u.installed = f.from + 30 + int32((age-0.4)/0.6*(span*0.96-60))
		u.factoryDay = u.installed - 25 - int32(r.IntN(90))
	}
	u.contract = pick(r.Float64(), []string{"full", "parts", "call"}, []float64{0.5, 0.3, 0.2})
	u.serviceDay = pick(r.Float64(), []int{270, 120, 20}, []float64{0.7, 0.22, 0.08}) + r.IntN(75) - 37
	if f.world.Autumn {
		u.serviceDay = 270 + u.serviceDay%41 - 20
	}
	u.state = pick(r.Float64(), []string{"in service", "standby", "off for the season", "isolated", "removed"}, []float64{0.955, 0.015, 0.01, 0.01, 0.01})
	if u.state != "in service" {
		u.stateFrom = max(u.installed+200, f.opt.AsOf-30-int32(r.IntN(600)))
	}
	u.supplyPa = map[string]float64{naturalGas.Name: 7, propane.Name: 11}[fuel]*paPerInWC + 60*r.NormFloat64()
	u.lineText = u.line.name
	if f.draw(kindLine, uint64(index)) < f.world.Faults.NoModelLine {
		u.lineText = ""
	}
	f.giveCharacter(u, r)
	return u
}

// giveCharacter draws what makes a unit differ from its like.
func (f *Fleet) giveCharacter(u *unit, r *rand.Rand) {
	s := f.stream(kindSlope, uint64(u.index))
	common := s.NormFloat64()
	for fire := range 2 {
		own := s.NormFloat64()
		c := f.world.FireShare
		u.slope[fire] = f.world.SlopeSD * (math.Sqrt(c)*common + math.Sqrt(1-c)*own)
		u.startLevel[fire] = 0.12 * s.NormFloat64()
		u.coBase[fire] = math.Exp(2.9 + 0.45*s.NormFloat64())
	}
	hot := 0.0
	if u.line.control != "ratio" {
		hot = 70 // not condensing
	}
	u.flueC = [2]float64{62 + hot + 6*r.NormFloat64(), 50 + 0.7*hot + 4*r.NormFloat64()}
	co := f.stream(kindCOFault, uint64(u.index))
	if co.Float64() < f.world.COHighShare {
		u.coFrom = f.opt.AsOf - int32(co.IntN(730))
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
