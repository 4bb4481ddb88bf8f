package words

import (
	"fmt"
	"math"
	"strings"

	"fluedrift/analysis/hindsight"
)

// Told is a line of the checklist: what a reader asks, what is said to it, and
// which items of the TRIPOD statement that answers.
type Told struct{ Asks, Says, Items string }

// HindsightChecklist says of a look back what a reader of any judged forecast
// should be told, in our own words; no answer is ever empty. What to ask follows
// the TRIPOD statement (Collins, Reitsma, Altman and Moons 2015, Ann Intern Med
// 162:55; its numbering from memory), items 3 to 20: what it asks of title,
// abstract, supplements and funding a page of a program does not have.
func HindsightChecklist(r *hindsight.Result) []Told {
	listed, visited, found, routine := 0, 0, 0, 0
	from, to := "-", "-"
	for i, o := range r.Origins {
		listed, visited, found, routine = listed+o.Listed, visited+o.Visited, found+o.WithFound, routine+o.Routine
		if i == 0 {
			from = Day(o.Day)
		}
		to = Day(o.Day)
	}
	learned := "No map of probabilities was learned: too few routine annual visits."
	if c := &r.Recalibrated; !math.IsNaN(c.After) {
		learned = fmt.Sprintf("A non-decreasing map, learned on routine annual visits up to %s, changes the Brier score of later "+
			"days from %.4f to %.4f (%d fires). It is offered only where the probabilities are off beyond noise on routine "+
			"visits (share of draws as far off under 0.05; here %s) and where it helps on the later ones. Offered here: %s. The map "+
			"is learned on readings and applied to states; a list that uses it bears a mark.",
			Day(c.LearnedUntil), c.Before, c.After, c.Later, Number(r.RoutineCalibration.P, 3), YesNo(c.Offered))
	}
	return []Told{
		{"What it is for", "Whether routes by this list would have found more units off than routes by simpler rules, and " +
			"whether its probabilities can be trusted. It judges the list, not burners or technicians.", "3, 20"},
		{"What is forecast", "Whether the as-found reading of the next visit shows a fire out of limits. A value shown in steps " +
			"is out from half a step beyond the limits. The technician did not know this forecast, but may have had the list in " +
			"hand.", "6"},
		{"When it is forecast", fmt.Sprintf("From %s, a quarter apart, %s to %s; a visit within %d days counts.",
			Counted(len(r.Origins), "day"), from, to, r.Settings.HorizonDays), "4"},
		{"What was known then", "Records that had been exported by that day; records of a first export from their own days. " +
			"The first export of a register describes the days before it as well: what vents were like then is known only as far " +
			"as it says since when.", "7"},
		{"What the model is", "One fit of all units for each fire: drift by burner control, vent, age and air, a slope of each unit, " +
			"an error of each analyzer and calibration period. It is fitted anew on each of those days, from what was known on " +
			"it.", "10, 14, 15"},
		{"Who is in it", fmt.Sprintf("Over all days %s were on the list; %d had a visit in the horizon, %d of them with a usable "+
			"as-found reading.", Units(listed), visited, found), "5, 13"},
		{"How many there are", fmt.Sprintf("%s, %d of them found out of limits. Nobody computed beforehand how many are needed: the "+
			"width of the intervals shows it.", Counted(r.Fires, "fire"), r.FiresOutside), "8"},
		{"How fresh the records were", fmt.Sprintf("In %d of %d cases the unit's last visit was on record on the day of the "+
			"forecast; in the others a visit was exported only later. The main figures are of the former, which is known only "+
			"afterwards; the orders of all cases are beside them.", r.Units, r.AllUnits), "5, 13"},
		{"Who is not", "Units without a next visit, or visited without an as-found reading, and fires without a target or with a " +
			"questionable fuel. Nothing is said about them, and nothing is filled in for them.", "5, 9"},
		{"What was missing", "Vents, ages, air temperatures and analyzers that are not on record are filled in as the list " +
			"fills them in, with the uncertainty it gives them.", "9"},
		{"Whether visits were chosen", fmt.Sprintf("Yes: call-outs come because a unit was off, and some technicians record an "+
			"as-found reading only where it is bad. Precision and probabilities then hold for the units visited; the comparison of orders on the "+
			"same units is fair. Routine annual visits, %d of the %d, are shown apart: nobody chose them for what the unit did.",
			routine, found), "5, 18"},
		{"Whether it was learned and tested apart", "In time, yes: no record after a day had a part in its forecast. " +
			"In place, no: the same units and sites are before and after it.", "10, 12"},
		{"What it is compared with", "Days since the last visit, the last deviation, a straight line per unit, ordinary " +
			"regression on intervals, logistic regression on hand-made features: the same units, days and readings, each for the " +
			"planned day, learned from the past of each day alone.", "10"},
		{"How it is measured", "Order: share found out of limits among its first units, and area under the curve where 50 units or " +
			"more were visited. Probabilities: Brier score in three parts, calibration without bins, net benefit. Parts of the fleet " +
			"as the register has them; the groups are the list's.", "10, 11"},
		{"How sure the figures are", fmt.Sprintf("90 %% intervals from %s of %s, seed %d; differences are paired.",
			Counted(r.Settings.Draws, "resample"), Counted(r.Sites, "site"), r.Settings.Seed), "10, 16"},
		{"Whether probabilities are off", fmt.Sprintf("Miscalibration %s; true probabilities on the same visits would show %s "+
			"on average and more than %s once in twenty (share of draws as far off: %s; under 0.05 they count as off). Fires of a "+
			"unit and units of an analyzer are drawn apart, so the test errs towards calling them off.",
			Number(r.Calibration.Observed, 4), Number(r.Calibration.Perfect, 4), Number(r.Calibration.Perfect95, 4),
			Number(r.Calibration.P, 3)), "16"},
		{"What was done about it", learned, "10, 17"},
		{"What it does not show", "A reading carries the analyzer's error, so even the best order falls short of 1. The past " +
			"is no promise: other crews, analyzers or fuels change it.", "18, 19"},
	}
}

