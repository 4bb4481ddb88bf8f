package words

import (
	"fmt"
	"math"
	"strings"

	"fluedrift/analysis"
	"fluedrift/analysis/watch"
	"fluedrift/model/judge"
)

// Marks are the marks of a line, in a row; "" without any.
func Marks(l *watch.Line) string {
	all := make([]string, len(l.Marks))
	for i, m := range l.Marks {
		all[i] = mark(l, m)
	}
	return strings.Join(all, "; ")
}

func mark(l *watch.Line, m watch.Mark) string {
	switch m.Kind {
	case watch.MarkFinding:
		return findingKinds[m.Finding]
	case watch.MarkUnrecorded:
		return notRecorded(l)
	case analysis.MarkAnalyzerReads:
		return fmt.Sprintf("last analyzer reads about %s points %s", Number(math.Abs(m.Points), 2), highOrLow(m.Points))
	case analysis.MarkByHindsight:
		return "probabilities corrected by the hindsight of " + ISODay(m.Day)
	}
	return markNames[m.Kind]
}

func highOrLow(points float64) string {
	if points < 0 {
		return "low"
	}
	return "high"
}

// notRecorded says what the last routine visit did not record.
func notRecorded(l *watch.Line) string {
	visit := "last visit"
	if l.LastVisit != l.LastRoutine {
		visit = "last routine visit"
	}
	var asLeft, altogether []watch.FireAt
	for _, u := range l.Unrecorded {
		at := watch.FireAt{Fire: u.Fire, RatePercent: math.NaN()}
		if u.Read {
			asLeft = append(asLeft, at)
		} else {
			altogether = append(altogether, at)
		}
	}
	missing := fires(altogether)
	if len(asLeft) > 0 {
		missing = strings.TrimSuffix(fires(asLeft)+" as left and "+missing, " and ")
	}
	if len(l.Unrecorded) > 1 {
		return visit + " not fully recorded: " + missing + " are missing"
	}
	return visit + " not fully recorded: " + missing + " is missing"
}

// markNames are the kinds of marks that say all by themselves.
var markNames = map[analysis.MarkKind]string{
	watch.MarkNoReading:       "no reading on record",
	watch.MarkNotInRegister:   "not in register",
	watch.MarkRegisterDiffers: "register lines contradict",
	watch.MarkReadSince:       "recorded as removed, read since",
	watch.MarkNoTarget:        "no target",
	watch.MarkNoBand:          "no setting band",
	watch.MarkBandDerived:     "limits assumed: twice the setting tolerance",
	watch.MarkConfigured:      "target from configuration",
	watch.MarkFuelUnknown:     "CO2max of fuel not declared",
	watch.MarkVentUnknown:     "vent unknown",
	watch.MarkMoved:           "moved, not read since",
	watch.MarkVentDayUnknown:  "vent change day unknown",
	watch.MarkOneFire:         "one fire only",
	watch.MarkAsLeftOnly:      "only as-left readings",
	watch.MarkAsFoundOnly:     "only as-found readings",
	watch.MarkSetNotRecorded:  "adjusted, result not written down",
	watch.MarkNoGas:           "last visit without CO2 and O2",
	watch.MarkNoAnalyzer:      "analyzer not named",
	watch.MarkCOUnused:        "CO on a record that could not be used",
	watch.MarkCOUnreadable:    "CO unreadable",
	watch.MarkCONotRead:       "CO of the last visit not read",
	watch.MarkNoCO:            "CO not recorded",
	watch.MarkCOBasis:         "unknown whether CO is air-free",
	watch.MarkCOAsMeasured:    "CO as measured, not air-free",
	watch.MarkCOAnyFuel:       "CO air-free by the highest CO2max",
	watch.MarkFromO2:          "CO2 from O2",
	watch.MarkBeforeInstall:   "before install",
	watch.MarkSerialAgain:     "serial used before",
	watch.MarkFromWet:         "dry gas from wet",
	watch.MarkScientific:      "value in scientific notation",
	watch.MarkAnswerLapsed:    "answer lapsed",
	watch.MarkNoRoutine:       "no routine visit on record",

	analysis.MarkOwnDriftUnknown: "its own drift not known yet",
	analysis.MarkNothingRecorded: "nothing recorded since installed",
	analysis.MarkMaybeSet:        "adjustment not recorded",
	analysis.MarkLastUnconfirmed: "last reading unconfirmed",
	analysis.MarkChangedSince:    "changed since the last reading",
	analysis.MarkLastInDoubt:     "last reading questionable",
	analysis.MarkRateUnknown:     "drift rate of its kind unknown",
	analysis.MarkExtrapolated:    "last reading over three years old",
	analysis.MarkAnalyzerUnknown: "analyzer unknown",
	analysis.MarkDefaults:        "general assumptions, not measured here",
	analysis.MarkNotSeparable:    "analyzer or burner: cannot be told apart",
	analysis.MarkVentLossUnknown: "vent loss unknown",
	analysis.MarkNotHeldToTarget: "fuel questionable: not compared with a target",
}

// findingKinds are the kinds of what is found about readings.
var findingKinds = map[judge.Kind]string{
	judge.RichPossible: "too little air possible",
	judge.OverCO2Max:   "more CO2 than the fuel can make",
	judge.NoBurner:     "no burner at work",
	judge.FuelLabel:    "fuel label questionable",
	judge.OtherSetting: "analyzer set to another fuel",
	judge.SwappedGases: "O2 and CO2 exchanged",
	judge.OtherGas:     "one gas typed as the other",
	judge.PairApart:    "O2 and CO2 contradict each other",
	judge.SwappedFires: "high and low fire exchanged",
	judge.AsLeftFar:    "left far from target",
	judge.LowRate:      "high fire at a low rate",
	judge.EarlyReading: "before warm-up",
	judge.CopiedVisit:  "copied visit",
	judge.CopiedAsLeft: "as-left reading copied from the as-found one",
	judge.ExactDouble:  "entered twice",
	judge.FoundTwice:   "as-found reading recorded twice",
	judge.COBasis:      "basis of CO questionable",
	judge.TempUnit:     "temperature questionable",
	judge.RoomProbe:    "air not taken at the intake",
	judge.DateDisorder: "dates in disorder",
	judge.Moved:        "pressure, fan, flame or draft moved",
}
