package judge

import (
	"math"
	"slices"
	"sort"
)

// usualLeast is how many visits must show a quantity before a reading is compared with
// what is usual (common practice, no source): with three others the middle does not follow
// the one in question.
const usualLeast = 4

// usual is the middle of what a fire of a unit shows; NaN where fewer than
// usualLeast visits show it.
type usual struct {
	deviation  float64 // CO2 against target, points
	flueC      float64
	flueSpread float64 // median distance of the flue temperature from its middle
	warmer     float64 // air above outdoor, K
	rate       float64
}

// usualOf takes the middles of a series. Values taken between do not count, nor
// does a factory test, nor a gas that is already known to be wrong.
func (c *checker) usualOf(s *series) usual {
	u := usual{deviation: math.NaN(), flueC: math.NaN(), flueSpread: math.NaN(), warmer: math.NaN(), rate: math.NaN()}
	if s.visits() < usualLeast {
		return u
	}
	h := c.h
	u.deviation = c.middle(s, func(i int) float64 {
		if c.wrong[i] {
			return math.NaN()
		}
		return c.r.Deviation(&h.Readings[i])
	})
	u.flueC = c.middle(s, func(i int) float64 { return h.Readings[i].FlueTempC })
	u.flueSpread = c.middle(s, func(i int) float64 { return math.Abs(h.Readings[i].FlueTempC - u.flueC) })
	u.warmer = c.middle(s, c.warmer)
	u.rate = c.middle(s, func(i int) float64 { return h.Readings[i].RatePercent })
	return u
}

// warmer returns by how many K the air of a reading is above outdoor.
func (c *checker) warmer(i int) float64 {
	x := &c.h.Readings[i]
	return x.AirTempC - c.h.Visits[x.Visit].OutdoorTempC
}

// middle returns the median of a quantity over a series; NaN where fewer than
// usualLeast visits show it.
func (c *checker) middle(s *series, of func(i int) float64) float64 {
	values := c.scratch[:0]
	visits, last := 0, -1
	for _, i := range s.order {
		x := &c.h.Readings[i]
		if x.Condition == Between || c.h.Visits[x.Visit].Reason == FactoryTest {
			continue
		}
		v := of(i)
		if math.IsNaN(v) {
			continue
		}
		values = append(values, v)
		if x.Visit != last {
			visits, last = visits+1, x.Visit
		}
	}
	c.scratch = values
	if visits < usualLeast {
		return math.NaN()
	}
	sort.Float64s(values)
	n := len(values)
	return (values[(n-1)/2] + values[n/2]) / 2
}

// usualCheck finds readings away from what the unit shows as a rule.
type usualCheck struct{ *checker }

// againstUsual holds each reading of a fire against what the unit shows there
// and against what it says of itself.
func (c usualCheck) againstUsual(s *series) {
	for _, i := range s.order {
		x := &c.h.Readings[i]
		if x.Condition == Between || c.h.Visits[x.Visit].Reason == FactoryTest {
			continue
		}
		c.otherGas(s, i, x)
		c.lowRate(s, i, x)
		c.early(s, i, x)
		c.flueUnit(s, i, x)
		c.roomProbe(s, i, x)
	}
}

// otherGasNear is how near to its usual place a gas must come when taken for
// the other one, points of CO2 (our choice).
const otherGasNear = 0.7

// otherGas finds O2 typed as CO2, or CO2 as O2, where only one of them is
// recorded: far off target as it stands, and near the unit's usual deviation
// when taken for the other. Near CO2 = O2 (7.5 on natural gas) nothing shows.
func (c usualCheck) otherGas(s *series, i int, x *Reading) {
	fuel := c.r.Fuels[x.Fuel]
	if c.wrong[i] || math.IsNaN(s.usual.deviation) || math.IsNaN(x.CO2Percent) == math.IsNaN(x.O2Percent) || !fuel.Declared() {
		return
	}
	y := *x
	y.CO2Percent, y.O2Percent = x.O2Percent, x.CO2Percent
	stands, meant := c.r.Deviation(x)-s.usual.deviation, c.r.Deviation(&y)-s.usual.deviation
	if !(math.Abs(stands) > c.r.OtherGasPoints) || !(math.Abs(meant) < otherGasNear) {
		return
	}
	c.lower(i, Marked)
	c.add(s, Finding{Kind: OtherGas, Readings: []int{i}, Facts: OffUsual{Points: math.Abs(stands)}})
}

