package estimate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/datasets/demo"
	"fluedrift/datasets/worlds"
	"fluedrift/model/combustion"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// oneAirColumn has one column for the air of every control.
func oneAirColumn() *columns {
	c := &columns{control: classes{names: []string{everyClass}}}
	c.design.Level = make([]drift.Column, 4)
	c.level = map[string]int{airColumn(c.control.class("ratio")): 0, colAsFound: 1, colSince: 2, colSinceNone: 3}
	return c
}

// Air read in the room where a unit draws it from outdoors, and degF among degC,
// count as not recorded: neither the course of the year nor the covariate of the
// reading knows them. Both would without the doubt.
func TestAirInDoubtIsNotRecorded(t *testing.T) {
	fuels, err := combustion.Fuels(nil, combustion.AirO2Field)
	require.NoError(t, err)
	w := demo.Default()
	w.Faults.DegF, w.Faults.RoomProbe = 0.05, 0.1
	f := worlds.Demo(demo.Options{Units: 300, Seed: 1, World: w})
	all := f.Histories()
	histories, judgements, trusting := make([]*judge.History, len(all)), make([]judge.Judgement, len(all)), make([]judge.Judgement, len(all))
	for i := range all {
		histories[i] = &all[i]
		judgements[i] = judge.Judge(histories[i], judge.DefaultConfig(fuels))
		trusting[i].Uses = judgements[i].Uses
	}
	r := DefaultConfig(f.AsOf(), judge.DefaultConfig(fuels))
	with, err := newBuilder(histories, judgements, r)
	require.NoError(t, err)
	without, err := newBuilder(histories, trusting, r)
	require.NoError(t, err)
	require.Less(t, with.climate.Outdoor.Readings, without.climate.Outdoor.Readings)
	require.Less(t, with.climate.Outdoor.Var, 0.8*without.climate.Outdoor.Var)

	doubts := 0
	for i, h := range histories {
		for k := range with.doubted[i] {
			u := &covariates{record: &record{b: with, h: h, doubted: with.doubted[i], tools: &instruments{}}, cols: oneAirColumn()}
			x := &h.Readings[k]
			if math.IsNaN(x.AirTempC) || !intakeKnown(h, x) {
				continue
			}
			doubts++
			require.InDelta(t, with.climate.curve(drawsRoom(h, x)).At(x.Day)-10, u.level(k)[0], 1e-9)
			u.doubted = nil
			require.InDelta(t, x.AirTempC-10, u.level(k)[0], 1e-9)
		}
	}
	require.Greater(t, doubts, 30)
}
