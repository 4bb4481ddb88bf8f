package main

import (
	"fluedrift/analysis/estimate"
	"fluedrift/queries"
	"math"
)

// certified adds what calibrations found of analyzers.
func certified(e estimate.Rules, all []queries.Calibration) estimate.Rules {
	for _, c := range all {
		if !math.IsNaN(c.FoundError) {
			e.Certificates = append(e.Certificates, estimate.Certificate{Analyzer: c.Analyzer, Day: c.Calibrated, FoundErrorPoints: c.FoundError})
		}
	}
	return e
}
