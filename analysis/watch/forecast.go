package watch

import (
	"math"

	"fluedrift/analysis"
	"fluedrift/model/judge"
)

// sidesApart is by how much the chances of the two sides have to differ for one of
// them to be called likelier.
const sidesApart = 0.1

// SideOf returns the likelier side; none where the two are nearly as likely.
func SideOf(c analysis.Probability) Side {
	switch {
	case !(math.Abs(c.Rich-c.Lean) > sidesApart):
		return NoSide
	case c.Rich >= c.Lean:
		return Rich
	default:
		return Lean
	}
}

// worstFire returns the fire with the largest chance by the given horizon, and
// that chance; nil without a forecast. Equal chances: the richer first, then
// the earlier in the forecast's own order.
func worstFire(
	f *analysis.Forecast, horizon func(analysis.FireForecast) analysis.Probability,
) (*analysis.FireForecast, analysis.Probability) {
	var best *analysis.FireForecast
	var top analysis.Probability
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
func today(f analysis.FireForecast) analysis.Probability { return f.Today }

// decided keeps a horizon from fires at which nobody can tell analyzer from burner,
// unless they stand outside whichever it is.
func decided(horizon func(analysis.FireForecast) analysis.Probability) func(analysis.FireForecast) analysis.Probability {
	return func(f analysis.FireForecast) analysis.Probability {
		if f.Suspect != nil && f.Suspect.Verdict != analysis.OutEitherWay {
			return analysis.Probability{Rich: math.NaN(), Lean: math.NaN()}
		}
		return horizon(f)
	}
}

// ahead is the worst from today to the planned day.
func ahead(f analysis.FireForecast) analysis.Probability {
	c := f.Today
	for _, o := range []analysis.Probability{f.Planned, f.Worst} {
		if o.Out() > c.Out() {
			c = o
		}
	}
	return c
}

// forecastAt returns the forecast of a fire, nil where there is none.
func forecastAt(f *analysis.Forecast, fire judge.Fire, rate float64) *analysis.FireForecast {
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
