package page

import (
	"fmt"
	"html"
	"math"
	"strings"
	"time"

	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Measures of a chart, in its own units.
const (
	chartWidth  = 640
	panelHeight = 150
	leftRoom    = 34 // for the numbers at the side
	rightRoom   = 8
	titleRoom   = 16
	yearRoom    = 16 // for the years below
)

// drawing is a chart on the way: whole units only, so that it stays small and
// the same on every machine.
type drawing struct {
	strings.Builder
	from, to day.Day
}

// drawChart draws a unit's history, a panel a fire: the action band in the
// lighter tone and the setting band within it, the target as a line, as found
// as hollow squares, as left as filled dots, between as small dots, and from
// the as-of day on what is expected with its 90 % interval. The words of the
// chart stand in its label. It is empty where there is nothing to draw.
func drawChart(c watch.Chart) string {
	var panels []watch.ChartFire
	var told []string
	for _, f := range c.Fires {
		told = append(told, words.ChartFire(&f, c.AsOf))
		if f.High > f.Low {
			panels = append(panels, f)
		}
	}
	if len(panels) == 0 || c.To <= c.From {
		return ""
	}
	d := &drawing{from: c.From, to: c.To}
	fmt.Fprintf(d, `<svg role=img viewBox="0 0 %d %d" aria-label="%s">`, chartWidth,
		len(panels)*(titleRoom+panelHeight)+yearRoom, marked(strings.Join(told, " ")))
	for i := range panels {
		d.panel(&panels[i], c, i*(titleRoom+panelHeight)+titleRoom)
	}
	d.years(len(panels) * (titleRoom + panelHeight))
	d.WriteString("</svg>")
	return d.String()
}

// marked makes text safe within the drawing.
func marked(s string) string { return html.EscapeString(words.Visible(s)) }

// x places a day.
func (d *drawing) x(day day.Day) int {
	return leftRoom + int(math.Round(float64(day-d.from)/float64(d.to-d.from)*(chartWidth-leftRoom-rightRoom)))
}

// panel draws one fire, its top at a height.
func (d *drawing) panel(f *watch.ChartFire, c watch.Chart, top int) {
	y := func(v float64) int {
		return top + int(math.Round((f.High-v)/(f.High-f.Low)*panelHeight))
	}
	fmt.Fprintf(d, `<text x=%d y=%d class=h>%s, CO2 %%</text>`, leftRoom, top-5, marked(words.FireLabel(f.Fire, math.NaN())))
	for _, b := range f.Bands {
		d.band(b, y)
	}
	d.ticks(f.Low, f.High, y)
	for _, t := range c.Turns {
		fmt.Fprintf(d, `<path class=u d="M%d %dv%d"/><text x=%d y=%d>%s</text>`, d.x(t.Day), top, panelHeight, d.x(t.Day)+2, top+10, t.What)
	}
	d.fan(f, y)
	for _, kind := range []struct {
		condition judge.Condition
		class     string
	}{{judge.Between, "b"}, {judge.AsFound, "o"}, {judge.AsLeft, "l"}} {
		d.dots(f.Dots, kind.condition, kind.class, y)
	}
}

// band draws a target and its bands over their days.
func (d *drawing) band(b watch.BandSpan, y func(float64) int) {
	x, wide := d.x(b.From), d.x(b.Until)-d.x(b.From)
	for _, s := range []struct {
		class     string
		low, high float64
	}{{"a", b.ActLow, b.ActHigh}, {"s", b.SetLow, b.SetHigh}} {
		low, high := s.low, s.high
		if math.IsNaN(low) {
			low = b.Target
		}
		if math.IsNaN(high) {
			high = b.Target
		}
		if high > low {
			fmt.Fprintf(d, `<path class=%s d="M%d %dh%dV%dh-%dz"/>`, s.class, x, y(high), wide, y(low), wide)
		}
	}
	fmt.Fprintf(d, `<path class=t d="M%d %dh%d"/>`, x, y(b.Target), wide)
}

// ticks numbers the side, in steps of which four or five fit.
func (d *drawing) ticks(low, high float64, y func(float64) int) {
	step := 0.1
	for _, s := range []float64{0.2, 0.5, 1, 2, 5} {
		if (high-low)/step > 5 {
			step = s
		}
	}
	for k := math.Ceil(low / step); k*step <= high; k++ {
		fmt.Fprintf(d, `<text x=%d y=%d class=n>%.1f</text>`, leftRoom-4, y(k*step)+4, k*step)
	}
}

// fan draws what is expected from the as-of day on.
func (d *drawing) fan(f *watch.ChartFire, y func(float64) int) {
	if len(f.Fan) == 0 {
		return
	}
	if len(f.Fan) == 1 {
		p := f.Fan[0]
		fmt.Fprintf(d, `<path class=e d="M%d %dV%dM%d %dh6"/>`, d.x(p.Day), y(p.LowPercent), y(p.HighPercent), d.x(p.Day)-3, y(p.CO2Percent))
		return
	}
	var edge, line [][2]int
	for _, p := range f.Fan {
		edge = append(edge, [2]int{d.x(p.Day), y(p.HighPercent)})
		line = append(line, [2]int{d.x(p.Day), y(p.CO2Percent)})
	}
	for i := len(f.Fan) - 1; i >= 0; i-- {
		edge = append(edge, [2]int{d.x(f.Fan[i].Day), y(f.Fan[i].LowPercent)})
	}
	fmt.Fprintf(d, `<path class=f d="%sz"/><path class=e d="%s"/>`, steps(edge), steps(line))
}

// steps writes a line through points, each from the one before: that is
// shorter.
func steps(points [][2]int) string {
	var b strings.Builder
	for i, p := range points {
		if i == 0 {
			fmt.Fprintf(&b, "M%d %dl", p[0], p[1])
			continue
		}
		for k, v := range []int{p[0] - points[i-1][0], p[1] - points[i-1][1]} {
			if v >= 0 && i+k > 1 {
				b.WriteByte(' ')
			}
			fmt.Fprint(&b, v)
		}
	}
	return b.String()
}

// dots draws the readings of one condition as one path, each from the one
// before: as found as squares of six units, the others as lines without length,
// whose round ends are dots.
func (d *drawing) dots(dots []watch.Dot, condition judge.Condition, class string, y func(float64) int) {
	form, half := "h0", 0
	if condition == judge.AsFound {
		form, half = "h6v6h-6z", 3
	}
	var path strings.Builder
	x, at := 0, 0
	for _, p := range dots {
		if p.Condition != condition {
			continue
		}
		dx, dy := d.x(p.Day)-half-x, y(p.CO2Percent)-half-at
		x, at = x+dx, at+dy
		if fmt.Fprintf(&path, "m%d", dx); dy >= 0 {
			path.WriteByte(' ')
		}
		fmt.Fprintf(&path, "%d%s", dy, form)
	}
	if path.Len() > 0 {
		fmt.Fprintf(d, `<path class=%s d="%s"/>`, class, path.String())
	}
}

// years writes the years below, as many as fit.
func (d *drawing) years(bottom int) {
	first, last := YearOf(d.from)+1, YearOf(d.to)
	step := 1
	for (last-first)/step >= 7 {
		step++
	}
	var marks strings.Builder
	for year := first; year <= last; year++ {
		x := d.x(day.Of(year, time.January, 1))
		fmt.Fprintf(&marks, "M%d %dv4", x, bottom)
		if (last-year)%step == 0 && x < chartWidth-3*rightRoom {
			fmt.Fprintf(d, `<text x=%d y=%d>%d</text>`, x+2, bottom+12, year)
		}
	}
	if marks.Len() > 0 {
		fmt.Fprintf(d, `<path class=u d="%s"/>`, marks.String())
	}
}

// YearOf is the year of a day.
func YearOf(d day.Day) int { return d.Year() }
