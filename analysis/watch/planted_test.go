package watch_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/watch"
	"fluedrift/datasets/fleet"
	"fluedrift/model/combustion"
	"fluedrift/model/judge"
)

// planted is where a planted fault must show on the list when it stands in the
// newest reading of its fire: the lowest tier, or a mark. Without a forecast.
var planted = map[string]struct {
	tier watch.Tier // 0: any
	mark string     // "" none asked for
	must float64    // share of cases
}{
	fleet.FaultSetting:   {watch.FuelInDoubt, "", 0.95},
	fleet.FaultLabel:     {watch.FuelInDoubt, "", 0.95},
	fleet.FaultLeft:      {watch.LeftOutside, "", 1},
	fleet.FaultCOHigh:    {watch.COForAttention, "", 1},
	fleet.FaultStray:     {watch.NoTarget, watch.MarkNotInRegister, 1},
	fleet.FaultGases:     {watch.LeftOutside, judge.SwappedGases.String(), 0.8},
	fleet.FaultOtherGas:  {watch.LeftOutside, judge.OtherGas.String(), 0.6},
	fleet.FaultFires:     {0, judge.SwappedFires.String(), 0.6},
	fleet.FaultDegF:      {0, judge.TempUnit.String(), 0.9},
	fleet.FaultRoomProbe: {0, judge.RoomProbe.String(), 0.9},
	fleet.FaultEarly:     {0, judge.EarlyReading.String(), 0.8},
}

// plantedFleet is an invented fleet with more of each fault than the demo has,
// so that many stand in the newest readings.
func plantedFleet(seed uint64) *fleet.Fleet {
	w := fleet.Demo()
	w.Faults.SwappedGases, w.Faults.SwappedFires, w.Faults.DegF, w.Faults.RoomProbe, w.Faults.Early = 0.02, 0.02, 0.02, 0.06, 0.02
	w.Faults.LeftOutside, w.Faults.WrongSetting, w.Faults.StraySerial = 0.02, 0.02, 0.004
	return fleet.New(fleet.Options{Units: 600, Seed: seed, World: w})
}

// Every planted case is on the list in its tier, or with its mark, where the
// unit's own history can show it.
func TestPlantedCasesStandInTheirTier(t *testing.T) {
	cases, found := map[string]int{}, map[string]int{}
	for seed := uint64(1); seed <= 2; seed++ {
		f := plantedFleet(seed)
		lines, histories := assessed(t, f)
		for _, x := range f.Faults() {
			serial := x.Serial
			if x.Kind == fleet.FaultStray {
				serial = x.Detail
			}
			h, l := histories[serial], lines[serial]
			if h == nil || l == nil || l.Removed || !shows(f, h, &x) {
				continue
			}
			cases[x.Kind]++
			p := planted[x.Kind]
			if (p.tier == 0 || l.Tier <= p.tier) && (p.mark == "" || slices.Contains(l.Marks, p.mark)) {
				found[x.Kind]++
			} else if testing.Verbose() {
				t.Logf("%s %s on %d: tier %v, marks %q", x.Kind, serial, x.Day, l.Tier, l.Marks)
			}
		}
	}
	for kind, p := range planted {
		t.Logf("%s: %d of %d", kind, found[kind], cases[kind])
		require.GreaterOrEqual(t, cases[kind], 3, kind)
		require.GreaterOrEqual(t, float64(found[kind]), p.must*float64(cases[kind]), kind)
	}
}

// assessed is a fleet's lines and histories by serial.
func assessed(t *testing.T, f *fleet.Fleet) (map[string]*watch.Line, map[string]*judge.History) {
	fuels, err := combustion.Fuels(nil, combustion.AirO2Field)
	require.NoError(t, err)
	delete(fuels, "butane")
	delete(fuels, "propane-butane")
	r := watch.Defaults(f.AsOf(), judge.DefaultRules(fuels))
	lines, histories := map[string]*watch.Line{}, map[string]*judge.History{}
	all := f.Histories()
	for i := range all {
		l := watch.Assess(&all[i], r, nil)
		lines[l.Unit.Serial], histories[l.Unit.Serial] = &l, &all[i]
	}
	return lines, histories
}

// shows reports whether a fault stands in what is newest of its unit and can be
// told from the records.
func shows(f *fleet.Fleet, h *judge.History, x *fleet.Fault) bool {
	newest, lefts := map[string]*judge.Reading{}, map[string]int{}
	visits := map[string]map[int]bool{}
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
	case fleet.FaultStray:
		return true
	case fleet.FaultSetting:
		return anyOf(newest, func(r *judge.Reading) bool {
			return r.Day == x.Day && r.CO2Percent > 0 && r.O2Percent > 0 && !r.FuelUncertain && r.Fuel == h.Unit.Fuel
		})
	case fleet.FaultLabel:
		return anyOf(newest, func(r *judge.Reading) bool { return lefts[r.Fire] >= 3 && r.Condition == judge.AsLeft })
	case fleet.FaultCOHigh:
		return anyOf(newest, func(r *judge.Reading) bool { return r.Day >= x.Day && r.COPPM >= 110 })
	case fleet.FaultLeft:
		return r != nil && r.Day == x.Day && r.Condition == judge.AsLeft && r.Target.Declared() && h.Unit.State != "isolated" && len(h.Answers) == 0
	case fleet.FaultRoomProbe:
		return r != nil && r.Day == x.Day && r.Condition == x.Condition && r.AirTempC-h.Visits[r.Visit].OutdoorTempC >= 15 && x.Kind != ""
	case fleet.FaultGases:
		return r != nil && r.Day == x.Day && r.Condition == x.Condition && r.Target.Declared() && r.O2Percent-r.CO2Percent > 1.5
	}
	if _, ok := planted[x.Kind]; !ok {
		return false
	}
	return r != nil && r.Day == x.Day && r.Condition == x.Condition && len(visits[x.Fire]) >= 5
}

func anyOf(newest map[string]*judge.Reading, holds func(*judge.Reading) bool) bool {
	for _, r := range newest {
		if holds(r) {
			return true
		}
	}
	return false
}
