package fleet

import (
	"context"
	"fmt"
	"math"
	"slices"

	"fluedrift/model/combustion"
	"fluedrift/model/day"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// Records are what a warehouse holds of a fleet on its as-of day.
type Records struct {
	AsOf         day.Day
	Histories    []*judge.History // in order of serials
	UnusedCO     []judge.UnusedCO // on lines that name no unit
	Calibrations []queries.Calibration
	// FactoryRunM gives the vent that units of a model line were set on at the
	// factory, metres; NaN where it is not declared.
	FactoryRunM func(line, fuel string) float64

	targetOf    judge.LineTargets
	burnt       map[string]bool // fuels of the whole fleet
	resolutions map[string]judge.Resolution
	pairs       []queries.GasPair // counted in the warehouse; nil: those of the histories
}

// Load reads the records of a fleet, or of its one unit of the serial, with what
// the whole fleet tells of how that unit's readings are to be judged.
func Load(ctx context.Context, w *queries.Warehouse, serial string) (*Records, error) {
	r := &Records{AsOf: w.AsOf(), burnt: map[string]bool{}}
	for _, step := range []func(context.Context, *queries.Warehouse, string) error{
		r.loadHistories, r.loadLines, r.loadCalibrations, r.loadWays,
	} {
		if err := step(ctx, w, serial); err != nil {
			return nil, fmt.Errorf("read the fleet: %w", err)
		}
	}
	return r, nil
}

func (r *Records) loadHistories(ctx context.Context, w *queries.Warehouse, serial string) error {
	unused, err := w.UnusedCO(ctx)
	if err != nil {
		return err
	}
	for i := range unused {
		u := &unused[i]
		u.Origin = originOf(u.File, u.Line)
		if serial == "" && u.UnitKey == 0 {
			r.UnusedCO = append(r.UnusedCO, u.UnusedCO)
		}
	}
	r.Histories, err = historiesOf(ctx, w, serial, unused)
	return err
}

// HasUnusedCO reports whether any CO stands on a line that could not be used.
func (r *Records) HasUnusedCO() bool {
	return len(r.UnusedCO) > 0 || slices.ContainsFunc(r.Histories, func(h *judge.History) bool { return len(h.UnusedCO) > 0 })
}

// DropMended takes away the CO of lines (file:line) in whose place a mended one
// stands: that one says what it was.
func (r *Records) DropMended(mended func(origin string) bool) {
	gone := func(u judge.UnusedCO) bool { return mended(u.Origin) }
	r.UnusedCO = slices.DeleteFunc(r.UnusedCO, gone)
	for _, h := range r.Histories {
		h.UnusedCO = slices.DeleteFunc(h.UnusedCO, gone)
	}
}

// loadLines reads what is declared of model lines.
func (r *Records) loadLines(ctx context.Context, w *queries.Warehouse, _ string) (err error) {
	if r.targetOf, err = lineTargets(ctx, w); err != nil {
		return err
	}
	runs, err := w.FactoryRuns(ctx)
	if err != nil {
		return err
	}
	length := map[[2]string]float64{}
	for _, run := range runs {
		length[[2]string{run.ModelLine, run.Fuel}] = run.LengthM
	}
	r.FactoryRunM = func(line, fuel string) float64 {
		for _, key := range [][2]string{{line, fuel}, {line, ""}} {
			if m, ok := length[key]; ok {
				return m
			}
		}
		return math.NaN()
	}
	return nil
}

func (r *Records) loadCalibrations(ctx context.Context, w *queries.Warehouse, _ string) (err error) {
	r.Calibrations, err = w.Calibrations(ctx)
	return err
}

// loadWays finds how the whole fleet burns and shows its gases: in its histories,
// or, where only one of them was read, by counting in the warehouse.
func (r *Records) loadWays(ctx context.Context, w *queries.Warehouse, serial string) error {
	if serial == "" {
		for _, h := range r.Histories {
			for _, f := range h.Fuels {
				r.burnt[f.Fuel] = true
			}
		}
		r.resolutions = judge.Resolutions(r.Histories)
		return nil
	}
	names, err := w.FuelNames(ctx)
	if err != nil {
		return err
	}
	for _, name := range names {
		r.burnt[name] = true
	}
	values, err := w.GasValues(ctx)
	if err != nil {
		return err
	}
	var shown judge.DisplayedValues
	for _, v := range values {
		if v.Gas == "co2" {
			shown.CO2(v.Source, v.Percent, int(v.Times))
		} else {
			shown.O2(v.Source, v.Percent, int(v.Times))
		}
	}
	r.resolutions = shown.Resolutions()
	r.pairs = []queries.GasPair{}
	for p, err := range w.GasPairs(ctx) {
		if err != nil {
			return err
		}
		r.pairs = append(r.pairs, *p)
	}
	return nil
}

// pairFits are the pairs that were counted in the warehouse, nil where none were.
func (r *Records) pairFits(j *judge.Config) map[judge.PairOf]judge.PairFit {
	if r.pairs == nil {
		return nil
	}
	var pairs judge.Pairs
	for i := range r.pairs {
		p := &r.pairs[i]
		x := judge.Reading{CO2Percent: p.CO2Percent, O2Percent: p.O2Percent, CO2Decimals: p.CO2Decimals, O2Decimals: p.O2Decimals}
		pairs.Add(judge.PairOf{Source: p.Source, Analyzer: p.Analyzer}, j.PairsOf(p.Source).Of(&x), j.Fuels[p.Fuel], int(p.Times))
	}
	return pairs.Fits()
}

// fuels are those of the configuration that the fleet burns.
func (r *Records) fuels(configured map[string]combustion.Fuel) map[string]combustion.Fuel {
	burnt := map[string]combustion.Fuel{}
	for name, f := range configured {
		if r.burnt[name] {
			burnt[name] = f
		}
	}
	return burnt
}
