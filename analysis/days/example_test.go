package days_test

import (
	"fmt"
	"time"

	"fluedrift/analysis/days"
)

// A week of one crew with nothing on the list: no day is planned. The distance between
// two places is that of the great circle.
func ExampleMake() {
	crew := days.Crew{Code: "north", Home: days.Place{LatitudeDeg: 45, LongitudeDeg: -35}}
	for d := time.Monday; d <= time.Friday; d++ {
		crew.Days[d] = days.Window{From: 480, Until: 960}
	}
	plan, err := days.Make(days.Input{AsOf: 20514, Crews: []days.Crew{crew}, Rules: days.DefaultConfig(20514)})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(len(plan.Days), len(plan.Left))
	fmt.Printf("%.0f km\n", days.GreatCircleKm(days.Place{LatitudeDeg: 45, LongitudeDeg: -35}, days.Place{LatitudeDeg: 46, LongitudeDeg: -35}))
	// Output:
	// 0 0
	// 111 km
}
