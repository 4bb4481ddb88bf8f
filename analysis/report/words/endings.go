package words

import (
	"fmt"
	"strings"

	"fluedrift/analysis/estimate"
	"fluedrift/model/drift"
)

// Ended says how a fit ended, in one plain line.
func Ended(e estimate.Ended) string {
	switch e := e.(type) {
	case estimate.AtOnce:
		return fitEnded(e.Fit)
	case estimate.InTwo:
		return fitEnded(e.First) + ", from technicians who record every as-found reading; then " + fitEnded(e.Then)
	case estimate.OfShifts:
		return fmt.Sprintf("own fit of %d shifts, analyzer ratio %.1f", e.Shifts, e.AnalyzerRatio)
	case estimate.AsStored:
		return e.Text
	}
	return ""
}

func fitEnded(e drift.Ended) string {
	switch {
	case e.How == drift.Defaults:
		return fmt.Sprintf("nothing fitted, %d differences", e.Differences)
	case e.How == drift.HeldBeta:
		return fmt.Sprintf("coefficients held, %d differences", e.Differences)
	case e.Search == nil:
		return fmt.Sprintf("fixed ratios, %d differences", e.Differences)
	}
	return searchEnded(e.Search)
}

func searchEnded(e *drift.Ending) string {
	end := fmt.Sprintf("ratios estimated, %d evaluations, %d restarts", e.Evaluations, e.Restarts)
	if e.Fallback != nil {
		end = "fixed ratios: " + fallback(e.Fallback)
	}
	if e.Sampled > 0 {
		end += fmt.Sprintf(", on %d units", e.Sampled)
	}
	if len(e.NotDetected) > 0 {
		end += "; not detected: " + partNames(e.NotDetected, ", ")
	}
	var held []string
	for _, h := range e.Held {
		held = append(held, fmt.Sprintf("%s (%s)", Part(h.Part), heldWhy[h.Why]))
	}
	if len(held) > 0 {
		end += "; held: " + strings.Join(held, ", ")
	}
	return end
}

// fallback says why a search ended with the fixed ratios.
func fallback(f drift.Fallback) string {
	switch f := f.(type) {
	case drift.TooFewToSearch:
		return fmt.Sprintf("%d differences of %d units are too few to estimate them", f.Differences, f.Units)
	case drift.NoCriterion:
		return "no ratios could be evaluated"
	case drift.NoiseVanishes:
		return "the noise goes to zero: exact copies, or more decimals than were measured"
	case drift.NotSettled:
		return fmt.Sprintf("the search did not settle in %d restarts", f.Restarts)
	}
	return ""
}

// heldWhy says why a part was not searched.
var heldWhy = map[drift.HeldWhy]string{
	drift.GapsAlike:    "all gaps are equal, with two readings a segment: it cannot be told from the noise",
	drift.NotEstimable: "not estimable",
	drift.FewCompared:  "too few analyzers compared",
}

var varianceParts = map[drift.Part]string{
	drift.Noise: "noise", drift.Wandering: "wandering", drift.UnitSlope: "unit slope",
	drift.AnalyzerBias: "analyzer bias", drift.PeriodBias: "bias by calibration period",
}

// Part names a part of the variance.
func Part(p drift.Part) string { return varianceParts[p] }

// partNames names some.
func partNames(of []drift.Part, between string) string {
	names := make([]string, len(of))
	for i, p := range of {
		names[i] = Part(p)
	}
	return strings.Join(names, between)
}
