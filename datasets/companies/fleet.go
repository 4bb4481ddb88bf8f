package companies

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"fluedrift/model/combustion"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// house is what a company's fleet is made of.
type house struct {
	seed           uint64
	units          int
	from, until    day.Day // of the records
	id, second     func(i int) string
	models         []model
	sites, areas   []string
	places         []string // of a site, after its name
	materials      []string
	technicians    []string
	analyzers      []string
	callOuts       float64 // a year
	propane, spare float64 // shares of the fleet
}

// model is a model line: its input and what its instructions ask for on natural gas.
type model struct {
	line      string
	inputKW   float64
	high, low float64 // points of CO2
}

// propaneCO2 is how much more CO2 the instructions ask for on propane, points; common
// practice, no source.
const propaneCO2 = 1.0

// visit is a day's work at a boiler, before somebody writes it down.
type visit struct {
	number               int
	boiler               int
	day                  day.Day
	minute               int
	reason               judge.Reason
	technician, analyzer string
	adjusted             bool
	part                 string // replaced; "" for none
	readings             []Reading
	air                  float64
}

// fleet is a company's boilers and what was done to them, in order of days.
type fleet struct {
	boilers      []Boiler
	visits       []visit
	calibrations []Calibration
	bias         map[string]float64 // of an analyzer, points of CO2
}

// Kinds of random streams.
const (
	ofUnit uint64 = iota + 1
	ofVisits
	ofAnalyzer
	ofTyping
	ofRegister
	ofTickets
)

// build invents a fleet.
func (h *house) build() fleet {
	f := fleet{bias: map[string]float64{}}
	h.calibrate(&f)
	for i := range h.units {
		f.boilers = append(f.boilers, h.boiler(i))
		f.visits = append(f.visits, h.history(&f, i)...)
	}
	slices.SortStableFunc(f.visits, func(a, b visit) int { return cmp.Compare(a.day, b.day) })
	for i := range f.visits {
		f.visits[i].number = i + 1
	}
	return f
}

// boiler invents one boiler; three or so stand at a site.
func (h *house) boiler(i int) Boiler {
	r, site := stream(h.seed, ofUnit, uint64(i)), stream(h.seed, ofUnit, uint64(1000+i/3))
	m := one(r, h.models)
	b := Boiler{
		ID: h.id(i), SecondID: h.second(i), ModelLine: m.line, InputKW: m.inputKW, Fuel: "natural gas",
		Site: one(site, h.sites) + " " + one(site, h.places), Area: h.areas[(i/3)%len(h.areas)],
		Removed: day.None, Material: one(r, h.materials), Elbows90: 1 + r.IntN(5),
		VentDiameterM: one(r, []float64{0.08, 0.1, 0.125, 0.16, 0.2}), VentLengthM: round(2+13*r.Float64(), 1),
	}
	b.Installed = h.from - day.Day(r.IntN(10*365))
	if r.Float64() < 0.1 {
		b.Installed = h.from + day.Day(r.IntN(3*365))
	}
	if site.Float64() < h.propane {
		b.Fuel = "propane"
	}
	b.Standby, b.Sealed = r.Float64() < h.spare, r.Float64() < 0.8
	if r.Float64() < 0.06 {
		b.Removed = h.until - day.Day(30+r.IntN(900))
	}
	return b
}

// target is what the instructions of a boiler ask for, points of CO2.
func (h *house) target(b *Boiler, fire judge.Fire) float64 {
	for _, m := range h.models {
		if m.line != b.ModelLine {
			continue
		}
		t := m.high
		if fire == judge.Low {
			t = m.low
		}
		if b.Fuel == "propane" {
			t += propaneCO2
		}
		return t
	}
	return math.NaN()
}

// targets lists what the instructions ask for.
func (h *house) targets() []Target {
	var all []Target
	for _, m := range h.models {
		all = append(
			all,
			Target{m.line, "natural gas", m.high, m.low},
			Target{m.line, "propane", round(m.high+propaneCO2, 2), round(m.low+propaneCO2, 2)},
		)
	}
	return all
}

// calibrate gives every analyzer its error and its calibrations: one in spring, and what
// it finds is put right.
func (h *house) calibrate(f *fleet) {
	for i, a := range h.analyzers {
		r := stream(h.seed, ofAnalyzer, uint64(i))
		f.bias[a] = 0.05 * r.NormFloat64()
		for year := h.from.Year(); year <= h.until.Year(); year++ {
			d := day.Of(year, 3, 1+r.IntN(40))
			if d < h.from || d > h.until {
				continue
			}
			found := round(f.bias[a]+0.05*r.NormFloat64(), 1)
			f.calibrations = append(f.calibrations, Calibration{a, d, found})
		}
	}
}

