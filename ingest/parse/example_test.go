package parse_test

import (
	"fmt"

	"fluedrift/ingest/parse"
	"fluedrift/model/quantity"
)

// Cells of an export with decimal commas: a number with its unit, a limit, and a cell
// that is not a number.
func Example() {
	numbers := parse.Numbers{Decimal: ",", Thousands: "."}
	percent := quantity.MustLookup("%")
	for _, cell := range []string{"9,10 %", "9.1", "nan"} {
		n, fault := numbers.Measure(cell, percent)
		if fault != nil {
			fmt.Printf("%q: %s\n", cell, fault.Reason)
			continue
		}
		fmt.Printf("%q: %.2f with %d decimals\n", cell, n.Value, n.Decimals)
	}
	days, err := parse.NewDays("d.m.yyyy", 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	day, _, _ := days.Parse("2.3.2026")
	fmt.Println(days.Format(day))
	// Output:
	// "9,10 %": 9.10 with 2 decimals
	// "9.1": unreadable-number
	// "nan": not-finite
	// 2.3.2026
}
