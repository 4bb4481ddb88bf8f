package combustion_test

import (
	"fmt"

	"fluedrift/model/combustion"
)

// Methane burned with dry air of 20.95 % oxygen: what CO2 it can reach, which O2 and
// how much air go with a burner set to 9 % CO2, and what 60 ppm CO are without the
// excess air.
func Example() {
	s, err := combustion.Methane.Burn(combustion.AirO2Physical)
	if err != nil {
		fmt.Println(err)
		return
	}
	fuel := s.Fuel("methane")
	fmt.Printf("CO2max %.2f %%\n", s.CO2MaxPercent())
	fmt.Printf("O2 %.2f %%, lambda %.2f\n", fuel.O2FromCO2(9), s.LambdaFromCO2(9))
	fmt.Printf("CO %.0f ppm air-free\n", fuel.COAirFreeFromCO2(60, 9))
	// Output:
	// CO2max 11.70 %
	// O2 4.84 %, lambda 1.27
	// CO 78 ppm air-free
}
