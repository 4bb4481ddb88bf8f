package page

import (
	"fmt"
	"html"
	"math"
	"strings"

	"fluedrift/analysis/days"
	"fluedrift/analysis/report/lists"
)

// Measures of a map, in its own units.
const (
	mapWidth = 640
	mapEdge  = 14
	mapMost  = 520 // height
)

// crewTones tell crews apart on the page; more crews begin again.
var crewTones = []string{"#1d5f92", "#b04a12", "#2f7a3d", "#7b3f98", "#8a6d00", "#0f7c80"}

// mapFrame places coordinates on a sheet: an equirectangular picture of the
// stretch that holds them, as wide as it truly is at its middle latitude.
type mapFrame struct {
	west, north, x, y float64 // degrees at the upper left, units a degree
	height            float64
	any               bool
}

func frameOf(places []days.Place) mapFrame {
	w, e, s, n := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, p := range places {
		if !lists.NoPlace(p) {
			w, e, s, n = math.Min(w, p.LongitudeDeg), math.Max(e, p.LongitudeDeg), math.Min(s, p.LatitudeDeg), math.Max(n, p.LatitudeDeg)
		}
	}
	if w > e {
		return mapFrame{}
	}
	squeeze := math.Max(math.Cos((s+n)/2*math.Pi/180), 0.05)
	y := math.Min((mapWidth-2*mapEdge)/math.Max((e-w)*squeeze, 0.01), (mapMost-2*mapEdge)/math.Max(n-s, 0.01))
	return mapFrame{west: w, north: n, x: y * squeeze, y: y, height: math.Round((n-s)*y) + 2*mapEdge, any: true}
}

// at places coordinates in whole units.
func (f mapFrame) at(p days.Place) (x, y int) {
	return mapEdge + int(math.Round((p.LongitudeDeg-f.west)*f.x)), mapEdge + int(math.Round((f.north-p.LatitudeDeg)*f.y))
}

// drawDays draws days from coordinates alone: a line from the crew's home
// through its stops and back, a square for the home, a dot a stop, numbered
// where it is one day. It is empty where no place is known.
func drawDays(p *days.Plan, of []*days.CrewDay, label string) string {
	var places []days.Place
	for _, d := range of {
		places = append(places, d.Home)
		for i := range d.Stops {
			places = append(places, d.Stops[i].Place)
		}
	}
	f := frameOf(places)
	if !f.any {
		return ""
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class=map role=img viewBox="0 0 %d %.0f" aria-label="%s">`, mapWidth, f.height, html.EscapeString(label))
	for _, d := range of {
		drawDay(&b, f, d, crewTone(p, d.Crew), len(of) == 1)
	}
	b.WriteString("</svg>")
	return b.String()
}

func drawDay(b *strings.Builder, f mapFrame, d *days.CrewDay, tone string, numbered bool) {
	var line []string
	add := func(p days.Place) {
		if !lists.NoPlace(p) {
			x, y := f.at(p)
			line = append(line, fmt.Sprintf("%d,%d", x, y))
		}
	}
	add(d.Home)
	for i := range d.Stops {
		add(d.Stops[i].Place)
	}
	add(d.Home)
	fmt.Fprintf(b, `<polyline points="%s" fill=none stroke="%s" stroke-opacity=".6"/>`, strings.Join(line, " "), tone)
	if !lists.NoPlace(d.Home) {
		x, y := f.at(d.Home)
		fmt.Fprintf(b, `<rect x="%d" y="%d" width=8 height=8 fill="%s"/>`, x-4, y-4, tone)
	}
	for i := range d.Stops {
		if lists.NoPlace(d.Stops[i].Place) {
			continue
		}
		x, y := f.at(d.Stops[i].Place)
		fmt.Fprintf(b, `<circle cx="%d" cy="%d" r=3 fill="%s"/>`, x, y, tone)
		if numbered {
			fmt.Fprintf(b, `<text x="%d" y="%d">%d</text>`, x+5, y-3, i+1)
		}
	}
}

// crewTone is a crew's colour.
func crewTone(p *days.Plan, code string) string {
	for i := range p.Crews {
		if p.Crews[i].Code == code {
			return crewTones[i%len(crewTones)]
		}
	}
	return crewTones[0]
}
