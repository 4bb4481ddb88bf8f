package settings

import (
	"errors"
	"fmt"
	"time"

	"fluedrift/analysis/estimate"
	"fluedrift/model/day"
	"fluedrift/model/drift"
)

// Model is the section [model]: figures of the drift model that records
// do not hold.
type Model struct {
	OutProbability float64 `toml:"out_probability" default:"-"`
	TypingShare    float64 `toml:"typing_share" default:"-"`
	JumpsPerYear   float64 `toml:"jumps_per_year" default:"-"`
	ShareAdjusted  float64 `toml:"share_adjusted" default:"-"`
	VentError      float64 `toml:"vent_error" default:"-"`

	AirMeanC   *float64 `toml:"air_mean_c"`
	AirSwingK  float64  `toml:"air_swing_k" default:"10"`
	ColdestDay int      `toml:"coldest_day" default:"20"`
	RoomMeanC  float64  `toml:"room_mean_c" default:"20"`

	AirSpreadK float64 `toml:"air_spread_k" default:"-"`

	RatioWandering   float64 `toml:"ratio_wandering" default:"-"`
	RatioSlope       float64 `toml:"ratio_slope" default:"-"`
	RatioAnalyzer    float64 `toml:"ratio_analyzer" default:"-"`
	RatioCalibration float64 `toml:"ratio_calibration" default:"-"`
	NoisePoints      float64 `toml:"noise_points" default:"-"`
	PriorRate        float64 `toml:"prior_rate" default:"-"`
	PriorRateSD      float64 `toml:"prior_rate_sd" default:"-"`
	PriorVent        float64 `toml:"prior_vent" default:"-"`
	PriorVentSD      float64 `toml:"prior_vent_sd" default:"-"`
	PriorAge         float64 `toml:"prior_age" default:"-"`
	PriorAgeSD       float64 `toml:"prior_age_sd" default:"-"`
	PriorAirSD       float64 `toml:"prior_air_sd" default:"-"`

	PriorAgeingSD float64 `toml:"prior_ageing_sd" default:"-"`
	CertificateSD float64 `toml:"certificate_sd" default:"-"`

	LevelSteps []LevelStep `toml:"level_steps"`
}

// LevelStep is one entry of [[model.level_steps]].
type LevelStep struct {
	Area   string    `toml:"area"`
	Day    time.Time `toml:"day"`
	Reason string    `toml:"reason"`
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
func (m *Model) Apply(e estimate.Config) estimate.Config {
	e.OutProbability, e.VentErrorSD = m.OutProbability, m.VentError
	e.Drift.TypingShare, e.Drift.JumpsPerYear, e.Drift.DefaultAdjust = m.TypingShare, m.JumpsPerYear, m.ShareAdjusted
	e.Priors = m.priors()
	if m.AirMeanC != nil {
		e.Climate = &estimate.Climate{
			Given: true, Outdoor: estimate.YearlyCurve(*m.AirMeanC, m.AirSwingK, m.ColdestDay, m.AirSpreadK),
			Room: estimate.YearlyCurve(m.RoomMeanC, 0, m.ColdestDay, m.AirSpreadK),
		}
	}
	for _, s := range m.LevelSteps {
		e.LevelSteps = append(e.LevelSteps, estimate.LevelStep{Area: s.Area, Day: day.In(s.Day), Reason: s.Reason})
	}
	return e
}

// priors are what is taken for granted where the records cannot tell.
func (m *Model) priors() estimate.Priors {
	return estimate.Priors{
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
