package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// readModel reads a configuration with a section [model].
func readModel(t *testing.T, text string) (*settings.Config, error) {
	path := filepath.Join(t.TempDir(), "fluedrift.toml")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	return settings.Read(path)
}

func TestModelSectionReachesTheEstimate(t *testing.T) {
	c, err := readModel(t, `
[model]
out_probability = 0.6
typing_share = 0.02
jumps_per_year = 0.05
share_adjusted = 0.5
vent_error = 0.2
air_mean_c = 9
air_swing_k = 11
coldest_day = 15
[[model.level_steps]]
area = "north"
day = 2024-03-01
reason = "another gas"
`)
	require.NoError(t, err)
	e := c.Model.Apply(estimate.DefaultConfig(0, judge.Config{}))
	require.Equal(t, 0.6, e.OutProbability)
	require.Equal(t, []float64{0.02, 0.05, 0.5, 0.2}, []float64{
		e.Drift.TypingShare, e.Drift.JumpsPerYear, e.Drift.DefaultAdjust,
		e.VentErrorSD,
	})
	// date -d 2024-03-01 +%s, over 86400
	require.Equal(t, []estimate.LevelStep{{Area: "north", Day: 19783, Reason: "another gas"}}, e.LevelSteps)
	// 15 January 1970: the coldest day
	require.InDelta(t, 9-11, e.Climate.Outdoor.At(14), 1e-9)
	require.InDelta(t, 20, e.Climate.Room.At(200), 1e-9)

	plain, err := readModel(t, "")
	require.NoError(t, err)
	e = plain.Model.Apply(estimate.DefaultConfig(0, judge.Config{}))
	d := drift.DefaultConfig()
	require.Equal(t, []float64{d.TypingShare, d.JumpsPerYear, d.DefaultAdjust, 0},
		[]float64{e.Drift.TypingShare, e.Drift.JumpsPerYear, e.Drift.DefaultAdjust, e.VentErrorSD})
	require.Nil(t, e.Climate)
}

func TestModelSectionRefusesWhatCannotBe(t *testing.T) {
	for text, want := range map[string]string{
		"typing_share = 0.9":   "model.typing_share",
		"jumps_per_year = nan": "model.jumps_per_year",
		"vent_error = -0.1":    "model.vent_error",
		"air_mean_c = 80.0":    "model.air_mean_c",
		"coldest_day = 400":    "model.coldest_day",
		"vents_error = 0.1":    "unknown key",
		"[[model.level_steps]]\narea = \"north\"\nday = 2024-03-01": "area, day and reason",
	} {
		_, err := readModel(t, "[model]\n"+text+"\n")
		require.ErrorContains(t, err, want, text)
		require.Equal(t, exitUsage, codeOf(err))
	}
}

// What is believed where the records cannot tell comes from the configuration, and
// is the estimate's own where nothing is given.
func TestPriorsReachTheEstimate(t *testing.T) {
	c, err := readModel(t, `
[model]
ratio_wandering = 0.8
ratio_slope = 1.2
ratio_analyzer = 0.6
ratio_calibration = 0.5
noise_points = 0.08
prior_rate = -0.02
prior_rate_sd = 0.04
prior_vent = -0.03
prior_vent_sd = 0.06
prior_age = 0.001
prior_age_sd = 0.02
prior_air_sd = 0.01
air_spread_k = 6.0
prior_ageing_sd = 0.05
certificate_sd = 0.02
`)
	require.NoError(t, err)
	e := c.Model.Apply(estimate.DefaultConfig(0, judge.Config{}))
	require.Equal(t, estimate.Priors{
		Ratios: drift.Theta{Q: 0.8, Tau: 1.2, B1: 0.6, B2: 0.5}, NoisePoints: 0.08,
		Rate: drift.Prior{Mean: -0.02, SD: 0.04}, Vent: drift.Prior{Mean: -0.03, SD: 0.06}, Age: drift.Prior{Mean: 0.001, SD: 0.02}, AirSD: 0.01,
		AirSpreadK: 6, AgeingSD: 0.05, CertificateSD: 0.02,
	}, e.Priors)

	plain, err := readModel(t, "")
	require.NoError(t, err)
	require.Equal(t, estimate.DefaultPriors(), plain.Model.Apply(estimate.DefaultConfig(0, judge.Config{})).Priors)

	for text, want := range map[string]string{
		"ratio_slop = 1":        "model.ratio_slop",
		"prior_rate_sd = 0":     "model.prior_rate_sd",
		"ratio_analyzer = nan":  "model.ratio_analyzer",
		"noise_points = 0.0001": "model.noise_points",
	} {
		_, err := readModel(t, "[model]\n"+text+"\n")
		require.ErrorContains(t, err, want, text)
	}
}
