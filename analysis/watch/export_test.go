package watch

import (
	"fluedrift/analysis"
	"fluedrift/model/judge"
)

// Assess judges a history and makes its line.
func Assess(h *judge.History, r Rules, f *analysis.Forecast) Line {
	j := judge.Judge(h, r.Judge)
	return LineOf(h, &j, r, f)
}
