package watch

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Tier is a class of urgency; a smaller tier stands above a larger one.
type Tier int

// The tiers from the top.
//
// "Probably outside now" stands above "left outside the setting band": the
// forecast speaks of the action band, which is the wider one and what
// justifies a visit, while a unit left just outside the narrow setting band
// may still be well inside it; a unit left far outside is in both and takes
// the upper. It stands below the fuel in doubt, because then there is no
// telling what its deviation means. "Expected to leave" stands above the
// overdue test, because it is about this burner, not about the calendar, and
// below CO for attention, because that was measured and this is expected. A
// last reading nobody has confirmed stands with it: one phone call decides. "Read
// again" follows: there is no telling whether the burner moved or the analyzer.
// Units without any reading stand behind all that were read and are due: nothing
// says that they are out of limits, and nothing says that they can wait.
// A unit whose last visit told no CO has nothing else against it, but cannot be
// told that it can wait either.
const (
	COUrgentNow Tier = iota + 1
	FuelInDoubt
	ProbablyOutside
	LeftOutside
	NotTestedSince
	COForAttention
	ExpectedOutside
	ReadAgain
	TestOverdue
	NoTarget
	NoReading
	CONotRead
	ToPlan
)

// Tiers lists all tiers from the top.
func Tiers() []Tier {
	all := make([]Tier, 0, len(tierTable))
	for _, e := range tierTable {
		all = append(all, e.tier)
	}
	return all
}

// Words returns a tier's words on the list, where the configuration has no
// others.
func (t Tier) Words() string {
	for _, e := range tierTable {
		if e.tier == t {
			return e.words
		}
	}
	return ""
}

// TierOf finds a tier by its words or its constant place (1 the top), false
// where there is none.
func TierOf(words string, rules Config) (Tier, bool) {
	words = strings.TrimSuffix(words, ifRight)
	rules.CommonCause = ""
	for _, t := range Tiers() {
		if rules.words(t) == words || t.Words() == words {
			return t, true
		}
	}
	return 0, false
}

// TierWordsOf reads configured words: by a tier's usual words, those to use on
// the list instead. Words that name no tier, and words for two tiers, are errors.
func TierWordsOf(words map[string]string) (map[Tier]string, error) {
	out := map[Tier]string{}
	for _, usual := range slices.Sorted(maps.Keys(words)) {
		t, ok := TierOf(usual, Config{})
		if !ok {
			return nil, fmt.Errorf("%q is no tier\nthe tiers: %s", usual, strings.Join(tierNames(), ", "))
		}
		out[t] = strings.TrimSpace(words[usual])
	}
	seen := map[string]Tier{}
	for _, t := range Tiers() {
		w := Config{TierWords: out}.words(t)
		if other, ok := seen[w]; ok {
			return nil, fmt.Errorf("%q would name two tiers: %q and %q", w, other.Words(), t.Words())
		}
		seen[w] = t
	}
	return out, nil
}

func tierNames() []string {
	var names []string
	for _, t := range Tiers() {
		names = append(names, t.Words())
	}
	return names
}

// Step is what to do next.
type Step string

// The next steps.
const (
	GoToday      Step = "go today"
	BringForward Step = "bring forward"
	LeaveToPlan  Step = "leave to plan"
	Phone        Step = "phone"
	FixRecord    Step = "fix record"
)

// finding is a tier's answer: what to do and why. Without a reason the tier
// does not apply.
type finding struct {
	step   Step
	reason Reason
	side   Side
	unread bool // it holds of a unit without a reading too, whatever its tier says
}

// entry is a tier in the table: its words, its test, whether a unit that is not
// in the register can stand in it (nothing but its CO is judged), and whether one
// without a reading can.
type entry struct {
	tier         Tier
	words        string
	unregistered bool
	unread       bool
	test         func(*facts) finding
}

// tierTable is tried from the top; filled in init because the tests themselves
// use tiers.
var tierTable []entry

func init() {
	tierTable = []entry{
		{COUrgentNow, "CO urgent", true, true, coUrgent},
		{FuelInDoubt, "fuel or analyzer setting in doubt", false, false, fuelInDoubt},
		{ProbablyOutside, "probably outside its action band now", false, false, probablyOutside},
		{LeftOutside, "left outside the setting band", false, false, leftOutside},
		{NotTestedSince, "not tested since its vent or fuel changed", false, false, notTestedSince},
		{COForAttention, "CO for attention", true, true, coForAttention},
		{ExpectedOutside, "expected to leave its action band before the planned day", false, false, expectedOutside},
		{ReadAgain, "analyzer or burner: read again with another analyzer", false, false, readAgain},
		{TestOverdue, "full test overdue", false, false, testOverdue},
		{NoTarget, "no target declared", true, false, noTarget},
		{NoReading, "no reading on record", false, true, noReading},
		{CONotRead, "CO of the last visit not read", true, false, coNotRead},
		{ToPlan, "leave to plan", true, false, toPlan},
	}
}

// worstCO returns the fire with the worst CO: the higher level, then the
// higher number, a number that is not known counting above all.
func worstCO(fires []FireLine) *FireLine {
	var worst *FireLine
	for i := range fires {
		f := &fires[i]
		if f.CO.Level != COUnknown && (worst == nil || coAbove(f.CO, worst.CO)) {
			worst = f
		}
	}
	return worst
}

func coAbove(a, b CO) bool {
	if a.Level != b.Level {
		return a.Level > b.Level
	}
	return coNumber(a) > coNumber(b)
}

// coNumber returns CO for ordering: over range without a number above all,
// not recorded below all.
func coNumber(c CO) float64 {
	switch {
	case !math.IsNaN(c.AirFreePPM):
		return c.AirFreePPM
	case c.Level == COUrgent:
		return math.Inf(1)
	default:
		return -1
	}
}

// worstLeft returns the fire left farthest outside its setting band, by the
// width of the band; equal: the rich side first, then the first fire.
func worstLeft(fires []FireLine) *FireLine {
	var worst *FireLine
	for i := range fires {
		f := &fires[i]
		if f.SetNotRecorded || f.OtherFuel || !(f.BeyondPoints > 0) || f.displayedAlone() {
			continue
		}
		if worst == nil || bands(f) > bands(worst) || (bands(f) == bands(worst) && f.Side == Rich && worst.Side != Rich) {
			worst = f
		}
	}
	return worst
}

// bands returns a deviation in widths of its side of the setting band, to one
// decimal, so that digits nobody recorded decide nothing.
func bands(f *FireLine) float64 { return math.Round(10*f.bandWidths()) / 10 }

// hasBand reports whether anything can be judged at a fire.
func hasBand(f FireLine) bool {
	return HasTarget(f.Target) && !(math.IsNaN(f.Target.SetRich) && math.IsNaN(f.Target.SetLean))
}

// visitsSince reports whether there was a visit in the field after a day.
func visitsSince(h *judge.History, day, asOf day.Day) bool {
	return slices.ContainsFunc(h.Visits, func(v judge.Visit) bool {
		return v.Day > day && v.Day <= asOf && v.Reason != judge.FactoryTest && !ofEarlierInstall(h, v.Day)
	})
}
