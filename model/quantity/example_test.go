package quantity_test

import (
	"fmt"

	"fluedrift/model/quantity"
)

// A technician's draft in inches of water becomes pascals. A name written for more
// than one quantity is refused.
func Example() {
	inches, err := quantity.Lookup("in w.c.")
	if err != nil {
		fmt.Println(err)
		return
	}
	pascals, err := quantity.Convert(-0.04, inches, quantity.MustLookup("Pa"))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f Pa\n", pascals)
	_, err = quantity.Lookup("MBtu")
	fmt.Println(err != nil)
	// Output:
	// -9.96 Pa
	// true
}
