package night

import (
	"fmt"
	"math"
	"strings"

	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/ingest/layout"
	"fluedrift/model/judge"
)

// guardFleet asks whether so much of the fleet looks out of limits that a target, a
// layout, a conversion or the day is likelier wrong than the burners, and gives that
// as the cause to be named at the head of the list; "" where nothing says so. A
// column whose readings jumped since the last publication refuses the night.
func (n *Night) guardFleet(lines []watch.Line, r watch.Rules) (cause string, err error) {
	column, err := n.columnOf()
	if err != nil {
		return "", err
	}
	n.medians = watch.Medians(lines, r, column)
	if n.comparable() {
		if err := n.settle(n.jumpedColumns()); err != nil {
			return "", err
		}
	}
	faults := n.farColumns()
	faults = append(faults, n.manyOut(lines, r, len(faults) > 0)...)
	faults = append(faults, n.oneSided()...)
	faults = append(faults, n.oldRecords(lines)...)
	n.ask(faults)
	var causes []string
	for _, f := range faults {
		causes = append(causes, f.text)
	}
	return strings.Join(causes, " "), nil
}

// columnOf finds the layout and the column a reading's gas was read from.
func (n *Night) columnOf() (func(*judge.Reading) (name, header string), error) {
	layouts, err := n.Config.Layouts()
	if err != nil {
		return nil, err
	}
	byFile := map[string]*layout.Layout{}
	for _, f := range n.inputs {
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

// side names the side of a deviation.
func sideWords(points float64) string {
	if points < 0 {
		return "below"
	}
	return "above"
}

// jumpedColumns finds columns whose readings moved together since the last
// publication.
func (n *Night) jumpedColumns() (found []fault) {
	for i := range n.medians {
		m := &n.medians[i]
		for k := range n.last.Medians {
			was := &n.last.Medians[k]
			if was.Layout != m.Layout || was.Column != m.Column || m.Units < leastLost || was.Units < leastLost || m.Jump(was) <= n.Config.Guards.MaxColumnJump {
				continue
			}
			found = append(found, fault{"column", fmt.Sprintf("column %q of layout %q: the newest readings of %d units lie %.2f points of CO2 %s target in the middle, %.2f %s it in the last publication, a jump of more than guards.max_column_jump = %g setting bands\nlook for a column, a unit of measure or a conversion that changed; if it is right, set guards.tolerate = [\"column\"] for one night",
				m.Column, m.Layout, m.Units, math.Abs(m.Points), sideWords(m.Points), math.Abs(was.Points), sideWords(was.Points), n.Config.Guards.MaxColumnJump)})
		}
	}
	return found
}

// farColumns finds columns whose readings lie beyond the action band in the middle.
func (n *Night) farColumns() (found []fault) {
	for i := range n.medians {
		m := &n.medians[i]
		if m.Units < leastLost || m.Beyond() <= n.Config.Guards.ColumnTolerated {
			continue
		}
		found = append(found, fault{"column", fmt.Sprintf("Column %q of layout %q: the newest readings of %d units lie %.2f points of CO2 %s target in the middle, beyond the action band. That column, its unit of measure or the targets are likelier wrong than the burners.",
			m.Column, m.Layout, m.Units, math.Abs(m.Points), sideWords(m.Points))})
	}
	return found
}

// manyOut finds that a large part of the fleet is probably out of limits.
func (n *Night) manyOut(lines []watch.Line, r watch.Rules, named bool) []fault {
	out, of := watch.ProbablyOut(lines, r)
	if !over(int64(out), int64(of), n.Config.Guards.OutTolerated) {
		return nil
	}
	text := fmt.Sprintf("%d of %s with a chance (%s) are probably out of limits, more than guards.out_tolerated = %g.", out, Count(of, "unit"), percentOf(int64(out), int64(of)), n.Config.Guards.OutTolerated)
	if !named {
		text += " A target, a layout, a conversion or the day of the list is likelier wrong than so many burners."
		if worst := n.widest(); worst != nil {
			text += fmt.Sprintf(" Look first at column %q of layout %q: its newest readings lie %.2f points of CO2 %s target in the middle.", worst.Column, worst.Layout, math.Abs(worst.Points), sideWords(worst.Points))
		}
	}
	return []fault{{"out", text}}
}

// widest is the column whose readings lie farthest off, nil where none lies off by
// a quarter of its action band.
func (n *Night) widest() (worst *watch.ColumnMedian) {
	const worthNaming = 0.25
	for i := range n.medians {
		if m := &n.medians[i]; m.Units >= leastLost && m.Beyond() > worthNaming && (worst == nil || m.Beyond() > worst.Beyond()) {
			worst = m
		}
	}
	return worst
}

// oneSided finds columns whose readings lie on one side of the target by a like
// amount: more than the setting band, and nearer to each other than to the target.
func (n *Night) oneSided() (found []fault) {
	for i := range n.medians {
		m := &n.medians[i]
		off := math.Abs(m.Points)
		if m.Units < leastLikeAmount || m.Same < n.Config.Guards.OneSideTolerated || !(off > m.Set) || m.Apart > off || m.Beyond() > n.Config.Guards.ColumnTolerated {
			continue
		}
		found = append(found, fault{"one side", fmt.Sprintf("Column %q of layout %q: %.0f %% of the newest readings of %d units lie %s target, by %.2f points of CO2 in the middle. A target, a conversion or an analyzer is likelier wrong than all those burners.",
			m.Column, m.Layout, 100*m.Same, m.Units, sideWords(m.Points), off)})
	}
	return found
}

// leastLikeAmount is how many units it takes for "all on one side" to be no chance.
const leastLikeAmount = 5

// oldRecords finds that nothing was recorded for long before the day of the list.
func (n *Night) oldRecords(lines []watch.Line) []fault {
	newest, limit := judge.NoDay, n.Config.Guards.RecordAgeTolerated
	units := 0
	for i := range lines {
		if lines[i].LastVisit != judge.NoDay {
			units++
		}
		newest = max(newest, lines[i].LastVisit)
	}
	if limit == 0 || units < leastLost || n.AsOf-newest <= int32(limit) {
		return nil
	}
	return []fault{{"old records", fmt.Sprintf("The newest record is of %s, %d days before %s: more than guards.record_age_tolerated = %d. The day of the list is likelier wrong, or exports are missing, than that nobody went anywhere.",
		settings.DayText(newest), n.AsOf-newest, settings.DayText(n.AsOf), limit)}}
}
