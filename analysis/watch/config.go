// Package watch decides where a unit stands on the list of units due for
// attention, and says why.
//
// The steps, in order: a unit's history is looked at fire by fire (fires.go),
// its last routine visit and its planned day are found (plan.go), a table of grounds
// to see to it is tried (grounds.go), the line gets its group, its reasons
// and its marks (assess.go), and all lines get one rank each (order.go). A
// summary says what could not be judged (summary.go); a story tells one unit's
// records with their verdicts (story.go).
//
// The package reads no file, no database and no clock, and it clears nothing:
// it classifies records. A unit is never left off the list because data are missing; the
// mark says what is missing. Only units recorded as removed are left out, and
// counted.
//
// Days count from 1970-01-01 (day.None: not known), a missing number is NaN,
// gas shares are percent by volume of dry gas.
package watch

import (
	"time"

	"fluedrift/analysis"
	"fluedrift/model/combustion"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Config holds the configured limits and habits that units are judged by.
type Config struct {
	AsOf           day.Day // the day the list speaks for
	IntervalMonths int     // months from one routine visit to the next
	// ServiceMonths are the months in which routine visits are made; none means any.
	ServiceMonths []time.Month
	// COAttentionPPM and COUrgentPPM are levels of CO free of excess air.
	COAttentionPPM, COUrgentPPM float64
	// Judge holds the fuels, the other fuels' targets and the figures that
	// readings are judged with.
	Judge judge.Config
	// NotRead names the exports that could not be read, in words; "" where all
	// were. Nothing can then be said to be on no record.
	NotRead string
	// GroupWords replaces a group's words on the list.
	GroupWords map[Group]string
	// OutProbability is the probability from which a forecast counts as
	// "outside"; 0 means one half.
	OutProbability float64
	// Visit says how the benefit of a visit is counted.
	Visit analysis.VisitConfig
	// BookDays is from how many days out of limits avoided a unit is booked sooner,
	// and StayDays from how many it stays so: fewer, so that nothing comes and goes.
	BookDays, StayDays float64
	// Booked are the serials that the list before booked sooner.
	Booked map[string]bool
	// Unused holds, by serial, what could not be used of a unit's records.
	Unused map[string]Unused
	// CommonCause says what the whole fleet's being out of limits is likelier due
	// to than to its burners; "" where nothing says so.
	CommonCause string
	// SuspectAnalyzers read off at the units of the whole fleet.
	SuspectAnalyzers map[string]bool
}

// DefaultConfig gives common practice for everything but the day and the fuels:
// twelve months, any month, CO for attention from 100 ppm and urgent from
// 400 ppm free of excess air (common practice, no source; the latter is also a
// limit of certification tests), booked sooner from 20 days out of limits avoided and
// so until 15 (a habit of our own). A configuration replaces any of them.
func DefaultConfig(asOf day.Day, j judge.Config) Config {
	return Config{
		AsOf: asOf, IntervalMonths: 12, COAttentionPPM: 100, COUrgentPPM: 400, Judge: j,
		OutProbability: analysis.OutProbability, Visit: analysis.DefaultVisitConfig(), BookDays: 20, StayDays: 15,
	}
}

// outProbability returns the configured threshold or one half.
func (r Config) outProbability() float64 {
	if r.OutProbability > 0 {
		return r.OutProbability
	}
	return analysis.OutProbability
}

// fuel returns the declared fuel; one that is not declared converts nothing.
func (r Config) fuel(name string) combustion.Fuel { return r.Judge.Fuels[name] }

// words returns a group's words: the configured ones or its own.
func (r Config) words(g Group) string {
	if w := r.GroupWords[g]; w != "" {
		return w
	}
	return g.Words()
}

// fleetwide are the grounds that a common cause gives.
var fleetwide = []Ground{ProbablyOutside, LeftOutside, ExpectedOutside, EnoughAvoided}
