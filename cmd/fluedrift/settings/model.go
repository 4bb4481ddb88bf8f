package settings

import (
	"errors"
	"fmt"
	"time"

	"fluedrift/analysis/estimate"
	"fluedrift/model/drift"
)

// Model is the section [model]: figures of the drift model that records
// do not hold.
type Model struct {
	OutProbability float64 `toml:"out_probability" default:"-" help:"probability of being outside the action band from which a unit counts as outside"`
	TypingShare    float64 `toml:"typing_share" default:"-" help:"share of readings typed wrongly, for a last reading that nothing confirms"`
	JumpsPerYear   float64 `toml:"jumps_per_year" default:"-" help:"real jumps of a unit in a year, for the same"`
	ShareAdjusted  float64 `toml:"share_adjusted" default:"-" help:"share of units found far out that are adjusted, until 20 records tell"`
	VentError      float64 `toml:"vent_error" default:"-" help:"error of recorded vent lengths, standard deviation of the logarithm (0.2: about 20 %); 0 takes them as exact"`

	AirMeanC   *float64 `toml:"air_mean_c" help:"mean of the outdoor air through the year, degC, for temperatures not recorded; from the records where not given"`
	AirSwingK  float64  `toml:"air_swing_k" default:"10" help:"half the way from the coldest to the warmest day of the year, K; goes with air_mean_c"`
	ColdestDay int      `toml:"coldest_day" default:"20" help:"coldest day of the year, 1-366; goes with air_mean_c"`
	RoomMeanC  float64  `toml:"room_mean_c" default:"20" help:"mean of the room's air, degC, for units that burn it; goes with air_mean_c"`

	AirSpreadK float64 `toml:"air_spread_k" default:"-" help:"how far the air of a single day lies from the season's course, K, standard deviation: it widens every probability; from the records where they tell and air_mean_c is not given"`

	RatioWandering   float64 `toml:"ratio_wandering" default:"-" help:"a year's wandering, a multiple of the noise of a reading, where the records cannot tell"`
	RatioSlope       float64 `toml:"ratio_slope" default:"-" help:"spread of units' own drift a year, for the same"`
	RatioAnalyzer    float64 `toml:"ratio_analyzer" default:"-" help:"spread of analyzers' constant errors, for the same"`
	RatioCalibration float64 `toml:"ratio_calibration" default:"-" help:"spread of their errors from calibration to calibration, for the same"`
	NoisePoints      float64 `toml:"noise_points" default:"-" help:"noise of a reading, points of CO2, where the records cannot tell"`
	PriorRate        float64 `toml:"prior_rate" default:"-" help:"drift believed before there are 400 differences, points a year"`
	PriorRateSD      float64 `toml:"prior_rate_sd" default:"-" help:"standard deviation of that belief"`
	PriorVent        float64 `toml:"prior_vent" default:"-" help:"the same of vents: points a year per standard deviation of the fleet's vents"`
	PriorVentSD      float64 `toml:"prior_vent_sd" default:"-" help:"standard deviation of that belief"`
	PriorAge         float64 `toml:"prior_age" default:"-" help:"the same of age: points a year per year"`
	PriorAgeSD       float64 `toml:"prior_age_sd" default:"-" help:"standard deviation of that belief"`
	PriorAirSD       float64 `toml:"prior_air_sd" default:"-" help:"standard deviation of what is believed of the air's effect, points per K; its middle is by burner control"`

	PriorAgeingSD float64 `toml:"prior_ageing_sd" default:"-" help:"how fast analyzers may age between calibrations, points a year in either direction; counts at every amount of data"`
	CertificateSD float64 `toml:"certificate_sd" default:"-" help:"standard deviation of the error that a calibration finds, points"`

	LevelSteps []LevelStep `toml:"level_steps" help:"days from which all units of an area stand at another level"`
}

// LevelStep is one entry of [[model.level_steps]].
type LevelStep struct {
	Area   string    `toml:"area" help:"area as the register writes it; \"*\": all"`
	Day    time.Time `toml:"day" help:"first day of the new level"`
	Reason string    `toml:"reason" help:"what happened: another gas quality"`
}