// history invents the visits of a boiler: a start-up where it was installed within the
// records, a test a year, and call-outs.
func (h *house) history(f *fleet, i int) []visit {
	r, b := stream(h.seed, ofVisits, uint64(i)), &f.boilers[i]
	now := course{r: r, offset: 0.1 * r.NormFloat64(), rate: 0.08 * r.NormFloat64(), since: b.Installed}
	var all []visit
	add := func(d day.Day, reason judge.Reason) {
		if d >= max(h.from, b.Installed) && d < h.until && (b.Removed == day.None || d < b.Removed) {
			all = append(all, h.visit(f, i, &now, d, reason))
		}
	}
	if b.Installed >= h.from {
		add(b.Installed+day.Day(r.IntN(5)), judge.StartUp)
	}
	month := r.IntN(12)
	for d := h.from + day.Day(30*month); d < h.until; d += day.Day(330 + r.IntN(70)) {
		add(d, judge.Annual)
		if r.Float64() < h.callOuts {
			add(d+day.Day(40+r.IntN(200)), judge.CallOut)
		}
	}
	return all
}

// course is where a burner's setting stands: points of CO2 off its target.
type course struct {
	r            *rand.Rand
	offset, rate float64
	since        day.Day
}

// visit invents a visit: both fires as found, and again as left where the burner was
// put right.
func (h *house) visit(f *fleet, i int, now *course, d day.Day, reason judge.Reason) visit {
	r, b := now.r, &f.boilers[i]
	if d > now.since {
		now.offset += now.rate*float64(d-now.since)/365.25 + 0.05*r.NormFloat64()
		now.since = d
	}
	who := (i/3 + r.IntN(2)) % len(h.technicians)
	v := visit{
		boiler: i, day: workday(d), minute: 8*60 + 5*r.IntN(96), reason: reason,
		technician: h.technicians[who], analyzer: h.analyzers[who%len(h.analyzers)],
		air: round(17+6*math.Cos(2*math.Pi*float64(d%365-200)/365)+2*r.NormFloat64(), 0),
	}
	if reason == judge.CallOut && r.Float64() < 0.5 {
		v.part = one(r, []string{"igniter", "gas valve", "fan", "sensor"})
	}
	bias := f.bias[v.analyzer]
	measure := func(c judge.Condition) {
		for _, fire := range []judge.Fire{judge.High, judge.Low} {
			v.readings = append(v.readings, h.reading(b, now, &v, fire, c, bias))
		}
	}
	measure(judge.AsFound)
	v.adjusted = math.Abs(now.offset) > 0.25 || reason == judge.StartUp
	if v.adjusted {
		now.offset = 0.06 * r.NormFloat64()
		measure(judge.AsLeft)
	}
	return v
}

// co2Max of dry flue gas, points: the usual settings of an analyzer; from memory.
var co2Max = map[string]float64{"natural gas": 11.7, "propane": 13.7}

// reading measures a fire, as an analyzer shows it: CO2 computed from O2.
func (h *house) reading(b *Boiler, now *course, v *visit, fire judge.Fire, c judge.Condition, bias float64) Reading {
	gas := combustion.Fuel{Name: b.Fuel, CO2MaxPercent: co2Max[b.Fuel], Air: 20.9}
	co2 := round(h.target(b, fire)+now.offset+bias+0.06*now.r.NormFloat64(), 1)
	flue := 62.0
	if fire == judge.Low {
		flue = 48
	}
	return Reading{
		ID: b.ID, Day: v.day, Fire: fire, Condition: c, CO2: co2, O2: round(gas.O2FromCO2(co2), 1),
		COPPM: math.Round(18 * math.Exp(0.6*now.r.NormFloat64())), COBasis: "as measured",
		Flue: round(flue+4*now.r.NormFloat64(), 1), Air: v.air,
	}
}

// at gives the reading of a fire and condition, nil where there is none.
func (v *visit) at(fire judge.Fire, c judge.Condition) *Reading {
	for i := range v.readings {
		if r := &v.readings[i]; r.Fire == fire && r.Condition == c {
			return r
		}
	}
	return nil
}

// workday moves a Saturday and a Sunday to the Monday after.
func workday(d day.Day) day.Day {
	switch d.Time().Weekday() {
	case 6:
		return d + 2
	case 0:
		return d + 1
	default:
		return d
	}
}

// misspell writes an id of the shape "AA 0000" as people do who know which boiler is
// meant: without its mark or its leading zeros, in small letters, with a blank behind.
func misspell(r *rand.Rand, letters, mark string, number, wide int) string {
	switch r.IntN(5) {
	case 0:
		return fmt.Sprintf("%s%0*d", letters, wide, number)
	case 1:
		return fmt.Sprintf("%s%s%d", letters, mark, number)
	case 2:
		return fmt.Sprintf("%s%d", letters, number)
	case 3:
		return fmt.Sprintf("%s%s%0*d", strings.ToLower(letters), mark, wide, number)
	default:
		return fmt.Sprintf("%s%s%0*d ", letters, mark, wide, number)
	}
}
