package settings

import (
	"fmt"
	"reflect"
	"time"

	"fluedrift/analysis/days"
	"fluedrift/analysis/estimate"
	"fluedrift/analysis/watch"
	"fluedrift/model/combustion"
	"fluedrift/model/judge"
)

// ofPackage is the default tag of a key whose default stands in the package that
// uses it, and is taken from there.
const ofPackage = "-"

// defaults is a configuration in which nothing is given.
func defaults() *Config {
	c := new(Config)
	setDefaults(reflect.ValueOf(c).Elem())
	list := watch.DefaultConfig(0, judge.Config{})
	c.Plan.IntervalMonths, c.Plan.UnseenDays = list.IntervalMonths, int(list.Visit.UnseenDays)
	c.Plan.RichWeight, c.Plan.LeanWeight = list.Visit.RichWeight, list.Visit.LeanWeight
	c.Plan.BookSoonerDays = list.BookDays
	c.Limits.COAttention, c.Limits.COUrgent = list.COAttentionPPM, list.COUrgentPPM
	c.Limits.AirO2 = float64(combustion.AirO2Field)
	model := estimate.DefaultConfig(0, judge.Config{})
	c.Model.takeDefaults(model)
	c.Vents.Elbow90M, c.Vents.Elbow45M = model.Elbow90M, model.Elbow45M
	c.Crews.takeDefaults(days.DefaultConfig(0))
	return c
}

// setDefaults fills a configuration from the default tags.
func setDefaults(v reflect.Value) {
	for i := range v.NumField() {
		f, text := v.Field(i), v.Type().Field(i).Tag.Get("default")
		if f.Kind() == reflect.Struct && f.Type() != reflect.TypeFor[time.Time]() {
			setDefaults(f)
			continue
		}
		if text == "" || text == ofPackage {
			continue
		}
		if _, err := fmt.Sscan(text, f.Addr().Interface()); err != nil {
			panic(fmt.Sprintf("default of %s: %v", v.Type().Field(i).Name, err))
		}
	}
}

// takeDefaults is Apply the other way round.
func (m *Model) takeDefaults(e estimate.Config) {
	m.OutProbability, m.VentError = e.OutProbability, e.VentErrorSD
	m.TypingShare, m.JumpsPerYear, m.ShareAdjusted = e.Drift.TypingShare, e.Drift.JumpsPerYear, e.Drift.DefaultAdjust
	b := e.Priors
	m.RatioWandering, m.RatioSlope, m.RatioAnalyzer, m.RatioCalibration = b.Ratios.Q, b.Ratios.Tau, b.Ratios.B1, b.Ratios.B2
	m.NoisePoints = b.NoisePoints
	m.PriorRate, m.PriorRateSD = b.Rate.Mean, b.Rate.SD
	m.PriorVent, m.PriorVentSD = b.Vent.Mean, b.Vent.SD
	m.PriorAge, m.PriorAgeSD = b.Age.Mean, b.Age.SD
	m.PriorAirSD, m.AirSpreadK = b.AirSD, b.AirSpreadK
	m.PriorAgeingSD, m.CertificateSD = b.AgeingSD, b.CertificateSD
}

// takeDefaults is habits the other way round.
func (k *Crews) takeDefaults(r days.Config) {
	k.Weeks, k.Speed, k.Detour, k.Unknown = r.Weeks, r.KmPerHour, r.Detour, r.UnknownMinutes
	k.Arrive, k.First, k.Further = r.ArriveMinutes, r.FirstUnitMinutes, r.FurtherMinutes
	k.PullForward, k.Least, k.DueTest, k.Iterations = int(r.PullForwardDays), r.LeastDays, r.DueTestDays, r.Iterations
}

// defaultText writes the default of a field, which v is by default.
func defaultText(f reflect.StructField, v reflect.Value) string {
	if text := f.Tag.Get("default"); text != ofPackage {
		return text
	}
	return fmt.Sprint(v.Interface())
}
