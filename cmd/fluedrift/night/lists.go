package night

import (
	"context"
	"slices"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/fleet"
	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/report/page"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/ingest/mend"
	"fluedrift/queries"
)

// Lists is what a night publishes.
type Lists struct {
	Summary watch.Summary
	unused  map[string]watch.Unused // what could not be used, of units whose line says so
	Tables  []table.Table
	details []page.Detail // of the first units of the list
	sheets  []watch.Sheet // of those of them that are due
	mends   []mend.File   // lines of records to fix, to be corrected and put among the exports
	notes   []string      // what a reader of the figures must know
}

// order judges every unit and orders the lines.
func (n *Night) order(ctx context.Context) (*Lists, error) {
	records, err := fleet.Load(ctx, n.warehouse, "")
	if err != nil {
		return nil, err
	}
	records.DropMended(n.mended.Has)
	histories := records.Histories
	if err := n.guardHistories(histories); err != nil {
		return nil, err
	}
	set, err := FleetConfig(ctx, n.Config, n.warehouse)
	if err != nil {
		return nil, err
	}
	set.Model = n.warmStart(ranked(set.Model))
	judged, err := fleet.Judge(ctx, histories, records.Rules(set))
	if err != nil {
		return nil, err
	}
	found, err := fleet.Estimate(ctx, judged)
	if err != nil {
		return nil, err
	}
	if err := n.instruments(ctx, found, len(records.Calibrations)); err != nil {
		return nil, err
	}
	n.fits = fitRecords(found)
	n.tellFit(found)
	back := n.lookedBack(found.Forecasts)
	if err := estimate.Save(ctx, n.warehouse, histories, found); err != nil {
		return nil, err
	}
	tools := fleet.Analyzers(records, judged, found)
	rules := &judged.Rules.List
	rules.DoubtedAnalyzers, rules.Unused = watch.Doubted(tools), n.unused(histories)
	lines := fleet.Assess(judged, found.Forecasts)
	if rules.CommonCause, err = n.guardFleet(lines, *rules); err != nil {
		return nil, err
	}
	if rules.CommonCause != "" {
		lines = fleet.Assess(judged, found.Forecasts)
	}
	fixes := n.fixes(lines, watch.GradeUnused(records.UnusedCO, *rules))
	mends, err := n.mends(fixes)
	if err != nil {
		return nil, err
	}
	s := watch.Summarize(lines, *rules)
	if err := n.guardUnits(s, lines); err != nil {
		return nil, err
	}
	sources, err := n.warehouse.COBySource(ctx)
	if err != nil {
		return nil, err
	}
	s.Lost = append(silentOnCO(sources), n.Lost()...)
	s.Measured = slices.Concat(found.Measured(), watch.Missing(histories, n.AsOf))
	carry := n.Config.Columns.Carry
	if carry == nil {
		carry = CarriedNames(histories)
	}
	ordered := fleet.Rank(judged, lines, found)
	earlier, dayBefore, err := n.earlier()
	if err != nil {
		return nil, err
	}
	watch.AskAgain(ordered, earlier, n.AsOf, dayBefore)
	changed := n.changed(ordered, lines, earlier, dayBefore)
	gaps, rests, err := fleet.StartupGaps(ctx, records, judged, found, ordered)
	if err != nil {
		return nil, err
	}
	l := &Lists{Summary: s, unused: rules.Unused, notes: append(found.Notes, back.headLine()), mends: mends, Tables: []table.Table{
		lists.Watchlist(ordered, s, carry),
		changed,
		lists.CO(watch.CORecords(ordered, n.AsOf), n.AsOf),
		lists.Verify(watch.Doubts(ordered), n.AsOf),
		lists.StartupGaps(gaps, rests, n.AsOf),
		lists.Analyzers(tools, n.AsOf),
		lists.Habits(watch.Habits(histories, judged.Judgements, groupingOf(n.Config), n.AsOf), n.AsOf),
		lists.RecordsToFix(fixes, n.AsOf),
	}}
	l.Tables[0].Head = append(append(l.Tables[0].Head, found.InstrumentWords()...), back.headLine())
	lists.LostFirst(l.Tables[1:], s.Lost)
	l.Tables = append(l.Tables, table.Dictionary(l.Tables))
	l.draw(ordered, histories, *rules, carry)
	return l, nil
}

// fixes are the records to correct: what the reading of files left out and what
// the judgement of units found; ofNoUnit is dangerous CO on lines without a unit.
func (n *Night) fixes(lines []watch.Line, ofNoUnit []watch.UnusedCO) []watch.Fix {
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
	n.lookAtCO(lines, ofNoUnit)
	words.FixMessages(all)
	watch.MarkCO(all, lines, ofNoUnit)
	watch.OrderFixes(all, lines)
	return all
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
