package page

import (
	"math"
	"slices"

	"fluedrift/analysis/report/units"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/model/judge"
)

// historyView is a unit's readings as a table, newest first: a row a visit and
// condition, with the fires side by side.
type historyView struct {
	Fires  []string // each with its target
	Degree string
	Rows   []historyRow
}

// historyRow is a row: readings, or words alone.
type historyRow struct {
	Visit      bool // the first of a visit
	Day, What  string
	Alone      bool // a change, or a visit without readings: nothing follows What
	Condition  string
	Cells      []cellView // O2, CO2, CO and flue temperature of each fire
	Air        string
	Who, Where string // technician and analyzer; the line of the record
	taken      map[int]bool
}

const fireCells = 4

// Wide is how many columns the words of a change take.
func (v *historyView) Wide() int { return 3 + fireCells*len(v.Fires) }

// historyOf puts the readings of a unit side by side; nil where they were taken at more
// fires than two, or at points of a curve.
func historyOf(in units.Set, s *watch.Story) *historyView {
	fires := s.Line.Fires
	if len(fires) == 0 || len(fires) > 2 {
		return nil
	}
	v := &historyView{Degree: in.DegreeLetter()}
	for i := range fires {
		v.Fires = append(v.Fires, words.Capital(words.FireLabel(fires[i].Fire, math.NaN()))+", target "+words.Target(fires[i].Target))
	}
	var last visitKey
	for i := range s.Entries {
		e := &s.Entries[i]
		key := visitOf(in, e)
		first := i == 0 || key != last
		last = key
		if e.Reading == nil {
			v.Rows = append(v.Rows, historyRow{
				Visit: true, Day: words.Day(e.Day), What: words.Visible(key.what), Alone: true, Where: words.Visible(e.Origin),
			})
			continue
		}
		k := slices.IndexFunc(fires, func(f watch.FireLine) bool { return f.Fire == e.Reading.Fire })
		if k < 0 || e.Reading.Fire == judge.Point {
			return nil
		}
		row := v.rowFor(e, first, k, len(fires))
		if first {
			row.Day, row.What = words.Day(e.Day), words.Visible(key.what)
		}
		row.fill(in, e, k)
	}
	return v
}

// rowFor is the row that a reading belongs to: one of its visit with its condition where
// its fire is still free, else a new one.
func (v *historyView) rowFor(e *watch.Entry, first bool, fire, fires int) *historyRow {
	condition := words.Visible(words.EntryCondition(e))
	for i := len(v.Rows) - 1; i >= 0 && !first; i-- {
		if r := &v.Rows[i]; r.Condition == condition && !r.taken[fire] {
			return r
		}
		if v.Rows[i].Visit {
			break
		}
	}
	v.Rows = append(v.Rows, historyRow{Visit: first, Condition: condition, Cells: make([]cellView, fires*fireCells), taken: map[int]bool{}})
	return &v.Rows[len(v.Rows)-1]
}

// fill enters a reading: the gas that was recorded, the other computed; out of limits
// stands out.
func (r *historyRow) fill(in units.Set, e *watch.Entry, fire int) {
	co2 := "n"
	switch {
	case e.Out:
		co2 = "n out"
	case e.CO2Derived:
		co2 = "n y"
	}
	copy(r.Cells[fire*fireCells:], []cellView{
		{Text: number(e.O2Percent, e.O2Decimals), Class: "n"},
		{Text: number(e.CO2Percent, e.CO2Decimals), Class: co2},
		{Text: number(e.CO.AirFreePPM, 0), Class: "n"},
		{Text: number(in.Number(units.Temperature, e.FlueTempC, 0)), Class: "n"},
	})
	r.taken[fire] = true
	if r.Air == "" {
		r.Air = number(in.Number(units.Temperature, e.AirTempC, 0))
	}
	if r.Who == "" {
		r.Who, r.Where = words.Visible(words.TakenBy(e)), words.Visible(e.Origin)
	}
}
