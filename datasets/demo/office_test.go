package demo

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// CO of the three bases means the same CO: air-free = as measured x 20.9/(20.9 -
// O2) = at 3 % O2 x 20.9/17.9 (40 CFR 62.14650(f), equation 1).
func TestCOBasesAgree(t *testing.T) {
	f := New(Options{Units: 60})
	v := &Visit{technician: &technician{}, setting: naturalGas.Name}
	rd := reading{co2: 9.0, o2: naturalGas.O2FromCO2(9.0), coPPM: 200, flueC: 60}
	seen := map[int]bool{}
	for _, u := range f.Units {
		if u.fuels[0].fuel != naturalGas.Name || len(u.fuels) > 1 {
			continue
		}
		x := f.written(u, v, rd, 0)
		free := x.CO
		switch u.office() {
		case WideOffice:
			free = naturalGas.COAirFree(x.CO, math.NaN(), rd.o2)
		case BookOffice:
			free = x.CO * 20.9 / 17.9
		}
		assert.InDelta(t, 200, free, 1) // CO is written in whole ppm
		seen[u.office()] = true
	}
	assert.Len(t, seen, 3)
}
