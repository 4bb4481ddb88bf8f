package watch

import (
	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Assess judges a history and makes its line.
func Assess(h *judge.History, r Config, f *analysis.Forecast) Line {
	j := judge.Judge(h, r.Judge)
	return LineOf(h, &j, r, f)
}

// Say puts kinds in sentences; see words_test.go.
var Say struct {
	Head     func(*Summary) []string
	Reasons  func(*Line) []string
	Fixes    func([]Fix)
	Finding  func(*judge.History, *judge.Finding) string
	Foot     func(*Line) string
	Target   func(judge.Target) string
	Day      func(day.Day) string
	CO       func(*CO) string
	Due      func(*AnalyzerLine) string
	Reads    func(*AnalyzerLine) string
	Period   func(*AnalyzerLine) string
	Ageing   func([]AnalyzerLine) []string
	Recorded func(*Line) string
	Marks    func(*Line) string
	Gap      func(Gap) string

	CORecordFire func(*CORecord) string
	Reason       func(Reason) string
	Change       func(*Change) string
	Standing     func(l *Line, notRead string) []string
	About        func(*About) []string
	Costs        func([]LeanCost) []string
	Sheet        func(*Sheet) SheetSaid

	What, Fire, Condition, Verdict func(*Entry) string
}

// SheetSaid is what the tests read of a sheet.
type SheetSaid struct {
	Rule, LastTest string
	Danger         bool
	Check, Found   []string
}

// said are the sentences of a line's reasons.
func said(l Line) []string { return Say.Reasons(&l) }

// head is what a summary says.
func head(s Summary) []string { return Say.Head(&s) }

// marked reports whether a line bears a mark of that kind.
func marked(l Line, kind analysis.MarkKind) bool { return l.Marked(kind) }

// fixes are the records that a line asks to be looked at, with their messages.
func fixes(l Line) []Fix {
	all := FixesOf(l)
	Say.Fixes(all)
	return all
}
