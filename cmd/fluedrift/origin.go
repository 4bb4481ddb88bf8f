package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"strings"
	"time"

	"fluedrift/cmd/fluedrift/night"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/queries"
)

// again is the command line that makes warehouse or lists again, for the message
// of a command that was given this configuration.
func (c *call) again(words ...string) string {
	line := "fluedrift " + strings.Join(words, " ")
	if c.given["config"] {
		config := c.config
		if strings.ContainsAny(config, " \t'\"\\$&;|<>()*?[#~`") {
			config = "'" + strings.ReplaceAll(config, "'", `'\''`) + "'"
		}
		line += " -config " + config
	}
	return line
}

// againThatDay is the command line after which warehouse and newest list are of the day
// asked for.
func (c *call) againThatDay() string { return c.again("nightly", "-as-of", c.asOf, "-publish") }

// reading makes the failure of a command that reads: something is missing, cut,
// or of another day, configuration or publication.
func (c *call) reading(remedy, format string, args ...any) error {
	return settings.Fail(settings.NoWarehouse, "%w\nmake it again with: %s", fmt.Errorf(format, args...), remedy)
}

// errUnderWay: the warehouse is newer than the list that is shown, whose links
// are about to move.
var errUnderWay = errors.New("the warehouse is newer than the list that is out: a night is about to publish, or was cut off")

// checkOrigin compares the warehouse with the configuration, the day asked for
// and the list that is out: what one says must not contradict the other.
func (c *call) checkOrigin(cfg *settings.Config, w *queries.Warehouse) error {
	path, origin := cfg.Path(cfg.Output.Warehouse), w.Origin()
	if origin.Settings != cfg.ListsDigest() {
		return c.reading(c.again("nightly"), "the warehouse %s was made for another configuration, or this one was changed since", path)
	}
	lists, link := cfg.Path(cfg.Output.Lists), "latest"
	if c.asOf != "" {
		link = c.asOf
		day, err := settings.DayOf(c.asOf)
		if err != nil {
			return err
		}
		if day != w.AsOf() {
			return c.reading(c.againThatDay(), "the warehouse %s is of %s, not of %s", path, settings.DayText(w.AsOf()), c.asOf)
		}
	}
	if c.forecasts && origin.Publication == "" {
		return c.withoutForecasts(path)
	}
	shown, err := publish.ReadRun(filepath.Join(lists, link))
	if err != nil || shown.Publication == origin.Publication {
		return nil // nothing to contradict, or the same
	}
	if origin.Publication == "" { // built, with no list of its own
		if c.asOf != "" || settings.DayText(w.AsOf()) >= shown.AsOf {
			return nil
		}
		return c.reading(c.again("nightly"),
			"the warehouse %s is of %s, and the newest list of %s\nthat day's can be read with: -as-of %s",
			path, settings.DayText(w.AsOf()), shown.AsOf, settings.DayText(w.AsOf()))
	}
	if publish.AboutToShow(cfg, settings.DayText(w.AsOf()), origin.Publication) {
		err = errUnderWay
	} else {
		err = fmt.Errorf("the warehouse %s (as of %s) does not go with the list that is out (as of %s): "+
			"it is of another publication", path, settings.DayText(w.AsOf()), shown.AsOf)
	}
	remedy := c.again("nightly")
	if c.asOf != "" {
		remedy = c.againThatDay()
	}
	return c.reading(remedy, "%w", err)
}

// A night takes two renames and two syncs from the warehouse to the links.
const (
	underWayTries = 20
	underWayPause = 100 * time.Millisecond
)

// openFor opens the warehouse of a command that only reads, for the day it asks
// for.
func openFor(ctx context.Context, c *call) (*settings.Config, *queries.Warehouse, error) {
	cfg, err := c.readConfig()
	if err != nil {
		return nil, nil, err
	}
	for try := 1; ; try++ {
		w, err := openWarehouse(ctx, c, cfg)
		if err != nil {
			return nil, nil, err
		}
		err = c.checkOrigin(cfg, w)
		if err == nil {
			return cfg, w, nil
		}
		w.Close()
		if !errors.Is(err, errUnderWay) || try == underWayTries || ctx.Err() != nil {
			return nil, nil, err
		}
		time.Sleep(underWayPause)
	}
}

// openForecasts opens the warehouse of a command that reads the forecasts that a night
// stored.
func openForecasts(ctx context.Context, c *call) (*settings.Config, *queries.Warehouse, error) {
	c.forecasts = true
	return openFor(ctx, c)
}

// withoutForecasts is the failure of a command that reads forecasts where a build made
// the warehouse.
func (c *call) withoutForecasts(path string) error {
	remedy := c.again("nightly")
	if c.asOf != "" {
		remedy = c.againThatDay()
	}
	return c.reading(remedy, "the warehouse %s holds records and no forecasts: it was built, and no night has run since\n"+
		"run nightly first", path)
}

// openWarehouse opens the warehouse to read.
func openWarehouse(ctx context.Context, c *call, cfg *settings.Config) (*queries.Warehouse, error) {
	path := cfg.Path(cfg.Output.Warehouse)
	options := night.WarehouseOptions(version())
	if c.bound != nil {
		c.bound(&options)
	}
	w, err := queries.Open(ctx, path, options)
	switch {
	case err == nil || ctx.Err() != nil:
		return w, err
	case errors.Is(err, queries.ErrMissing):
		return nil, c.reading(c.again("nightly"), "the warehouse %s is not there", path)
	case errors.Is(err, queries.ErrBusy):
		return nil, c.reading(c.again("nightly"),
			"the warehouse %s is held by a session that writes: end that session, or let it keep its copy", path)
	case errors.Is(err, queries.ErrOtherVersion), errors.Is(err, queries.ErrIncomplete):
		return nil, c.reading(c.again("nightly"), "%w", err)
	case errors.Is(err, queries.ErrDamaged):
		return nil, c.damaged(cfg)
	case errors.Is(err, fs.ErrPermission):
		return nil, fmt.Errorf("cannot read the warehouse: %w", err)
	}
	return nil, c.reading(c.again("nightly"), "the warehouse cannot be read: %w", err)
}

// damaged is what a person reads of a warehouse that lost bytes.
func (c *call) damaged(cfg *settings.Config) error {
	return c.reading(c.again("nightly"), "the warehouse %s is damaged: bytes of it were cut off or changed", cfg.Path(cfg.Output.Warehouse))
}

// readsWarehouse makes a command end with its code and remedy where the damage of
// the warehouse shows only while it is read.
func readsWarehouse(work func(context.Context, *call) error) func(context.Context, *call) error {
	return func(ctx context.Context, c *call) error {
		err := work(ctx, c)
		if err == nil || settings.ConditionOf(err) != settings.Failed || !queries.Damaged(err) {
			return err
		}
		cfg, broken := publish.ReadSettings(c.config)
		if broken != nil {
			return err
		}
		return c.damaged(cfg)
	}
}
