package estimate

import (
	"time"

	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// Config holds the figures an estimate is made with.
type Config struct {
	AsOf           day.Day
	Judge          judge.Config
	Drift          drift.Config
	OutProbability float64 // from which a unit counts as outside its band
	Elbow90M       float64 // straight metres a 90 degree elbow stands for
	Elbow45M       float64 // and one of 45 degrees
	Climate        *Climate
	Workers        int
	// Planned gives the day a unit's next routine visit is planned for.
	Planned func(*judge.History) day.Day

	// Earlier is the day of the list before, for which a forecast says what it would
	// have been by what is known now; 0: nobody asks.
	Earlier day.Day

	// Start holds the ratios of an earlier fit by name of the fire, to start the
	// search from: a night starts where the last one ended. Nil: from the fixed
	// ratios.
	Start map[judge.Fire]drift.Theta
	// Held holds ratios by name of the fire that are taken as they are: those of a
	// fit that is taken up again.
	Held map[judge.Fire]drift.Theta
	// SampleUnits is how many units the ratios are searched on, drawn by Seed;
	// removal and the final fit take all. 5,000 tell as much as any number.
	SampleUnits int
	Seed        uint64               // of the sample and of the draws
	Draws       int                  // joint draws for the intervals of ranks; 0: none
	Visit       analysis.VisitConfig // how what a visit avoids is counted, in these draws
	// Brief leaves out what no probability depends on: checks of what a fit
	// leaves open, and of a forecast its path and the day of leaving, which
	// Fleet.Leaving tells of the units it is asked for.
	Brief bool

	Priors Priors // where the records cannot tell

	LevelSteps   []LevelStep
	Certificates []Certificate
	// VentErrorSD is the error of recorded vent lengths as declared: standard
	// deviation of the logarithm. 0: taken as exact.
	VentErrorSD float64

	// Stage is told of each stage of an estimate when it begins; nil: nobody watches.
	Stage func(name string)

	ablated ablation // set by tests only, which measure what each is worth
}

// LevelStep is a day from which all units of an area ("*": all) stand at another
// level for a reason outside them: another gas quality. It is part of their true
// state.
type LevelStep struct {
	Area   string
	Day    day.Day
	Reason string
}

// Certificate is what a calibration found an analyzer to be off by before it was
// set right, points of CO2, with the standard deviation declared of it; 0:
// Priors.CertificateSD.
type Certificate struct {
	Analyzer         string
	Day              day.Day
	FoundErrorPoints float64
	SDPoints         float64
}

// ablation is a set of what an estimate does against what spoils a fit, to be left out
// by tests.
type ablation uint16

// What can be left out.
const (
	settlingColumn   ablation = 1 << iota // fast drift in the first year after an adjustment
	controlColumns                        // effects by burner control
	estimatedRatios                       // ratios by restricted maximum likelihood
	unflaggedFit                          // coefficients without as-found readings recorded selectively
	typedVents                            // vent lengths that look typed in count as missing
	finestGas                             // O2 where it is shown in finer steps
	asFoundColumn                         // as found read low, where the readings say so
	yearlyAir                             // a course of the year for temperatures not recorded
	commonVentStrata                      // units on a common vent apart
)

// sampleUnits is how many units carry the ratios.
const sampleUnits = 5000

// DefaultConfig returns the figures in use: elbows as 1.5 m and 0.75 m of straight
// run (common practice, no source: the appliance's instructions decide), one
// half as the probability of being outside.
func DefaultConfig(asOf day.Day, j judge.Config) Config {
	return Config{
		AsOf: asOf, Judge: j, Drift: drift.DefaultConfig(), OutProbability: analysis.OutProbability, Elbow90M: 1.5, Elbow45M: 0.75, Workers: 1,
		SampleUnits: sampleUnits, Seed: 1, Priors: DefaultPriors(), Visit: analysis.DefaultVisitConfig(),
		Planned: func(*judge.History) day.Day { return day.None },
	}
}

// uses says whether something is not left out.
func (r *Config) uses(m ablation) bool { return r.ablated&m == 0 }

// onCommonVent says whether a run shares its vent with other units.
func (r *Config) onCommonVent(run *judge.VentRun) bool {
	return run != nil && run.CommonVent != "" && run.CommonVent != "no" && r.uses(commonVentStrata)
}

// years turns a day into the model's time.
func years(day day.Day) float64 { return float64(day) / 365.25 }

// dayAt is the way back.
func dayAt(t float64) day.Day {
	const half = 0.5
	return day.Day(t*365.25 + half)
}

// begins tells of a stage.
func (r *Config) begins(stage string) {
	if r.Stage != nil {
		r.Stage(stage)
	}
}

// iso writes a day as yyyy-mm-dd.
func iso(d day.Day) string { return d.Time().Format(time.DateOnly) }
