package estimate

import (
	"context"
	"fmt"
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
	f.Fit.Notes = append(f.Fit.Notes, f.notes(len(groups), standins)...)
	f.Fit.Notes = append(f.Fit.Notes, f.certificateNotes()...)
	return nil
}

// notes say what a reader of biases must know.
func (f instrumentCheck) notes(groups, standins int) (notes []string) {
	say := func(format string, a ...any) { notes = append(notes, fmt.Sprintf(format, a...)) }
	if groups > 1 {
		say("analyzers fall into %d groups never compared with each other: a bias says nothing across them", groups)
	}
	if standins > 0 {
		say("for %d analyzers not recorded the technician stands in", standins)
	}
	for a := range f.Analyzers {
		x := &f.Analyzers[a]
		if x.NoiseRatio > noisyRatio && x.Readings >= noisyReadings {
			say("analyzer %s: noise variance %.1f times the others' (%d readings)", x.Name, x.NoiseRatio, x.Readings)
		}
		if bias := f.Fit.Analyzers[a]; x.CurrentShare > commonShare && bias.Known() {
			say("analyzer %s made %.0f %% of the newest readings: its bias is %+.2f ± %.2f, and a common shift of this size moves all "+
				"these units", x.Name, 100*x.CurrentShare, bias.Value, bias.SD)
		} else if x.CurrentShare > commonShare {
			say("analyzer %s made %.0f %% of the newest readings, and nothing says what it reads: a common shift moves all these units",
				x.Name, 100*x.CurrentShare)
		}
	}
	return notes
}
