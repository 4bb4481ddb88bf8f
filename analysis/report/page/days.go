package page

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"

	"fluedrift/analysis/days"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/report/words"
)

//go:embed days.tmpl.html
var daysText string

var daysTemplate = template.Must(template.New("days").Funcs(template.FuncMap{
	"clock": words.Clock, "day": words.Day, "visible": words.Visible,
	"span": words.Hours, "mostly": func(d daySheet) string { return words.MostlyDriving(d.CrewDay) },
	"whole": func(v float64) string { return fmt.Sprintf("%.0f", v) }, "tenth": func(v float64) string { return fmt.Sprintf("%.1f", v) },
	"inc": func(i int) int { return i + 1 }, "check": words.Checks, "why": words.FirstReason, "brought": words.PlannedWhy,
	"way":     func(c days.Compared) string { return words.DaysWay(&c) },
	"standIn": func(s days.Stop) string { return words.StandIn(&s) },
	"leftWhy": func(l days.Left) string { return words.LeftWhy(&l) },
}).Parse(StudyStyle + daysText))

// daysPage is what the page shows.
type daysPage struct {
	*days.Plan
	Words    string
	Notes    []string
	Map      template.HTML
	Crews    []crewKey
	Sheets   []daySheet
	Cautions []string
}

type crewKey struct {
	Code string
	Tone template.CSS
}

type daySheet struct {
	*days.CrewDay
	ID  string
	Map template.HTML
}

// WriteDaysPage writes a plan as one page that needs nothing else: how it
// compares, a map drawn from coordinates alone, what is left over, and a sheet a
// day to print. It has no script and asks no other machine for anything.
func WriteDaysPage(w io.Writer, in units.Set, p *days.Plan) error {
	v := daysPage{Plan: p, Words: words.Days(p), Notes: words.DaysNotes(in, p), Cautions: words.Cautions()}
	all := make([]*days.CrewDay, len(p.Days))
	for i := range p.Days {
		d := &p.Days[i]
		all[i] = d
		label := fmt.Sprintf("Crew %s on %s: %s, %s of driving", d.Crew, words.Day(d.Day), words.Counted(len(d.Stops), "stop"),
			words.Hours(d.DriveMinutes))
		v.Sheets = append(v.Sheets, daySheet{d, fmt.Sprintf("d%d", i+1), template.HTML(drawDays(p, []*days.CrewDay{d}, label))})
	}
	v.Map = template.HTML(drawDays(p, all, "All stops of the weeks, a line a crew and day"))
	for i := range p.Crews {
		v.Crews = append(v.Crews, crewKey{p.Crews[i].Code, template.CSS(crewTones[i%len(crewTones)])})
	}
	if err := daysTemplate.Execute(w, v); err != nil {
		return fmt.Errorf("write page of days: %w", err)
	}
	return nil
}
