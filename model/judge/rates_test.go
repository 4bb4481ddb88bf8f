package judge_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/datasets/demo"
	"fluedrift/datasets/measured"
	. "fluedrift/model/judge"
)

// plantedFault is one kind of planted fault: where it can be found at all, by which
// findings, and at which rates it has to be.
type plantedFault struct {
	name     string
	faults   []string
	kinds    []Kind
	per      string // what is counted
	needs    string // what a reading must have for the fault to show; "" nothing
	can      func(h *History, x *Reading) bool
	counts   func(f *demo.Fault) bool // nil: all planted
	least    float64                  // share found, at least
	mostFals float64                  // share of others flagged, at most
}

// history of a unit: at least four visits show it at this fire.
func shows(h *History, x *Reading, of func(*Reading) float64) bool {
	visits, last := 0, -1
	for i := range h.Readings {
		y := &h.Readings[i]
		if y.Fire == x.Fire && y.Visit != last && h.Visits[y.Visit].Reason != FactoryTest && !math.IsNaN(of(y)) {
			visits, last = visits+1, y.Visit
		}
	}
	return visits >= 4
}

func both(_ *History, x *Reading) bool {
	return !math.IsNaN(x.CO2Percent) && !math.IsNaN(x.O2Percent) && x.Fuel != ""
}

// fill puts -1 for a gas that is missing.
func fill(v float64) float64 {
	if math.IsNaN(v) {
		return -1
	}
	return v
}

func flue(x *Reading) float64 { return x.FlueTempC }

var rates = []plantedFault{
	{
		name: "O2 and CO2 exchanged", faults: []string{demo.FaultGases}, kinds: []Kind{SwappedGases}, per: "readings",
		needs: "both gases; silent where they are alike, near 7.5 %", can: both, least: 0.85, mostFals: 0.001,
	},
	{
		name: "one gas typed as the other", faults: []string{demo.FaultOtherGas}, kinds: []Kind{OtherGas}, per: "readings",
		needs: "one gas, four visits, a target",
		can: func(h *History, x *Reading) bool {
			gas := func(y *Reading) float64 { return math.Max(fill(y.CO2Percent), fill(y.O2Percent)) }
			return !both(h, x) && x.Target.Declared() && shows(h, x, gas)
		}, least: 0.7, mostFals: 0.001,
	},
	{
		name: "typing error, half a point of CO2 or more", faults: []string{demo.FaultTyping, demo.FaultTypingLast}, kinds: []Kind{
			PairApart,
			SwappedGases, OtherSetting, OverCO2Max, AsLeftFar,
		}, per: "readings", needs: "both gases",
		can: both, counts: func(f *demo.Fault) bool { return math.Abs(f.Written-f.True) >= 0.5 }, least: 0.85, mostFals: 0.01,
	},
	{
		name: "analyzer set to the other fuel, or fuel label wrong", faults: []string{demo.FaultSetting, demo.FaultLabel},
		kinds: []Kind{OtherSetting}, per: "readings", needs: "both gases", can: both, least: 0.9, mostFals: 0.002,
	},
	{
		name: "high and low fire exchanged", faults: []string{demo.FaultFires}, kinds: []Kind{SwappedFires}, per: "readings",
		needs: "both fires, four visits of each",
		can: func(h *History, x *Reading) bool {
			other := *x
			other.Fire = map[Fire]Fire{High: Low, Low: High}[x.Fire]
			return shows(h, x, flue) && shows(h, &other, flue) && x.Target.Declared()
		}, least: 0.7, mostFals: 0.002,
	},
	{
		name: "degF in a column of degC", faults: []string{demo.FaultDegF}, kinds: []Kind{TempUnit}, per: "readings", needs: "four visits",
		can: func(h *History, x *Reading) bool { return shows(h, x, flue) }, least: 0.9, mostFals: 0.001,
	},
	{
		name: "air taken in the room, 15 K or more above outdoors", faults: []string{demo.FaultRoomProbe}, kinds: []Kind{RoomProbe},
		per: "readings", needs: "outdoor temperature, own intake",
		can: func(h *History, x *Reading) bool {
			return x.VentRun >= 0 && h.VentRuns[x.VentRun].AirFrom != "room" && !math.IsNaN(h.Visits[x.Visit].OutdoorTempC)
		}, least: 0.9, mostFals: 0.001,
	},
	{
		name: "before warm-up", faults: []string{demo.FaultEarly}, kinds: []Kind{EarlyReading}, per: "readings",
		needs: "minutes of firing, or four visits",
		can:   func(h *History, x *Reading) bool { return !math.IsNaN(x.MinutesFiring) || shows(h, x, flue) }, least: 0.9, mostFals: 0.001,
	},
	{
		name: "copied reading", faults: []string{demo.FaultCopied}, kinds: []Kind{CopiedVisit}, per: "as founds", needs: "",
		can: func(_ *History, x *Reading) bool { return x.Condition == AsFound }, least: 0.97, mostFals: 0.002,
	},
}

