package watch

import "math"

// Forecast is what a model of the fleet's drift says about one unit on the
// as-of day. Assess takes nil where there is none: then the tiers that need it
// stay empty and the records alone decide.
type Forecast struct {
	Fires []FireForecast
	Marks []string // what the forecast rests on or lacks, for the whole unit
}

// FireForecast is the forecast at one fire. Gas values are CO2 percent by
// volume of dry gas, also where the target is declared in O2.
type FireForecast struct {
	Fire                                    string
	RatePercent                             float64 // of a point, else NaN
	CO2Percent                              float64 // expected on the as-of day
	LowPercent, HighPercent                 float64 // 90 % interval of it
	TargetCO2Percent                        float64
	ActRichPercent, ActLeanPercent          float64 // widths of the action band, both positive
	Today, Planned, Worst                   Chance  // Worst: the worst month from the as-of day to the planned day
	FirstOutsideFrom, FirstOutsideTo        int32   // when it is expected to leave its band; NoDay where open
	FirstOutside                            string  // the same in words: "already", "between March and October 2027", "not within five years"
	RecordedLowPercent, RecordedHighPercent float64 // 90 % interval of the next recorded reading
	Parts                                   []Part  // what the expected CO2 is made of
	Verify                                  *Verify // the last reading stands alone and contradicts those before it
	Marks                                   []string
}

// Chance is the probability of standing outside the action band on a day.
type Chance struct {
	Day        int32
	Rich, Lean float64
}

// Out returns the probability of standing outside on either side.
func (c Chance) Out() float64 { return c.Rich + c.Lean }

// Side returns the likelier side; none where both are nil.
func (c Chance) Side() Side {
	switch {
	case c.Out() == 0 || math.IsNaN(c.Out()):
		return NoSide
	case c.Rich >= c.Lean:
		return Rich
	default:
		return Lean
	}
}

// Part is one contribution to an expected CO2, in points of CO2.
type Part struct {
	Name   string
	Points float64
}

// Verify describes a last reading that nobody has confirmed: either it was
// read or written wrongly, or the burner changed.
type Verify struct {
	Day                          int32
	ReadPercent, ExpectedPercent float64 // CO2 as recorded, and as the earlier records let expect
	MistakeProbability           float64 // that the reading, not the burner, is wrong
	LargerOut                    float64 // the larger probability of being outside, of believing it and of not
}

// worst returns the fire with the largest chance by the given horizon, and
// that chance; nil without a forecast. Equal chances: the richer first, then
// the earlier in the forecast's own order.
func (f *Forecast) worst(horizon func(FireForecast) Chance) (*FireForecast, Chance) {
	var best *FireForecast
	var top Chance
	if f == nil {
		return nil, top
	}
	for i := range f.Fires {
		c := horizon(f.Fires[i])
		if math.IsNaN(c.Out()) {
			continue
		}
		if best == nil || c.Out() > top.Out() || (c.Out() == top.Out() && c.Rich > top.Rich) {
			best, top = &f.Fires[i], c
		}
	}
	return best, top
}

// today and ahead are the horizons of the two tiers that a forecast decides.
func today(f FireForecast) Chance { return f.Today }

func ahead(f FireForecast) Chance {
	c := f.Today
	for _, o := range []Chance{f.Planned, f.Worst} {
		if o.Out() > c.Out() {
			c = o
		}
	}
	return c
}

// at returns the forecast of a fire, nil where there is none.
func (f *Forecast) at(fire string, rate float64) *FireForecast {
	if f == nil {
		return nil
	}
	for i := range f.Fires {
		if sameFire(f.Fires[i].Fire, f.Fires[i].RatePercent, fire, rate) {
			return &f.Fires[i]
		}
	}
	return nil
}
