package worlds

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// all are the worlds by letter, each with the share that is to stand outside.
var all = []struct {
	name     string
	invent   func(o Options) *Fleet
	from, to float64
}{
	{"A stick-slip", StickSlip, 0.20, 0.25},
	{"B saturating", Saturating, 0.20, 0.25},
	{"C shared by site", SharedBySite, 0.10, 0.13},
	{"D ageing, 0", ageing(0), 0.20, 0.25},
	{"D ageing, 0.04", ageing(0.04), 0.20, 0.25},
	{"D ageing, 0.08", ageing(0.08), 0.20, 0.25},
	{"D ageing, 0.13", ageing(0.13), 0.20, 0.25},
	{"E selected", Selected, 0.10, 0.13},
	{"F low season", LowSeason, 0, 0.1},
}

func ageing(points float64) func(o Options) *Fleet {
	return func(o Options) *Fleet { return Ageing(o, AgeingOptions{PointsPerYear: points}) }
}

// Each world keeps the share outside that it promises; three fleets of 600 may be
// off by two standard errors.
func TestShareTrulyOutside(t *testing.T) {
	for _, x := range all {
		out, units := 0.0, 0.0
		for seed := uint64(1); seed <= 3; seed++ {
			f := x.invent(Options{Seed: seed})
			for i := range f.Histories {
				units++
				if f.TrulyOut(i, f.AsOf()) {
					out++
				}
			}
		}
		share := out / units
		slack := 2 * math.Sqrt(share*(1-share)/units)
		t.Logf("%s: %.3f", x.name, share)
		assert.GreaterOrEqual(t, share, x.from-slack, x.name)
		assert.LessOrEqual(t, share, x.to+slack, x.name)
	}
}

// Records keep the order of histories, are written in steps, and every visit has a
// reading of both fires; the same options give the same fleet.
func TestRecordsAreHistories(t *testing.T) {
	for _, x := range all {
		f := x.invent(Options{Units: 80, Seed: 3})
		again := x.invent(Options{Units: 80, Seed: 3})
		require.True(t, fmt.Sprint(f.Histories) == fmt.Sprint(again.Histories), "%s: the same options give the same fleet", x.name)
		for i := range f.Histories {
			h := &f.Histories[i]
			require.True(t, slices.IsSortedFunc(h.Visits, func(a, b judge.Visit) int { return int(a.Day - b.Day) }))
			read := make([]int, len(h.Visits))
			for k := range h.Readings {
				r := &h.Readings[k]
				read[r.Visit]++
				require.Equal(t, h.Visits[r.Visit].Day, r.Day)
				require.Zero(t, math.Round(1e6*math.Remainder(r.CO2Percent, Step)), "in steps")
				require.LessOrEqual(t, r.Day, f.AsOf())
				require.True(t, r.Calibrated <= r.Day)
				if k > 0 && h.Readings[k-1].Visit == r.Visit && h.Readings[k-1].Fire == r.Fire {
					require.Equal(t, judge.AsFound, h.Readings[k-1].Condition)
				}
			}
			for v, n := range read {
				require.Contains(t, []int{2, 4}, n, "visit %d of %s in %s", v, h.Unit.Serial, x.name)
			}
		}
	}
}

// A display is off the truth by its analyzer's error, the noise of a reading and
// the step it is written in.
func TestReadingsAreTruthAndInstrument(t *testing.T) {
	f := Ageing(Options{Seed: 2}, AgeingOptions{PointsPerYear: 0.13})
	n, square := 0.0, 0.0
	for i := range f.Histories {
		for _, r := range f.Histories[i].Readings {
			if r.Condition != judge.AsFound {
				continue
			}
			truth := f.TrueDeviation(i, r.Fire, r.Day-1) - f.pulled(i, r.Fire, r.Day-1) + f.pulled(i, r.Fire, r.Day)
			d := r.CO2Percent - r.Target.CO2Percent - truth - f.Reads(r.Analyzer, r.Day)
			n, square = n+1, square+d*d
		}
	}
	assert.InDelta(t, math.Sqrt(NoiseSD*NoiseSD+Step*Step/12), math.Sqrt(square/n), 0.005)
}

// pulled is what the weather of a day does to a unit's CO2, points.
func (f *Fleet) pulled(unit int, fire judge.Fire, day day.Day) float64 {
	u, k := f.units[unit], fireIndex(fire)
	return u.fuel.co2(u.fuel.excess(u.target[k])*f.pull(u, day, f.AirC(unit, day))) - u.target[k]
}

// Air ten kelvin colder takes a third of a point off a fan of fixed speed and half
// of that off control by ratio, at 9 % (worked out from first principles).
func TestColdAirMakesLean(t *testing.T) {
	f := StickSlip(Options{Units: 1})
	for control, points := range map[judge.Control]float64{"fixed air": -0.33, "linkage": -0.33, "ratio": -0.17} {
		u := &unit{control: control, fuel: naturalGas}
		got := naturalGas.co2(naturalGas.excess(9)*f.pull(u, 0, 0)) - 9
		assert.InDelta(t, points, got, 0.02, control)
	}
}

