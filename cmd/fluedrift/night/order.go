package night

import (
	"context"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/fleet"
	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/ingest/mend"
	"fluedrift/model/day"
)

// ordering is the road of a night from its warehouse to its lists: what each stage
// of package fleet returned, and between two of them what only a night knows.
type ordering struct {
	*Night
	records *fleet.Records
	judged  *fleet.Judged
	found   *estimate.Fleet
	tools   []watch.AnalyzerLine
	units   units.Set    // of the reader
	lines   []watch.Line // in order of serials
	fixes   []watch.Fix
	mends   []mend.File
	summary watch.Summary
	ordered []watch.Line // as they are ranked

	earlier   []watch.Earlier // the lines of the publication before
	dayBefore day.Day         // and its day; day.None: there is none
}

// lists takes the road to its end.
func (o *ordering) lists(ctx context.Context) (*Lists, error) {
	for _, stage := range []func(context.Context) error{o.load, o.judge, o.estimate, o.assess, o.fix, o.summarize} {
		if err := stage(ctx); err != nil {
			return nil, err
		}
	}
	return o.rank(ctx)
}

// load loads the histories of the fleet.
func (o *ordering) load(ctx context.Context) (err error) {
	o.parts.begin("loading the histories")
	if o.records, err = fleet.Load(ctx, o.warehouse, ""); err != nil {
		return err
	}
	o.records.DropMended(o.mended.Has)
	return o.guards().histories(o.records.Histories)
}

// judge judges each reading of the fleet.
func (o *ordering) judge(ctx context.Context) error {
	set, err := fleetConfig(ctx, o.Config, o.warehouse)
	if err != nil {
		return err
	}
	if o.units, err = UnitsOf(ctx, o.Config, o.warehouse); err != nil {
		return err
	}
	set.Model.Stage = o.parts.begin
	set.Model = warmStart(o.before, ranked(set.Model))
	if o.before != nil {
		if set.Model.Earlier, err = settings.DayOf(o.before.AsOf); err != nil {
			return err
		}
	}
	o.parts.begin("judging the readings")
	o.judged, err = fleet.Judge(ctx, o.records.Histories, o.records.Options(set))
	return err
}

// estimate fits and forecasts, looks at what that says of instruments and of earlier
// lists, and stores it.
func (o *ordering) estimate(ctx context.Context) (err error) {
	if o.found, err = fleet.Estimate(ctx, o.judged); err != nil {
		return err
	}
	o.parts.begin("storing the estimate")
	o.calibrations = len(o.records.Calibrations)
	notes, err := instruments(ctx, o.found, o.before, o.calibrations)
	if err != nil {
		return err
	}
	o.note(notes...)
	o.fits = fitRecords(o.found)
	tellFit(o.Log, o.fits, o.found)
	o.back, notes = lookedBack(&o.evidence, o.found.Forecasts)
	o.note(notes...)
	return estimate.Save(ctx, o.warehouse, o.records.Histories, o.found, words.OfEstimate())
}

// assess makes the line of each unit; where a guard finds a common cause, once more
// with that.
func (o *ordering) assess(context.Context) (err error) {
	o.parts.begin("assessing the units")
	o.tools = fleet.Analyzers(o.records, o.judged, o.found)
	rules := &o.judged.Rules.List
	if o.earlier, o.dayBefore, err = earlierLines(&o.evidence, *rules); err != nil {
		return err
	}
	rules.Booked = watch.BookedIn(o.earlier)
	rules.SuspectAnalyzers, rules.Unused = watch.Suspects(o.tools), unusedOf(&o.evidence, o.records.Histories)
	o.lines = fleet.Assess(o.judged, o.found.Forecasts)
	if rules.CommonCause, err = o.guards().fleet(o.lines, *rules); err != nil {
		return err
	}
	if rules.CommonCause != "" {
		o.lines = fleet.Assess(o.judged, o.found.Forecasts)
	}
	return nil
}

// fix lists the records to correct, and writes them as files to mend.
func (o *ordering) fix(context.Context) (err error) {
	ofNoUnit := watch.GradeUnused(o.records.UnusedCO, o.judged.Rules.List)
	o.note(notesOfCO(o.lines, ofNoUnit)...)
	o.fixes = fixesOf(&o.evidence, o.lines, ofNoUnit)
	o.mends, err = mendsOf(&o.evidence, o.fixes, o.alias, o.Log)
	return err
}

// summarize makes the head of the watchlist.
func (o *ordering) summarize(ctx context.Context) error {
	o.summary = watch.Summarize(o.lines, o.judged.Rules.List)
	if err := o.guards().units(o.summary, o.lines, o.judged.Rules.List); err != nil {
		return err
	}
	sources, err := o.warehouse.COBySource(ctx)
	if err != nil {
		return err
	}
	o.summary.Lost = append(silentOnCO(sources), o.Lost()...)
	o.summary.Measured, o.summary.Missing = words.Basis(o.found.Basis()), watch.Missing(o.records.Histories, o.AsOf)
	return nil
}

// rank puts the lines in order and fills the lists from them.
func (o *ordering) rank(ctx context.Context) (*Lists, error) {
	o.parts.begin("ranking the units")
	o.ordered = fleet.Rank(o.judged, o.lines, o.found)
	o.parts.begin("filling the lists")
	watch.AskAgain(o.ordered, o.earlier, o.judged.Rules.List, o.dayBefore)
	changed := changedSince(&o.evidence, o.ordered, o.lines, o.earlier, o.judged.Rules.List, o.dayBefore)
	gaps, rests, err := fleet.StartupGaps(ctx, o.records, o.judged, o.found, o.ordered)
	if err != nil {
		return nil, err
	}
	histories, rules := o.records.Histories, o.judged.Rules.List
	carry := o.Config.Columns.Carry
	if carry == nil {
		carry = CarriedNames(histories)
	}
	notes, back := words.NotesIn(o.units, o.found.Notes), []string(nil)
	line := o.back.headLine()
	if line != "" {
		back = append(back, line)
		notes = append(notes, line)
	}
	past := words.PastLists(line)
	l := &Lists{Summary: o.summary, units: o.units, unused: rules.Unused, notes: notes, past: past, mends: o.mends, Tables: []table.Table{
		lists.Watchlist(o.ordered, o.summary, carry),
		changed,
		lists.CO(watch.CORecords(o.ordered, o.AsOf), o.AsOf),
		lists.Verify(watch.UnconfirmedOf(o.ordered), o.AsOf),
		lists.StartupGaps(gaps, rests, o.AsOf),
		lists.Analyzers(o.tools, o.AsOf),
		lists.Habits(watch.Habits(histories, o.judged.Judgements, groupingOf(o.Config), o.AsOf), o.AsOf),
		lists.RecordsToFix(o.fixes, o.AsOf),
	}}
	l.stillBooked, l.packOver = watch.StillBooked(o.ordered), o.Config.Output.PackJSONOver
	l.Tables[0].Head = append(append(l.Tables[0].Head, words.Notes(o.found.InstrumentNotes())...), back...)
	lists.LostFirst(l.Tables[1:], o.summary.Lost)
	l.Tables = append(l.Tables, table.Dictionary(l.Tables))
	if o.back != nil {
		l.lookedBack = o.back.AsOf
	}
	l.crews = o.Config.Crews.Serving()
	l.draw(o.ordered, histories, rules, carry)
	return l, nil
}
