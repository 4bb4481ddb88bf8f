package words

import (
	"fmt"
	"math"
	"strings"

	"fluedrift/analysis/report/units"
	"fluedrift/analysis/watch"
	"fluedrift/model/judge"
)

// Finding says in one line, with the values, what was found about readings of a
// history; quantities are in SI, as the warehouse keeps it.
func Finding(h *judge.History, f *judge.Finding) string { return findingIn(units.SI, h, f) }

// findingIn is Finding in the units of a reader.
func findingIn(in units.Set, h *judge.History, f *judge.Finding) string {
	return findingSentences[f.Kind](&finding{
		Finding: f, h: h, in: in, first: &h.Readings[f.Readings[0]], last: &h.Readings[f.Readings[len(f.Readings)-1]],
	})
}

// found is the sentence of a finding of a unit on the list.
func found(in units.Set, f *watch.Found) string { return findingIn(in, f.History, f.Finding) }

// finding is a finding on its way into a sentence: with the first and the last of the
// readings it concerns.
type finding struct {
	*judge.Finding
	h           *judge.History
	in          units.Set
	first, last *judge.Reading
}

// against is the first of the readings that those were compared with.
func (f *finding) against() *judge.Reading { return &f.h.Readings[f.Against[0]] }

// findingSentences are the sentences of findings, by kind.
var findingSentences = map[judge.Kind]func(*finding) string{
	judge.RichPossible: tooLittleAir,
	judge.OverCO2Max:   overCO2Max,
	judge.NoBurner:     noBurner,
	judge.FuelLabel:    fuelLabel,
	judge.OtherSetting: otherSetting,
	judge.SwappedGases: swappedGases,
	judge.OtherGas:     otherGas,
	judge.PairApart:    pairApart,
	judge.SwappedFires: swappedFires,
	judge.AsLeftFar:    asLeftFar,
	judge.LowRate:      lowRate,
	judge.EarlyReading: earlyReading,
	judge.CopiedVisit:  copiedVisit,
	judge.CopiedAsLeft: copiedAsLeft,
	judge.ExactDouble:  exactDouble,
	judge.FoundTwice:   foundTwice,
	judge.COBasis:      coBasis,
	judge.TempUnit:     temperature,
	judge.RoomProbe:    roomProbe,
	judge.DateDisorder: dates,
	judge.Moved:        movedFrom,
}

func tooLittleAir(f *finding) string {
	x, sign := f.first, ""
	switch f.Facts.(judge.TooLittleAir).Sign {
	case judge.LowO2:
		sign = share("O2", x.O2Percent)
	case judge.COOverRange:
		sign = "CO over " + plain(x.COPPM) + " ppm"
	default:
		sign = "CO " + plain(x.COPPM) + " ppm"
	}
	co2 := "CO2"
	if !math.IsNaN(x.CO2Percent) {
		co2 = share("CO2", x.CO2Percent)
	}
	return fmt.Sprintf("%s: %s %s: possibly too little air; %s does not show whether there is enough",
		fireOn(x), sign, x.Condition, co2)
}

func overCO2Max(f *finding) string {
	x := f.first
	return fmt.Sprintf("%s: %s %s, but %s cannot make more than %s %%: the fuel label, the analyzer's setting or the number is wrong",
		fireOn(x), share("CO2", x.CO2Percent), x.Condition, x.Fuel, plain(f.Facts.(judge.FuelLimit).CO2MaxPercent))
}

func noBurner(f *finding) string {
	return fmt.Sprintf("%s: %s %s shows no burner at work: it was off, room air was sampled, or a number is wrong",
		fireOn(f.first), f.measured(f.first), f.first.Condition)
}

func fuelLabel(f *finding) string {
	x, set, gas := f.last, f.Facts.(judge.SetAs), "CO2"
	if set.InO2 {
		gas = "O2"
	}
	return fmt.Sprintf("%s fire: %s up to %s at %s, where the target of %s is %s and that of %s %s: the fuel label, the analyzer's "+
		"setting or the burner is wrong",
		f.Fire, Counted(len(f.Readings), "as-left reading"), Day(x.Day), ofGas(x.CO2Percent, x.O2Percent), x.Fuel,
		ofGas(x.Target.CO2Percent, x.Target.O2Percent),
		f.OtherFuel, share(gas, set.Percent))
}

func otherSetting(f *finding) string {
	x := f.first
	return fmt.Sprintf("%s: %s with %s %s was computed for %s, but the register says %s: the analyzer was set to another "+
		"fuel, or the label is wrong; burning %s, that O2 means CO2 %s %%",
		fireOn(x), share("CO2", x.CO2Percent), share("O2", x.O2Percent), x.Condition, f.OtherFuel, x.Fuel, x.Fuel,
		Decimal(f.Facts.(judge.ByO2).CO2Percent, 1))
}

