package demo_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/datasets/demo"
	"fluedrift/datasets/worlds"
	"fluedrift/model/judge"
)

// Every kind of fault is planted in the demo, and what the histories show is
// what the fault says.
func TestFaultsShow(t *testing.T) {
	f := worlds.Demo(demo.Options{})
	histories := bySerial(f.Histories())
	kinds := map[string]int{}
	for _, x := range f.Faults() {
		kinds[x.Kind]++
		switch x.Kind {
		case demo.FaultTyping, demo.FaultTypingLast, demo.FaultCopied:
			r := readingOf(histories[x.Serial], x)
			if r != nil {
				assert.InDelta(t, x.Written, shownGas(r), 1e-9, "%+v", x)
			}
			if x.Kind == demo.FaultTypingLast && r != nil {
				last := lastReading(histories[x.Serial], x.Fire)
				assert.InDelta(t, x.Written, shownGas(last), 1e-9, "%+v", x)
			}
		case demo.FaultStray:
			h, ok := histories[x.Detail]
			if ok { // its line may be damaged besides
				assert.False(t, h.Unit.InRegister)
			}
		}
	}
	for _, kind := range []string{
		demo.FaultTyping, demo.FaultTypingLast, demo.FaultCopied, demo.FaultLetterCase, demo.FaultStray,
		demo.FaultLabel, demo.FaultSetting, demo.FaultLeft, demo.FaultJump, demo.FaultCOHigh,
	} {
		assert.Positive(t, kinds[kind], kind)
	}
}

// readingOf finds the reading a fault was planted at, nil where its line does
// not count.
func readingOf(h judge.History, x demo.Fault) *judge.Reading {
	for i := range h.Readings {
		r := &h.Readings[i]
		file, line := originOf(r.Origin)
		if file == x.File && line == x.Line && r.Fire == x.Fire && r.Recorded == x.Condition && r.Condition != judge.Between {
			return r
		}
	}
	return nil
}

func originOf(s string) (string, int) {
	i := len(s) - 1
	n, unit := 0, 1
	for ; s[i] != ':'; i-- {
		n, unit = n+unit*int(s[i]-'0'), unit*10
	}
	return s[:i], n
}

func lastReading(h judge.History, fire judge.Fire) *judge.Reading {
	for i := len(h.Readings) - 1; i >= 0; i-- {
		if h.Readings[i].Fire == fire {
			return &h.Readings[i]
		}
	}
	return nil
}

func shownGas(r *judge.Reading) float64 {
	if math.IsNaN(r.CO2Percent) {
		return r.O2Percent
	}
	return r.CO2Percent
}

// A unit with the wrong fuel label is set to the other fuel's target: its as
// lefts stand nearer to that one, in the middle.
func TestWrongLabelsShowInAsLefts(t *testing.T) {
	w := demo.Default()
	w.Faults.WrongLabel = 0.2
	f := worlds.Demo(demo.Options{World: w})
	histories := bySerial(f.Histories())
	seen := 0
	for i := range f.Len() {
		if !f.WrongLabel(i) {
			continue
		}
		fire := f.Fires(i)[0]
		var off []float64
		for _, r := range histories[f.Serial(i)].Readings {
			if r.Fire == fire && r.Condition == judge.AsLeft {
				off = append(off, math.Abs(r.CO2Percent-f.TrueTarget(i, fire, r.Day)))
				assert.NotEqual(t, f.TrueFuel(i, r.Day), r.Fuel)
			}
		}
		if len(off) < 3 {
			continue
		}
		slices.Sort(off)
		assert.Less(t, off[len(off)/2], 0.35, f.Serial(i)) // targets of the two fuels are at least 1.2 points apart
		seen++
	}
	require.Greater(t, seen, 20)
}

// Lines that are not planted, and planted ones that are accepted, are exactly
// the readings of the histories: nothing is lost and nothing comes twice.
func TestAcceptedLinesAreTheReadings(t *testing.T) {
	f := worlds.Demo(demo.Options{Units: 300})
	want := map[string]int{}
	for at, values := range f.AcceptedLines() {
		want[fmt.Sprintf("%s:%d", at.File, at.Line)] = values
	}
	got := map[string]int{}
	for _, h := range f.Histories() {
		for _, r := range h.Readings {
			got[r.Origin]++
		}
	}
	assert.Equal(t, want, got)
}

// In the plain world there is nothing to find.
func TestPlainWorldHasNoFaults(t *testing.T) {
	f := worlds.Demo(demo.Options{Units: 200, World: demo.Plain()})
	assert.Empty(t, f.Faults())
	assert.Empty(t, f.PlantedLines())
}

// Large jumps nobody set right exist where a test asks for them.
func TestOpenJumps(t *testing.T) {
	w := demo.Default()
	w.JumpsPerYear, w.AdjustShare = 0.05, 0.5
	f := worlds.Demo(demo.Options{World: w})
	open := 0
	for _, j := range f.Jumps {
		if f.OpenAtLastVisit(j) && math.Abs(j.CO2Points) > 0.45 {
			open++
			u, ok := f.UnitBySerial(j.Serial)
			require.True(t, ok)
			assert.Equal(t, j.Unit, u)
		}
	}
	assert.Greater(t, open, 5)
}
