// Package analysis holds the forecast of a unit as a value: estimate makes it, the
// list and its reports read it.
package analysis

import (
	"math"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Forecast is what a model of the fleet's drift says about one unit on the
// as-of day. A list
// takes nil where there is none: then the records alone decide.
type Forecast struct {
	Fires []FireForecast
}

// OutProbability is the probability of being outside its action band from which a
// unit counts as outside, where nothing else is set.
const OutProbability = 0.5

// FireForecast is the forecast at one fire. Gas values are CO2 percent by
// volume of dry gas, also where the target is declared in O2. Earlier has the day
// day.None and no chance where nobody asked for it, or the unit was read since.
type FireForecast struct {
	Fire                                    judge.Fire
	RatePercent                             float64 // of a point, else NaN
	CO2Percent                              float64 // expected on the as-of day
	LowPercent, HighPercent                 float64 // 90 % interval of it
	TargetCO2Percent                        float64
	ActRichPercent, ActLeanPercent          float64      // widths of the action band, both positive
	Today, Planned, Worst                   Probability  // Worst: the worst month from the as-of day to the planned day
	Earlier                                 Probability  // on the day of the list before, by what is known now
	FirstOutside                            Leaving      // whether it is expected to leave its band
	FirstOutsideFrom, FirstOutsideTo        day.Day      // and when; day.None where open
	RecordedLowPercent, RecordedHighPercent float64      // 90 % interval of the next recorded reading
	Parts                                   []Part       // what the expected CO2 is made of
	Path                                    []PathPoint  // the months ahead, the as-of day first; empty where nobody asked
	Harm                                    []HarmPoint  // days ahead, with and without a visit; empty where nobody asked
	Aim                                     Aim          // where to leave the burner
	Unconfirmed                             *Unconfirmed // the last reading stands alone and contradicts those before it
	Suspect                                 *Suspect     // the last reading's instrument stands far off the ones before it
	Marks                                   []Mark       // what it rests on or lacks
}

// Within holds every CO2 of the forecast, expected or the end of an interval,
// between nothing and the most that the fuel can make (percent), to the two
// decimals lists print. The parts then sum up to it with one more.
func (f *FireForecast) Within(mostPercent float64) {
	most := math.Floor(100*mostPercent+rounding) / 100
	hold := func(v *float64) { *v = math.Min(math.Max(*v, 0), most) } // NaN stays
	before := f.CO2Percent
	for _, v := range []*float64{&f.CO2Percent, &f.LowPercent, &f.HighPercent, &f.RecordedLowPercent, &f.RecordedHighPercent} {
		hold(v)
	}
	for i := range f.Path {
		p := &f.Path[i]
		hold(&p.CO2Percent)
		hold(&p.LowPercent)
		hold(&p.HighPercent)
	}
	if f.Unconfirmed != nil {
		hold(&f.Unconfirmed.ExpectedPercent)
	}
	if held := f.CO2Percent - before; math.Abs(held) > rounding {
		f.Parts = append(f.Parts, Part{Kind: PartHeld, Points: held})
	}
}

// rounding absorbs the last binary digits of decimal fractions.
const rounding = 1e-9

// PathPoint is the CO2 expected on a day ahead, with its 90 % interval.
type PathPoint struct {
	Day                                 day.Day
	CO2Percent, LowPercent, HighPercent float64
}

// Probability is the probability of standing outside the action band on a day.
type Probability struct {
	Day        day.Day
	Rich, Lean float64
}

// Out returns the probability of standing outside on either side.
func (c Probability) Out() float64 { return c.Rich + c.Lean }

// Part is one contribution to an expected CO2, in points of CO2.
type Part struct {
	Kind   PartKind
	Points float64
}

// PartKind is what a part of an expected CO2 is due to.
type PartKind string

// The kinds of parts.
const (
	PartLast      PartKind = "last reading"     // off target
	PartAnalyzer  PartKind = "analyzer"         // the bias of the last reading's
	PartSmoothing PartKind = "earlier readings" // what they say of the last one's noise
	PartDrift     PartKind = "drift"            // of units like it since
	PartSlope     PartKind = "own slope"        // the unit's since
	PartAir       PartKind = "air"              // its temperature since
	PartAirSteps  PartKind = "air and steps"    // with level steps of the fleet
	PartFleet     PartKind = "fleet"            // drawn towards what this fleet is found at
	PartDisplay   PartKind = "display"          // shows steps too coarse to be taken at their word
	PartHeld      PartKind = "held"             // within what the fuel can make
)

// Leaving says whether a unit is expected to leave its action band within five years.
type Leaving string

// What is expected; "" where nobody asked or can say.
const (
	LeavingNot     Leaving = "not-within-five-years"
	LeavingAlready Leaving = "already"
	LeavingWithin  Leaving = "within" // on the days that stand beside it
)

// Unconfirmed describes a last reading that nobody has confirmed: either it was
// read or written wrongly, or the burner changed.
type Unconfirmed struct {
	Day                          day.Day
	ReadPercent, ExpectedPercent float64 // CO2 as recorded, and as the earlier records imply
	MistakeProbability           float64 // that the reading, not the burner, is wrong
	LargerOut                    float64 // the larger probability of being outside, of believing it and of not
}

// Suspect says that the last reading was made with an instrument that stands far
// off those that read the same units before it, and that no other has read the unit
// since. Which of the instruments is off the readings cannot tell.
type Suspect struct {
	Analyzer string
	Points   float64 // it reads above them, points of CO2
	Verdict  Verdict
}

// Verdict says what is known of a unit whose last instrument is suspect: with the
// reading as displayed, and with it put right by the whole step.
type Verdict string

// Verdicts.
const (
	OutEitherWay Verdict = "outside either way"
	InEitherWay  Verdict = "inside either way"
	NotSeparable Verdict = "not separable" // it depends on which instrument is right
)

// Open reports whether the unit must be read by another instrument before anybody
// can say where it stands.
func (f *FireForecast) Open() bool { return f.Suspect != nil && f.Suspect.Verdict == NotSeparable }