// check holds the figures against what they can be.
func (m *Model) check() error {
	for _, k := range []struct {
		key       string
		v         float64
		low, high float64
	}{
		{"out_probability", m.OutProbability, 0.01, 0.99},
		{"typing_share", m.TypingShare, 0.0001, 0.5},
		{"jumps_per_year", m.JumpsPerYear, 0.0001, 5},
		{"share_adjusted", m.ShareAdjusted, 0, 0.99},
		{"vent_error", m.VentError, 0, 2},
		{"air_swing_k", m.AirSwingK, 0, 60},
		{"coldest_day", float64(m.ColdestDay), 1, 366},
		{"air_spread_k", m.AirSpreadK, 0, 20},
		{"room_mean_c", m.RoomMeanC, -10, 60},
		{"ratio_wandering", m.RatioWandering, 0.01, 10},
		{"ratio_slope", m.RatioSlope, 0, 10},
		{"ratio_analyzer", m.RatioAnalyzer, 0, 10},
		{"ratio_calibration", m.RatioCalibration, 0, 10},
		{"noise_points", m.NoisePoints, 0.005, 1},
		{"prior_rate", m.PriorRate, -1, 1},
		{"prior_rate_sd", m.PriorRateSD, 0.001, 1},
		{"prior_vent", m.PriorVent, -1, 1},
		{"prior_vent_sd", m.PriorVentSD, 0.001, 1},
		{"prior_age", m.PriorAge, -0.2, 0.2},
		{"prior_age_sd", m.PriorAgeSD, 0.0001, 1},
		{"prior_air_sd", m.PriorAirSD, 0.001, 1},
		{"prior_ageing_sd", m.PriorAgeingSD, 0.001, 1},
		{"certificate_sd", m.CertificateSD, 0.001, 1},
	} {
		if !(k.v >= k.low && k.v <= k.high) {
			return fmt.Errorf("model.%s: %g is outside %g-%g", k.key, k.v, k.low, k.high)
		}
	}
	if m.AirMeanC != nil && !(*m.AirMeanC >= -30 && *m.AirMeanC <= 40) {
		return fmt.Errorf("model.air_mean_c: %g is outside -30 to 40 degC", *m.AirMeanC)
	}
	seen := map[LevelStep]bool{}
	for i, s := range m.LevelSteps {
		same := LevelStep{Area: s.Area, Day: s.Day}
		switch {
		case s.Area == "" || s.Day.IsZero() || s.Reason == "":
			return fmt.Errorf("model.level_steps, entry %d: %w", i+1, errors.New("area, day and reason are needed"))
		case seen[same]:
			return fmt.Errorf("model.level_steps, entry %d: area %q has a step on %s already", i+1, s.Area, s.Day.Format(time.DateOnly))
		}
		seen[same] = true
	}
	return nil
}

// Apply puts the figures into the rules of an estimate.
func (m *Model) Apply(e estimate.Rules) estimate.Rules {
	e.OutProbability, e.VentErrorSD = m.OutProbability, m.VentError
	e.Drift.TypingShare, e.Drift.JumpsPerYear, e.Drift.DefaultAdjust = m.TypingShare, m.JumpsPerYear, m.ShareAdjusted
	e.Beliefs = m.beliefs()
	if m.AirMeanC != nil {
		e.Climate = &estimate.Climate{Given: true, Outdoor: estimate.YearlyCurve(*m.AirMeanC, m.AirSwingK, m.ColdestDay, m.AirSpreadK),
			Room: estimate.YearlyCurve(m.RoomMeanC, 0, m.ColdestDay, m.AirSpreadK)}
	}
	for _, s := range m.LevelSteps {
		e.LevelSteps = append(e.LevelSteps, estimate.LevelStep{Area: s.Area, Day: CalendarDay(s.Day), Reason: s.Reason})
	}
	return e
}

// beliefs are what is taken for granted where the records cannot tell.
func (m *Model) beliefs() estimate.Beliefs {
	return estimate.Beliefs{
		Ratios:      drift.Theta{Q: m.RatioWandering, Tau: m.RatioSlope, B1: m.RatioAnalyzer, B2: m.RatioCalibration},
		NoisePoints: m.NoisePoints,
		Rate:        drift.Prior{Mean: m.PriorRate, SD: m.PriorRateSD},
		Vent:        drift.Prior{Mean: m.PriorVent, SD: m.PriorVentSD},
		Age:         drift.Prior{Mean: m.PriorAge, SD: m.PriorAgeSD},
		AirSD:       m.PriorAirSD,
		AirSpreadK:  m.AirSpreadK,
		AgeingSD:    m.PriorAgeingSD, CertificateSD: m.CertificateSD,
	}
}
