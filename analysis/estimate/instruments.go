package estimate

import (
	"context"
)

// Bounds of what is said of analyzers.
const (
	noisyRatio    = 2   // noise variance beside the others' from which one is named
	noisyReadings = 30  // with so many readings
	commonShare   = 0.3 // share of the newest readings from which one bias moves many units together
)

// instrumentCheck looks at what made the readings of a fit.
type instrumentCheck struct{ *FireFit }

// rate adds to each analyzer its noise, its share of the readings the states of today are
// computed from, and what certificates say.
func (f instrumentCheck) rate(ctx context.Context, workers int) error {
	ratios, err := f.Beta.NoiseRatios(ctx, workers)
	if err != nil {
		return err
	}
	total := 0
	for _, n := range f.current {
		total += n
	}
	groups, standins := map[int]bool{}, 0
	for a := range f.Analyzers {
		x := &f.Analyzers[a]
		x.NoiseRatio, x.Readings = ratios[a].Ratio, ratios[a].Readings
		if total > 0 {
			x.CurrentShare = float64(f.current[a]) / float64(total)
		}
		if c := f.Fit.Analyzers[a].Component; c >= 0 {
			groups[c] = true
		}
		if x.Standin {
			standins++
		}
	}
	f.certify()
	f.Notes = append(f.Notes, f.notes(len(groups), standins)...)
	f.Notes = append(f.Notes, f.certificateNotes()...)
	return nil
}

// notes are what a reader of biases must know.
func (f instrumentCheck) notes(groups, standins int) (notes []Note) {
	if groups > 1 {
		notes = append(notes, GroupsOfAnalyzers{Groups: groups})
	}
	if standins > 0 {
		notes = append(notes, StandIns{Analyzers: standins})
	}
	for a := range f.Analyzers {
		x := &f.Analyzers[a]
		if x.NoiseRatio > noisyRatio && x.Readings >= noisyReadings {
			notes = append(notes, NoisyAnalyzer{Analyzer: x})
		}
		if x.CurrentShare > commonShare {
			notes = append(notes, CommonAnalyzer{Analyzer: x, Bias: f.Fit.Analyzers[a]})
		}
	}
	return notes
}
