package main

import (
	"context"
	"slices"

	"fluedrift/analysis"
	"fluedrift/analysis/estimate"
	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/report/page"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/watch"
	"fluedrift/ingest/mend"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// nightLists is what a night publishes.
type nightLists struct {
	summary watch.Summary
	unused  map[string]watch.Unused // what could not be used, of units whose line says so
	tables  []table.Table
	details []page.Detail // of the first units of the list
	sheets  []watch.Sheet // of those of them that are due
	mends   []mend.File   // lines of records to fix, to be corrected and put among the exports
	notes   []string      // what a reader of the figures must know
}

// order judges every unit and orders the lines.
func (n *night) order(ctx context.Context) (*nightLists, error) {
	histories, err := n.histories(ctx)
	if err != nil {
		return nil, err
	}
	if err := n.guardHistories(histories); err != nil {
		return nil, err
	}
	rules, err := rulesOf(ctx, n.config, n.asOf, n.warehouse, histories)
	if err != nil {
		return nil, err
	}
	calibrations, err := n.warehouse.Calibrations(ctx)
	if err != nil {
		return nil, err
	}
	e := certified(estimateRules(rules, &n.config.Model), calibrations)
	fleet, err := estimate.Run(ctx, histories, n.warmStart(ranked(e)))
	if err != nil {
		return nil, err
	}
	if err := n.instruments(ctx, fleet, len(calibrations)); err != nil {
		return nil, err
	}
	n.fits = fitRecords(fleet)
	n.tellFit(fleet)
	back := n.lookedBack(fleet.Forecasts)
	if err := estimate.Save(ctx, n.warehouse, histories, fleet); err != nil {
		return nil, err
	}
	tools, err := n.analyzerLines(ctx, fleet, histories, rules)
	if err != nil {
		return nil, err
	}
	rules.DoubtedAnalyzers, rules.Unused = watch.Doubted(tools), n.unused(histories)
	lines := assessed(histories, rules, fleet.Forecasts)
	if rules.CommonCause, err = n.guardFleet(lines, rules); err != nil {
		return nil, err
	}
	if rules.CommonCause != "" {
		lines = assessed(histories, rules, fleet.Forecasts)
	}
	fixes, err := n.fixes(ctx, lines, rules)
	if err != nil {
		return nil, err
	}
	mends, err := n.mends(fixes)
	if err != nil {
		return nil, err
	}
	s := watch.Summarize(lines, rules)
	if err := n.guardUnits(s, lines); err != nil {
		return nil, err
	}
	sources, err := n.warehouse.COBySource(ctx)
	if err != nil {
		return nil, err
	}
	s.Lost = append(silentOnCO(sources), n.lost()...)
	s.Measured = slices.Concat(fleet.Measured(), watch.Missing(histories, n.asOf))
	carry := n.config.Columns.Carry
	if carry == nil {
		carry = carriedNames(histories)
	}
	ordered := watch.Order(lines)
	ranges(ordered, histories, fleet)
	earlier, dayBefore, err := n.earlier()
	if err != nil {
		return nil, err
	}
	watch.AskAgain(ordered, earlier, n.asOf, dayBefore)
	changed := n.changed(ordered, lines, earlier, dayBefore)
	gaps, err := n.gaps(ctx, histories, ordered, rules, e, fleet)
	if err != nil {
		return nil, err
	}
	l := &nightLists{summary: s, unused: rules.Unused, notes: append(fleet.Notes, back.headLine()), mends: mends, tables: []table.Table{
		lists.Watchlist(ordered, s, carry),
		changed,
		lists.CO(watch.CORecords(ordered, n.asOf), n.asOf),
		lists.Verify(watch.Doubts(ordered), n.asOf),
		gaps,
		lists.Analyzers(tools, n.asOf),
		lists.Habits(watch.Habits(histories, fleet.Judgements, groupingOf(n.config), n.asOf), n.asOf),
		lists.RecordsToFix(fixes, n.asOf),
	}}
	l.tables[0].Head = append(append(l.tables[0].Head, fleet.InstrumentWords()...), back.headLine())
	lists.LostFirst(l.tables[1:], s.Lost)
	l.tables = append(l.tables, table.Dictionary(l.tables))
	l.draw(ordered, histories, rules, carry)
	return l, nil
}

// assessed judges every unit with its forecast.
func assessed(histories []*judge.History, rules watch.Rules, forecasts []*analysis.Forecast) []watch.Line {
	lines := make([]watch.Line, len(histories))
	for i, h := range histories {
		lines[i] = watch.Assess(h, rules, forecasts[i])
	}
	return lines
}

// fixes are the records to correct: what the reading of files left out and what
// the judgement of units found.
func (n *night) fixes(ctx context.Context, lines []watch.Line, rules watch.Rules) ([]watch.Fix, error) {
	var all []watch.Fix
	for _, a := range n.aside {
		if _, ok := n.mended[mend.Place{File: a.File, Line: int(a.Line)}]; ok {
			continue
		}
		all = append(all, watch.Fix{File: a.File, Line: int(a.Line), Column: a.Column, Value: a.Value, Reason: a.Reason, Message: waitsFor(a), Serial: a.Serial, Day: a.Day, Original: a.Raw})
	}
	for i := range lines {
		all = append(all, watch.FixesOf(lines[i])...)
	}
	ofNoUnit, err := n.coOfNoUnit(ctx, rules)
	if err != nil {
		return nil, err
	}
	n.lookAtCO(lines, ofNoUnit)
	watch.MarkCO(all, lines, ofNoUnit)
	watch.OrderFixes(all, lines)
	return all, nil
}

// waitsFor says what a person has to decide about a line.
func waitsFor(a queries.SetAside) string {
	switch a.Reason {
	case "not-in-register":
		return "the serial is in no register: correct it, or add the unit; until then only its CO is judged"
	case "before-install":
		return "lies more than 90 days before the unit's install day and is no factory test: correct the day, the serial or the register"
	case "likely-duplicate":
		return "the same values of the same unit and day stand in " + a.Other + " under another visit: strike one, or correct it"
	case "conflicting-duplicate":
		return "contradicts " + a.Other + ", and neither is known to be later: strike or correct one"
	}
	return a.Message
}
