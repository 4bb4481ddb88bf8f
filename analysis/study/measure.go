package study

import (
	"math"

	"fluedrift/model/combustion"
	"fluedrift/model/judge"
	"fluedrift/model/vent"
)

// runMeasures is what a run is by each measure.
type runMeasures struct {
	ofRun    float64
	ofFan    Physics // share of the fan's pressure
	longestM float64
	fanPa    float64
}

// measured returns the measures of a run of a unit with its length as recorded.
func (m *rowMaker) measured(h *judge.History, run *judge.VentRun) runMeasures {
	c := m.vents.Known(h, run)
	share := func(pa float64) float64 {
		one := c
		one.LossPa = vent.Range{Low: pa, High: pa}
		return one.OfFan()
	}
	return runMeasures{c.OfRun(), Physics{share(c.LossPa.Low), c.OfFan(), share(c.LossPa.High)}, c.LongestRunM, c.FanPa}
}

// factoryRun measures the short run that a unit of this kind was set on: the
// declared length of straight vent at the unit's own diameter, without an intake.
// Nothing where no length is declared.
func (m *rowMaker) factoryRun(h *judge.History, run *judge.VentRun) runMeasures {
	if m.settings.FactoryRunM == nil {
		return runMeasures{}
	}
	lengthM := m.settings.FactoryRunM(h.Unit.ModelLine, h.Unit.Fuel)
	if !(lengthM >= 0) {
		return runMeasures{}
	}
	short := *run
	short.LengthM, short.RiseM, short.Elbows90, short.Elbows45, short.AirFrom = lengthM, 0, 0, 0, "room"
	out := m.measured(h, &short)
	for _, v := range []*float64{&out.ofRun, &out.ofFan.Low, &out.ofFan.Middle, &out.ofFan.High} {
		if math.IsNaN(*v) {
			*v = 0
		}
	}
	return out
}

// take fills the measures of a row: now less what was before.
func (r *Row) take(now, was runMeasures) {
	r.OfRun, r.LongestM = now.ofRun-was.ofRun, now.longestM
	r.OfFan, r.OfFanLow, r.OfFanHigh = now.ofFan.Middle-was.ofFan.Middle, now.ofFan.Low-was.ofFan.Low, now.ofFan.High-was.ofFan.High
}

// airNumbers turns CO2 into the air number, by fuel.
type airNumbers map[string]combustion.Stoichiometry

// airNumbersOf takes the fuels that have a composition.
func airNumbersOf(j *judge.Config) airNumbers {
	out, gases := airNumbers{}, j.Gases
	if gases == nil {
		gases, _ = combustion.Gases(nil) // the typical ones are sound
	}
	for name, gas := range gases {
		if s, err := gas.Burn(j.Fuels[name].Air); err == nil {
			out[name] = s
		}
	}
	return out
}

// ln returns the logarithm of the air number; NaN for a fuel without a composition.
func (a airNumbers) ln(fuel string, co2Percent float64) float64 {
	s, ok := a[fuel]
	if !ok {
		return math.NaN()
	}
	return math.Log(s.LambdaFromCO2(co2Percent))
}
