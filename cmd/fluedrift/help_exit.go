package main

import (
	"fmt"
	"io"
	"text/tabwriter"

	"fluedrift/cmd/fluedrift/settings"
)

// helpExit prints the table.
func helpExit(w io.Writer) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "code\tcondition\tlists published?\twhen")
	for _, c := range settings.Endings {
		fmt.Fprintf(t, "%d\t%s\t%s\t%s\n", c.Condition, c.Name, c.Published, c.When)
	}
	t.Flush()
	fmt.Fprintln(w, "Any other code that is not zero is a failure: 2 for a crash that could not be caught or no "+
		"memory left, 137 for a process that was killed.")
}
