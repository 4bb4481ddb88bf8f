package queries

import (
	"context"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// LevelStep is a day about which the levels of an area ("*": the whole fleet)
// seem to have moved together, points of CO2.
type LevelStep struct {
	Fire                judge.Fire
	Area                string
	Day                 day.Day
	Points, SEPoints, Z float64
	Comparisons         int32
	KeptShare           float64 // of the evidence, that analyzers do not explain
	Words               string
}

// LevelSteps gives the suspected steps in order of fire and area.
func (q Results) LevelSteps(ctx context.Context) ([]LevelStep, error) {
	return collect(ctx, q.session, "level_steps.sql", LevelStepFields)
}

// LevelStepFields is the table of fields of result.level_steps.
func LevelStepFields(s *LevelStep) []Field {
	return []Field{
		Code("fire", &s.Fire),
		Text("area", &s.Area),
		Day("day", &s.Day),
		Number("points", &s.Points),
		Number("se_points", &s.SEPoints),
		Number("z", &s.Z),
		Whole("comparisons", &s.Comparisons),
		Number("kept_share", &s.KeptShare),
		Text("words", &s.Words),
	}
}

// Unconfirmed is a reading, or a change, that the others of its stretch
// contradict. Points are CO2 less the target; the reading after is day.None and NaN
// at a cut. TodayOut and WorstOut are what became of the unit: its probability of
// being outside the action band.
type Unconfirmed struct {
	UnitKey            int32
	Fire               judge.Fire
	Action, Origin     string
	Day                day.Day
	Points             float64
	BeforeDay          day.Day
	BeforePoints       float64
	AfterDay           day.Day
	AfterPoints        float64
	T                  float64
	Pass               int32
	TodayOut, WorstOut float64
	ToVerify           bool // its newest reading stands alone
}

// Unconfirmed gives those of a slice's units in order of unit, fire and day.
func (q Results) Unconfirmed(ctx context.Context, s Slice) ([]Unconfirmed, error) {
	return collect(ctx, q.session, "unconfirmed.sql", UnconfirmedFields, s.From, s.Until)
}

// UnconfirmedFields is the table of fields of result.unconfirmed.
func UnconfirmedFields(u *Unconfirmed) []Field {
	return []Field{
		Whole("unit_key", &u.UnitKey),
		Code("fire", &u.Fire),
		Word("action", &u.Action),
		Text("origin", &u.Origin),
		Day("day", &u.Day),
		Number("points", &u.Points),
		Day("before_day", &u.BeforeDay),
		Number("before_points", &u.BeforePoints),
		Day("after_day", &u.AfterDay),
		Number("after_points", &u.AfterPoints),
		Number("t", &u.T),
		Whole("pass", &u.Pass),
		Number("today_out", &u.TodayOut),
		Number("worst_out", &u.WorstOut),
		Truth("to_verify", &u.ToVerify),
	}
}

// Finding is what the judgement of readings found.
type Finding struct {
	UnitKey                        int32
	Fire                           judge.Fire
	Kind, Origin, OtherFuel, Words string
	Open                           bool // it concerns the newest values of its fire
}

// FindingFields is the table of fields of result.findings.
func FindingFields(f *Finding) []Field {
	return []Field{
		Whole("unit_key", &f.UnitKey),
		Code("fire", &f.Fire),
		Word("kind", &f.Kind),
		Text("origin", &f.Origin),
		Word("other_fuel", &f.OtherFuel),
		Truth("is_open", &f.Open),
		Text("words", &f.Words),
	}
}

// Judgement is what a reading is good for that is not simply used.
type Judgement struct {
	UnitKey     int32
	Fire        judge.Fire
	Condition   judge.Condition
	Origin, Use string
}

// JudgementFields is the table of fields of result.judgements.
func JudgementFields(j *Judgement) []Field {
	return []Field{
		Whole("unit_key", &j.UnitKey),
		Text("origin", &j.Origin),
		Code("fire", &j.Fire),
		Code("condition", &j.Condition),
		Word("use", &j.Use),
	}
}

// Coefficient is an effect of the model at one fire, with its 95 % interval; NaN
// where the covariate was dropped.
type Coefficient struct {
	Fire                        judge.Fire
	Name, Unit, Coding, Source  string
	Scale, Value, SE, Low, High float64
	Dropped                     string // why
	Usable                      bool   // an engineer may use it
	WhyNot                      string
}

// CoefficientFields is the table of fields of result.coefficients.
func CoefficientFields(c *Coefficient) []Field {
	return []Field{
		Code("fire", &c.Fire),
		Text("name", &c.Name),
		Text("unit", &c.Unit),
		Text("coding", &c.Coding),
		Text("source", &c.Source),
		Number("scale", &c.Scale),
		Number("value", &c.Value),
		Number("se", &c.SE),
		Number("low", &c.Low),
		Number("high", &c.High),
		Text("dropped", &c.Dropped),
		Truth("usable", &c.Usable),
		Text("why_not", &c.WhyNot),
	}
}

// Bias is how much an analyzer reads above the others, points of CO2: its constant
// part (no period), or that of a calibration period.
type Bias struct {
	Fire                   judge.Fire
	Analyzer               string
	StandIn                bool // a technician stands for the analyzer
	Period                 string
	Calibrated             day.Day // day.None without a period
	BiasPoints, SDPoints   float64 // SD: NaN where nothing was compared
	Comparisons, Component int32
}

// BiasFields is the table of fields of result.analyzers.
func BiasFields(b *Bias) []Field {
	return []Field{
		Code("fire", &b.Fire),
		Text("analyzer", &b.Analyzer),
		Truth("stand_in", &b.StandIn),
		Text("period", &b.Period),
		Day("calibrated", &b.Calibrated),
		Number("bias_points", &b.BiasPoints),
		Number("sd_points", &b.SDPoints),
		Whole("comparisons", &b.Comparisons),
		Whole("component", &b.Component),
	}
}
