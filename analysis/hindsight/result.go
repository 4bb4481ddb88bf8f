package hindsight

import (
	"math"

	"fluedrift/model/day"
)

// Config holds the figures a look back is made with.
type Config struct {
	AsOf        day.Day
	HorizonDays int32
	CrewVisits  int    // units a crew can visit in a quarter, for the precision of so many
	Draws       int    // resamples and simulations
	Seed        uint64 // of both
	StaleDays   int32  // days since the last visit from which a planner by last visit would go
	Workers     int    // that share the resamples; the result does not depend on it
}

// OrderRow is how right one way to order the units was.
type OrderRow struct {
	Way                               Way
	Top5, Top10, TopCrew, Lift10, AUC Figure
	LessAUC, LessTop10                Figure // the model's less this one's, on the same units
}

// ProbabilityRow is how right the probabilities of a way were.
type ProbabilityRow struct {
	Way                                                Way
	Brier, Miscalibration, Discrimination, Uncertainty Figure
	LessBrier                                          Figure // the model's less this one's
}

// CurvePoint is the calibration curve at a probability, and between what it would
// lie for a forecaster whose probabilities are true.
type CurvePoint struct{ Chance, Share, Low, High float64 }

// Calibration compares the miscalibration with what true probabilities would show
// on as many readings.
type Calibration struct {
	Curve                        []CurvePoint
	Observed, Perfect, Perfect95 float64 // miscalibration; the mean and the upper twentieth of true probabilities
	P                            float64 // how often true probabilities show as much
	Off                          bool    // P under offP: off beyond noise
}

// BenefitRow is the net benefit of four ways to decide, at one threshold; that of
// visiting none is 0.
type BenefitRow struct {
	Threshold         float64
	Model, All, Stale Figure
	Ahead             Figure // the model's less the best of the others'
}

// Share is a count of some among others.
type Share struct {
	Of, In int
	Part   Figure // In over Of
}

// Covered is what a share of Result.Coverage counts: its index there.
type Covered uint8

// What is counted of intervals.
const (
	FoundWithin Covered = iota // as found within the 90 % interval of its reading
	SetWithin                  // the same where the unit was set and the value not recorded
	OutBefore                  // found outside before the interval in which it was to leave its band
	InAfter                    // found inside after that interval
	coveredKinds
)

// AnswerShare is how often units that were answered about were found outside.
type AnswerShare struct {
	Answer string
	Share
}

// GroupKind is what units are parted by.
type GroupKind uint8

// What units are parted by.
const (
	ByGroup GroupKind = iota // at the origin
	ByArea
	ByFuel
	ByControl // of the burner
	ByFire
)

// Group is the result on some of the units.
type Group struct {
	Kind          GroupKind
	Name          string
	Units         int
	Share, Chance Figure // found outside at a fire, and expected, by fires
	AUC, Top10    Figure
}

// Result is one look back.
type Result struct {
	Settings     Config
	Origins      []Origin // without cases and estimates
	Units        int      // cases by unit and origin
	Fires        int      // and by fire
	FiresOutside int      // of those found outside
	Share        float64  // of the units found outside
	Sites        int
	Orders       []OrderRow
	Routine      []OrderRow // on routine annual visits alone
	RoutineN     int
	RoutineFires int
	All          []OrderRow // whatever had been exported by the origin
	AllUnits     int
	Chances      []ProbabilityRow
	Calibration  Calibration
	Coverage     []Share
	Benefit      []BenefitRow
	Groups       []Group
	// RoutineCalibration is of routine annual visits alone: others were made because
	// of how the unit stood, and found more outside than a probability of the state
	// says. Recalibration goes by them.
	RoutineCalibration Calibration
	Recalibrated       Recalibration
	Answers            []AnswerShare
	Beaten             []Way // simple rules the model is not surely ahead of
	Fresh              []OrderRow
	FreshUnits         int // read within freshDays of a calibration
	Decision           Decision
}

// Decision compares the model with the best simple rule.
type Decision struct {
	Verdict Verdict
	Best    Way    // the simple rule with the largest area under the curve
	Less    Figure // area under the curve of the model less its
	Fresh   bool   // decided on the visits read by a freshly calibrated analyzer
	Units   int    // it rests on
}

// Verdict says what the 90 % interval of the difference to the best simple rule lets
// say.
type Verdict string

// Verdicts.
const (
	Ahead   Verdict = "ahead"
	Open    Verdict = "not clearly ahead"
	Behind  Verdict = "behind"
	NoOrder Verdict = ""              // nothing to compare
	TooFew  Verdict = "too few looks" // no area under the curve to compare
)

// decidingUnits is how many units read by freshly calibrated analyzers decide alone:
// a found reading carries the error of its instrument, and instruments age.
const decidingUnits = 200

// decide compares on the fresh visits where there are enough of them.
func (r *Result) decide() {
	rows, d := r.Orders, Decision{Units: r.Units}
	if r.FreshUnits >= decidingUnits {
		rows, d = r.Fresh, Decision{Units: r.FreshUnits, Fresh: true}
	}
	if len(rows) > 0 && math.IsNaN(rows[Model].AUC.Value) {
		d.Verdict = TooFew
		r.Decision = d
		return
	}
	best := -1
	for i := range rows {
		row := &rows[i]
		if row.Way <= List {
			continue
		}
		if !(row.LessAUC.Low > 0) {
			r.Beaten = append(r.Beaten, row.Way)
		}
		if best < 0 || row.AUC.Value > rows[best].AUC.Value {
			best = i
		}
	}
	if best >= 0 {
		d.Best, d.Less = rows[best].Way, rows[best].LessAUC
		switch {
		case d.Less.High < 0:
			d.Verdict = Behind
		case d.Less.Low > 0:
			d.Verdict = Ahead
		default:
			d.Verdict = Open
		}
	}
	r.Decision = d
}

