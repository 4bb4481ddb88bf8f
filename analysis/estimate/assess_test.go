package estimate_test

import (
	"fluedrift/analysis"
	"fluedrift/analysis/watch"
	"fluedrift/model/judge"
)

// assess judges a history and makes its line.
func assess(h *judge.History, r watch.Config, f *analysis.Forecast) watch.Line {
	j := judge.Judge(h, r.Judge)
	return watch.LineOf(h, &j, r, f)
}