func swappedGases(f *finding) string {
	x := f.first
	return fmt.Sprintf("%s: %s and %s %s fit no fuel, but exchanged they fit %s: the columns are probably exchanged",
		fireOn(x), share("CO2", x.CO2Percent), share("O2", x.O2Percent), x.Condition, f.Facts.(judge.FitExchanged).Fuel)
}

func otherGas(f *finding) string {
	x, typed, meant := f.first, "CO2", "O2"
	if math.IsNaN(x.CO2Percent) {
		typed, meant = "O2", "CO2"
	}
	return fmt.Sprintf("%s: %s %s is %s points of CO2 away from what is usual for the unit; read as %s it fits: %s was "+
		"probably typed as %s",
		fireOn(x), ofGas(x.CO2Percent, x.O2Percent), x.Condition, Decimal(f.Facts.(judge.OffUsual).Points, 1), meant, meant, typed)
}

func pairApart(f *finding) string {
	x := f.first
	return fmt.Sprintf("%s: %s and %s %s contradict each other (with that O2, %s gives CO2 %s %%): one of the two is wrong",
		fireOn(x), share("CO2", x.CO2Percent), share("O2", x.O2Percent), x.Condition, x.Fuel,
		Decimal(f.Facts.(judge.ByO2).CO2Percent, 1))
}

func swappedFires(f *finding) string {
	high, low := f.first, f.against()
	if f.Fire == judge.Low {
		high, low = low, high
	}
	return fmt.Sprintf("high and low fire on %s, %s: %s at high and %s at low each fit the other fire of this unit: "+
		"probably exchanged",
		Day(high.Day), high.Condition, measuredGases(high), measuredGases(low))
}

func asLeftFar(f *finding) string {
	x := f.first
	return fmt.Sprintf("%s: left at %s, target %s: far %s of its setting band; wrong in the record or at the burner",
		fireOn(x), ofGas(x.CO2Percent, x.O2Percent), ofGas(x.Target.CO2Percent, x.Target.O2Percent), f.Facts.(judge.FarOff).Side)
}

func lowRate(f *finding) string {
	x, facts := f.first, f.Facts.(judge.NotHigh)
	w := fmt.Sprintf("%s: %s at %s %% rate, which is not high fire (from %s %%)",
		fireOn(x), x.Condition, plain(x.RatePercent), plain(facts.FromPercent))
	if facts.AsARule {
		w += ", as usual with this unit"
	}
	return w
}

func earlyReading(f *finding) string {
	x := f.first
	w := fireOn(x) + ": " + string(x.Condition) + ", "
	if cold, ok := f.Facts.(judge.ColdFlue); ok {
		return w + fmt.Sprintf("the flue was at %s where %s is usual: before warm-up, or with air in the sample",
			f.in.TemperatureOf(x.FlueTempC),
			f.in.TemperatureOf(cold.UsualC))
	}
	return w + fmt.Sprintf("%s min after the start; at least %s min are needed",
		plain(x.MinutesFiring), plain(f.Facts.(judge.TooSoon).LeastMinutes))
}

func copiedVisit(f *finding) string {
	x, y := f.first, f.against()
	return fmt.Sprintf("%s: the %s (%s) repeats every value of the %s of %s: probably copied, not measured",
		fireOn(x), readingAt(x.Condition), f.measured(x), readingAt(y.Condition), Day(y.Day))
}

func copiedAsLeft(f *finding) string {
	if len(f.Against) == 0 {
		return fmt.Sprintf("%s: adjusted, yet the as-found and as-left readings are the same (%s): one of them was probably not measured",
			fireOn(f.last), f.measured(f.last))
	}
	return fmt.Sprintf("%s: the as-left reading repeats the as-found one in every value (%s): counted as one measurement",
		fireOn(f.last), f.measured(f.last))
}

func exactDouble(f *finding) string {
	return fmt.Sprintf("%s: the %s (%s) is on record twice that day: counted once",
		fireOn(f.first), readingAt(f.first.Condition), f.measured(f.first))
}

func foundTwice(f *finding) string {
	var read []string
	for _, i := range f.Readings {
		x := &f.h.Readings[i]
		read = append(read, ofGas(x.CO2Percent, x.O2Percent)+", "+x.Origin)
	}
	return fmt.Sprintf("%s: %d as-found readings are on record, in no known order (%s): their mean is used, with twice "+
		"the uncertainty of one",
		fireOn(f.first), len(read), strings.Join(read, "; "))
}

func coBasis(f *finding) string {
	x, y := f.first, f.against()
	if x.COBasis == judge.AirFree {
		x, y = y, x
	}
	return fmt.Sprintf("%s: CO %s ppm as measured and %s ppm air-free; with its O2 and CO2 the latter would be %s: the bases are "+
		"exchanged, or one number is wrong",
		fireOn(x), plain(x.COPPM), plain(y.COPPM), whole(f.Facts.(judge.OtherBasis).AirFreePPM))
}

