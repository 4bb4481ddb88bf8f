package queries

import "context"

// LevelStep is a day about which the levels of an area ("*": the whole fleet)
// seem to have moved together, points of CO2.
type LevelStep struct {
	Fire, Area          string
	Day                 int32
	Points, SEPoints, Z float64
	Comparisons         int32
	KeptShare           float64 // of the evidence, that analyzers do not explain
	Words               string
}

// LevelSteps gives the suspected steps in order of fire and area.
func (w *Warehouse) LevelSteps(ctx context.Context) ([]LevelStep, error) {
	return collect(ctx, w, "level_steps.sql", func(s *LevelStep) []field {
		return []field{text("fire", &s.Fire), text("area", &s.Area), day("day", &s.Day), number("points", &s.Points),
			number("se_points", &s.SEPoints), number("z", &s.Z), whole("comparisons", &s.Comparisons, 0),
			number("kept_share", &s.KeptShare), text("words", &s.Words)}
	})
}

// Unconfirmed is a reading, or a change, that the others of its stretch
// contradict. Points are CO2 less the target; the reading after is NoDay and NaN
// at a cut. TodayOut and WorstOut are what became of the unit: its probability of
// being outside the action band.
type Unconfirmed struct {
	UnitKey              int32
	Fire, Action, Origin string
	Day                  int32
	Points               float64
	BeforeDay            int32
	BeforePoints         float64
	AfterDay             int32
	AfterPoints          float64
	T                    float64
	Pass                 int32
	TodayOut, WorstOut   float64
	ToVerify             bool // its newest reading stands alone
}

// Unconfirmed gives those of a slice's units in order of unit, fire and day.
func (w *Warehouse) Unconfirmed(ctx context.Context, s Slice) ([]Unconfirmed, error) {
	many := words{}
	return collect(ctx, w, "unconfirmed.sql", func(u *Unconfirmed) []field {
		return []field{whole("unit_key", &u.UnitKey, 0), many.word("fire", &u.Fire), many.word("action", &u.Action), text("origin", &u.Origin),
			day("day", &u.Day), number("points", &u.Points), day("before_day", &u.BeforeDay), number("before_points", &u.BeforePoints),
			day("after_day", &u.AfterDay), number("after_points", &u.AfterPoints), number("t", &u.T), whole("pass", &u.Pass, 0),
			number("today_out", &u.TodayOut), number("worst_out", &u.WorstOut), truth("to_verify", &u.ToVerify)}
	}, s.From, s.Until)
}
