// Package days turns a list of units due for attention into visit days a crew:
// a plan to edit, not an order.
//
// The steps, in order: what a visit is worth is reckoned from a unit's forecast
// (benefit.go); units of a site are put into one stop (stops.go); minutes between
// places come from coordinates or from a table (travel.go); stops are inserted
// by gain per added minute (insert.go), the order within days and the places
// between days and crews are improved (local.go), and parts are dropped and
// inserted anew a counted number of times (search.go); the result is checked
// anew from the input alone (check.go), and the same crews and days are filled
// in two plainer orders to compare with (compare.go). What is left over is
// listed with its reason (left.go).
//
// The package reads no file and no clock and uses chance from a fixed seed: the
// same input gives the same plan. Times are minutes of the day, days count from
// 1970-01-01.
package days

import (
	"fluedrift/analysis"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
)

// Place is a point on the Earth in degrees, NaN where it is not known.
type Place struct{ LatitudeDeg, LongitudeDeg float64 }

// Window is a stretch of minutes of a day, both ends included.
type Window struct{ From, Until int }

// Crew is who drives: where from, when, and what to.
type Crew struct {
	Code        string
	Home        Place
	Days        [7]Window // by time.Weekday; zero: does not work
	Away        []day.Day // days it does not work
	Areas       []string  // none: everywhere
	Fuels       []string  // what it may work on; none: all
	ModelLines  []string  // none: all
	MostMinutes int       // of driving a day; 0: no limit but the hours
}

// Promise is a visit that is already agreed: a unit on a day.
type Promise struct {
	Serial string
	Day    day.Day
	Crew   string // "" any
}

// SiteHours are the hours in which a site can be visited.
type SiteHours struct {
	Site   string
	Open   [7][]Window // by time.Weekday
	Closed []day.Day
}

// Config holds the configured habits of planning.
type Config struct {
	From     day.Day // first day to plan
	Weeks    int
	Holidays []day.Day

	KmPerHour, Detour float64 // speed on the road, and road over great circle
	UnknownMinutes    float64 // between places of which nothing is known

	ArriveMinutes     float64 // at a stop before and after the work
	FirstUnitMinutes  float64
	FurtherMinutes    float64 // each further unit of the stop
	MinutesOfGroup    map[watch.Group]float64
	PullForwardDays   int32                // a test due so soon after the weeks may be made in them
	Visit             analysis.VisitConfig // how the benefit of a visit is counted
	MustGroups        map[watch.Group]bool
	LeastDays         float64                  // expected days outside avoided below which a stop is not worth the drive
	DueTestDays       float64                  // days a test made when it falls due counts as
	Iterations        int                      // drop-and-reinsert
	UnknownShare      map[watch.Ground]float64 // taken to be out of limits without a forecast
	UnknownShareOther float64
}

// DefaultConfig holds habits of our own, to be replaced by the configuration; none has
// a source.
func DefaultConfig(from day.Day) Config {
	return Config{
		From: from, Weeks: 4, KmPerHour: 50, Detour: 1.3, UnknownMinutes: 45,
		ArriveMinutes: 10, FirstUnitMinutes: 60, FurtherMinutes: 45,
		PullForwardDays: 30, Visit: analysis.DefaultVisitConfig(),
		MustGroups: map[watch.Group]bool{watch.GoToday: true}, LeastDays: 1, DueTestDays: 3, Iterations: 3000,
		UnknownShare: map[watch.Ground]float64{
			watch.FuelInDoubt: 0.6, watch.LeftOutside: 0.6, watch.NotTestedSince: 0.35, watch.COForAttention: 0.35,
		},
		UnknownShareOther: 0.15,
	}
}

// until is the day after the last one to plan.
func (r Config) until() day.Day { return r.From + day.Day(7*int32(r.Weeks)) }

// Input is all a plan is made from.
type Input struct {
	Lines    []watch.Line // ordered, as published
	AsOf     day.Day
	Crews    []Crew
	Hours    []SiteHours
	Promises []Promise // on top of the answers on record
	Minutes  []Between // between sites; the rest from coordinates
	Rules    Config
}