func temperature(f *finding) string {
	x := f.first
	w := fireOn(x) + ": " + string(x.Condition) + ", "
	if facts, ok := f.Facts.(judge.InFahrenheit); ok {
		flue := plain(x.FlueTempC)
		return w + fmt.Sprintf("the flue was recorded at %s degC where %s is usual: probably %s degF",
			flue, f.in.TemperatureOf(facts.UsualC), flue)
	}
	return w + fmt.Sprintf("the flue was recorded at %s and the air at %s: exchanged, or one of them is wrong",
		f.in.TemperatureOf(x.FlueTempC),
		f.in.TemperatureOf(x.AirTempC))
}

func roomProbe(f *finding) string {
	x, where := f.first, "the air was taken in the room"
	if facts, ok := f.Facts.(judge.WarmIntake); ok {
		where = fmt.Sprintf("the air was at %s, %s above outdoors: taken in the room, or warm air gets into the intake",
			f.in.TemperatureOf(x.AirTempC), f.in.WarmerOf(math.Round(facts.AboveOutdoorsK)))
	}
	return fmt.Sprintf("%s: %s, %s; the unit draws it from outdoors", fireOn(x), x.Condition, where)
}

func dates(f *finding) string {
	installed := "the unit was installed (" + Day(f.h.Unit.Installed) + "): one of the dates is wrong"
	switch f.Facts.(type) {
	case judge.BeforeInstall:
		return fireOn(f.first) + ": before " + installed
	case judge.LateFactoryTest:
		return fireOn(f.first) + ": a factory test after " + installed
	case judge.OutsideName:
		return fireOn(f.first) + ": the day is outside the period in the name of its file or sheet: one of the two is wrong"
	}
	return fireOn(f.first) + ": two visits with different values and no times: their order is not known"
}

// pascal is the unit of what comes as a pressure, and is written in the reader's.
const pascal = "Pa"

// quantityNames are the names and units of what can have moved.
var quantityNames = map[judge.Quantity]struct{ name, unit string }{
	judge.SupplyPressure:   {"supply pressure", pascal},
	judge.ManifoldPressure: {"manifold pressure", pascal},
	judge.FanSpeed:         {"fan speed", "rpm"},
	judge.FlameSignal:      {"flame signal", "uA"},
	judge.Draft:            {"draft", pascal},
}

func movedFrom(f *finding) string {
	facts := f.Facts.(judge.MovedFrom)
	q := quantityNames[facts.Quantity]
	now, usual := tenths(facts.Now)+" "+q.unit, tenths(facts.Usual)
	if q.unit == pascal {
		now, usual = f.in.PressureOf(facts.Now), f.in.PressureOf(facts.Usual)
	}
	return fmt.Sprintf("%s: %s %s; at the visits before it was %s", fireOn(f.first), q.name, now, usual)
}

// readingAt names a reading of a condition, as an adjective has it.
func readingAt(c judge.Condition) string {
	if c == judge.Between {
		return "reading between"
	}
	return strings.ReplaceAll(string(c), " ", "-") + " reading"
}

// tenths writes a value with at most one decimal.
func tenths(v float64) string { return plain(math.Round(10*v) / 10) }

// whole writes a value without decimals.
func whole(v float64) string { return plain(math.Round(v)) }

// share writes a share of a gas, its name first.
func share(gas string, percent float64) string { return gas + " " + plain(percent) + " %" }

// ofGas writes the gas that a reading is judged by, or that a target is declared in.
func ofGas(co2Percent, o2Percent float64) string {
	if !math.IsNaN(co2Percent) {
		return share("CO2", co2Percent)
	}
	return share("O2", o2Percent)
}

// measured writes the recorded gases and temperatures of a reading.
func (f *finding) measured(x *judge.Reading) string {
	some := said(measuredGases(x))
	for _, v := range [...]struct {
		name string
		degC float64
	}{{"flue", x.FlueTempC}, {"air", x.AirTempC}} {
		if !math.IsNaN(v.degC) {
			some = append(some, v.name+" "+f.in.TemperatureOf(v.degC))
		}
	}
	return strings.Join(some, ", ")
}

// measuredGases writes the recorded gases of a reading.
func measuredGases(x *judge.Reading) string {
	var some []string
	for _, v := range [...]struct {
		name  string
		value float64
		unit  string
	}{
		{"CO2", x.CO2Percent, "%"},
		{"O2", x.O2Percent, "%"},
		{"CO", x.COPPM, "ppm"},
	} {
		if !math.IsNaN(v.value) {
			some = append(some, v.name+" "+plain(v.value)+" "+v.unit)
		}
	}
	return strings.Join(some, ", ")
}

// fireOn begins the line of a finding: fire and day of a reading.
func fireOn(x *judge.Reading) string {
	if x.Fire == judge.Point {
		return fmt.Sprintf("%s %% rate on %s", plain(x.RatePercent), Day(x.Day))
	}
	return fmt.Sprintf("%s fire on %s", x.Fire, Day(x.Day))
}
