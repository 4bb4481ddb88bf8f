package main

import (
	"context"
	"fmt"
	"strings"

	"fluedrift/cmd/fluedrift/night"
)

var buildCommand = command{"build", "", "read the exports into the warehouse and stop there", build}

// build makes the warehouse without lists. It keeps the guards of a night, but
// publishes nothing.
func build(ctx context.Context, c *call) error {
	n, err := nightOf(c)
	if err != nil {
		return err
	}
	l, err := n.Build(ctx)
	if err != nil {
		return err
	}
	if !c.quiet {
		units := fmt.Sprintf("%s in %s", night.Count(l.Summary.Units, "unit"), n.Config.Path(n.Config.Output.Warehouse))
		fmt.Fprintln(c.out, strings.Join(append(n.Lost(), units), " "))
	}
	return n.Look()
}
