package settings

import (
	"errors"
	"fmt"

	"fluedrift/analysis/study"
)

// Vents is the section [vents].
type Vents struct {
	Elbow90M float64 `toml:"elbow_90_m" default:"-" help:"straight metres a 90 degree elbow stands for in the study; the appliance's instructions decide"`
	Elbow45M float64 `toml:"elbow_45_m" default:"-" help:"and one of 45 degrees"`
	Question string  `toml:"question" default:"by-rows" help:"the one comparison declared beforehand: installation, re-routing, drift, or by-rows: the first of re-routing, installation and drift with 30 rows and 10 sites, chosen before any fit; all others are exploratory"`
	Fire     string  `toml:"fire" default:"high" help:"and its fire: high, low, or low less high"`
	Bound    float64 `toml:"bound_points" default:"0.05" help:"points of CO2 (a year for drift) from no vent to the longest run within which an effect counts as none"`
	Draws    int     `toml:"draws" default:"4000" help:"draws behind the bands of curves"`
	Seed     int     `toml:"seed" default:"1" help:"number they are drawn from"`

	Simulations int `toml:"simulations" default:"50" help:"fits behind each point of the correction for errors in recorded lengths; 0 for none"`
}

// byRows leaves the declared comparison to the numbers of rows.
const byRows = "by-rows"

// Primary is the declared comparison for package study.
func (v Vents) Primary() study.Primary {
	if v.Question == byRows {
		return study.Primary{Fire: v.Fire}
	}
	return study.Primary{Kind: study.Kind(v.Question), Fire: v.Fire}
}

// check holds the values against what they may be.
func (v Vents) check() error {
	primary := map[string]bool{byRows: true, string(study.Installation): true, string(study.Rerouting): true, string(study.Drift): true}
	fires := map[string]bool{"high": true, "low": true, study.LowLessHigh: true}
	switch {
	case !(v.Elbow90M >= 0 && v.Elbow45M >= 0):
		return errors.New("vents: elbow_90_m and elbow_45_m must not be negative")
	case !primary[v.Question]:
		return fmt.Errorf("vents.question: %q is neither installation, re-routing, drift nor by-rows", v.Question)
	case !fires[v.Fire]:
		return fmt.Errorf("vents.fire: %q is neither high, low nor low less high", v.Fire)
	case !(v.Bound > 0):
		return fmt.Errorf("vents.bound_points: %g is not positive", v.Bound)
	case v.Simulations < 0 || v.Simulations > 10000:
		return fmt.Errorf("vents.simulations: %d is not from 0 to 10000", v.Simulations)
	case v.Draws < 200 || v.Draws > 1000000:
		return fmt.Errorf("vents.draws: %d is not from 200 to 1000000", v.Draws)
	}
	return nil
}
