package demo_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"fluedrift/datasets/demo"
	"fluedrift/datasets/worlds"
)

// A level step moves the true CO2 of its area by its size, and nobody else's,
// while no setting comes between.
func TestLevelStepMovesOneArea(t *testing.T) {
	w := demo.Plain()
	base := worlds.Demo(demo.Options{Units: 90, World: w})
	w.LevelSteps = []demo.LevelStep{{Area: "North 1", Day: base.AsOf() - 1, CO2Points: -0.18}}
	moved := worlds.Demo(demo.Options{Units: 90, World: w})
	for i, u := range base.Units {
		want := 0.0
		if demo.AreaName(u.SiteOn(base.AsOf()).Area) == "North 1" {
			want = -0.18
		}
		fire := base.Fires(i)[0]
		assert.InDelta(t, want, moved.TrueCO2(i, fire, base.AsOf())-base.TrueCO2(i, fire, base.AsOf()), 1e-9)
	}
}

// Errors of vent records change the register, not the truth.
func TestVentErrorsAreOfTheRegister(t *testing.T) {
	w := demo.Plain()
	a := worlds.Demo(demo.Options{Units: 90, World: w})
	w.VentErrorSD, w.VentTyped = 0.3, 0.25
	b := worlds.Demo(demo.Options{Units: 90, World: w})
	ha, hb := a.Histories(), b.Histories()
	differ, typed := 0, 0
	for i := range ha {
		unit, _ := a.UnitBySerial(ha[i].Unit.Serial)
		assert.Equal(t, a.VentCovariate(unit, a.AsOf()), b.VentCovariate(unit, b.AsOf()))
		if math.Abs(ha[i].VentRuns[0].LengthM-hb[i].VentRuns[0].LengthM) > 1e-9 {
			differ++
		}
		if math.Abs(hb[i].VentRuns[0].LengthM-demo.TypedVentFt*demo.MetresPerFoot) < 1e-9 {
			typed++
		}
	}
	assert.Greater(t, differ, 45)
	assert.Greater(t, typed, 10)
}

func BenchmarkDemoWritten(b *testing.B) {
	for b.Loop() {
		if err := worlds.Demo(demo.Options{}).Write(b.TempDir()); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkHistoriesOf10000(b *testing.B) {
	for b.Loop() {
		worlds.Demo(demo.Options{Units: 10000}).Histories()
	}
}
