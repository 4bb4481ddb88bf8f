package watch

import (
	"fmt"
	"strings"

	"fluedrift/model/judge"
)

// addSettings notes, for each analyzer and period, at which units its CO2 was
// computed for another fuel than the one registered: burners set by it are off
// by a point and more, or the register is wrong.
func addSettings(lines []AnalyzerLine, histories []*judge.History, r Rules) {
	byName := map[string][]judge.OtherFuelAt{}
	for _, s := range judge.AnalyzerSettings(histories, r.Judge) {
		byName[s.Analyzer] = s.Other
	}
	for i := range lines {
		l := &lines[i]
		var units []string
		for _, o := range byName[l.Name] {
			if o.Day <= r.AsOf && l.covers(o.Day) {
				units = append(units, otherFuelWords(&o))
			}
		}
		l.OtherFuel = strings.Join(units, "; ")
	}
}

// covers reports whether a day lies in the line's period.
func (l *AnalyzerLine) covers(day int32) bool {
	if l.Calibrated == judge.NoDay {
		return date(day).Year() == l.Year
	}
	return day >= l.Calibrated && (l.Until == judge.NoDay || day < l.Until)
}

// otherFuelWords names one unit and visit.
func otherFuelWords(o *judge.OtherFuelAt) string {
	w := fmt.Sprintf("%s on %s: set to %s, registered %s", o.Serial, DayWords(o.Day), o.SetTo, o.Registered)
	if o.Set {
		w += ", burner set by it"
	}
	if !o.Newest {
		w += ", read since"
	}
	return w
}