// lowRate finds a reading called high fire at a rate that is not. Where the
// unit's high fire stands at such a rate as a rule it is marked only.
func (c usualCheck) lowRate(s *series, i int, x *Reading) {
	if x.Fire != High || !(x.RatePercent > 0 && x.RatePercent < c.r.HighRatePercent-hair) {
		return
	}
	use, asARule := LeftOut, s.usual.rate < c.r.HighRatePercent
	if asARule {
		use = Marked
	}
	c.lower(i, use)
	c.add(s, Finding{Kind: LowRate, Readings: []int{i}, Facts: NotHigh{FromPercent: c.r.HighRatePercent, AsARule: asARule}})
}

// early finds readings taken before the unit was warm: less than WarmUpMinutes of firing
// on record, or a flue far below what the unit shows at this fire. The latter may as well
// be air in the sample, which O2 and CO2 together do not show. What was left stays the
// unit's state, because there is none better. Zero minutes are taken for not recorded:
// nothing burns then.
func (c usualCheck) early(s *series, i int, x *Reading) {
	var facts Facts
	switch cold := math.Max(25, 0.35*s.usual.flueC); {
	case x.MinutesFiring > 0 && x.MinutesFiring < c.r.WarmUpMinutes:
		facts = TooSoon{LeastMinutes: c.r.WarmUpMinutes}
	case x.FlueTempC < s.usual.flueC-cold:
		facts = ColdFlue{UsualC: s.usual.flueC}
	default:
		return
	}
	use := LeftOut
	if x.Condition == AsLeft && c.flag(i) != No {
		use = StateOnly
	}
	c.lower(i, use)
	c.add(s, Finding{Kind: EarlyReading, Readings: []int{i}, Facts: facts})
}

// flueUnit finds a flue temperature that is the unit's usual one in degF, and
// one below the air's. CO2 is none the worse for it; but the air was probably
// written in the same unit, so that the reading stays out of the fit.
func (c usualCheck) flueUnit(s *series, i int, x *Reading) {
	inF := 1.8*s.usual.flueC + 32
	near := math.Max(12, 0.15*(inF-s.usual.flueC))
	var facts Facts
	switch {
	case s.usual.flueC > 0 && math.Abs(x.FlueTempC-inF) <= near:
		facts = InFahrenheit{UsualC: s.usual.flueC}
	case x.FlueTempC < x.AirTempC-flueBelowAirK:
		facts = FlueBelowAir{}
	default:
		return
	}
	c.lower(i, StateOnly)
	c.add(s, Finding{Kind: TempUnit, Readings: []int{i}, Facts: facts})
}

// flueBelowAirK is how far a flue must be below the air to be impossible, so
// that a burner just started is not (our choice).
const flueBelowAirK = 3

// AtRoom is where a probe may have been that should be at the intake.
const AtRoom = "room"

// roomProbe finds air measured in the room at a unit that draws it from
// outdoors: recorded so, or much warmer than outdoors and than this unit's
// intake is as a rule. The same shows where flue gas or room air gets into the
// intake. The air temperature is not to be used; CO2 is none the worse.
func (c usualCheck) roomProbe(s *series, i int, x *Reading) {
	if x.VentRun < 0 || x.VentRun >= len(c.h.VentRuns) || math.IsNaN(x.AirTempC) {
		return
	}
	from := c.h.VentRuns[x.VentRun].AirFrom
	if from != "own run" && from != "same run" {
		return
	}
	warmer, usual := c.warmer(i), s.usual.warmer
	if math.IsNaN(usual) {
		usual = 0
	}
	var facts Facts
	switch {
	case x.AirTempAt == AtRoom:
		facts = ReadInRoom{}
	case x.AirTempAt != "outdoor" && warmer > math.Max(usual, 0)+c.r.RoomKelvin:
		facts = WarmIntake{AboveOutdoorsK: warmer}
	default:
		return
	}
	c.lower(i, StateOnly)
	c.add(s, Finding{Kind: RoomProbe, Readings: []int{i}, Facts: facts})
}

// AirDoubted reports whether the air temperature of a reading is not to be
// used: taken in the room, or in a unit of measure that is in doubt.
func (j *Judgement) AirDoubted(reading int) bool {
	for k := range j.Findings {
		f := &j.Findings[k]
		if f.Kind != RoomProbe && f.Kind != TempUnit {
			continue
		}
		if slices.Contains(f.Readings, reading) {
			return true
		}
	}
	return false
}