// planted says whether a reading carries a fault of a kind that counts; skip
// that it carries another one, and is neither a hit nor innocent.
func (m *plantedFault) planted(j *judged, faults map[place][]demo.Fault, h *History, i int) (planted, skip bool) {
	x := &h.Readings[i]
	for _, f := range faults[placeOf(h, i)] {
		counts := slices.Contains(m.faults, f.Kind) && (m.counts == nil || m.counts(&f))
		planted, skip = planted || counts, skip || !counts
	}
	switch other := j.otherFuel(h, x); {
	case slices.Contains(m.faults, demo.FaultSetting):
		planted = other
	default:
		skip = skip || other
	}
	if m.name == roomProbe && planted && x.AirTempC-h.Visits[x.Visit].OutdoorTempC < 15 {
		return false, true
	}
	return planted, skip && !planted
}

const roomProbe = "air taken in the room, 15 K or more above outdoors"

// otherFuel says whether the analyzer was set to another fuel than the one the
// unit is registered with.
func (j *judged) otherFuel(h *History, x *Reading) bool {
	u, ok := j.fleet.UnitBySerial(h.Unit.Serial)
	if !ok || x.FuelUncertain {
		return false
	}
	set := j.fleet.TrueFuel(u, x.Day)
	for _, s := range j.fleet.Settings {
		if s.Unit == u && s.Day == x.Day {
			set = s.Fuel
		}
	}
	return set != x.Fuel
}

// Each kind of planted fault is found at a stated rate, and other readings are
// flagged at a stated one. With FLUEDRIFT_LONG=1 and -v the table is what the
// documents show.
func TestRates(t *testing.T) {
	all := make([]rate, len(rates))
	for _, seed := range seeds() {
		j := judgeFleet(t, seed, 600)
		faults := map[place][]demo.Fault{}
		for _, f := range j.fleet.Faults() {
			p := place{f.Serial, f.Day, f.Fire, f.Condition}
			faults[p] = append(faults[p], f)
		}
		for k := range rates {
			m := &rates[k]
			found := map[place]bool{}
			for _, kind := range m.kinds {
				for p := range j.found(kind) {
					found[p] = true
				}
			}
			for n := range j.histories {
				h := &j.histories[n]
				for i := range h.Readings {
					if h.Readings[i].Condition == Between || h.Visits[h.Readings[i].Visit].Reason == FactoryTest {
						continue
					}
					planted, skip := m.planted(&j, faults, h, i)
					if skip || !m.can(h, &h.Readings[i]) {
						continue
					}
					all[k].count(planted, found[placeOf(h, i)])
					if testing.Verbose() && planted != found[placeOf(h, i)] && seed <= 2 {
						t.Logf("%s: %s planted %v, %v", m.name, h.Readings[i].Origin, planted, placeOf(h, i))
					}
				}
			}
		}
	}
	t.Log("\n" + ratesTable(all))
	kept := measured.Of(t, "judgement")
	for k := range rates {
		all[k].keep(kept, rates[k].name, rates[k].least, rates[k].mostFals)
		require.Greater(t, all[k].planted, 5, rates[k].name)
		require.GreaterOrEqual(t, all[k].found(), rates[k].least, rates[k].name)
		require.LessOrEqual(t, all[k].false(), rates[k].mostFals, rates[k].name)
	}
}

// ratesTable writes the rates as a table of the documents.
func ratesTable(all []rate) string {
	var b strings.Builder
	b.WriteString("| planted fault | where it can show | found | of others flagged |\n|---|---|---|---|\n")
	for k := range rates {
		r, m := &all[k], &rates[k]
		needs := m.needs
		if needs == "" {
			needs = "always"
		}
		fmt.Fprintf(&b, "| %s | %s | %d of %d (%.0f %%) | %d of %d (%.2f %%) |\n", m.name, needs, r.hit, r.planted, 100*r.found(), r.alarms,
			r.innocent, 100*r.false())
	}
	return b.String()
}