// Judge measures origins, oldest first. What it measures are units whose records
// were up to date at the origin; orders are given for all as well.
func Judge(origins []*Origin, s Config) *Result {
	out := &Result{Settings: s}
	var all, cases []Case
	for _, o := range origins {
		all = append(all, o.Cases...)
		for i := range o.Cases {
			if !o.Cases[i].Behind {
				cases = append(cases, o.Cases[i])
			}
		}
		brief := *o
		brief.Cases, brief.Fleet = nil, nil
		out.Origins = append(out.Origins, brief)
	}
	out.Fires = len(cases)
	for i := range cases {
		if cases[i].Out {
			out.FiresOutside++
		}
	}
	if len(cases) == 0 {
		return out
	}
	whole := byUnit(all)
	out.AllUnits, out.All = whole.n, orders(whole, s)
	u := byUnit(cases)
	out.Units, out.Sites, out.Share = u.n, u.sites, mean(u.y, nil)
	out.Orders = orders(u, s)
	var routine []Case
	for _, c := range cases {
		if c.Routine {
			routine = append(routine, c)
		}
	}
	out.RoutineFires = len(routine)
	if len(routine) > 0 {
		r := byUnit(routine)
		out.RoutineN, out.Routine = r.n, orders(r, s)
	}
	out.Chances = chances(cases, s)
	out.Calibration = calibration(cases, s)
	out.Coverage = coverage(cases, s)
	out.Benefit = benefit(cases, s)
	out.Groups = groups(cases, s)
	if len(routine) > 0 {
		out.RoutineCalibration = calibration(routine, s)
	}
	out.Recalibrated = recalibrate(routine, out.RoutineCalibration.Off, s)
	var fresh []Case
	for _, c := range cases {
		if c.Fresh {
			fresh = append(fresh, c)
		}
	}
	if len(fresh) > 0 {
		f := byUnit(fresh)
		out.FreshUnits, out.Fresh = f.n, orders(f, s)
	}
	out.decide()
	return out
}

// orders measures every way to order the units; areas under the curve are NaN
// under LeastForArea of them.
func orders(u *units, s Config) (rows []OrderRow) {
	r := newResampler(u.sites, s)
	const each = 5
	f := r.figures(u.site, func(weight []float64) (out []float64) {
		base := mean(u.y, weight)
		for w := range ways {
			top10 := u.precision(w, weight, 0.10, 0)
			out = append(out, u.precision(w, weight, 0.05, 0), top10, u.precision(w, weight, 0, float64(s.CrewVisits)), top10/base, u.auc(w, weight))
		}
		for w := range int(ways) {
			out = append(out, out[4]-out[each*w+4], out[1]-out[each*w+1])
		}
		return out
	})
	less := f[each*int(ways):]
	for w := range ways {
		at := f[each*int(w):]
		row := OrderRow{w, at[0], at[1], at[2], at[3], at[4], less[2*w], less[2*w+1]}
		if u.n < LeastForArea {
			row.AUC, row.LessAUC = none, none
		}
		rows = append(rows, row)
	}
	return rows
}

// chances takes the error of every way with probabilities apart.
func chances(cases []Case, s Config) (rows []ProbabilityRow) {
	site, sites := sitesOf(cases)
	y := outcomesOf(cases)
	var using []Way
	var p [][]float64
	var order [][]int
	for w := range ways {
		if v := chancesOf(cases, w); w.hasChance() && v != nil {
			using, p, order = append(using, w), append(p, v), append(order, ascending(v))
		}
	}
	const each = 5
	f := newResampler(sites, s).figures(site, func(weight []float64) (out []float64) {
		for k := range using {
			b := brierOf(p[k], y, weight, order[k])
			out = append(out, b.Mean, b.Miscalibration, b.Discrimination, b.Uncertainty, 0)
			out[each*k+4] = out[0] - b.Mean
		}
		return out
	})
	for k, w := range using {
		rows = append(rows, ProbabilityRow{w, f[each*k], f[each*k+1], f[each*k+2], f[each*k+3], f[each*k+4]})
	}
	return rows
}

// sitesOf numbers the site of every case.
func sitesOf(cases []Case) (site []int, sites int) {
	seen := map[string]int{}
	site = make([]int, len(cases))
	for i := range cases {
		site[i] = siteOf(seen, &cases[i])
	}
	return site, len(seen)
}

// outcomesOf are 1 where a fire was found outside.
func outcomesOf(cases []Case) []float64 {
	y := make([]float64, len(cases))
	for i := range cases {
		if cases[i].Out {
			y[i] = 1
		}
	}
	return y
}

// chancesOf are a way's probabilities, nil where it lacks one.
func chancesOf(cases []Case, w Way) []float64 {
	p := make([]float64, len(cases))
	for i := range cases {
		if p[i] = cases[i].Chance[w]; math.IsNaN(p[i]) {
			return nil
		}
	}
	return p
}
