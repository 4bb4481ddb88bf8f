package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"fluedrift/analysis/report/table"
	"fluedrift/cmd/fluedrift/night"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/datasets/demo"
)

var demoCommand = command{"demo", "", "make an invented fleet's exports and run the main job on them", runDemo}

// demoAsOf is the day the demo speaks for.
const demoAsOf = "2026-03-02"

// demoTop is how many lines of the watchlist the demo prints.
const demoTop = 15

func runDemo(ctx context.Context, c *call) error {
	if c.units < 1 || c.years < 2 {
		return settings.Fail(settings.Usage, "demo: -units %d -years %d\ngive at least 1 unit and 2 years", c.units, c.years)
	}
	if err := clearDemo(c.dir); err != nil {
		return err
	}
	asOf, err := settings.DayOf(demoAsOf)
	if err != nil {
		return err
	}
	o := demo.Options{Units: c.units, Years: c.years, Seed: c.seed, AsOf: asOf, World: demo.Default()}
	if err := demo.Write(c.dir, o); err != nil {
		return fmt.Errorf("cannot write the demo's exports: %w", err)
	}
	c.config = filepath.Join(c.dir, "fluedrift.toml")
	n, err := nightOf(c)
	if err != nil {
		return err
	}
	l, err := n.Run(ctx)
	if err != nil {
		return err
	}
	top := l.Tables[0]
	all := len(top.Rows)
	shown := min(all, demoTop)
	if c.top > 0 {
		shown = min(all, c.top)
	}
	top.Rows = top.Rows[:shown]
	if err := table.WriteText(c.out, top); err != nil {
		return err
	}
	fmt.Fprintf(c.out, "\nThe fleet, its places and its faults are invented.\n%d of %d lines; all of them: %s\nOne "+
		"unit's story: fluedrift unit -config %s SERIAL\n",
		shown, all, filepath.Join(c.dir, "lists", "latest", "watchlist.csv"), c.config)
	sayPlanted(c, n)
	return nil
}

// sayPlanted says what a night of this fleet is to be looked at for. The demo put
// it there, so it ends well where a nightly run ends with its own code.
func sayPlanted(c *call, n *night.Night) {
	if err := n.Look(); err != nil {
		fmt.Fprintf(c.err, "fluedrift: %v\nThe demo planted these faults; for them a nightly run ends with code %d.\n", err,
			settings.ConditionOf(err))
	}
}

// clearDemo empties a folder the demo made before, and no other.
func clearDemo(dir string) error {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) || err == nil && len(entries) == 0 {
		return nil
	}
	if err != nil {
		return err
	}
	if _, err := os.Stat(filepath.Join(dir, "truth")); err != nil {
		return settings.Fail(settings.Usage, "demo: the folder %s is not empty and holds no demo\nname another with -dir", dir)
	}
	for _, part := range []string{"exports", "layouts", "truth", "lists", "fluedrift.toml", "warehouse.duckdb"} {
		if err := os.RemoveAll(filepath.Join(dir, part)); err != nil {
			return err
		}
	}
	return nil
}
