package report

import (
	"fmt"

	"fluedrift/analysis/study"
)

// unconfirmedColumns are the columns of the table of what the readings of a stretch
// contradict.
var unconfirmedColumns = []column[study.Unconfirmed]{
	{Column{Name: "serial", Meaning: "the unit's serial", Source: "register", Kind: Text}, func(u *study.Unconfirmed) Cell { return TextCell(u.Unit.Serial) }},
	{Column{Name: "site", Meaning: "where it stands", Source: "register", Kind: Text}, func(u *study.Unconfirmed) Cell { return TextCell(u.Unit.Site) }},
	{Column{Name: "fire", Meaning: "high, low or single", Source: "readings", Kind: Text}, func(u *study.Unconfirmed) Cell { return TextCell(u.Fire) }},
	{Column{Name: "action", Meaning: "what the fit did: reading left out, or change cut at, with no reading left out", Source: "forecast", Kind: Text}, func(u *study.Unconfirmed) Cell { return TextCell(u.Action) }},
	{Column{Name: "day", Meaning: "day of the reading, or of the first one after the change", Source: "readings", Kind: Day}, func(u *study.Unconfirmed) Cell { return DayCell(u.Day) }},
	{Column{Name: "points", Meaning: "its CO2 less the target", Unit: "points", Source: "judged", Kind: Number}, func(u *study.Unconfirmed) Cell { return NumberCell(u.Points, 2) }},
	{Column{Name: "before_day", Meaning: "day of the reading before it in its stretch", Source: "readings", Kind: Day}, func(u *study.Unconfirmed) Cell { return DayCell(u.BeforeDay) }},
	{Column{Name: "before_points", Meaning: "and its CO2 less the target", Unit: "points", Source: "judged", Kind: Number}, func(u *study.Unconfirmed) Cell { return NumberCell(u.BeforePoints, 2) }},
	{Column{Name: "after_day", Meaning: "day of the reading after it; empty at a change", Source: "readings", Kind: Day}, func(u *study.Unconfirmed) Cell { return DayCell(u.AfterDay) }},
	{Column{Name: "after_points", Meaning: "and its CO2 less the target", Unit: "points", Source: "judged", Kind: Number}, func(u *study.Unconfirmed) Cell { return NumberCell(u.AfterPoints, 2) }},
	{Column{Name: "t", Meaning: "how many standard errors it lies from what the others let expect", Source: "forecast", Kind: Number}, func(u *study.Unconfirmed) Cell { return NumberCell(u.T, 1) }},
	{Column{Name: "out_today", Meaning: "what became of the unit: probability of standing outside its action band on the as-of day" + inAirOf("that day"), Source: "forecast", Kind: Number}, func(u *study.Unconfirmed) Cell { return NumberCell(u.TodayOut, 2) }},
	{Column{Name: "out_worst", Meaning: "the same at worst up to its planned day", Source: "forecast", Kind: Number}, func(u *study.Unconfirmed) Cell { return NumberCell(u.WorstOut, 2) }},
	{Column{Name: "on_verify", Meaning: "yes: it is the newest reading, and the unit stands on the list verify", Source: "forecast", Kind: Text}, func(u *study.Unconfirmed) Cell { return TextCell(yesNo(u.ToVerify)) }},
	{Column{Name: "origin", Meaning: "file and line of the reading", Source: "readings", Kind: Text}, func(u *study.Unconfirmed) Cell { return TextCell(u.Origin) }},
}

// stepColumns are the columns of the table of steps of level suspected.
var stepColumns = []column[study.LevelStep]{
	{Column{Name: "fire", Meaning: "high (single with it) or low", Source: "forecast", Kind: Text}, func(s *study.LevelStep) Cell { return TextCell(s.Fire) }},
	{Column{Name: "area", Meaning: "area whose levels moved together; *: the whole fleet", Source: "register", Kind: Text}, func(s *study.LevelStep) Cell { return TextCell(s.Area) }},
	{Column{Name: "day", Meaning: "half-year date from which they did", Source: "forecast", Kind: Day}, func(s *study.LevelStep) Cell { return DayCell(s.Day) }},
	{Column{Name: "points", Meaning: "by how much", Unit: "points", Source: "forecast", Kind: Number}, func(s *study.LevelStep) Cell { return NumberCell(s.Points, 3) }},
	{Column{Name: "standard_error", Meaning: "its standard error", Unit: "points", Source: "forecast", Kind: Number}, func(s *study.LevelStep) Cell { return NumberCell(s.SEPoints, 3) }},
	{Column{Name: "z", Meaning: "the one over the other", Source: "forecast", Kind: Number}, func(s *study.LevelStep) Cell { return NumberCell(s.Z, 1) }},
	{Column{Name: "comparisons", Meaning: "pairs of readings across the day", Source: "forecast", Kind: Number}, func(s *study.LevelStep) Cell { return CountCell(int(s.Comparisons)) }},
	{Column{Name: "not_by_analyzers", Meaning: "share of the evidence that errors of analyzers from year to year do not explain", Source: "forecast", Kind: Number}, func(s *study.LevelStep) Cell { return NumberCell(s.KeptShare, 2) }},
	{Column{Name: "words", Meaning: "the same in words; nothing is corrected for it unless the configuration declares the step", Source: "forecast", Kind: Text}, func(s *study.LevelStep) Cell { return TextCell(s.Words) }},
}

// openWords count what the model leaves for somebody to look at.
func openWords(m *study.Model) string {
	if m == nil {
		return ""
	}
	return fmt.Sprintf("Unconfirmed: %d (unconfirmed.csv). Steps of level suspected: %d (level-steps.csv).", len(m.Unconfirmed), len(m.Steps))
}