func Figure(f hindsight.Figure, decimals int) string {
	if math.IsNaN(f.Value) {
		return "-"
	}
	return Number(f.Value, decimals) + " (" + Number(f.Low, decimals) + " to " + Number(f.High, decimals) + ")"
}

// covered are what shares of intervals count.
var covered = [...]string{
	hindsight.FoundWithin: "as-found reading within its 90 % interval",
	hindsight.SetWithin:   "the same where the unit was set and the value was not recorded",
	hindsight.OutBefore:   "found out of limits at a visit before the interval in which it was expected to leave them",
	hindsight.InAfter:     "found within limits at a visit after the interval in which it was expected to leave them",
}

// Covered says what a share of intervals counts.
func Covered(c hindsight.Covered) string { return covered[c] }

// groupKinds are what units are parted by.
var groupKinds = [...]string{
	hindsight.ByGroup: "group on the day of the forecast", hindsight.ByArea: "area", hindsight.ByFuel: "fuel",
	hindsight.ByControl: "burner control", hindsight.ByFire: "fire",
}

// GroupKind names what units are parted by.
func GroupKind(k hindsight.GroupKind) string { return groupKinds[k] }

func Share(s hindsight.Share) string {
	if s.Of == 0 {
		return "-"
	}
	return fmt.Sprintf("%d of %d: %s", s.In, s.Of, Figure(s.Part, 3))
}

