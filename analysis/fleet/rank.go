package fleet

import (
	"github.com/sourcegraph/conc/iter"

	"fluedrift/analysis"
	"fluedrift/analysis/estimate"
	"fluedrift/analysis/watch"
	"fluedrift/model/judge"
)

// Assess makes the line of each unit. A command may have put into the fleet's list
// rules what else it knows: what nobody could use, analyzers that read off.
func Assess(j *Judged, forecasts []*analysis.Forecast) []watch.Line {
	lines := make([]watch.Line, len(j.Histories))
	each := iter.Iterator[watch.Line]{MaxGoroutines: j.Rules.Model.Workers}
	each.ForEachIdx(lines, func(i int, out *watch.Line) {
		*out = watch.LineOf(j.Histories[i], &j.Judgements[i], j.Rules.List, forecasts[i])
	})
	return lines
}

// Rank puts lines in their order and notes between which ranks each could lie for
// all the estimate knows; nil: nothing is noted. Removed units are left out.
func Rank(j *Judged, lines []watch.Line, e *estimate.Fleet) []watch.Line {
	ordered := watch.Order(lines)
	if e != nil {
		rankIntervals(ordered, j.Histories, e)
	}
	return ordered
}

func rankIntervals(ordered []watch.Line, histories []*judge.History, e *estimate.Fleet) {
	byKey := make(map[int32]int, len(histories))
	for i, h := range histories {
		byKey[h.Unit.Key] = i
	}
	at := watch.ByForecast(ordered)
	units := make([]int, len(at))
	for k, i := range at {
		units[k] = byKey[ordered[i].Unit.Key]
	}
	intervals := make([]watch.RankInterval, len(at))
	for k, r := range e.Ranks(units) {
		if r.Low > 0 {
			intervals[k] = watch.RankInterval{From: r.Low, To: r.High}
		}
	}
	watch.Range(ordered, at, intervals)
}
