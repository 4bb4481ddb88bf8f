package page

import (
	"fmt"
	"math"
	"slices"

	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// valueScale places CO2 on an axis about a target: the same points a px in every
// panel, so that slopes compare.
type valueScale struct {
	center, reach float64 // the axis ends at center +- reach
	top, height   int
}

// Reach of the axis, points of CO2; the wide one where an action band exceeds wideBand.
const (
	plainReach, wideReach = 1, 1.5
	wideBand              = 0.7
)

func valuesOf(f *watch.ChartFire, reach float64, top, height int) valueScale {
	v := valueScale{reach: reach, top: top, height: height}
	switch n := len(f.Bands); {
	case n > 0:
		v.center = f.Bands[n-1].Target
	case len(f.Fan) > 0:
		v.center = f.Fan[0].CO2Percent
	default:
		v.center = f.Dots[len(f.Dots)-1].CO2Percent
	}
	return v
}

// reachOf is the reach of the axes of all fires of a chart.
func reachOf(fires []watch.ChartFire) float64 {
	for i := range fires {
		if n := len(fires[i].Bands); n > 0 {
			b := &fires[i].Bands[n-1]
			if b.ActHigh-b.Target > wideBand || b.Target-b.ActLow > wideBand {
				return wideReach
			}
		}
	}
	return plainReach
}

// y places a value; beyond the axis it is at the edge.
func (v valueScale) y(co2 float64) int {
	off := min(max(co2-v.center, -v.reach), v.reach)
	return v.top + int(math.Round((v.reach-off)/(2*v.reach)*float64(v.height)))
}

// side tells where a value lies: 1 above the axis, -1 below, 0 on it.
func (v valueScale) side(co2 float64) int {
	switch {
	case co2 > v.center+v.reach:
		return 1
	case co2 < v.center-v.reach:
		return -1
	}
	return 0
}

// fire draws one fire, its top at a height.
func (d *drawing) fire(f *watch.ChartFire, top int) {
	v := valuesOf(f, reachOf(d.chart.Fires), top, d.panel)
	d.text(d.left, top-6, "b", words.Capital(words.FireLabel(f.Fire, math.NaN()))+", CO2 %")
	d.grid(v)
	for _, b := range f.Bands {
		d.bands(b, v)
	}
	if n := len(f.Bands); n > 0 {
		d.limits(&f.Bands[n-1], v)
	}
	d.fan(f, v)
	d.drift(f.Dots, v)
	d.dots(f.Dots, v)
}

// grid draws the hairlines of the axis, each half point, with their numbers.
func (d *drawing) grid(v valueScale) {
	for k := -v.reach; k <= v.reach+1e-9; k += 0.5 {
		y := v.y(v.center + k)
		d.paths.add("h", "M%d %dH%d", d.left, y, d.time.split-4)
		d.text(d.left-6, y+4, "n y", words.Number(v.center+k, 1))
	}
	marks, _ := d.time.yearMarks()
	for _, m := range marks {
		d.paths.add("h", "M%d %dv%d", m.x, v.top, v.height)
	}
}

// bands draws a target and its bands over their days, before today and after.
func (d *drawing) bands(b watch.BandSpan, v valueScale) {
	d.span(b, v, max(b.From, d.time.from), min(b.Until, d.time.asOf), 0)
	if b.Until > d.time.asOf {
		d.span(b, v, d.time.asOf, b.Until, partGap)
	}
}

// span draws a target and its bands between two days on one side of today.
func (d *drawing) span(b watch.BandSpan, v valueScale, from, to day.Day, gap int) {
	x, end := d.time.x(from)+gap, d.time.x(to)
	if end <= x {
		return
	}
	known := func(co2 float64) float64 {
		if math.IsNaN(co2) {
			return b.Target
		}
		return co2
	}
	for _, s := range []struct {
		class     string
		low, high float64
	}{{"a", b.ActLow, b.ActHigh}, {"s", b.SetLow, b.SetHigh}} {
		if low, high := v.y(known(s.low)), v.y(known(s.high)); low > high {
			d.paths.add(s.class, "M%d %dH%dV%dH%dz", x, high, end, low, x)
		}
	}
	for _, limit := range []float64{b.ActLow, b.ActHigh} {
		if !math.IsNaN(limit) && v.side(limit) == 0 {
			d.paths.add("k", "M%d %dH%d", x, v.y(limit), end)
		}
	}
	if v.side(b.Target) == 0 {
		d.paths.add("l", "M%d %dH%d", x, v.y(b.Target), end)
	}
}

// limits labels today's target and bands at the right margin, in place of a key.
func (d *drawing) limits(b *watch.BandSpan, v valueScale) {
	type label struct {
		co2   float64
		words string
	}
	all := []label{{b.ActHigh, " limit, rich"}, {b.Target, " target"}, {b.ActLow, " limit, lean"}}
	if d.setting {
		all = []label{{b.ActHigh, " limit, rich"}, {b.SetHigh, ""}, {b.Target, " target"}, {b.SetLow, ""}, {b.ActLow, " limit, lean"}}
	}
	all = slices.DeleteFunc(all, func(l label) bool { return math.IsNaN(l.co2) || v.side(l.co2) != 0 })
	ys := make([]int, len(all))
	for i, l := range all {
		ys[i] = v.y(l.co2) + 4
	}
	for i, y := range spread(ys, lineGap) {
		text := words.GasNumber(all[i].co2)
		if !d.brief {
			text += all[i].words
		}
		class := ""
		if all[i].words == "" {
			class = "y"
		}
		d.text(d.time.end+6, y, class, text)
	}
}

// spread moves labels apart that are nearer than a gap, downwards in order, about
// their middle.
func spread(ys []int, gap int) []int {
	out := slices.Clone(ys)
	for i := 1; i < len(out); i++ {
		out[i] = max(out[i], out[i-1]+gap)
	}
	if n := len(out); n > 0 {
		shift := (out[n-1] - ys[n-1]) / 2
		for i := range out {
			out[i] -= shift
		}
		for i := n - 2; i >= 0; i-- {
			out[i] = min(out[i], out[i+1]-gap)
		}
	}
	return out
}

// fan draws what is expected from the as-of day on: the area of the 90 % range, what
// of it lies beyond the limits, the middle, and today's value.
func (d *drawing) fan(f *watch.ChartFire, v valueScale) {
	if len(f.Fan) == 0 {
		return
	}
	var low, high, middle []point
	for _, p := range f.Fan {
		x := d.time.x(p.Day)
		if p.Day <= d.time.asOf && d.time.end > d.time.split {
			x = d.time.split + partGap
		}
		low, high, middle = append(low, point{x, p.LowPercent}), append(high, point{x, p.HighPercent}), append(middle, point{x, p.CO2Percent})
	}
	bottom, top := v.center-v.reach, v.center+v.reach
	lean, rich := bottom, top
	if n := len(f.Bands); n > 0 {
		if b := &f.Bands[n-1]; !math.IsNaN(b.ActLow + b.ActHigh) {
			lean, rich = min(max(b.ActLow, bottom), top), max(min(b.ActHigh, top), bottom)
		}
	}
	for _, part := range []struct {
		area, edge string
		low, top   float64
	}{{"f", "k", lean, rich}, {"o", "z", rich, top}, {"o", "z", bottom, lean}} {
		if ring := areaBetween(low, high, part.low, part.top); len(ring) > 0 {
			d.paths.add(part.area, "%sz", d.line(ring, v))
		}
		for _, edge := range [][]point{low, high} {
			for _, piece := range pieces(edge, part.low, part.top) {
				d.paths.add(part.edge, "%s", d.line(piece, v))
			}
		}
	}
	for _, piece := range pieces(middle, bottom, top) {
		d.paths.add("m", "%s", d.line(piece, v))
	}
	d.expected(f.Fan[0].CO2Percent, middle[0].x, v)
}

// expected marks what is expected today.
func (d *drawing) expected(co2 float64, x int, v valueScale) {
	d.paths.add("d", "M%d %dh0", x, v.y(co2))
	label := words.Number(co2, 1)
	if !d.brief {
		label += " today"
	}
	d.text(x+8, v.y(co2)+14, "b halo", label)
}

// ring draws what was found: a dot of a class with a hole in it.
func (d *drawing) ring(class string, x, y int) {
	d.paths.add(class, "M%d %dh0", x, y)
	d.paths.add("q", "M%d %dh0", x, y)
}

// dots draws the readings of a fire: as left, as found, found out of limits, and what
// lies beyond the axis at its edge with its value.
func (d *drawing) dots(dots []watch.Dot, v valueScale) {
	const room = 30   // px of a value
	labelled := -room // where the last value stands
	for i := range dots {
		p := &dots[i]
		if p.Condition == judge.Between || p.Day < d.time.from {
			continue
		}
		x, y, side := d.time.x(p.Day), v.y(p.CO2Percent), v.side(p.CO2Percent)
		found := p.Condition == judge.AsFound
		switch {
		case side > 0:
			d.paths.add("t", "M%d %dl5 9h-10z", x, y)
		case side < 0:
			d.paths.add("t", "M%d %dl5-9h-10z", x, y)
		case found && p.Out:
			d.ring("e", x, y)
		case found:
			d.ring("c", x, y)
		default:
			d.paths.add("d", "M%d %dh0", x, y)
		}
		if p.LeftOut {
			d.paths.add("x", "M%d %dl8 8m0-8l-8 8", x-4, y-4)
		}
		if (side != 0 || found && p.Out) && x-labelled >= room {
			d.text(x+8, y+4, "b r halo", words.Number(p.CO2Percent, 1))
			labelled = x
		}
	}
}

// drift draws what happened: at a visit from as found to as left, between two visits
// from what was left to what was found next.
func (d *drawing) drift(dots []watch.Dot, v valueScale) {
	var last *watch.Dot
	for i := range dots {
		p := &dots[i]
		if p.Condition == judge.Between || p.LeftOut {
			continue
		}
		if last != nil && p.Day >= d.time.from && last.Day >= d.time.from {
			x, y := d.time.x(p.Day), v.y(p.CO2Percent)
			switch from, at := d.time.x(last.Day), v.y(last.CO2Percent); {
			case p.Visit == last.Visit && p.Condition == judge.AsLeft && last.Condition == judge.AsFound:
				if at != y {
					d.paths.add("v", "M%d %dV%d", x, at, y)
				}
			case p.Visit != last.Visit:
				d.paths.add("k", "M%d %dL%d %d", from, at, x, y)
			}
		}
		last = p
	}
}

// ahead draws the months ahead below the last panel, and the planned visit.
func (d *drawing) ahead(bottom int) {
	if d.time.to <= d.time.asOf {
		return
	}
	for _, m := range d.time.monthMarks(d.months) {
		d.paths.add("k", "M%d %dv4", m.x, bottom)
		if m.label != "" {
			d.text(m.x+2, bottom+16, "y", m.label)
		}
	}
	if p := d.chart.Planned; p > d.time.asOf && p <= d.time.to {
		x := d.time.x(p)
		d.paths.add("u", "M%d %dV%d", x, d.top(0), bottom)
		d.text(min(x+40, d.width), bottom+32, "n y", "planned visit "+words.Day(p))
	}
}

// years writes the years below the past.
func (d *drawing) years(bottom int) {
	marks, labels := d.time.yearMarks()
	for _, m := range marks {
		d.paths.add("k", "M%d %dv4", m.x, bottom)
	}
	for _, m := range labels {
		d.text(m.x, bottom+16, "c y", m.label)
	}
}

// Ends of the axis of CO, ppm air-free; it is logarithmic.
const leastCO, mostCO = 10.0, 1000.0

// coY places a CO in the strip below a height; beyond the axis it is at the edge.
func coY(ppm float64, top int) int {
	share := math.Log(min(max(ppm, leastCO), mostCO)/leastCO) / math.Log(mostCO/leastCO)
	return top + int(math.Round((1-share)*coHeight))
}

// carbonMonoxide draws the strip of CO with the two configured levels.
func (d *drawing) carbonMonoxide(top int) {
	d.text(d.left, top-8, "b", "CO, ppm air-free, higher of the fires")
	for _, ppm := range []float64{leastCO, 100, mostCO} {
		y := coY(ppm, top)
		d.paths.add("h", "M%d %dH%d", d.left, y, d.time.split-4)
		d.text(d.left-6, y+4, "n y", words.Number(ppm, 0))
	}
	var ys []int
	levels := []string{fmt.Sprintf("%.0f urgent", d.chart.UrgentPPM), fmt.Sprintf("%.0f attention", d.chart.AttentionPPM)}
	for _, ppm := range []float64{d.chart.UrgentPPM, d.chart.AttentionPPM} {
		y := coY(ppm, top)
		d.paths.add("k", "M%d %dH%d", d.left, y, d.time.split)
		ys = append(ys, y+4)
	}
	for i, y := range spread(ys, lineGap) {
		d.text(d.time.split+6, y, "", levels[i])
	}
	for _, p := range d.chart.CO {
		if p.Day < d.time.from || p.Condition == judge.Between {
			continue
		}
		x, y := d.time.x(p.Day), coY(p.PPM, top)
		switch {
		case p.PPM > mostCO:
			d.paths.add("t", "M%d %dl5 9h-10z", x, y)
		case p.PPM >= d.chart.UrgentPPM:
			d.paths.add("e", "M%d %dh0", x, y)
		case p.Condition == judge.AsFound:
			d.ring("c", x, y)
		default:
			d.paths.add("d", "M%d %dh0", x, y)
		}
	}
}
