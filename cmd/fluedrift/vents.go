package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/study"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/queries"
)

var ventsCommand = command{"vents", "", "what vents do to the set-up and to its drift, for an engineer; written to lists/vents/<as-of>/", readsWarehouse(studyVents)}

func studyVents(ctx context.Context, c *call) error {
	var asked study.Configuration
	switch {
	case c.format != "text" && c.format != "html":
		return settings.Fail(settings.Usage, "vents: -format %q is neither text nor html", c.format)
	case c.given["format"] && !c.given["at"]:
		return settings.Fail(settings.Usage, "vents: -format goes with -at alone; the study has all its files")
	}
	if c.given["at"] {
		var err error
		if asked, err = readConfiguration(c.at); err != nil {
			return err
		}
	}
	c.intoFolder = !c.given["at"]
	cfg, w, err := openFor(ctx, c)
	if err != nil {
		return err
	}
	asOf := w.AsOf()
	now, err := historiesOf(ctx, w)
	if err != nil {
		return errors.Join(err, w.Close())
	}
	rules, err := rulesOf(ctx, cfg, asOf, w, now)
	factory, more := factoryRuns(ctx, w)
	night, kept := storedFits(ctx, w)
	if err := errors.Join(err, more, kept, w.Close()); err != nil {
		return err
	}
	v := cfg.Vents
	e := estimateRules(rules, &cfg.Model)
	asNight := e
	e.Elbow90M, e.Elbow45M = v.Elbow90M, v.Elbow45M
	set := study.Settings{Bound: v.Bound, Draws: v.Draws, Seed: uint64(v.Seed), Primary: v.Primary(), FactoryRunM: factory, Simulations: v.Simulations}
	if c.given["at"] {
		return c.answerAt(now, e, set, asked)
	}
	s, err := study.Run(now, e, set)
	if err != nil {
		return err
	}
	if s.Model, err = study.ModelOf(ctx, now, asNight, night); err != nil {
		return err
	}
	folder := c.output
	if folder == "" {
		folder = filepath.Join(cfg.Path(cfg.Output.Lists), "vents", settings.DayText(asOf))
	}
	if err := publish.WriteBeside(cfg, folder, ventsForms(ctx, s)); err != nil {
		return fmt.Errorf("cannot write the vent study: %w", err)
	}
	for _, line := range append([]string{words.VentsLine(s)}, words.ModelLines(s)...) {
		fmt.Fprintln(c.out, line)
	}
	_, err = fmt.Fprintf(c.out, "Report and tables: %s\n", folder)
	return err
}

// storedFits reads what the night left of its fits.
func storedFits(ctx context.Context, w *queries.Warehouse) (night estimate.Stored, err error) {
	if night.Fits, err = w.Fits(ctx); err != nil {
		return night, err
	}
	if night.Shifts, err = w.Shifts(ctx); err != nil {
		return night, err
	}
	if night.Unconfirmed, err = w.Unconfirmed(ctx, queries.Slice{Until: math.MaxInt32}); err != nil {
		return night, err
	}
	night.Steps, err = w.LevelSteps(ctx)
	return night, err
}
