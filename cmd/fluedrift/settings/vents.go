package settings

import (
	"errors"
	"fmt"
	"slices"

	"fluedrift/analysis/study"
	"fluedrift/model/judge"
)

// Vents is the section [vents].
type Vents struct {
	Elbow90M float64    `toml:"elbow_90_m" default:"-"`
	Elbow45M float64    `toml:"elbow_45_m" default:"-"`
	Question string     `toml:"question" default:"by-design"`
	Control  string     `toml:"control" default:"by-design"`
	Fire     judge.Fire `toml:"fire" default:"high"`
	Bound    float64    `toml:"bound_points" default:"0.05"`
	Draws    int        `toml:"draws" default:"4000"`
	Seed     int        `toml:"seed" default:"1"`

	Simulations int `toml:"simulations" default:"50"`
}

// byDesign leaves a part of the declared comparison to what vents, air and times promise.
const byDesign = "by-design"

// Primary is the declared comparison for package study.
func (v Vents) Primary() study.Primary {
	out := study.Primary{Fire: v.Fire}
	if v.Question != byDesign {
		out.Kind = study.Kind(v.Question)
	}
	if v.Control != byDesign {
		out.Control = judge.Control(v.Control)
	}
	return out
}

// check holds the values against what they may be.
func (v Vents) check() error {
	primary := map[string]bool{byDesign: true, string(study.Installation): true, string(study.Rerouting): true, string(study.Drift): true}
	fires := []judge.Fire{judge.High, judge.Low, study.LowLessHigh}
	switch {
	case !(v.Elbow90M >= 0 && v.Elbow45M >= 0):
		return errors.New("vents: elbow_90_m and elbow_45_m must not be negative")
	case !primary[v.Question]:
		return fmt.Errorf("vents.question: %q is neither installation, re-routing, drift nor by-design", v.Question)
	case v.Control != byDesign && !judge.Control(v.Control).Valid():
		return fmt.Errorf("vents.control: %q is neither by-design nor a burner control\nwrite one of %s", v.Control,
			fmt.Sprint(judge.Controls()))
	case !slices.Contains(fires, v.Fire):
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
