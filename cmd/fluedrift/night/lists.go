package night

import (
	"fluedrift/analysis/days"
	"fluedrift/analysis/report/page"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/ingest/mend"
	"fluedrift/queries"
)

// Lists is what a night publishes.
type Lists struct {
	Summary     watch.Summary
	unused      map[string]watch.Unused // what could not be used, of units whose line says so
	stillBooked []string                // see watch.StillBooked
	Tables      []table.Table
	lines       []watch.Line  // of the watchlist, in its order
	details     []page.Detail // of the first units of the list
	sheets      []watch.Sheet // of those of them that are due
	mends       []mend.File   // lines of records to fix, to be corrected and put among the exports
	crews       []days.Crew   // what each of them can go to
	past        string        // how right past lists were
	lookedBack  string        // the day of the look back that says so; "" without one
	notes       []string      // what a reader of the figures must know
	units       units.Set     // of the reader
	packOver    int           // lines above which a list's JSON is packed; 0: never
}

// waitsFor says what a person has to decide about a line.
func waitsFor(a queries.SetAside) string {
	switch a.Reason {
	case "not-in-register":
		return "the serial is not in the register: correct it, or add the unit; until then only its CO is judged"
	case "before-install":
		return "lies more than 90 days before the unit's install day and is no factory test: correct the day, the serial or the register"
	case "second-id-of-several":
		return "the register gives this id to several boilers (" + a.Message + "): correct the register, or name the boiler by its serial"
	case "second-id-shared":
		return words.SecondIDShared(a.Value, a.Message)
	case "second-id-unused":
		return words.SecondIDUnused(a.Value)
	case "likely-duplicate":
		return a.Other + " has the same values for the same unit and day under another visit: strike one, or correct it"
	case "conflicting-duplicate":
		return "contradicts " + a.Other + ", and neither is known to be later: strike or correct one"
	}
	if a.Cell() {
		return words.CellSetAside(a.Message, a.LostReading())
	}
	return a.Message
}

// fixesOf are the records to correct: what the reading of files left out and what
// the judgement of units found; ofNoUnit is dangerous CO on lines without a unit.
func fixesOf(e *evidence, lines []watch.Line, ofNoUnit []watch.UnusedCO) []watch.Fix {
	var all []watch.Fix
	register := newLikely(lines)
	for _, a := range e.aside {
		if _, ok := e.mended[mend.Place{File: a.File, Line: int(a.Line)}]; ok && !a.Cell() {
			continue
		}
		all = append(all, watch.Fix{
			File: a.File, Line: int(a.Line), Column: a.Column, Value: a.Value, Reason: a.Reason,
			Message: register.message(a), OfCell: a.Cell() && !a.LostReading(), Serial: a.Serial, Day: a.Day, Original: a.Raw,
		})
	}
	for i := range lines {
		all = append(all, watch.FixesOf(lines[i])...)
	}
	watch.MarkCO(all, lines, ofNoUnit)
	words.FixMessages(unitsOfFiles(e), all)
	watch.OrderFixes(all, lines)
	return all
}
