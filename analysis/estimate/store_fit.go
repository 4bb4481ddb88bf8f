package estimate

import (
	"math"
	"strings"

	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// found is a finding with its unit.
type found struct {
	unit    int32
	origin  string
	finding judge.Finding
}

func findings(histories []*judge.History, f *Fleet) (rows []found) {
	for i, h := range histories {
		for _, x := range f.Judgements[i].Findings {
			rows = append(rows, found{h.Unit.Key, h.Readings[x.Readings[0]].Origin, x})
		}
	}
	return rows
}

var findingColumns = []col[found]{
	{"unit_key", func(f *found) any { return f.unit }},
	{"fire", func(f *found) any { return f.finding.Fire }},
	{"kind", func(f *found) any { return f.finding.Kind.String() }},
	{"origin", func(f *found) any { return f.origin }},
	{"other_fuel", func(f *found) any { return f.finding.OtherFuel }},
	{"is_open", func(f *found) any { return f.finding.Open }},
	{"words", func(f *found) any { return f.finding.Words }},
}

// judged is a reading that is not simply used.
type judged struct {
	unit    int32
	reading *judge.Reading
	use     judge.Use
}

func judgements(histories []*judge.History, f *Fleet) (rows []judged) {
	for i, h := range histories {
		for k, use := range f.Judgements[i].Uses {
			if use != judge.Used {
				rows = append(rows, judged{h.Unit.Key, &h.Readings[k], use})
			}
		}
	}
	return rows
}

var judgementColumns = []col[judged]{
	{"unit_key", func(j *judged) any { return j.unit }},
	{"origin", func(j *judged) any { return j.of().Origin }},
	{"fire", func(j *judged) any { return j.of().Fire }},
	{"condition", func(j *judged) any { return j.of().Condition }},
	{"use", func(j *judged) any { return j.use.String() }},
}

// of is the reading; an empty one for the row that only shows the types.
func (j *judged) of() *judge.Reading {
	if j.reading == nil {
		return &judge.Reading{}
	}
	return j.reading
}

var fitColumns = []col[FireFit]{
	{"fire", func(f *FireFit) any { return f.Fire }},
	{"how", func(f *FireFit) any { return f.of().How.String() }},
	{"ended", func(f *FireFit) any { return f.of().Ended }},
	{"sigma_points", func(f *FireFit) any { return f.of().Sigma }},
	{"ratio_q", func(f *FireFit) any { return f.of().Theta.Q }},
	{"ratio_tau", func(f *FireFit) any { return f.of().Theta.Tau }},
	{"ratio_b1", func(f *FireFit) any { return f.of().Theta.B1 }},
	{"ratio_b2", func(f *FireFit) any { return f.of().Theta.B2 }},
	{"crit", func(f *FireFit) any { return f.of().Crit }},
	{"units", func(f *FireFit) any { return int32(f.of().Counts.Units) }},
	{"segments", func(f *FireFit) any { return int32(f.of().Counts.Segments) }},
	{"readings", func(f *FireFit) any { return int32(f.of().Counts.Readings) }},
	{"differences", func(f *FireFit) any { return int32(f.of().Counts.Differences) }},
	{"unconfirmed", func(f *FireFit) any { return int32(len(f.of().Unconfirmed)) }},
	{"notes", func(f *FireFit) any { return strings.Join(f.of().Notes, listMark) }},
}

// of is the fit; an empty one for the row that only shows the types.
func (f *FireFit) of() *drift.Fit {
	if f.Fit == nil {
		return &drift.Fit{}
	}
	return f.Fit
}

// effect is a coefficient with its fire.
type effect struct {
	fire string
	Effect
}

func coefficients(f *Fleet) (rows []effect) {
	for i := range f.Fits {
		for _, e := range f.Fits[i].Effects {
			rows = append(rows, effect{f.Fits[i].Fire, e})
		}
	}
	return rows
}

var coefficientColumns = []col[effect]{
	{"fire", func(e *effect) any { return e.fire }},
	{"name", func(e *effect) any { return e.Name }},
	{"unit", func(e *effect) any { return e.Unit }},
	{"coding", func(e *effect) any { return e.Coding }},
	{"source", func(e *effect) any { return e.Source }},
	{"scale", func(e *effect) any { return e.Scale }},
	{"value", func(e *effect) any { return e.Value }},
	{"se", func(e *effect) any { return e.SE }},
	{"low", func(e *effect) any { return e.Low }},
	{"high", func(e *effect) any { return e.High }},
	{"dropped", func(e *effect) any { return e.Dropped }},
	{"usable", func(e *effect) any { return e.Usable }},
	{"why_not", func(e *effect) any { return e.Why }},
}

// bias is the bias of an analyzer, or of one calibration period of it.
type bias struct {
	fire     string
	analyzer *Analyzer
	period   *Period
	drift.Bias
}

func analyzers(f *Fleet) (rows []bias) {
	for i := range f.Fits {
		fit := &f.Fits[i]
		for a := range fit.Analyzers {
			one := &fit.Analyzers[a]
			rows = append(rows, bias{fit.Fire, one, nil, fit.Fit.Analyzers[a]})
			for p := range one.Periods {
				rows = append(rows, bias{fit.Fire, one, &one.Periods[p], fit.Fit.Periods[one.Periods[p].Column]})
			}
		}
	}
	return rows
}

var analyzerColumns = []col[bias]{
	{"fire", func(b *bias) any { return b.fire }},
	{"analyzer", func(b *bias) any { return b.of().Name }},
	{"stand_in", func(b *bias) any { return b.of().Standin }},
	{"period", func(b *bias) any {
		if b.period == nil {
			return ""
		}
		return b.period.span()
	}},
	{"calibrated", func(b *bias) any {
		if b.period == nil {
			return day(judge.NoDay)
		}
		return day(b.period.Calibrated)
	}},
	{"bias_points", func(b *bias) any { return b.Value }},
	{"sd_points", func(b *bias) any { return b.sd() }},
	{"comparisons", func(b *bias) any { return int32(b.Cross) }},
	{"component", func(b *bias) any { return int32(b.Component) }},
}

// of is the analyzer; an empty one for the row that only shows the types.
func (b *bias) of() *Analyzer {
	if b.analyzer == nil {
		return &Analyzer{}
	}
	return b.analyzer
}

// sd is the posterior standard deviation, missing where nothing was compared.
func (b *bias) sd() float64 {
	if b.Component < 0 {
		return math.NaN()
	}
	return b.SD
}
