package words

import (
	"fmt"
	"slices"

	"fluedrift/analysis"
	"fluedrift/analysis/watch"
)

// Head says what stands at the head of a list: what was lost first, then what the
// chances rest on, the counts, and what could not be judged.
func Head(s *watch.Summary) []string {
	first := fmt.Sprintf("As of %s: %s listed", Day(s.AsOf), Units(s.Listed))
	if s.AtFoot > 0 {
		first += fmt.Sprintf(", %d of them at the foot (answered, isolated or off for the season)", s.AtFoot)
	}
	if s.Removed > 0 {
		first += fmt.Sprintf("; %d recorded as removed and not listed", s.Removed)
	}
	head := append(slices.Clone(s.Lost), first+".")
	if s.CommonCause != "" {
		head = append(head, s.CommonCause+" No unit is called faulty by itself until that is settled.")
	}
	head = append(head, s.Measured...)
	for _, l := range s.Missing {
		head = append(head, lacks[l])
	}
	for _, t := range s.Groups {
		if t.Units > 0 {
			head = append(head, fmt.Sprintf("%s: %s.", Capital(t.Words), Units(t.Units)))
		}
	}
	return append(head, notJudged(s)...)
}

// notJudged says what could not be judged, the most frequent first.
func notJudged(s *watch.Summary) (sentences []string) {
	for _, g := range s.Marks {
		what, said := gaps[g.Mark]
		switch {
		case !said:
		case g.Units == s.Listed:
			sentences = append(sentences, fmt.Sprintf("All %s: %s.", Units(s.Listed), what))
		default:
			sentences = append(sentences, fmt.Sprintf("%d of %s: %s.", g.Units, Units(s.Listed), what))
		}
	}
	return sentences
}

// lacks are what no record of a fleet holds.
var lacks = [...]string{
	watch.LacksAirTemps:    "No air temperature is recorded: what the season does to CO2 is assumed from the day of the year.",
	watch.LacksCO2Decimals: "CO2 is recorded in whole percents: differences under a point cannot be seen.",
	watch.LacksO2Decimals: "O2 is recorded in whole percents, and no CO2: differences under about half a point of CO2 cannot be " +
		"seen.",
	watch.LacksAdjustedFlags:  "No record says whether a burner was adjusted: that is inferred from what was found and left.",
	watch.LacksSecondAnalyzer: "All readings name one analyzer: if it reads wrong, no record can show it.",
	watch.LacksNames:          "No reading names an analyzer or a technician: an analyzer that reads wrong cannot be told from a burner.",
	watch.LacksAnalyzers:      "No reading names an analyzer: technicians stand for them, as if each had always used the same one.",
	watch.LacksAsFounds:       "No as-found reading is recorded: how burners drift between visits cannot be measured.",
	watch.LacksAsLefts:        "No as-left reading is recorded: what burners were set to is not known.",
	watch.LacksLowFire:        "No reading at low fire is recorded: nothing is said about it.",
	watch.LacksInstallDays:    "No install day is recorded: the age of the boilers is not known.",
	watch.LacksControls:       "No burner control is recorded: all burners are taken to answer to air temperature alike.",
	watch.LacksTargets:        "No target is declared for any unit: only CO is judged.",
	watch.LacksCO:             "No CO is recorded in any reading.",
}

// gaps are the marks that take something from the judgement, and what. The others
// have none here.
var gaps = map[analysis.MarkKind]string{
	watch.MarkNotInRegister: "their serial is not in the register: only their CO is judged",
	watch.MarkRegisterDiffers: "register lines of one day, or those of two sources on install day or model line, " +
		"contradict each other: one unit, or two of one serial",
	watch.MarkNoReading:      "no reading from the field is on record: no chance out of limits is given",
	watch.MarkNoTarget:       "no target is declared for a fire: only CO is judged there",
	watch.MarkNoBand:         "a target has no setting band: what was left cannot be judged",
	watch.MarkFuelUnknown:    "CO2max of their fuel is not declared: O2 and CO2 are not converted",
	watch.MarkVentUnknown:    "the vent's length is not on record: its part in a deviation is not known",
	watch.MarkMoved:          "nothing was read at a fire since they moved: earlier readings do not show their setting now",
	watch.MarkOneFire:        "only one fire was read although the unit has another: the other is not judged",
	watch.MarkAsLeftOnly:     "only as-left readings are on record: how far the burner drifted before each visit is not known",
	watch.MarkAsFoundOnly:    "only as-found readings are on record: what was left is not known",
	watch.MarkSetNotRecorded: "a fire was adjusted, and what was left is not recorded",
	watch.MarkNoGas:          "their last visit wrote down neither CO2 nor O2: whether and to what the burner was set is not known",
	watch.MarkNoAnalyzer:     "the newest readings name no analyzer: one that reads wrong cannot be told from a burner",
	watch.MarkCOUnused:       "a record that could not be used holds CO for attention or more: correct it first",
	watch.MarkCOUnreadable:   "CO on one of their records cannot be read: correct it",
	watch.MarkCONotRead:      "their last visit recorded no CO at a fire it read, or nothing at all: its CO is not known",
	watch.MarkNoCO:           "no CO is on record at a fire that was read",
	watch.MarkCOBasis:        "the basis of CO is not known: it is taken as measured, and converted",
	watch.MarkCOAsMeasured:   "CO could not be made air-free: it may be higher than shown",
	watch.MarkCOAnyFuel: "the fuel behind a CO read with CO2 alone is not known: it is made air-free with the highest CO2max of all " +
		"fuels, so it is no higher than shown",
	watch.MarkAnswerLapsed: "an answer has lapsed without a visit since: they are on the list again",
	watch.MarkNoRoutine:    "no routine visit is on record: their planned day counts from the install day",
	watch.MarkUnrecorded:   "their last routine visit is not fully recorded: what was left at a fire is not known",
}