// decisionWords say how the forecast stands beside the best simple rule, on the
// visits that decide and on all.
func decisionWords(r *hindsight.Result) string {
	d := r.Decision
	var s string
	switch d.Verdict {
	case hindsight.NoOrder, hindsight.TooFew:
		return ""
	case hindsight.Ahead:
		s = "On this fleet the forecast is better than every simple rule"
	case hindsight.Behind:
		s = "On this fleet a simple rule puts units in a better order: " + Way(d.Best)
	default:
		s = "On this fleet the forecast is not clearly better than " + Way(d.Best)
	}
	less := func(f hindsight.Figure) string {
		return fmt.Sprintf("%+.2f (%+.2f to %+.2f)", f.Value, f.Low, f.High)
	}
	for i := range r.Orders {
		if o := &r.Orders[i]; o.Way == d.Best && d.Fresh {
			return s + fmt.Sprintf(": difference in area under the curve %s on %s read within 90 days of a calibration, %s on all.",
				less(d.Less), Units(d.Units), less(o.LessAUC))
		}
	}
	return s + fmt.Sprintf(": difference in area under the curve %s from %s.", less(d.Less), Way(d.Best))
}

// foundFirst says in one sentence what past lists were worth: of the first tenth of
// the units that were looked at, how many were found out of limits, and how many by the
// plainest rule. It ends in a space; "" where the tenth is too few to speak of.
func foundFirst(r *hindsight.Result) string {
	first := math.Round(float64(r.Units) / 10)
	if first < leastFirst || len(r.Orders) <= int(hindsight.DaysSince) {
		return ""
	}
	found := func(w hindsight.Way) float64 { return math.Round(first * r.Orders[w].Top10.Value) }
	list, dates := found(hindsight.List), found(hindsight.DaysSince)
	if math.IsNaN(list) || math.IsNaN(dates) {
		return ""
	}
	return fmt.Sprintf("Of the first %.0f units of past lists %.0f were found out of limits at their next visit; by last-visit date "+
		"it would have been %.0f. ", first, list, dates)
}

// leastFirst is how many units of past lists are worth a sentence.
const leastFirst = 5

// HindsightLine is a look back in one line, for the head of a watchlist.
func HindsightLine(r *hindsight.Result) string {
	day := Day(r.Settings.AsOf)
	if len(r.Orders) == 0 {
		return fmt.Sprintf("Hindsight of %s: no next visit has an as-found reading to compare with.", day)
	}
	o, own := r.Orders[hindsight.Model], r.Orders[hindsight.List]
	s := foundFirst(r) + fmt.Sprintf("Hindsight of %s: of the first 10 %% by the model, %.0f %% were found out of limits at "+
		"the next visit (in the list's order %.0f %%, of all units %.0f %%); %s; %s, forecast on %s.",
		day, 100*o.Top10.Value, 100*own.Top10.Value, 100*r.Share, areaWords(r, o.AUC), Units(r.Units), Counted(len(r.Origins), "day"))
	if words := decisionWords(r); words != "" {
		s += " " + words
	}
	if r.Calibration.Off {
		s += " Its probabilities are off by more than noise."
	}
	return s
}

// PastLists is the sentence of a look back's line that says what past lists were worth;
// "" where it has none.
func PastLists(line string) string {
	first, _, _ := strings.Cut(line, "Hindsight of ")
	return strings.TrimSpace(first)
}

// areaWords give the area under the curve, or say why there is none.
func areaWords(r *hindsight.Result, area hindsight.Figure) string {
	switch {
	case r.Units < hindsight.LeastForArea:
		return fmt.Sprintf("too few cases (%d) for an area under the curve, %d are needed", r.Units, hindsight.LeastForArea)
	case math.IsNaN(area.Value):
		return "no area under the curve, because all or none were found out of limits"
	}
	return fmt.Sprintf("area under the curve %.2f (90 %% interval %.2f to %.2f)", area.Value, area.Low, area.High)
}

// Way names a way to put units in order.
func Way(w hindsight.Way) string {
	return [...]string{
		hindsight.Model:         "the model",
		hindsight.Worst:         "the highest probability before the planned visit",
		hindsight.List:          "the order of the watchlist",
		hindsight.DaysSince:     "days since the last visit",
		hindsight.LastDeviation: "last deviation",
		hindsight.StraightLine:  "straight line per unit",
		hindsight.Intervals:     "ordinary regression on intervals",
		hindsight.Logistic:      "logistic regression on hand-made features",
	}[w]
}
