package demo_test

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/datasets/demo"
	"fluedrift/datasets/worlds"
	"fluedrift/model/judge"
)

// origin splits file:line.
func origin(t *testing.T, s string) (string, int) {
	t.Helper()
	i := strings.LastIndexByte(s, ':')
	n, err := strconv.Atoi(s[i+1:])
	require.NoError(t, err)
	return s[:i], n
}

// bare takes line numbers and keys away, which a bigger fleet moves.
func bare(h judge.History) judge.History {
	h.Unit.Key = 0
	for i := range h.Visits {
		h.Visits[i].Origin = ""
	}
	for i := range h.Readings {
		h.Readings[i].Origin = ""
	}
	return h
}

func bySerial(hs []judge.History) map[string]judge.History {
	out := map[string]judge.History{}
	for _, h := range hs {
		out[h.Unit.Serial] = h
	}
	return out
}

// A bigger fleet begins with the smaller one.
func TestBiggerFleetBeginsWithSmaller(t *testing.T) {
	small, big := worlds.Demo(demo.Options{Units: 80}), worlds.Demo(demo.Options{Units: 200})
	a, b := bySerial(small.Histories()), bySerial(big.Histories())
	for i := range small.Len() - 4 { // the last site may have been cut
		require.Equal(t, small.Serial(i), big.Serial(i))
		assert.Equal(t, text(bare(a[small.Serial(i)])), text(bare(b[small.Serial(i)])))
		for _, fire := range small.Fires(i) {
			assert.Equal(t, small.TrueCO2(i, fire, small.AsOf()), big.TrueCO2(i, fire, big.AsOf()))
		}
	}
}

// Switches of what is recorded change nothing else: an O2 twin has the same
// visits, and its O2 means the same CO2 (the straight line, four decimals).
func TestTwinInO2(t *testing.T) {
	w := demo.Default()
	w.Gases = demo.OnlyCO2
	a := worlds.Demo(demo.Options{Units: 200, World: w}).Histories()
	w.Gases = demo.OnlyO2
	b := worlds.Demo(demo.Options{Units: 200, World: w}).Histories()
	require.Equal(t, len(a), len(b))
	for i := range a {
		require.Equal(t, len(a[i].Readings), len(b[i].Readings))
		for k := range a[i].Readings {
			x, y := a[i].Readings[k], b[i].Readings[k]
			assert.True(t, math.IsNaN(x.O2Percent) && math.IsNaN(y.CO2Percent))
			assert.Equal(t, x.COPPM, y.COPPM)
			if x.Fuel != "" {
				assert.InDelta(t, x.CO2Percent, demo.FuelNamed(x.Fuel).CO2FromO2(y.O2Percent), 5e-5, x.Origin)
			}
		}
	}
}

// The other switches take away what they say and nothing else.
func TestSwitches(t *testing.T) {
	plain := demo.Default()
	count := func(w demo.World) (n int, found, low, meters, lengths int) {
		for _, h := range worlds.Demo(demo.Options{Units: 120, World: w}).Histories() {
			for _, v := range h.VentRuns {
				if !math.IsNaN(v.LengthM) {
					lengths++
				}
			}
			for _, r := range h.Readings {
				n++
				if r.Condition == judge.AsFound {
					found++
				}
				if r.Fire == judge.Low {
					low++
				}
				if r.Analyzer != "" {
					meters++
				}
			}
		}
		return
	}
	n, found, low, meters, lengths := count(plain)
	for _, x := range []int{found, low, meters, lengths} {
		assert.Positive(t, x)
	}
	w := plain
	w.NoAnalyzers = true
	n2, _, _, m2, l2 := count(w)
	assert.Equal(t, []int{n, 0, lengths}, []int{n2, m2, l2})
	w = plain
	w.VentLengthMissing = 1
	n3, _, _, m3, l3 := count(w)
	assert.Equal(t, []int{n, meters, 0}, []int{n3, m3, l3})
	w = plain
	w.OneFire = true
	_, _, low4, _, _ := count(w)
	assert.Zero(t, low4)
	w = plain
	w.AsLeftOnly = true
	_, found5, _, _, _ := count(w)
	assert.Zero(t, found5)
}

// text writes a history down so that missing numbers compare equal.
func text(h judge.History) string {
	var b strings.Builder
	for _, r := range h.Readings {
		b.WriteString(strings.Join([]string{
			demo.ISO(r.Day), string(r.Fire), string(r.Condition), demo.Number(r.CO2Percent, 4),
			demo.Number(r.O2Percent, 4), demo.Number(r.COPPM, 0),
			demo.Number(r.FlueTempC, 3), demo.Number(r.AirTempC, 3), r.Analyzer, demo.ISO(r.Calibrated), r.Fuel, r.Target.Origin,
		}, " ") + "\n")
	}
	for _, v := range h.Visits {
		b.WriteString(strings.Join([]string{v.ID, demo.ISO(v.Day), string(v.Reason), v.Technician, v.AdjustedHigh, v.Parts}, " ") + "\n")
	}
	for _, v := range h.VentRuns {
		b.WriteString(demo.Number(v.LengthM, 3) + " " + demo.ISO(v.From) + v.CommonVent + "\n")
	}
	return b.String() + h.Unit.Site + h.Unit.ModelLine + string(h.Unit.State)
}
