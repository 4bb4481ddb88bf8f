package main

import (
	"fmt"
	"io"

	"fluedrift/cmd/fluedrift/settings"
)

// helpChanges prints the change log.
func helpChanges(w io.Writer) {
	for i, r := range settings.Releases {
		if i > 0 {
			fmt.Fprintln(w)
		}
		fmt.Fprintf(w, "%s (publications of schema %d)\n", r.Version, r.Schema)
		if len(r.Changes) == 0 {
			fmt.Fprintln(w, "  the first version with a change log")
		}
		for _, c := range r.Changes {
			fmt.Fprintf(w, "  %s\n", c.Names)
			for _, line := range wrap(c.What, 96) {
				fmt.Fprintf(w, "      %s\n", line)
			}
		}
	}
}
