package estimate

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"fluedrift/analysis"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// Stored is what a night left in the warehouse of its fits.
type Stored struct {
	Fits        []queries.Fit
	Shifts      []queries.Shift
	Unconfirmed []queries.Unconfirmed
	Steps       []queries.LevelStep
}

// Restore takes up the fits of a night for their Study: it fits at the stored ratios
// without a search, tells the effects, and makes no forecast and no check. Fires without a stored
// search are fitted as the night did. The stored shifts stand where they are of all
// units that had the event. Histories, judgements and rules are those of the night.
func Restore(ctx context.Context, histories []*judge.History, judgements []judge.Judgement, r Config, night Stored) (*Fleet, error) {
	r.Held = map[judge.Fire]drift.Theta{}
	for _, f := range night.Fits {
		if f.How == drift.Estimated.String() {
			r.Held[f.Fire] = drift.Theta{Q: f.RatioQ, Tau: f.RatioTau, B1: f.RatioB1, B2: f.RatioB2}
		}
	}
	out := &Fleet{Forecasts: make([]*analysis.Forecast, len(histories)), Judgements: judgements}
	b, err := newBuilder(histories, judgements, r)
	if err != nil {
		return nil, err
	}
	out.b, out.Climate, out.Vents = b, b.climate, b.vents
	fits, err := b.fitFires(ctx)
	if err != nil {
		return nil, err
	}
	for _, fit := range fits {
		from := restored{fit, night.Fits}
		from.endAsStored()
		of := effects{b, fit}
		if err := of.fitAsRecorded(ctx); err != nil {
			return nil, fmt.Errorf("%s fire: %w", fit.Fire, err)
		}
		fit.Effects = of.list()
		out.Fits = append(out.Fits, *fit)
		out.Notes = append(out.Notes, from.otherwise()...)
	}
	if !slices.ContainsFunc(night.Shifts, func(s queries.Shift) bool { return s.Units < s.Events }) {
		out.stored = night.Shifts
	}
	return out, nil
}

// restored is a fit that was made again at the ratios of a night.
type restored struct {
	*FireFit
	night []queries.Fit
}

// endAsStored takes over how the search of the night ended, in place of the search that
// was not made.
func (f restored) endAsStored() {
	for _, s := range f.night {
		if s.Fire == f.Fire && s.How == drift.Estimated.String() && f.Beta.How == drift.Estimated {
			f.stored = s.Ended
		}
	}
}

// sameNoise is how far the noise may lie from the stored one, as a part of it: the
// readings that are removed depend a little on the way of the search.
const sameNoise = 0.02

// otherwise says where a fit that was taken up is not the night's.
func (f restored) otherwise() []Note {
	for _, s := range f.night {
		if s.Fire == f.Fire && math.Abs(f.Beta.Sigma-s.SigmaPoints) > sameNoise*s.SigmaPoints {
			return []Note{OtherNoise{Fire: f.Fire, Points: f.Beta.Sigma, StoredPoints: s.SigmaPoints}}
		}
	}
	return nil
}

// OfVent says whether an effect is of the vent, of which class of burner controls, and
// whether vents were told apart by length and not by loss; what else a fit of shifts
// holds is none, however it is called.
func OfVent(name string) (class string, byLength, ok bool) {
	if class, ok = strings.CutPrefix(name, ventLengthWords); ok {
		return class, true, true
	}
	class, ok = strings.CutPrefix(name, ventLossWords)
	return class, false, ok
}

// notDetected says of which parts of the variance a forecast has nothing because the
// search found none: a night's reader takes its far intervals for what they are.
func notDetected(fits []FireFit) (notes []Note) {
	for i := range fits {
		search := fits[i].Beta.Search
		if search == nil {
			continue
		}
		var parts []drift.Part
		for _, p := range search.NotDetected {
			if p == drift.Wandering || p == drift.UnitSlope {
				parts = append(parts, p)
			}
		}
		if len(parts) > 0 {
			notes = append(notes, NotDetected{Fire: fits[i].Fire, Parts: parts})
		}
	}
	return notes
}