// Why says what brought a unit into a plan.
type Why uint8

// What brings a unit into a plan.
const (
	Due Why = iota
	HasToBeSeen
	Promised
	PulledForward // its test
)

// Visit is one unit of a stop.
type Visit struct {
	Line        *watch.Line
	Why         Why
	GainDays    float64 // expected days outside the action band avoided
	GainAssumed bool    // no forecast: from the reason alone
	Minutes     float64 // on site
}

// Stop is a place where a crew stops, with all units to see there.
type Stop struct {
	Site, Area    string
	Place         Place
	PlaceFrom     StandIn
	Arrive, Begin float64
	Leave         float64
	DriveMinutes  float64 // from the place before
	CostMinutes   float64 // on site and the detour of driving to it
	Visits        []Visit
	GainDays      float64
}

// CrewDay is one day of one crew.
type CrewDay struct {
	Crew          string
	Day           day.Day
	Home          Place
	Start, Back   float64
	DriveMinutes  float64
	OnSiteMinutes float64
	Stops         []Stop
}

// Cause is why a unit is not in a plan, with what its kind needs.
type Cause struct {
	Kind          LeftKind
	Day           day.Day // it is promised for
	LeastDays     float64 // a stop must gain
	GainDays      float64 // it would gain
	Minutes       float64 // on site, or that it would take at the least
	Area          string  // of the stop; the line has that of its unit
	Fuel, OfModel string  // of the stop's first unit
}

// LeftKind is a kind of causes.
type LeftKind int

// The kinds of causes.
const (
	InPlan            LeftKind = iota // none
	PromisedLater                     // for a day after these weeks
	LeftRemoved                       // recorded as removed
	LeftAtFoot                        // it stands at the foot of the list
	LeftAskFirst                      // somebody is to be asked first
	LeftToPlan                        // nothing is due
	LeftNoCrew                        // none works in the area
	LeftNoAbleCrew                    // none of the area works on such units
	LeftPromiseNoCrew                 // none that may go there works on the day promised
	LeftLittleGain                    // not worth the drive
	LeftTooLong                       // fits in no crew's day
	LeftPromiseFull                   // what else was promised for that day leaves no room
	LeftMustFull                      // all days are full of what has to be seen
	LeftNoRoom                        // others gain more by the minute
	LeftBeyondMost                    // the same, before any day was filled
)

// Left is a unit that is not in the plan, and why.
type Left struct {
	Line     *watch.Line
	GainDays float64
	Why      Cause
	Must     bool
}

// Way is a way of filling the same days.
type Way int

// The ways that are compared.
const (
	ThisPlan    Way = iota
	ByLastVisit     // seen longest ago first
	ByPlace         // in the list's order
)

// StandIn is what stands in for the coordinates of a stop.
type StandIn int

// What may.
const (
	OwnPlace     StandIn = iota // nothing: its units have their own
	OfSite                      // those of another unit of the site
	MiddleOfArea                // the middle of the stop's area
	NoPlace                     // neither site nor area has any
)

// Compared is what one way of filling the same days comes to.
type Compared struct {
	Way          Way
	CrewDays     int
	DriveMinutes float64
	Units        int
	GainDays     float64 // expected days outside avoided
	// Visits are the units with their days, to measure them against the truth.
	Visits []Seen
}

// Seen is a unit visited on a day.
type Seen struct {
	Serial string
	Day    day.Day
	Until  day.Day // the day up to which a visit is counted
}

// Plan is visit days by day and crew.
type Plan struct {
	AsOf, From, Until day.Day
	Days              []CrewDay // those with stops
	Left              []Left
	Compared          []Compared // this plan first
	Lost              []string   // what was lost before any unit was judged, for the head of its lists
	Rules             Config     // it was made by
	Assumed           int        // planned units whose gain is taken from their reason alone
	StoodIn           int        // stops without coordinates of their own
	Crews             []Crew
}
