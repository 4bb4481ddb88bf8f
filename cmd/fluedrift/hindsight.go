package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"

	"github.com/sourcegraph/conc"

	"fluedrift/analysis/hindsight"
	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/report/page"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/words"
	"fluedrift/cmd/fluedrift/night"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/drift"
	"fluedrift/queries"
)

var hindsightCommand = command{"hindsight", "", "how right the list would have been: look back from days of the past " +
	"to what the next visits found; written to lists/hindsight/<as-of>/", readsWarehouse(lookBack)}

func lookBack(ctx context.Context, c *call) error {
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
	origins, err := lookFrom(ctx, cfg, outcomes, s, cfg.Hindsight.OriginDays(asOf))
	if err != nil {
		return err
	}
	result := hindsight.Judge(origins, s)
	result.Answers = hindsight.AnswersTurnedOut(now.Histories, outcomes, s)
	folder := filepath.Join(cfg.Path(cfg.Output.Lists), "hindsight", settings.DayText(asOf))
	if err := publish.WriteBeside(cfg, folder, hindsightForms(result)); err != nil {
		return fmt.Errorf("cannot write the look back: %w", err)
	}
	return c.writeResult(func(out io.Writer) error {
		if err := table.WriteText(out, lists.Hindsight(result)); err != nil {
			return err
		}
		_, err := fmt.Fprintf(out, "\n%s\nPage and tables: %s\n", words.HindsightLine(result), folder)
		return err
	})
}

// lookBackSample is how many units the ratios of a look back are searched on: the
// night of the day took more, and orders by them hardly otherwise.
const lookBackSample = 1000

// lookFrom looks from each day in turn, while what was known on the next one is
// read. A search for ratios starts where that of the day before ended.
func lookFrom(ctx context.Context, cfg *settings.Config, o *hindsight.Outcomes, s hindsight.Settings,
	days []int32,
) (all []*hindsight.Origin, err error) {
	ctx, stop := context.WithCancel(ctx)
	known := make(chan hindsight.Snapshot)
	var reader conc.WaitGroup
	var failed error
	reader.Go(func() {
		defer close(known)
		failed = snapshots(ctx, cfg, days, known)
	})
	defer func() { // a reader is never left behind: it holds the copy of the warehouse
		stop()
		for range known {
		}
		reader.Wait()
		if err == nil {
			err = failed
		}
	}()
	var start map[string]drift.Theta
	for then := range known {
		then.Rules.Model.Start = start
		one, err := hindsight.Look(ctx, then, o, s.HorizonDays)
		if err != nil {
			return nil, err
		}
		start = one.Fleet.Ratios()
		if then.Day == days[len(days)-1] {
			if err := one.Fleet.Trends(ctx); err != nil {
				return nil, err
			}
			for i := range one.Fleet.Fits {
				if words := one.Fleet.Fits[i].TrendWords(); words != "" {
					one.Trends = append(one.Trends, words+".")
				}
			}
		}
		one.Fleet = nil // it holds the whole fleet
		all = append(all, one)
	}
	return all, nil
}

// snapshots builds the relations of a copy of the warehouse as known on each day
// and sends what they hold. A day on which nothing was known is left out.
func snapshots(ctx context.Context, cfg *settings.Config, days []int32, known chan<- hindsight.Snapshot) (err error) {
	path := cfg.Path(cfg.Output.Warehouse)
	copied := path + ".hindsight"
	if err := queries.Remove(copied); err != nil { // a broken look back left it
		return err
	}
	w, err := queries.Copy(ctx, path, copied, night.WarehouseOptions(version()))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, w.Close(), queries.Remove(copied)) }()
	for _, day := range days {
		then, err := snapshot(ctx, cfg, w, day)
		if err != nil {
			return err
		}
		if len(then.Histories) == 0 {
			continue
		}
		select {
		case known <- then:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	return nil
}

// snapshot is the fleet as known on a day, with the rules of that day.
func snapshot(ctx context.Context, cfg *settings.Config, w *queries.Warehouse, day int32) (then hindsight.Snapshot, err error) {
	if err := w.BuildAgain(ctx, day); err != nil {
		return then, err
	}
	records, err := night.LoadFleet(ctx, cfg, w, "")
	if err != nil {
		return then, err
	}
	set, err := night.FleetConfig(ctx, cfg, w)
	set.Model.SampleUnits = lookBackSample
	return hindsight.Snapshot{Day: day, Histories: records.Histories, Rules: records.Rules(set)}, err
}

// hindsightForms are the files of a look back; hindsight.json, which nights read,
// comes last.
func hindsightForms(r *hindsight.Result) []publish.File {
	rows := lists.Hindsight(r)
	return []publish.File{
		{Name: "hindsight.html", Lines: 0, Write: func(w io.Writer) error { return page.WriteHindsightPage(w, r) }},
		{Name: "hindsight.csv", Lines: len(rows.Rows), Write: func(w io.Writer) error { return table.WriteCSV(w, rows) }},
		{Name: "hindsight.json", Lines: 1, Write: func(w io.Writer) error {
			one := night.LookBack{
				AsOf: settings.DayText(r.Settings.AsOf), Line: words.HindsightLine(r),
				Ahead:   r.Decision.Verdict == hindsight.Ahead,
				Verdict: string(r.Decision.Verdict),
			}
			if v := r.Decision.Verdict; v != hindsight.NoOrder && v != hindsight.TooFew {
				one.Rule = r.Decision.Best.Words()
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
		}},
	}
}
