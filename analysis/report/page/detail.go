package page

import (
	"html/template"
	"slices"

	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
)

// detailView is what a unit opens to.
type detailView struct {
	Lead    string
	Facts   []watch.Fact
	Chart   template.HTML
	Middle  template.HTML // the chart of paper and of a narrower window, and that of a phone;
	Narrow  template.HTML // "" where the page has none
	Parts   []partsOfFire // what the forecast of each fire is made of, on the page of a unit
	History *historyView  // nil where the readings stand as visits
	Visits  []visitView
	Earlier int // rows or visits before those shown
	// Elsewhere is the address of the same details with readings; "" where they are here.
	Elsewhere string
	Degree    string // letter of the unit of temperatures
}

// partsOfFire is what the forecast of a fire is made of.
type partsOfFire struct {
	Fire    string
	Drawing template.HTML
}

// partsOf draws it for each fire that has a forecast.
func partsOf(l *watch.Line) (all []partsOfFire) {
	for i := range l.Fires {
		f := &l.Fires[i]
		if drawing := drawParts(f); drawing != "" {
			all = append(all, partsOfFire{words.Capital(words.FireLabel(f.Fire, f.RatePercent)), template.HTML(drawing)})
		}
	}
	return all
}

// detailOf puts together what a row opens to.
func detailOf(in units.Set, d Detail, form chartForm) *detailView {
	lead, facts := words.DetailOf(in, &d.Story)
	return &detailView{Lead: lead, Facts: facts, Chart: template.HTML(drawChart(d.Chart, form))}
}

// visitView is one visit with its readings, or a change.
type visitView struct {
	Words    string     // day, reason, technician and analyzer, and the line of the record
	Readings [][]string // fire, condition, CO2, O2, verdict, CO, flue temperature
	of       visitKey
}

// visitKey is what the entries of one visit have in common.
type visitKey struct {
	day                        day.Day
	what, technician, analyzer string
}

func visitOf(in units.Set, e *watch.Entry) visitKey {
	return visitKey{e.Day, words.EntryWhat(in, e), e.Technician, e.Analyzer}
}

// number writes a number as a list does, "" where there is none.
func number(v float64, decimals int) string { return table.NumberCell(v, decimals).String() }

// words says whose readings these are, and where they stand.
func (k visitKey) words(origin string) string {
	w := table.DayCell(k.day).String() + " " + k.what
	if k.technician != "" {
		w += ", " + k.technician
	}
	if k.analyzer != "" {
		w += " with " + k.analyzer
	}
	if origin != "" {
		w += ", " + origin
	}
	return words.Visible(w)
}

// readings are the entries of a unit, newest first, as visits.
func (v *detailView) readings(in units.Set, entries []watch.Entry) {
	v.Degree = in.DegreeLetter()
	for i := range entries {
		v.add(in, &entries[i])
	}
}

// add puts an entry under the visit before it where it belongs to that. A
// change, and a visit without a reading, are words alone.
func (v *detailView) add(in units.Set, e *watch.Entry) {
	key := visitOf(in, e)
	n := len(v.Visits)
	if n == 0 || v.Visits[n-1].of != key {
		v.Visits = append(v.Visits, visitView{Words: key.words(e.Origin), of: key})
		n++
	}
	if words.EntryFire(e) == "" {
		return
	}
	visit := &v.Visits[n-1]
	visit.Readings = slices.Insert(visit.Readings, 0, []string{
		words.EntryFireShort(e), words.EntryCondition(e),
		number(e.CO2Percent, e.CO2Decimals), number(e.O2Percent, e.O2Decimals),
		words.VerdictShort(e), number(e.CO.AirFreePPM, 0), number(in.Number(units.Temperature, e.FlueTempC, 0)),
	})
}

// newestRows is how many rows of readings, or visits, a row of the list opens to.
const newestRows = 16

// newest are the newest readings of a unit.
func (v *detailView) newest(in units.Set, s *watch.Story) {
	if v.History = historyOf(in, s); v.History != nil {
		n := min(len(v.History.Rows), newestRows)
		v.History.Rows, v.Earlier = v.History.Rows[:n], len(v.History.Rows)-n
		return
	}
	v.readings(in, s.Entries)
	n := min(len(v.Visits), newestRows)
	v.Visits, v.Earlier = v.Visits[:n], len(v.Visits)-n
}