// Settings of StickSlip do not move between slips, which are large.
func TestStickSlipSticks(t *testing.T) {
	f := StickSlip(Options{Units: 200})
	still, moved, years := 0, 0, 0.0
	for _, u := range f.units {
		for day := f.from; day < f.AsOf(); day += 30 {
			years += 30 / daysPerYear
			switch d := math.Abs(u.courses[0](day, day+30)); {
			case d == 0:
				still++
			default:
				moved++
				assert.Greater(t, d, 1e-3)
			}
		}
	}
	assert.Greater(t, still, 9*moved)
	assert.InDelta(t, 0.7, float64(moved)/years, 0.3, "slips of a fire a year")
}

// Settings of Saturating are where they will be after four years, and half way
// after half of one.
func TestSaturatingComesToRest(t *testing.T) {
	f := Saturating(Options{Units: 300})
	half, later, all := 0.0, 0.0, 0.0
	for _, u := range f.units {
		end := u.courses[1](f.from, f.from+8*365)
		half += math.Abs(u.courses[1](f.from, f.from+150))
		later += math.Abs(u.courses[1](f.from, f.from+4*365) - end)
		all += math.Abs(end)
	}
	assert.InDelta(t, 0.5, half/all, 0.1)
	assert.Less(t, later/all, 0.2)
}

// Units of one site of SharedBySite move together, those of others do not; areas
// take steps with the gas year.
func TestSitesMoveTogether(t *testing.T) {
	f := SharedBySite(Options{Units: 600})
	same, other, own := 0.0, 0.0, 0.0
	moves := make([]float64, len(f.units))
	mean := map[judge.Control]float64{}
	count := map[judge.Control]float64{}
	for i, u := range f.units {
		moves[i] = u.courses[0](f.from, f.AsOf())
		mean[u.control] += moves[i]
		count[u.control]++
	}
	for i, u := range f.units {
		moves[i] -= mean[u.control] / count[u.control]
	}
	for i := 0; i+5 < len(moves); i += unitsPerSite {
		same, other = same+moves[i]*moves[i+1], other+moves[i]*moves[i+4]
		own += moves[i] * moves[i]
	}
	assert.Greater(t, same/own, 0.6)
	assert.InDelta(t, 0, other/own, 0.25)
	year := func(y int) float64 { return seasonalGas(f, 3, day.Of(y, 10, 2)) - seasonalGas(f, 3, day.Of(y, 9, 30)) }
	assert.NotEqual(t, year(2020), year(2021))
	assert.Greater(t, math.Abs(year(2020))+math.Abs(year(2021)), 0.001)
}

// Analyzers of Ageing fall as declared between calibrations and are put right at
// each; certificates say what they fell to; readings are of all ages to two years.
func TestAnalyzersAge(t *testing.T) {
	for _, points := range []float64{0, 0.04, 0.08, 0.13} {
		f := Ageing(Options{Units: 300}, AgeingOptions{PointsPerYear: points, Certificates: true})
		jump := 0.0
		for _, c := range f.Certificates {
			assert.InDelta(t, f.Reads(c.Analyzer, c.Day-1), c.FoundPoints, 4*certificateSD+0.005)
			assert.InDelta(t, -points*100/daysPerYear, f.Reads(c.Analyzer, c.Day+100)-f.Reads(c.Analyzer, c.Day), 1e-9)
			jump += (f.Reads(c.Analyzer, c.Day) - f.Reads(c.Analyzer, c.Day-1)) / float64(len(f.Certificates))
		}
		assert.Greater(t, len(f.Certificates), 80)
		assert.InDelta(t, 1.4*points, jump, 0.2*points+0.015, "a period is 1.4 years in the mean")
	}
	f := Ageing(Options{Units: 300}, AgeingOptions{PointsPerYear: 0.13})
	assert.Empty(t, f.Certificates)
	old, n, high, quiet := 0.0, 0.0, map[string]float64{}, map[string]float64{}
	for _, h := range f.Histories {
		for _, r := range h.Readings {
			n++
			if years(r.Calibrated, r.Day) > 1 {
				old++
			}
			who := h.Visits[r.Visit].Technician
			switch r.Condition {
			case judge.AsLeft:
				if h.Visits[r.Visit].AdjustedHigh == judge.Yes {
					high[who] += r.CO2Percent - r.Target.CO2Percent
				}
			case judge.AsFound:
				quiet[who]++
			}
		}
	}
	assert.InDelta(t, 0.3, old/n, 0.1, "readings more than a year after the calibration")
	set := 0
	for _, v := range high {
		if v > 5 {
			set++
		}
	}
	assert.Greater(t, set, 2, "technicians who set high")
	assert.Less(t, len(quiet), len(high), "technicians who write no as found")
}

