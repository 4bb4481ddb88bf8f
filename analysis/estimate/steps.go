package estimate

import (
	"context"
	"math"
	"slices"
	"time"

	"fluedrift/model/day"
	"fluedrift/model/drift"
)

// StepSuspected is a day about which the levels of an area seem to have moved
// together: another gas quality, or something else from outside. It is listed,
// never added by itself: somebody has to know the reason.
type StepSuspected struct {
	Area       string  // "*": the whole fleet
	Day        day.Day // the likeliest of the half-year dates
	Points, SE float64
	Z          float64
	Readings   int     // differences across the day
	Kept       float64 // share of the evidence that the analyzers' biases leave
}

// suspectZ is the |z| from which a step is suspected: some thousand dates are
// looked at, and chance gives each less than one in a million.
const suspectZ = 5

// keptEnough is the share of evidence under which analyzers explain it as well.
const keptEnough = 0.5

// ByAnalyzers reports whether a change of analyzers explains the step as well.
func (s *StepSuspected) ByAnalyzers() bool { return s.Kept < keptEnough }

// scanSteps looks for steps at the half-years of the records, by area and over
// the fleet.
func scanSteps(ctx context.Context, f *FireFit, workers int) error {
	if f.Beta.Counts.Differences < drift.MinFree || f.Beta.How == drift.Defaults {
		return nil
	}
	areas := map[string]bool{}
	for _, u := range f.units {
		if a := u.h.Unit.Area; a != "" {
			areas[a] = true
		}
	}
	names := make([]string, 0, len(areas))
	for a := range areas {
		names = append(names, a)
	}
	slices.Sort(names)
	group := make([]int, len(f.units))
	for k, u := range f.units {
		group[k] = -1
		if at, ok := slices.BinarySearch(names, u.h.Unit.Area); ok {
			group[k] = at
		}
	}
	days := halfYears(f.series)
	times := make([]float64, len(days))
	for k, d := range days {
		times[k] = years(d)
	}
	tests, err := f.Beta.ScanSteps(ctx, times, group, len(names), workers)
	if err != nil {
		return err
	}
	f.Steps = suspects(tests, append([]string{"*"}, names...))
	for _, s := range f.Steps {
		f.Notes = append(f.Notes, StepNoted{StepSuspected: s})
	}
	return nil
}

// suspects keeps the largest step of each group beyond the bound. Where the fleet
// is suspected and most areas agree with it, only the fleet is named.
func suspects(tests []drift.StepTest, names []string) (out []StepSuspected) {
	best := map[int]drift.StepTest{}
	for _, t := range tests {
		if math.Abs(t.Z) > suspectZ && math.Abs(t.Z) > math.Abs(best[t.Group].Z) {
			best[t.Group] = t
		}
	}
	fleet, whole := best[drift.WholeFleet]
	agree := 0
	for g, t := range best {
		if g != drift.WholeFleet && whole && t.Size*fleet.Size > 0 && math.Abs(t.T-fleet.T) <= 1 {
			agree++
		}
	}
	for g := range names {
		t, ok := best[g+drift.WholeFleet]
		if !ok || g > 0 && whole && 2*agree > len(names)-1 && t.Size*fleet.Size > 0 && math.Abs(t.T-fleet.T) <= 1 {
			continue
		}
		out = append(out, StepSuspected{Area: names[g], Day: dayAt(t.T), Points: t.Size, SE: t.SE, Z: t.Z, Readings: t.Straddling, Kept: t.Kept})
	}
	return out
}

// halfYears are the first days of January and July between the first and the
// last visit.
func halfYears(series []drift.Series) (days []day.Day) {
	first, last := math.Inf(1), math.Inf(-1)
	for k := range series {
		if v := series[k].Visits; len(v) > 0 {
			first, last = math.Min(first, v[0].T), math.Max(last, v[len(v)-1].T)
		}
	}
	if !(last > first) {
		return nil
	}
	for year := yearOf(dayAt(first)); ; year++ {
		for _, month := range []time.Month{time.January, time.July} {
			start := day.Of(year, month, 1)
			if years(start) >= last {
				return days
			}
			if years(start) > first {
				days = append(days, start)
			}
		}
	}
}
