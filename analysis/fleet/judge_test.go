package fleet

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/watch"
	"fluedrift/model/combustion"
	"fluedrift/model/day"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// The rules are those of the records: their day, the fuels they burn, what
// calibrations found; the rest is as the user set it. A calibration without a found
// error certifies nothing.
func TestRulesAreThoseOfTheRecords(t *testing.T) {
	fuels, err := combustion.Fuels(nil, combustion.AirO2Field)
	require.NoError(t, err)
	set := Config{Fuels: fuels, List: watch.DefaultConfig(0, judge.Config{}), Model: estimate.DefaultConfig(0, judge.Config{})}
	set.List.IntervalMonths, set.Model.VentErrorSD = 6, 0.2
	records := Records{AsOf: 20000, burnt: map[string]bool{"propane": true, "peat": true}, Calibrations: []queries.Calibration{
		{Analyzer: "A1", Calibrated: 100, FoundError: 0.12}, {Analyzer: "A2", Calibrated: 200, FoundError: math.NaN()},
	}}
	r := records.Options(set)
	require.Equal(t, []estimate.Certificate{{Analyzer: "A1", Day: 100, FoundErrorPoints: 0.12}}, r.Model.Certificates)
	require.Equal(t, []day.Day{20000, 20000}, []day.Day{r.List.AsOf, r.Model.AsOf})
	require.Equal(t, map[string]combustion.Fuel{"propane": fuels["propane"]}, r.List.Judge.Fuels)
	require.Equal(t, fuels, r.List.Judge.Configured)
	require.Equal(t, r.List.Judge, r.Model.Judge)
	require.Equal(t, 6, r.List.IntervalMonths)
	require.Equal(t, 0.2, r.Model.VentErrorSD)
	require.Nil(t, set.Model.Certificates, "what the user set stays as it was")
}