// In Selected somebody calls where a burner is off, some write only bad as founds,
// long vents are missing, and speeds have heavy tails.
func TestSelectedRecords(t *testing.T) {
	f := Selected(Options{})
	calls, visits, off := 0.0, 0.0, 0.0
	good, found := map[string]float64{}, map[string]float64{}
	long, longMissing, short, shortMissing := 0.0, 0.0, 0.0, 0.0
	var square, fourth float64
	for i, h := range f.Histories {
		for _, v := range h.Visits {
			visits++
			if v.Reason == "call-out" {
				calls++
				worst := 0.0
				for _, fire := range Fires() {
					worst = math.Max(worst, math.Abs(f.TrueDeviation(i, fire, v.Day-1)))
				}
				off += worst
			}
		}
		for _, r := range h.Readings {
			if r.Condition == judge.AsFound && r.Fire == judge.High {
				who := h.Visits[r.Visit].Technician
				found[who]++
				if math.Abs(r.CO2Percent-r.Target.CO2Percent) < 0.15 {
					good[who]++
				}
			}
		}
		missing := 0.0
		if math.IsNaN(h.VentRuns[0].LengthM) {
			missing = 1
		}
		if f.units[i].vent > 0.5 {
			long, longMissing = long+1, longMissing+missing
		} else {
			short, shortMissing = short+1, shortMissing+missing
		}
		if u := f.units[i]; u.control == "ratio" {
			d := u.courses[0](f.from, f.AsOf()) / 12
			square, fourth = square+d*d, fourth+d*d*d*d
		}
	}
	assert.InDelta(t, 0.2, calls/visits, 0.1)
	assert.Greater(t, off/calls, 0.4, "points off on the day before a call")
	selective := 0.0
	for who, n := range found {
		if n >= 20 && good[who] < 0.25*n {
			selective++
		}
	}
	assert.InDelta(t, 0.3, selective/float64(len(found)), 0.2)
	assert.Greater(t, longMissing/long, 2*shortMissing/short)
	n := 0.0
	for _, u := range f.units {
		if u.control == "ratio" {
			n++
		}
	}
	assert.Greater(t, n*fourth/(square*square), 4.0, "heavy tails")
}

// The units of the step were read 0.6 low last of all and left alone; none has
// truly moved as far.
func TestLowSeasonMovesNothing(t *testing.T) {
	for _, units := range []int{40, 200} {
		f := LowSeason(Options{Units: units, Seed: 2})
		low, from := f.LowAnalyzer()
		assert.Equal(t, f.AsOf()-seasonDays, from)
		assert.GreaterOrEqual(t, len(f.StepUnits()), 40)
		assert.Less(t, len(f.StepUnits()), 50)
		off := 0.0
		for _, i := range f.StepUnits() {
			h := &f.Histories[i]
			last := len(h.Visits) - 1
			require.Equal(t, low, h.Visits[last].Analyzer)
			require.NotEqual(t, judge.Yes, h.Visits[last].AdjustedHigh)
			for _, r := range h.Readings {
				if r.Visit == last && r.Condition == judge.AsFound && r.Fire == judge.High {
					off += r.CO2Percent - r.Target.CO2Percent - f.TrueDeviation(i, r.Fire, r.Day)
				}
			}
			require.Less(t, math.Abs(f.units[i].courses[0](h.Visits[last-1].Day, f.AsOf())), 0.6)
		}
		assert.InDelta(t, -lowPoints, off/float64(len(f.StepUnits())), 0.2)
	}
}

// The base world keeps the shares of its records; 42 to 44 of 100 units stand
// outside at a fire.
func TestBase(t *testing.T) {
	for _, dirty := range []bool{false, true} {
		f := Base(Options{Units: 1500}, BaseOptions{Dirty: dirty})
		out, empty, visits, apart, readings, labels := 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
		for i, h := range f.Histories {
			if f.TrulyOut(i, f.AsOf()) {
				out++
			}
			if h.Unit.Fuel != f.units[i].fuel.name {
				labels++
			}
			read := map[int]bool{}
			for _, r := range h.Readings {
				readings++
				read[r.Visit] = true
				if g := f.units[i].fuel; math.Abs(r.CO2Percent-g.co2Max*(1-r.O2Percent/airO2)) > 0.15 {
					apart++
				}
			}
			visits, empty = visits+float64(len(h.Visits)), empty+float64(len(h.Visits)-len(read))
		}
		n := float64(len(f.Histories))
		t.Logf("dirty %v: outside %.3f, visits %.1f, readings %.1f, visits without values %.3f, pairs that contradict %.4f, labels %.4f", dirty,
			out/n, visits/n, readings/n, empty/visits, apart/readings, labels/n)
		assert.InDelta(t, 0.43, out/n, 0.03)
		if dirty {
			assert.InDelta(t, 0.12, empty/visits, 0.04)
			assert.InDelta(t, typedShare, apart/readings, 0.01)
			assert.InDelta(t, labelShare, labels/n, 0.008)
		} else {
			assert.Less(t, empty/visits, 0.05)
			assert.Zero(t, apart)
			assert.Zero(t, labels)
		}
	}
}
