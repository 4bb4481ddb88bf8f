package watch_test

import (
	"fmt"
	"maps"
	"math"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/analysis/watch"
	"fluedrift/datasets/demo"
	"fluedrift/datasets/measured"
	"fluedrift/datasets/worlds"
	"fluedrift/model/combustion"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// planted is where a planted fault must show on the list when it stands in the newest
// reading of its fire: the last group it may stand in, or a mark; at the foot, where a
// unit was answered or is off for the season, by its ground. Without a forecast.
var planted = map[string]struct {
	group  watch.Group // 0: any
	ground watch.Ground
	mark   watch.Mark // none: none asked for
	must   float64    // share of cases
}{
	demo.FaultSetting:   {watch.AskFirst, watch.FuelInDoubt, watch.Mark{}, 1},
	demo.FaultLabel:     {watch.AskFirst, watch.FuelInDoubt, watch.Mark{}, 1},
	demo.FaultLeft:      {watch.BookSooner, watch.LeftOutside, watch.Mark{}, 1},
	demo.FaultCOHigh:    {watch.BookSooner, watch.COForAttention, watch.Mark{}, 1},
	demo.FaultStray:     {watch.AskFirst, watch.NoTarget, watch.Mark{Mark: analysis.Mark{Kind: watch.MarkNotInRegister}}, 1},
	demo.FaultGases:     {watch.BookSooner, watch.LeftOutside, ofFinding(judge.SwappedGases), 1},
	demo.FaultOtherGas:  {watch.BookSooner, watch.LeftOutside, ofFinding(judge.OtherGas), 1},
	demo.FaultFires:     {0, 0, ofFinding(judge.SwappedFires), 1},
	demo.FaultDegF:      {0, 0, ofFinding(judge.TempUnit), 1},
	demo.FaultRoomProbe: {0, 0, ofFinding(judge.RoomProbe), 1},
	demo.FaultEarly:     {0, 0, ofFinding(judge.EarlyReading), 1},
}

// ofFinding is the mark of a finding.
func ofFinding(k judge.Kind) watch.Mark {
	return watch.Mark{Mark: analysis.Mark{Kind: watch.MarkFinding}, Finding: k}
}

// plantedFleet is an invented fleet with more of each fault than the demo has,
// so that many stand in the newest readings.
func plantedFleet(seed uint64) *worlds.DemoFleet {
	w := demo.Default()
	w.Faults.SwappedGases, w.Faults.SwappedFires, w.Faults.DegF, w.Faults.RoomProbe, w.Faults.Early = 0.02, 0.02, 0.02, 0.06, 0.02
	w.Faults.LeftOutside, w.Faults.WrongSetting, w.Faults.StraySerial = 0.02, 0.02, 0.004
	return worlds.Demo(demo.Options{Units: 600, Seed: seed, World: w})
}

// Every planted case is on the list in its group, at the foot where its unit was answered
// or is off for the season, or with its mark, where the
// unit's own history can show it. With FLUEDRIFT_LONG=1 over twelve fleets.
func TestPlantedCasesStandInTheirGroup(t *testing.T) {
	cases, found := map[string]int{}, map[string]int{}
	fleets := uint64(2)
	if os.Getenv("FLUEDRIFT_LONG") != "" {
		fleets = 12
	}
	for seed := uint64(1); seed <= fleets; seed++ {
		f := plantedFleet(seed)
		lines, histories := assessed(t, f)
		for _, x := range f.Faults() {
			serial := x.Serial
			if x.Kind == demo.FaultStray {
				serial = x.Detail
			}
			h, l := histories[serial], lines[serial]
			if h == nil || l == nil || l.Removed || !shows(f, h, &x) {
				continue
			}
			cases[x.Kind]++
			p := planted[x.Kind]
			if setSince(h, &x) {
				p.group = 0
			}
			if (p.group == 0 || l.Group <= p.group || l.Foot != watch.NoFoot && l.Ground == p.ground) &&
				(p.mark == watch.Mark{} || slices.Contains(l.Marks, p.mark)) {
				found[x.Kind]++
			} else if testing.Verbose() {
				t.Logf("%s %s on %d: group %v, marks %v", x.Kind, serial, x.Day, l.Group, l.Marks)
			}
		}
	}
	kept := measured.Of(t, "planted-cases")
	for _, kind := range slices.Sorted(maps.Keys(planted)) {
		p := planted[kind]
		kept.Count(kind, "shown where it should be", found[kind], cases[kind], fmt.Sprintf("share of at least %.2f", p.must))
		t.Logf("%s: %d of %d", kind, found[kind], cases[kind])
		require.GreaterOrEqual(t, cases[kind], 3, kind)
		require.GreaterOrEqual(t, float64(found[kind]), p.must*float64(cases[kind]), kind)
	}
}

// setSince reports whether a fault stands in an as found after which the fire was
// set and what was left was not recorded. It says nothing of how the burner was
// left: the case belongs to no tier, and its mark and its record to fix are all
// there is to ask for.
func setSince(h *judge.History, x *demo.Fault) bool {
	return x.Condition == judge.AsFound && slices.ContainsFunc(h.Readings, func(r judge.Reading) bool {
		return r.Day == x.Day && r.Fire == x.Fire && h.Visits[r.Visit].Adjusted(x.Fire) == judge.Yes
	})
}

// assessed is a fleet's lines and histories by serial.
func assessed(t *testing.T, f *worlds.DemoFleet) (map[string]*watch.Line, map[string]*judge.History) {
	fuels, err := combustion.Fuels(nil, combustion.AirO2Field)
	require.NoError(t, err)
	delete(fuels, "butane")
	delete(fuels, "propane-butane")
	all := f.Histories()
	j := judge.DefaultConfig(fuels)
	j.TargetOf = lineTargets(all)
	r := watch.DefaultConfig(f.AsOf(), j)
	lines, histories := map[string]*watch.Line{}, map[string]*judge.History{}
	for i := range all {
		l := watch.Assess(&all[i], r, nil)
		lines[l.Unit.Serial], histories[l.Unit.Serial] = &l, &all[i]
	}
	return lines, histories
}

// lineTargets looks targets up as the model lines' export declares them: among
// those the fleet's readings carry.
func lineTargets(histories []judge.History) judge.LineTargets {
	type key struct {
		line string
		fire judge.Fire
		fuel string
	}
	all := map[key]judge.Target{}
	for i := range histories {
		for k := range histories[i].Readings {
			if x := &histories[i].Readings[k]; x.Target.Declared() {
				all[key{histories[i].Unit.ModelLine, x.Fire, x.Fuel}] = x.Target
			}
		}
	}
	return func(line string, fire judge.Fire, fuel string, _ day.Day) judge.Target {
		return all[key{line, fire, fuel}]
	}
}

// shows reports whether a fault stands in what is newest of its unit and can be
// told from the records.
func shows(f *worlds.DemoFleet, h *judge.History, x *demo.Fault) bool {
	newest, lefts := map[judge.Fire]*judge.Reading{}, map[judge.Fire]int{}
	visits := map[judge.Fire]map[int]bool{}
	for i := range h.Readings {
		r := &h.Readings[i]
		if r.Condition == judge.Between || h.Visits[r.Visit].Reason == judge.FactoryTest {
			continue
		}
		newest[r.Fire] = r
		if visits[r.Fire] == nil {
			visits[r.Fire] = map[int]bool{}
		}
		visits[r.Fire][r.Visit] = true
		if r.Condition == judge.AsLeft {
			lefts[r.Fire]++
		}
	}
	r := newest[x.Fire]
	switch x.Kind {
	case demo.FaultStray:
		return true
	case demo.FaultSetting:
		return anyOf(newest, func(r *judge.Reading) bool {
			return r.Day == x.Day && r.CO2Percent > 0 && r.O2Percent > 0 && !r.FuelUncertain && r.Fuel == h.Unit.Fuel
		})
	case demo.FaultLabel:
		return anyOf(newest, func(r *judge.Reading) bool { return lefts[r.Fire] >= 3 && r.Condition == judge.AsLeft })
	case demo.FaultCOHigh:
		return anyOf(newest, func(r *judge.Reading) bool { return r.Day >= x.Day && r.COPPM >= 110 })
	case demo.FaultLeft:
		return r != nil && r.Day == x.Day && r.Condition == judge.AsLeft && r.Target.Declared() && h.Unit.State != "isolated" &&
			len(h.Answers) == 0 &&
			(near(r.CO2Percent, x.Written) || near(r.O2Percent, x.Written)) // not typed wrong on top
	case demo.FaultRoomProbe:
		return r != nil && r.Day == x.Day && r.Condition == x.Condition && r.AirTempC-h.Visits[r.Visit].OutdoorTempC >= 15 && x.Kind != ""
	case demo.FaultGases:
		return r != nil && r.Day == x.Day && r.Condition == x.Condition && r.Target.Declared() && r.O2Percent-r.CO2Percent > 1.5
	}
	if _, ok := planted[x.Kind]; !ok {
		return false
	}
	if x.Kind == demo.FaultFires && !firesApart(h) || x.Kind == demo.FaultDegF && 4*daysOf(f, x) > len(visits[x.Fire]) {
		return false
	}
	return r != nil && r.Day == x.Day && r.Condition == x.Condition && len(visits[x.Fire]) >= 5
}

// firesApart reports whether a typical visit of a unit could show that its fires
// were exchanged: CO2 and flue temperature of the fires lie three spreads from
// visit to visit apart, of a quarter of a point and 3 K (common practice, no
// source). O2 counts as CO2 of natural gas: only the difference matters.
func firesApart(h *judge.History) bool {
	const enough, spreadPoints, spreadK, air, co2Max = 3, 0.25, 3, 20.9, 11.8
	middle := func(fire judge.Fire, of func(*judge.Reading) float64) float64 {
		var all []float64
		for i := range h.Readings {
			if v := of(&h.Readings[i]); h.Readings[i].Fire == fire && !math.IsNaN(v) {
				all = append(all, v)
			}
		}
		slices.Sort(all)
		return all[len(all)/2]
	}
	apart := func(of func(*judge.Reading) float64) float64 { return middle(judge.High, of) - middle(judge.Low, of) }
	gas := apart(func(r *judge.Reading) float64 {
		if math.IsNaN(r.CO2Percent) {
			return (air - r.O2Percent) * co2Max / air
		}
		return r.CO2Percent
	})
	return math.Hypot(gas/spreadPoints, apart(func(r *judge.Reading) float64 { return r.FlueTempC })/spreadK) >= enough
}

// daysOf counts the days on which a unit's records carry a kind of fault: its own
// history cannot show as odd what stands in many of its visits.
func daysOf(f *worlds.DemoFleet, x *demo.Fault) int {
	days := map[day.Day]bool{}
	for _, y := range f.Faults() {
		if y.Serial == x.Serial && y.Kind == x.Kind {
			days[y.Day] = true
		}
	}
	return len(days)
}

func near(a, b float64) bool { return math.Abs(a-b) < 1e-6 }

func anyOf(newest map[judge.Fire]*judge.Reading, holds func(*judge.Reading) bool) bool {
	for _, r := range newest {
		if holds(r) {
			return true
		}
	}
	return false
}
