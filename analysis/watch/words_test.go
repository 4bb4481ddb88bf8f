package watch_test

import (
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
)

// The tests of package watch read what its kinds say to a person; package words,
// which says it, imports watch.
func init() {
	watch.Say.Head, watch.Say.Fixes, watch.Say.Finding = words.Head,
		func(f []watch.Fix) { words.FixMessages(func(string) units.Set { return units.SI }, f) }, words.Finding
	watch.Say.Foot, watch.Say.Target, watch.Say.Day = words.Foot, words.Target, words.Day
	watch.Say.CO, watch.Say.CORecordFire, watch.Say.Recorded, watch.Say.Gap = words.CO, words.CORecordFire, words.Recorded, words.Gap
	watch.Say.Due, watch.Say.Reads, watch.Say.Period, watch.Say.Ageing = words.AnalyzerDue, words.AnalyzerReads, words.Period, words.Ageing
	watch.Say.Reasons, watch.Say.Reason, watch.Say.Change = words.Reasons, words.Reason, words.Change
	watch.Say.Standing = func(l *watch.Line, notRead string) []string { s := words.StandingOf(l, notRead); return s.All() }
	watch.Say.Marks = words.Marks
	watch.Say.About = func(a *watch.About) []string { return words.About(units.SI, a) }
	watch.Say.Costs = func(all []watch.LeanCost) []string { return words.Costs(units.SI, all) }
	watch.Say.What = func(e *watch.Entry) string { return words.EntryWhat(units.SI, e) }
	watch.Say.Fire = words.EntryFire
	watch.Say.Condition, watch.Say.Verdict = words.EntryCondition, words.Verdict
	watch.Say.Sheet = func(of *watch.Sheet) watch.SheetSaid {
		s := words.SheetOf(units.SI, of)
		said := watch.SheetSaid{Rule: s.Rule, Danger: s.Danger, Check: s.Check, LastTest: s.Facts[2].Words}
		for _, f := range s.Fires {
			said.Found = append(said.Found, f.Found)
		}
		return said
	}
}
