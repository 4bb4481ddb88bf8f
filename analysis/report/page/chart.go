package page

import (
	"fmt"
	"html"
	"strings"

	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
)

// chartForm is how large a chart is drawn, px. Its text is never scaled: a narrow page
// has a chart of its own.
type chartForm struct {
	width       int
	left, right int // room for the numbers at the left and the labels at the right
	panel       int // height of one fire's
	month       int // width of a month ahead
	months      int // how many letters the name of a month has
	years       int // how far back it goes; 0: to the first reading
	co          bool
	setting     bool // labels at the ends of the setting band too
	brief       bool // labels are numbers alone, and no key stands above
}

var (
	wideChart   = chartForm{width: 1392, left: 56, right: 112, panel: 176, month: 40, months: 3, co: true, setting: true}
	detailChart = chartForm{width: 904, left: 42, right: 92, panel: 124, month: 21, months: 3}
	sheetChart  = chartForm{width: 358, left: 32, right: 36, panel: 40, month: 12, months: 1, years: 5, brief: true}
	phoneChart  = chartForm{width: 358, left: 32, right: 36, panel: 140, month: 12, months: 1, years: 5, brief: true}
)

// Rooms of a chart, px.
const (
	partGap  = 12 // between the years and the months ahead
	panelGap = 28
	keyRoom  = 24 // the key, above all
	turnRoom = 40 // "today" and the changes, above the first panel
	axisRoom = 40 // months and the planned visit, below the last panel
	coTitle  = 20 // above the strip of CO
	coHeight = 72
	yearRoom = 24
	lineGap  = 13 // least distance of two labels
)

// drawing is a chart on the way: whole units only, so that it stays small and the same
// on every machine.
type drawing struct {
	strings.Builder
	chartForm
	chart *watch.Chart
	time  timeScale
	paths *paths
	texts strings.Builder // above all paths
}

// chartClasses are what is drawn, the lowest first: hairlines h, bands a s, fan f and what
// of it lies beyond the limits o, limits, drift and edges of the fan k, its edges
// beyond the limits z, target and today l, days of changes u, the middle of the fan m,
// adjusted v, as left d, as found c and found out of limits e with q in either,
// triangles at the edge t, crosses of what is left out x.
var chartClasses = []string{"h", "a", "s", "f", "o", "k", "z", "l", "u", "m", "v", "d", "c", "e", "q", "t", "x"}

// drawChart draws a unit's history, a panel a fire on axes that are alike: years up to
// today, then the months ahead. It is empty where there is nothing to draw. The words
// of the chart stand in its label.
func drawChart(c watch.Chart, form chartForm) string {
	var panels []*watch.ChartFire
	var told []string
	for i := range c.Fires {
		f := &c.Fires[i]
		told = append(told, words.ChartFire(f, c.AsOf))
		if len(f.Dots)+len(f.Fan) > 0 {
			panels = append(panels, f)
		}
	}
	if len(panels) == 0 {
		return ""
	}
	d := &drawing{chartForm: form, chart: &c, time: timesOf(&c, form), paths: newPaths(chartClasses...)}
	bottom := d.top(len(panels)) - panelGap
	height := bottom + axisRoom
	if form.co && len(c.CO) > 0 {
		height += coTitle + coHeight + yearRoom
	}
	fmt.Fprintf(d, `<svg class=chart role=img viewBox="0 0 %d %d" aria-label="%s">`, form.width, height, marked(strings.Join(told, " ")))
	if !form.brief {
		d.key()
	}
	for i, f := range panels {
		d.fire(f, d.top(i))
	}
	d.today(d.top(0), bottom)
	d.turns(d.top(0), bottom)
	d.ahead(bottom)
	if form.co && len(c.CO) > 0 {
		d.carbonMonoxide(bottom + axisRoom + coTitle)
		d.years(height - yearRoom)
	} else {
		d.years(bottom)
	}
	d.paths.write(&d.Builder)
	d.WriteString(d.texts.String())
	d.WriteString("</svg>")
	return d.String()
}

// marked makes text safe within the drawing.
func marked(s string) string { return html.EscapeString(words.Visible(s)) }

// top is where the panel of a fire begins.
func (d *drawing) top(i int) int {
	top := turnRoom + i*(d.panel+panelGap)
	if !d.brief {
		top += keyRoom
	}
	return top
}

// text writes words at a place, class by class: n ends there, b is bold, r red, y soft.
func (d *drawing) text(x, y int, class, s string) {
	switch {
	case strings.Contains(class, " "):
		class = ` class="` + class + `"`
	case class != "":
		class = " class=" + class
	}
	fmt.Fprintf(&d.texts, `<text x=%d y=%d%s>%s</text>`, x, y, class, marked(s))
}

// key names the marks beside their own shapes.
func (d *drawing) key() {
	x := d.left
	const y = 10
	for _, k := range []struct {
		class, path, words string
		wide               int
	}{
		{"c", "h0", "as found", 78},
		{"d", "h0", "as left", 70},
		{"v", "v-5v10", "adjusted at the visit", 150},
		{"t", "m-5 4l5-9 5 9z", "beyond the edge, value beside it", 220},
	} {
		d.paths.add(k.class, "M%d %d%s", x, y-1, k.path)
		if k.class == "c" {
			d.paths.add("q", "M%d %d%s", x, y-1, k.path)
		}
		d.text(x+10, y+3, "", k.words)
		x += k.wide
	}
}

// today draws the line between what was read and what is expected.
func (d *drawing) today(top, bottom int) {
	x := d.time.split
	d.paths.add("l", "M%d %dV%d", x, top-turnRoom+4, bottom)
	d.text(x-6, top-turnRoom+14, "n b", "today, "+words.Day(d.chart.AsOf))
	if d.time.end > d.time.split+partGap && !d.brief {
		d.text(x+6, top-turnRoom+14, "", "expected, with 90 % range")
	}
}

// turnNames say what is another from a day on.
var turnNames = map[string]string{"vent": "vent run changed", "fuel": "fuel changed", "moved": "moved here"}

// turns draws the days from which vent run, fuel or place are others; a bracket over
// the days on one of which it was, where the day is not known.
func (d *drawing) turns(top, bottom int) {
	before := -1 // where the last label ends
	for _, t := range d.chart.Turns {
		x, name := d.time.x(t.Day), turnNames[t.What]
		if name == "" {
			name = t.What
		}
		if t.Uncertain != day.None {
			first := d.time.x(max(t.Uncertain, d.time.from))
			d.paths.add("k", "M%d %dv-4H%dv4", first, top-14, x)
			x, name = first, name+", day unknown"
		}
		if x < d.left || t.Day < d.time.from {
			continue
		}
		d.paths.add("u", "M%d %dV%d", x, top-10, bottom)
		const letter = 6 // px, in the mean
		if wide := letter * len(name); x-wide > max(before, 0) {
			d.text(x-4, top-10, "n", name)
			before = x
		}
	}
}
