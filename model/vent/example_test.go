package vent_test

import (
	"fmt"

	"fluedrift/model/combustion"
	"fluedrift/model/vent"
)

// A 200 kW burner on natural gas vents through 12 m of 150 mm pipe with three
// elbows. What the elbows and the terminal take depends on their make, which is not
// recorded, so the loss is a range.
func Example() {
	firing := vent.Firing{
		Gas: combustion.Methane, Air: combustion.AirO2Physical,
		InputKW: 200, CO2Percent: 9, FlueTempC: 65, AirTempC: 10, PressurePa: vent.PressurePa(200),
	}
	flue, _, err := firing.Streams()
	if err != nil {
		fmt.Println(err)
		return
	}
	run := vent.Run{Sections: []vent.Section{{DiameterM: 0.15, LengthM: 12, RiseM: 2, Elbows90: 3, RoughnessM: vent.Roughness("stainless")}}}
	loss := run.VentLoss(flue)
	fmt.Printf("friction %.0f Pa, in all %.0f to %.0f Pa at %.1f m/s\n", loss.FrictionPa, loss.TotalPa.Low, loss.TotalPa.High, loss.VelocityMS)
	// Output:
	// friction 21 Pa, in all 36 to 82 Pa at 4.7 m/s
}
