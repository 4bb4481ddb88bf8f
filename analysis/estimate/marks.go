package estimate

import (
	"math"

	"fluedrift/analysis"
	"fluedrift/model/drift"
)

// biasWorthSaying is the analyzer bias from which a unit's line mentions it.
const biasWorthSaying = 0.05

// driftMarks are the marks of a forecast by the caveats of what it was made from.
var driftMarks = [...]struct {
	of   drift.Mark
	kind analysis.MarkKind
}{
	{drift.NoHistory, analysis.MarkOwnDriftUnknown},
	{drift.NoRecord, analysis.MarkNothingRecorded},
	{drift.SetNotRecorded, analysis.MarkSetNotRecorded},
	{drift.MaybeSet, analysis.MarkMaybeSet},
	{drift.LastUnconfirmed, analysis.MarkLastUnconfirmed},
	{drift.ChangedSince, analysis.MarkChangedSince},
	{drift.NotInFit, analysis.MarkLastInDoubt},
	{drift.CovariateUnknown, analysis.MarkRateUnknown},
	{drift.Extrapolated, analysis.MarkExtrapolated},
	{drift.AnalyzerUnknown, analysis.MarkAnalyzerUnknown},
	{drift.NotMeasuredEffect, analysis.MarkDefaults},
}

// marksOf are the caveats of a unit's forecast at a fire.
func marksOf(f *FireFit, o *drift.Predictive, m drift.Mark) (marks []analysis.Mark) {
	for _, d := range driftMarks {
		if m&d.of != 0 {
			marks = append(marks, analysis.Mark{Kind: d.kind})
		}
	}
	if o.LastVisit < 0 {
		return marks
	}
	r := f.series[o.Unit].Visits[o.LastVisit].Readings[o.LastReading]
	if f.stepOf(&r) != nil {
		return append(marks, analysis.Mark{Kind: analysis.MarkNotSeparable})
	}
	if r.Analyzer < 0 || !f.Fit.Analyzers[r.Analyzer].Known() {
		return marks
	}
	if bias, _ := f.Fit.ReadsOn(r.Analyzer, r.Period, r.Level); math.Abs(bias) >= biasWorthSaying {
		marks = append(marks, analysis.Mark{Kind: analysis.MarkAnalyzerReads, Points: math.Round(100*bias) / 100})
	}
	return marks
}
