package main

import (
	"context"
	"fmt"
	"io"
	"path/filepath"

	"fluedrift/analysis/days"
	"fluedrift/analysis/fleet"
	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/report/page"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/night"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/day"
	"fluedrift/queries"
)

var daysCommand = command{"days", "", "turn the watchlist into days of visits for each crew over the coming weeks: a plan to " +
	"edit, written to lists/days/<as-of>/", readsWarehouse(daysOnTheRoad)}

// daysForms are the files of a plan, each with the name -format asks for it by.
var daysForms = []struct {
	format, file string
	write        func(io.Writer, units.Set, *days.Plan) error
}{
	{"csv", "days.csv", daysTable(0, table.WriteCSV)},
	{"json", "days.json", daysTable(0, table.WriteJSON)},
	{"left", "days-left.csv", daysTable(1, table.WriteCSV)},
	{"compared", "days-compared.csv", daysTable(2, table.WriteCSV)},
	{"xlsx", "days.xlsx", func(w io.Writer, in units.Set, p *days.Plan) error { return table.WriteXLSX(w, lists.Days(in, p)) }},
	{"html", "days.html", page.WriteDaysPage},
	{"geojson", "days.geojson", inSI(lists.WriteDaysGeoJSON)},
	{"ics", "days.ics", inSI(lists.WriteDaysCalendar)},
}

// daysTable writes one of the plan's lists as programs read it.
func daysTable(i int, write func(io.Writer, table.Table) error) func(io.Writer, units.Set, *days.Plan) error {
	return inSI(func(w io.Writer, p *days.Plan) error { return write(w, lists.Days(units.SI, p)[i]) })
}

// inSI is a form that does not follow the units of the reader.
func inSI(write func(io.Writer, *days.Plan) error) func(io.Writer, units.Set, *days.Plan) error {
	return func(w io.Writer, _ units.Set, p *days.Plan) error { return write(w, p) }
}

func daysOnTheRoad(ctx context.Context, c *call) error {
	form := -1
	for i, f := range daysForms {
		if c.format == f.format {
			form = i
		}
	}
	cfg, w, err := openForecasts(ctx, c)
	if err != nil {
		return err
	}
	defer w.Close()
	in, err := cfg.Planning(w.AsOf())
	if err != nil {
		return settings.Fail(settings.Usage, "days: %w", err)
	}
	if in.Lines, err = orderedLines(ctx, c, cfg, w); err != nil {
		return err
	}
	plan, err := days.Make(in)
	if err != nil {
		return settings.Fail(settings.Usage, "days: %w", err)
	}
	if plan.Lost, err = night.LostIn(ctx, cfg, w); err != nil {
		return err
	}
	shown, err := night.UnitsOf(ctx, cfg, w)
	if err != nil {
		return err
	}
	if form >= 0 {
		return c.writeResult(func(w io.Writer) error { return daysForms[form].write(w, shown, plan) })
	}
	free, err := publish.LockPlan(cfg, c.now())
	if err != nil {
		return err
	}
	defer free()
	folder, before, err := publish.WritePlan(cfg, settings.DayText(w.AsOf()), daysFiles(shown, plan))
	if err != nil {
		return fmt.Errorf("cannot write the days: %w", err)
	}
	return c.writeResult(func(out io.Writer) error {
		if err := daysText(out, shown, plan, folder); err != nil || before == "" {
			return err
		}
		_, err := fmt.Fprintln(out, before)
		return err
	})
}

// orderedLines makes the watchlist the warehouse stands for, in its order.
func orderedLines(ctx context.Context, c *call, cfg *settings.Config, w *queries.Warehouse) ([]watch.Line, error) {
	judged, lines, err := storedLines(ctx, c, cfg, w, "")
	if err != nil {
		return nil, err
	}
	ordered := fleet.Rank(judged, lines, nil)
	if list, err := night.ReadList(filepath.Join(cfg.Path(cfg.Output.Lists), settings.DayText(w.AsOf())), "watchlist"); err == nil {
		since := map[string]day.Day{}
		for _, e := range lists.EarlierLines(list, judged.Rules.List) {
			since[e.Serial] = e.AskedSince
		}
		for i := range ordered {
			if day, ok := since[ordered[i].Unit.Serial]; ok {
				ordered[i].AskSince(day)
			}
		}
	}
	return ordered, nil
}

// daysFiles are the files of a plan.
func daysFiles(in units.Set, plan *days.Plan) (all []publish.File) {
	for _, f := range daysForms {
		all = append(all, publish.FileOf(f.file, 0, func(w io.Writer, p *days.Plan) error { return f.write(w, in, p) }, plan))
	}
	return all
}

// daysText prints how the plan compares and its days.
func daysText(out io.Writer, in units.Set, plan *days.Plan, folder string) error {
	tables := lists.Days(in, plan)
	compared := tables[2]
	compared.Lost, compared.Head = nil, []string{"The same crews and days, filled in three ways:"}
	if err := table.WriteText(out, tables[0], compared); err != nil {
		return err
	}
	_, err := fmt.Fprintf(out, "\nLeft over, %s: %s\nAll forms of the plan: %s\n", night.Count(len(plan.Left), "unit"),
		filepath.Join(folder, "days-left.csv"), folder)
	return err
}
