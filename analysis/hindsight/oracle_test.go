package hindsight

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/datasets/worlds"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// fireOf is a fire of a unit.
type fireOf struct {
	serial string
	fire   judge.Fire
}

// withOracle are the cases of the origins with an oracle's order in place of the
// model's.
func withOracle(t testing.TB, f *worlds.DemoFleet, origins []*lookedAt, biases bool) (all []Case) {
	for _, o := range origins {
		chances := oracleChances(t, f, o.known, &o.rules.List.Judge, o.Day, o.rules.Model.Planned, biases)
		from := len(all)
		all = append(all, o.Cases...)
		for i := range all[from:] {
			c := &all[from+i]
			c.Order[Model] = chances[fireOf{c.Serial, c.Fire}]
		}
	}
	return all
}

// oracleChances are the probabilities of standing outside on the planned day.
func oracleChances(t testing.TB, f *worlds.DemoFleet, known []*judge.History, rules *judge.Config, asOf day.Day,
	planned func(*judge.History) day.Day, biases bool,
) map[fireOf]float64 {
	t.Helper()
	o := worlds.NewOracle(f, rules, asOf, biases)
	out := map[fireOf]float64{}
	for _, fires := range [][]judge.Fire{{judge.High, judge.Single}, {judge.Low}} {
		units, err := o.Forecast(known, 2, fires...)
		require.NoError(t, err)
		for _, u := range units {
			out[fireOf{u.History.Unit.Serial, u.Fire}] = u.Predictive.At(u.Point(max(planned(u.History), asOf), u.Set())).POut
		}
	}
	return out
}
