package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/report"
	"fluedrift/analysis/study"
	"fluedrift/queries"
)

var ventsCommand = command{"vents", "", "what vents do to the set-up and to its drift, for an engineer; written to lists/vents/<as-of>/", readsWarehouse(studyVents)}

// configVents is the section [vents].
type configVents struct {
	Elbow90M float64 `toml:"elbow_90_m" default:"1.5" help:"straight metres a 90 degree elbow stands for in the study; the appliance's instructions decide"`
	Elbow45M float64 `toml:"elbow_45_m" default:"0.75" help:"and one of 45 degrees"`
	Question string  `toml:"question" default:"by-rows" help:"the one comparison declared beforehand: installation, re-routing, drift, or by-rows: the first of re-routing, installation and drift with 30 rows and 10 sites, chosen before any fit; all others are exploratory"`
	Fire     string  `toml:"fire" default:"high" help:"and its fire: high, low, or low less high"`
	Bound    float64 `toml:"bound_points" default:"0.05" help:"points of CO2 (a year for drift) from no vent to the longest run within which an effect counts as none"`
	Draws    int     `toml:"draws" default:"4000" help:"draws behind the bands of curves"`
	Seed     int     `toml:"seed" default:"1" help:"number they are drawn from"`

	Simulations int `toml:"simulations" default:"50" help:"fits behind each point of the correction for errors in recorded lengths; 0 for none"`
}

// byRows leaves the declared comparison to the numbers of rows.
const byRows = "by-rows"

// primary is the declared comparison for package study.
func (v configVents) primary() study.Primary {
	if v.Question == byRows {
		return study.Primary{Fire: v.Fire}
	}
	return study.Primary{Kind: study.Kind(v.Question), Fire: v.Fire}
}

// check holds the values against what they may be.
func (v configVents) check() error {
	primary := map[string]bool{byRows: true, string(study.Installation): true, string(study.Rerouting): true, string(study.Drift): true}
	fires := map[string]bool{"high": true, "low": true, study.LowLessHigh: true}
	switch {
	case !(v.Elbow90M >= 0 && v.Elbow45M >= 0):
		return errors.New("vents: elbow_90_m and elbow_45_m must not be negative")
	case !primary[v.Question]:
		return fmt.Errorf("vents.question: %q is neither installation, re-routing, drift nor by-rows", v.Question)
	case !fires[v.Fire]:
		return fmt.Errorf("vents.fire: %q is neither high, low nor low less high", v.Fire)
	case !(v.Bound > 0):
		return fmt.Errorf("vents.bound_points: %g is not positive", v.Bound)
	case v.Simulations < 0 || v.Simulations > 10000:
		return fmt.Errorf("vents.simulations: %d is not from 0 to 10000", v.Simulations)
	case v.Draws < 200 || v.Draws > 1000000:
		return fmt.Errorf("vents.draws: %d is not from 200 to 1000000", v.Draws)
	}
	return nil
}

func studyVents(ctx context.Context, c *call) error {
	var asked study.Configuration
	switch {
	case c.format != "text" && c.format != "html":
		return fail(exitUsage, "vents: -format %q is neither text nor html", c.format)
	case c.given["format"] && !c.given["at"]:
		return fail(exitUsage, "vents: -format goes with -at alone; the study has all its files")
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
	set := study.Settings{Bound: v.Bound, Draws: v.Draws, Seed: uint64(v.Seed), Primary: v.primary(), FactoryRunM: factory, Simulations: v.Simulations}
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
		folder = filepath.Join(cfg.path(cfg.Output.Lists), "vents", dayText(asOf))
	}
	if err := writeBeside(folder, ventsForms(ctx, s), &disk{group: cfg.Output.GroupReadable}, cfg.inputs()); err != nil {
		return fmt.Errorf("cannot write the vent study: %w", err)
	}
	for _, line := range append([]string{report.VentsLine(s)}, report.ModelLines(s)...) {
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
