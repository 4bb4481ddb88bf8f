package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"

	"fluedrift/analysis/fleet"
	"fluedrift/analysis/hindsight"
	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/report/page"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/words"
	"fluedrift/cmd/fluedrift/night"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/day"
	"fluedrift/queries"
)

var hindsightCommand = command{"hindsight", "", "how right the list would have been: the list of past days compared with what the " +
	"next visits found; written to lists/hindsight/<as-of>/", readsWarehouse(backtest)}

func backtest(ctx context.Context, c *call) error {
	cfg, w, err := openFor(ctx, c)
	if err != nil {
		return err
	}
	asOf := w.AsOf()
	_, now, err := night.JudgeFleet(ctx, cfg, w, "")
	if err := errors.Join(err, w.Close()); err != nil {
		return err
	}
	s := cfg.Hindsight.Settings(asOf)
	outcomes := hindsight.NewOutcomes(now)
	origins, err := lookFrom(ctx, cfg, outcomes, cfg.Hindsight.OriginDays(asOf), s.HorizonDays)
	if err != nil {
		return err
	}
	result := hindsight.Judge(origins, s)
	result.Answers = hindsight.AnswersTurnedOut(now.Histories, outcomes, s)
	folder := filepath.Join(cfg.Path(cfg.Output.Lists), "hindsight", settings.DayText(asOf))
	if err := publish.WriteBeside(cfg, folder, hindsightForms(result)); err != nil {
		return fmt.Errorf("cannot write the hindsight: %w", err)
	}
	return c.writeResult(func(out io.Writer) error {
		if err := table.WriteText(out, lists.Hindsight(result)); err != nil {
			return err
		}
		_, err := fmt.Fprintf(out, "\n%s\nPage and tables: %s\n", words.HindsightLine(result), folder)
		return err
	})
}

// lookFrom looks from each day at a copy of the warehouse in use.
func lookFrom(ctx context.Context, cfg *settings.Config, o *hindsight.Outcomes, days []day.Day, horizonDays int32) (
	all []*hindsight.Origin, err error,
) {
	path := cfg.Path(cfg.Output.Warehouse)
	copied := path + ".hindsight"
	if err := queries.Remove(copied); err != nil { // a broken look back left it
		return nil, err
	}
	w, err := queries.Copy(ctx, path, copied, night.WarehouseOptions(version()))
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, w.Close(), queries.Remove(copied)) }()
	load := func(ctx context.Context, w *queries.Warehouse) (*fleet.Records, fleet.Config, error) {
		return night.LoadFleet(ctx, cfg, w, "")
	}
	return hindsight.Backtest(ctx, w, load, o, days, horizonDays)
}

// hindsightForms are the files of a look back; hindsight.json, which nights read,
// comes last.
func hindsightForms(r *hindsight.Result) []publish.File {
	rows := lists.Hindsight(r)
	return []publish.File{
		publish.FileOf("hindsight.html", 0, page.WriteHindsightPage, r),
		publish.FileOf("hindsight.csv", len(rows.Rows), table.WriteCSV, rows),
		publish.FileOf("hindsight.json", 1, writeBacktest, r),
	}
}

// writeBacktest writes what a night reads of a look back.
func writeBacktest(w io.Writer, r *hindsight.Result) error {
	one := night.Backtest{
		AsOf: settings.DayText(r.Settings.AsOf), Line: words.HindsightLine(r),
		Ahead:   r.Decision.Verdict == hindsight.Ahead,
		Verdict: string(r.Decision.Verdict),
	}
	if v := r.Decision.Verdict; v != hindsight.NoOrder && v != hindsight.TooFew {
		one.Rule = words.Way(r.Decision.Best)
	}
	if r.Recalibrated.Offered {
		one.Map = &r.Recalibrated
	}
	text, err := table.EncodeJSON(one, "")
	if err != nil {
		return err
	}
	_, err = w.Write(text)
	return err
}
