package night

import (
	"fmt"
	"math"
	"strings"

	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/ingest/layout"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// columnOf finds the layout and the column a reading's gas was read from.
func (e *evidence) columnOf() (func(*judge.Reading) (name, header string), error) {
	layouts, err := e.Config.Layouts()
	if err != nil {
		return nil, err
	}
	byFile := map[string]*layout.Layout{}
	for _, f := range e.inputs {
		byFile[f.Name] = layouts[f.Layout]
	}
	return func(r *judge.Reading) (name, header string) {
		at := strings.LastIndexByte(r.Origin, ':')
		if at < 0 || byFile[r.Origin[:at]] == nil {
			return "", ""
		}
		l, field := byFile[r.Origin[:at]], "co2"
		if math.IsNaN(r.CO2Percent) {
			field = "o2"
		}
		for _, c := range l.Columns {
			if c.Field == field && (c.Fire == "" || c.Fire == r.Fire) && (c.Condition == "" || c.Condition == r.Condition) {
				return l.Name, c.Header
			}
		}
		return l.Name, field
	}, nil
}

// sideWords names the side of a deviation.
func sideWords(points float64) string {
	if points < 0 {
		return "below"
	}
	return "above"
}

// jumpedColumns finds columns whose readings moved together since the last
// publication.
func (e *evidence) jumpedColumns() (found []fault) {
	for i := range e.medians {
		m := &e.medians[i]
		for k := range e.last.Medians {
			was := &e.last.Medians[k]
			if was.Layout != m.Layout || was.Column != m.Column || m.Units < leastLost || was.Units < leastLost ||
				m.Jump(was) <= e.Config.Guards.MaxColumnJump {
				continue
			}
			found = append(found, fault{"column", fmt.Sprintf("column %q of layout %q: the median of the newest readings of %d units "+
				"is %.2f points of CO2 %s target; it was %.2f %s it in the last publication, a jump of more than "+
				"guards.max_column_jump = %g setting bands\nlook for a column, a unit of measure or a "+
				"conversion that changed; if it is right, set guards.tolerate = [\"column\"] for one night",
				m.Column, m.Layout, m.Units, math.Abs(m.Points), sideWords(m.Points), math.Abs(was.Points), sideWords(was.Points),
				e.Config.Guards.MaxColumnJump)})
		}
	}
	return found
}

// farColumns finds columns whose readings lie beyond the action band in the middle.
func (e *evidence) farColumns() (found []fault) {
	for i := range e.medians {
		m := &e.medians[i]
		if m.Units < leastLost || m.Beyond() <= e.Config.Guards.ColumnTolerated {
			continue
		}
		found = append(found, fault{"column", fmt.Sprintf("Column %q of layout %q: the median of the newest readings of %d units is "+
			"%.2f points of CO2 %s target, out of limits. That column, its unit of measure or the targets are more likely wrong than "+
			"the burners.",
			m.Column, m.Layout, m.Units, math.Abs(m.Points), sideWords(m.Points))})
	}
	return found
}

// manyOut finds that a large part of the fleet is probably out of limits.
func (e *evidence) manyOut(lines []watch.Line, r watch.Config, named bool) []fault {
	out, of := watch.ProbablyOut(lines, r)
	if !over(int64(out), int64(of), e.Config.Guards.OutTolerated) {
		return nil
	}
	text := fmt.Sprintf("%d of %s with a chance (%s) are probably out of limits, more than guards.out_tolerated = %g.", out,
		Count(of, "unit"), percentOf(int64(out), int64(of)), e.Config.Guards.OutTolerated)
	if !named {
		text += " A target, a layout, a conversion or the day of the list is more likely wrong than so many burners."
		if worst := e.widest(); worst != nil {
			text += fmt.Sprintf(" Look first at column %q of layout %q: the median of its newest readings is %.2f points of CO2 %s "+
				"target.", worst.Column, worst.Layout, math.Abs(worst.Points), sideWords(worst.Points))
		}
	}
	return []fault{{"out", text}}
}

// widest is the column whose readings lie farthest off, nil where none lies off by
// a quarter of its action band.
func (e *evidence) widest() (worst *watch.ColumnMedian) {
	const worthNaming = 0.25
	for i := range e.medians {
		if m := &e.medians[i]; m.Units >= leastLost && m.Beyond() > worthNaming && (worst == nil || m.Beyond() > worst.Beyond()) {
			worst = m
		}
	}
	return worst
}

// oneSided finds columns whose readings lie on one side of the target by a like
// amount: more than the setting band, and nearer to each other than to the target.
func (e *evidence) oneSided() (found []fault) {
	for i := range e.medians {
		m := &e.medians[i]
		off := math.Abs(m.Points)
		if m.Units < leastLikeAmount || m.Same < e.Config.Guards.OneSideTolerated || !(off > m.Set) || m.Apart > off ||
			m.Beyond() > e.Config.Guards.ColumnTolerated {
			continue
		}
		found = append(found, fault{"one side", fmt.Sprintf("Column %q of layout %q: %.0f %% of the newest readings of %d units are "+
			"%s target, by a median of %.2f points of CO2. A target, a conversion or an analyzer is more likely wrong than all "+
			"those burners.",
			m.Column, m.Layout, 100*m.Same, m.Units, sideWords(m.Points), off)})
	}
	return found
}

// leastLikeAmount is how many units it takes for "all on one side" to be no chance.
const leastLikeAmount = 5

// oldRecords finds that nothing was recorded for long before the day of the list.
func (e *evidence) oldRecords(lines []watch.Line) []fault {
	newest, limit := day.None, e.Config.Guards.RecordAgeTolerated
	units := 0
	for i := range lines {
		if lines[i].LastVisit != day.None {
			units++
		}
		newest = max(newest, lines[i].LastVisit)
	}
	if limit == 0 || units < leastLost || int32(e.asOf-newest) <= int32(limit) {
		return nil
	}
	return []fault{{"old records", fmt.Sprintf("The newest record is of %s, %d days before %s: more than "+
		"guards.record_age_tolerated = %d. More likely the day of the list is wrong or exports are missing than that nobody visited a "+
		"boiler.",
		settings.DayText(newest), int32(e.asOf-newest), settings.DayText(e.asOf), limit)}}
}
