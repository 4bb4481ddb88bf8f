package watch

import (
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// addSettings notes, for each analyzer and period, at which units its CO2 was
// computed for another fuel than the one registered: burners set by it are off
// by a point and more, or the register is wrong.
func addSettings(lines []AnalyzerLine, histories []*judge.History, r Config) {
	byName := map[string][]judge.OtherFuelAt{}
	for _, s := range judge.AnalyzerSettings(histories, r.Judge) {
		byName[s.Analyzer] = s.Other
	}
	for i := range lines {
		l := &lines[i]
		for _, o := range byName[l.Name] {
			if o.Day <= r.AsOf && l.covers(o.Day) {
				l.OtherFuel = append(l.OtherFuel, o)
			}
		}
	}
}

// covers reports whether a day lies in the line's period.
func (l *AnalyzerLine) covers(d day.Day) bool {
	if l.Calibrated == day.None {
		return d.Time().Year() == l.Year
	}
	return d >= l.Calibrated && (l.Until == day.None || d < l.Until)
}
