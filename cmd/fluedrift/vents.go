package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"

	"fluedrift/analysis/fleet"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/study"
	"fluedrift/cmd/fluedrift/night"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

var ventsCommand = command{"vents", "", "what vents do to the setting of burners and to its drift, for an engineer; written to " +
	"lists/vents/<as-of>/", readsWarehouse(studyVents)}

func studyVents(ctx context.Context, c *call) error {
	if c.given["against"] && !c.given["at"] {
		return settings.Fail(settings.Usage, "vents: -against goes with -at, the vent that it is compared with")
	}
	if c.given["format"] && !c.given["at"] {
		return settings.Fail(settings.Usage, "vents: -format goes with -at alone; the study has all its files")
	}
	asked, err := configurationOf("-at", c.at, c.given["at"])
	if err != nil {
		return err
	}
	against, err := configurationOf("-against", c.against, c.given["against"])
	if err != nil {
		return err
	}
	c.intoFolder = !c.given["at"]
	cfg, w, err := openForecasts(ctx, c)
	if err != nil {
		return err
	}
	asOf := w.AsOf()
	in, known := night.UnitsOf(ctx, cfg, w)
	records, judged, err := night.JudgeFleet(ctx, cfg, w, "")
	stored, kept := fleet.StoredFits(ctx, w)
	if err := errors.Join(known, err, kept, w.Close()); err != nil {
		return err
	}
	v := cfg.Vents
	studied := *judged
	studied.Rules.Model.Elbow90M, studied.Rules.Model.Elbow45M = v.Elbow90M, v.Elbow45M
	set := study.Config{
		Bound: v.Bound, Draws: v.Draws, Seed: uint64(v.Seed), Primary: v.Primary(),
		FactoryRunM: records.FactoryRunM, Simulations: v.Simulations,
	}
	if asked != nil {
		set.ReadingSD = readingSD(stored.Fits)
		return answerAt(c, in, &studied, set, asked, against)
	}
	s, err := study.Run(&studied, set)
	if err != nil {
		return err
	}
	if s.Model, err = study.ModelOf(ctx, judged, stored); err != nil {
		return err
	}
	folder := c.output
	if folder == "" {
		folder = filepath.Join(cfg.Path(cfg.Output.Lists), "vents", settings.DayText(asOf))
	}
	if err := publish.WriteBeside(cfg, folder, ventsForms(ctx, in, s)); err != nil {
		return fmt.Errorf("cannot write the vent study: %w", err)
	}
	for _, line := range append([]string{words.VentsLine(in, s)}, words.ModelLines(s)...) {
		fmt.Fprintln(c.out, line)
	}
	_, err = fmt.Fprintf(c.out, "Report and tables: %s\n", folder)
	return err
}

// configurationOf reads the vent that a flag gives; nil where it is not given.
func configurationOf(flag, text string, given bool) (*study.Configuration, error) {
	if !given {
		return nil, nil
	}
	out, err := readConfiguration(flag, text)
	return &out, err
}

// readingSD is how far one reading lies from what it is of, by the night's fits: noise,
// and both errors of its analyzer.
func readingSD(fits []queries.Fit) map[judge.Fire]float64 {
	out := map[judge.Fire]float64{}
	for _, f := range fits {
		if f.SigmaPoints > 0 {
			out[f.Fire] = f.SigmaPoints * math.Sqrt(1+f.RatioB1*f.RatioB1+f.RatioB2*f.RatioB2)
		}
	}
	return out
}
