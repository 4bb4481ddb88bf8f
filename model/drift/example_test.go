package drift_test

import (
	"context"
	"fmt"
	"math"

	"fluedrift/model/drift"
)

// A fleet of sixty units read once a year for six years. Nobody adjusts; units
// with a long vent drift lean. One unit is forecast a year after its last visit.
func Example() {
	in := drift.Input{
		Rules: drift.DefaultConfig(),
		Design: drift.Design{Drift: []drift.Column{
			{Name: "time", Unit: "year", Prior: &drift.Prior{SD: 0.05}},
			{Name: "vent", Unit: "longest run", Prior: &drift.Prior{SD: 0.1}},
		}},
	}
	for u := range 60 {
		vent := float64(u%10) / 10
		s := drift.Series{Unit: fmt.Sprintf("unit %d", u), Runs: []drift.Run{{Rate: []float64{1, vent}}}}
		for year := range 6 {
			y := 0.05*math.Sin(float64(7*u+3*year)) - 0.08*vent*float64(year)
			s.Visits = append(s.Visits, drift.Visit{
				T: float64(year), Adjusted: drift.No, Analyzer: -1, Period: -1,
				Readings: []drift.Reading{{Y: y, Kind: drift.AsFound, Analyzer: -1, Period: -1}},
			})
		}
		in.Series = append(in.Series, s)
	}
	fleet, err := drift.NewFleet(in)
	if err != nil {
		fmt.Println(err)
		return
	}
	fit, err := fleet.Fit(context.Background(), drift.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	vent, _ := fit.Coefficient("vent")
	fmt.Printf("%s: vent %.2f points a year (%.2f to %.2f)\n", fit.How, vent.Value, vent.Low, vent.High)
	at := drift.Point{T: 6, Lo: -0.2, Hi: 0.2, Analyzer: -1, Period: -1}
	f := fit.Predictor().Predictive(9).At(at)
	fmt.Printf("unit 9: %.2f (%.2f to %.2f), lean with probability %.2f\n", f.State.Mean, f.State.Low, f.State.High, f.PLean)
	// Output:
	// fixed ratios with wide priors: vent -0.07 points a year (-0.10 to -0.04)
	// unit 9: -0.42 (-0.50 to -0.34), lean with probability 1.00
}
