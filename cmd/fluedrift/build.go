package main

import (
	"context"
	"fmt"
	"strings"
)

var buildCommand = command{"build", "", "read the exports into the warehouse and stop there", build}

// build makes the warehouse without lists. It keeps the guards of a night, but
// publishes nothing.
func build(ctx context.Context, c *call) error {
	n, err := newNight(c)
	if err != nil {
		return err
	}
	if err := n.checkInput(); err != nil {
		return err
	}
	release, err := n.begin(ctx)
	if err != nil {
		return err
	}
	defer release()
	defer n.stopSoon(ctx)()
	defer n.dropWarehouse()
	if err := n.readPublications(); err != nil {
		return err
	}
	l, err := n.make(ctx)
	if err != nil {
		return err
	}
	if err := n.useWarehouse(ctx); err != nil {
		return err
	}
	if !c.quiet {
		fmt.Fprintln(c.out, strings.Join(append(n.lost(), fmt.Sprintf("%s in %s", count(l.summary.Units, "unit"), n.config.Path(n.config.Output.Warehouse))), " "))
	}
	return n.look()
}
