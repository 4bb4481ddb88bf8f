package estimate

import (
	"math"

	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

func findings(histories []*judge.History, f *Fleet, sentence func(*judge.History, *judge.Finding) string) (rows []queries.Finding) {
	for i, h := range histories {
		for k := range f.Judgements[i].Findings {
			x := &f.Judgements[i].Findings[k]
			rows = append(rows, queries.Finding{
				UnitKey: h.Unit.Key, Fire: x.Fire, Kind: x.Kind.String(), Origin: h.Readings[x.Readings[0]].Origin,
				OtherFuel: x.OtherFuel, Open: x.Open, Words: sentence(h, x),
			})
		}
	}
	return rows
}

// judgements are the readings that are not simply used.
func judgements(histories []*judge.History, f *Fleet) (rows []queries.Judgement) {
	for i, h := range histories {
		for k, use := range f.Judgements[i].Uses {
			if use == judge.Used {
				continue
			}
			r := &h.Readings[k]
			rows = append(rows, queries.Judgement{UnitKey: h.Unit.Key, Origin: r.Origin, Fire: r.Fire, Condition: r.Condition, Use: use.String()})
		}
	}
	return rows
}

func fitRows(f *Fleet, say Sentences) (rows []queries.Fit) {
	for i := range f.Fits {
		fit := f.Fits[i].Fit
		rows = append(rows, queries.Fit{
			Fire: f.Fits[i].Fire, How: fit.How.String(), Ended: say.Ended(f.Fits[i].Ended()), SigmaPoints: fit.Sigma,
			RatioQ: fit.Theta.Q, RatioTau: fit.Theta.Tau, RatioB1: fit.Theta.B1, RatioB2: fit.Theta.B2, Crit: fit.Crit,
			Units: int32(fit.Counts.Units), Segments: int32(fit.Counts.Segments), Readings: int32(fit.Counts.Readings),
			Differences: int32(fit.Counts.Differences), Unconfirmed: int32(len(fit.Unconfirmed)), Notes: say.notes(f.Fits[i].Notes),
		})
	}
	return rows
}

func coefficients(f *Fleet, say Sentences) (rows []queries.Coefficient) {
	for i := range f.Fits {
		for _, e := range f.Fits[i].Effects {
			rows = append(rows, queries.Coefficient{
				Fire: f.Fits[i].Fire, Name: e.Name, Unit: e.Unit, Coding: e.Coding, Source: e.Source,
				Scale: e.Scale, Value: e.Value, SE: e.SE, Low: e.Low, High: e.High,
				Dropped: say.dropped(e.Dropped), Usable: e.Usable, WhyNot: say.whyNot(e.Why),
			})
		}
	}
	return rows
}

// biases are those of the analyzers, each followed by those of its calibration
// periods.
func biases(f *Fleet) (rows []queries.Bias) {
	for i := range f.Fits {
		fit := &f.Fits[i]
		for a := range fit.Analyzers {
			one := &fit.Analyzers[a]
			whole := biasOf(fit.Fire, one, fit.Fit.Analyzers[a])
			rows = append(rows, whole)
			for k := range one.Periods {
				p := &one.Periods[k]
				row := biasOf(fit.Fire, one, fit.Fit.Periods[p.Column])
				row.Period, row.Calibrated = p.Span(), p.Calibrated
				rows = append(rows, row)
			}
		}
	}
	return rows
}

// biasOf is a bias of an analyzer; its deviation is missing where nothing was
// compared.
func biasOf(fire judge.Fire, a *Analyzer, b drift.Bias) queries.Bias {
	row := queries.Bias{
		Fire: fire, Analyzer: a.Name, StandIn: a.Standin, Calibrated: day.None,
		BiasPoints: b.Value, SDPoints: b.SD, Comparisons: int32(b.Cross), Component: int32(b.Component),
	}
	if b.Component < 0 {
		row.SDPoints = math.NaN()
	}
	return row
}
