package estimate

import (
	"math"

	"fluedrift/model/judge"
	"fluedrift/model/vent"
)

// Known returns what is known of one run of a unit with its length as recorded, the
// loss as the range that the resistance of its fittings spans.
func (c *VentChoice) Known(h *judge.History, run *judge.VentRun) vent.Candidate {
	return c.measurer.candidate(h, run, asRecorded)
}

// TypedLengths lists the lengths that so many units share that they look typed in where
// nothing better was known; none in a fleet too small to tell.
func TypedLengths(histories []*judge.History) []TypedVent {
	counts, known := map[int]int{}, 0
	for _, h := range histories {
		if r := runNow(h); r != nil && r.LengthM > 0 {
			counts[int(math.Round(r.LengthM*millimetres))]++
			known++
		}
	}
	if known < minVents {
		return nil
	}
	return suspectedVents(counts, known)
}
