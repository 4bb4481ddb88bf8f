package main

import (
	"context"
	"fmt"
	"strings"

	"fluedrift/cmd/fluedrift/night"
)

var buildCommand = command{"build", "", "read the exports into a warehouse and stop there: no forecasts, no lists", build}

// build makes a warehouse without forecasts and lists. It keeps the guards of a
// night as far as it goes.
func build(ctx context.Context, c *call) error {
	c.intoStore = true
	n, err := nightOf(c)
	if err != nil {
		return err
	}
	units, err := n.Build(ctx)
	if err != nil {
		return err
	}
	if !c.quiet {
		found := fmt.Sprintf("%s in %s", night.Count(units, "unit"), n.Config.Path(n.Config.Output.Warehouse))
		fmt.Fprintln(c.out, strings.Join(append(n.Lost(), found), " "))
	}
	return n.Look()
}
