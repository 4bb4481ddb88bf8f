package main

import (
	"context"
	"errors"
	"fmt"

	"fluedrift/cmd/fluedrift/night"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/day"
)

var nightlyCommand = command{"nightly", "", "read the exports, judge and forecast every unit, publish the lists (the main job)", nightly}

func nightly(ctx context.Context, c *call) error {
	var n *night.Night
	err := night.Caught(night.At("while reading the configuration"), func() (err error) {
		n, err = nightOf(c)
		return err
	})
	if err != nil {
		return withoutNight(c, err)
	}
	return wholeNight(ctx, c, n)
}

// commented nights say in the warehouse what its columns hold. A variable for the tests,
// of whose small nights that would be a quarter.
var commented = true

// nightOf makes the night that a command line and its configuration ask for.
func nightOf(c *call) (*night.Night, error) {
	cfg, err := c.readConfig()
	if err != nil {
		return nil, err
	}
	o := night.Options{Version: version(), Now: c.now, Log: c.logger(cfg), Comments: commented}
	o.Trace = func(op publish.Op) { // for a test that watches
		if c.trace != nil {
			c.trace(op)
		}
	}
	if o.AsOf, err = asOfDay(c, cfg); err != nil {
		return nil, err
	}
	o.ByClock = c.asOf == "" && cfg.Plan.AsOf.IsZero()
	o.Into = c.output != ""
	o.Beside = o.AsOf != cfg.OwnDay(c.today()) && !c.publish
	if c.interactive && !c.quiet && !c.logs(cfg) {
		o.Progress = func(step string) { fmt.Fprintf(c.err, "%s ...\n", step) }
	}
	var n *night.Night
	if c.exit != nil {
		o.Exit = func(ctx context.Context, err error) {
			defer c.exit(int(settings.Interrupted))
			if tell(ctx, c, n, nil, err); !c.logs(cfg) {
				fmt.Fprintf(c.err, "fluedrift: %v\n", errInterrupted)
			}
		}
	}
	n, err = night.New(cfg, o)
	return n, err
}

// asOfDay is the day asked for: the flag, else the configuration, else today.
func asOfDay(c *call, cfg *settings.Config) (day.Day, error) {
	if c.asOf != "" {
		return settings.DayOf(c.asOf)
	}
	return cfg.OwnDay(c.today()), nil
}

// wholeNight runs a night and tells how it ended.
func wholeNight(ctx context.Context, c *call, n *night.Night) error {
	l, err := n.Whole(ctx)
	return tell(ctx, c, n, l, err)
}

// tell says how a night went: one line, or a log record. An error that was logged
// is not printed again.
func tell(ctx context.Context, c *call, n *night.Night, l *night.Lists, err error) error {
	if !c.logs(n.Config) {
		if l != nil && !c.quiet {
			fmt.Fprintln(c.out, n.OneLine(l))
		}
		return err
	}
	if err == nil && c.quiet {
		return nil
	}
	n.LogEnd(ctx, l, err)
	if err == nil {
		return nil
	}
	return &settings.Failure{Condition: night.ConditionAt(ctx, err), Err: errQuiet}
}

// withoutNight ends a night that could not begin.
func withoutNight(c *call, err error) error {
	if broken := night.WithoutNight(c.config, version(), c.now, err); broken != nil {
		return errors.Join(err, broken)
	}
	if c.log == "" {
		return err
	}
	end := settings.ConditionOf(err)
	c.logger(new(settings.Config)).Error("night ended", "code", int(end), "condition", end.Name(), "error", err.Error())
	return &settings.Failure{Condition: end, Err: errQuiet}
}
