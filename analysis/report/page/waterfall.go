package page

import (
	"fmt"
	"math"
	"strings"

	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
)

// Measures of the drawing of what a forecast is made of, px.
const (
	partsWidth   = 664
	partsTarget  = 440 // where the target is
	partsPerUnit = 300 // a point of CO2
	partsLeast   = 300 // nothing is drawn left of this but words,
	partsMost    = 600 // nor right of this but numbers
	partsRow     = 28
	partsHead    = 36
	partBar      = 12
)

// partX is where a sum of parts stands, cut at the ends.
func partX(points float64) int {
	return min(max(partsTarget+int(math.Round(partsPerUnit*points)), partsLeast), partsMost)
}

// drawParts draws what the expected CO2 of a fire is made of: a bar a part, from the sum
// so far to the new one, beside target and limits; last the expected value with its
// 90 % interval. It is empty without a forecast.
func drawParts(f *watch.FireLine) string {
	said := words.PartsOf(f)
	p, b := f.Forecast, f.Bands
	if len(said) == 0 || math.IsNaN(p.CO2Percent+b.Target) {
		return ""
	}
	height := partsHead + partsRow*(len(said)+1)
	var told []string
	for _, part := range said {
		told = append(told, part.Words+" "+part.Signed())
	}
	var out, texts strings.Builder
	text := func(x, y int, class, s string) {
		fmt.Fprintf(&texts, `<text x=%d y=%d class="%s">%s</text>`, x, y, class, marked(s))
	}
	fmt.Fprintf(&out, `<svg class=parts role=img viewBox="0 0 %d %d" aria-label="%s">`, partsWidth, height,
		marked(words.FireInterval(f)+". Points from target: "+strings.Join(told, "; ")))
	d := newPaths("a", "s", "k", "l", "p", "n", "r", "d", "e")
	partBands(d, &b, height, text)
	sum := 0.0
	for i, part := range said {
		y := partsHead + partsRow*i
		from, to := partX(sum), partX(sum+part.Points)
		d.add("p", "M%d %dH%dv%dH%dz", min(from, to), y+8, max(from, to, min(from, to)+1), partBar, min(from, to))
		d.add("k", "M%d %dv%d", to, y+8+partBar, partsRow-partBar)
		text(0, y+18, "", part.Words)
		text(partsWidth, y+18, "n", part.Signed())
		sum += part.Points
	}
	y := partsHead + partsRow*len(said) + partsRow/2
	partsTotal(d, f, y)
	text(0, y+4, "b", "Expected today")
	text(partsWidth, y+4, "n b", words.Number(p.CO2Percent, 2)+" %")
	d.write(&out)
	out.WriteString(texts.String())
	out.WriteString("</svg>")
	return out.String()
}

// partBands draws target, bands and limits behind all rows, with their values above.
func partBands(d *paths, b *watch.BandSpan, height int, text func(x, y int, class, s string)) {
	for _, band := range []struct {
		class     string
		low, high float64
	}{{"a", b.ActLow, b.ActHigh}, {"s", b.SetLow, b.SetHigh}} {
		if low, high := partX(band.low-b.Target), partX(band.high-b.Target); !math.IsNaN(band.low+band.high) && high > low {
			d.add(band.class, "M%d %dH%dV%dH%dz", low, partsHead, high, height, low)
		}
	}
	for _, limit := range []struct {
		co2  float64
		name string
	}{{b.ActLow, "limit, lean"}, {b.ActHigh, "limit, rich"}} {
		if !math.IsNaN(limit.co2) {
			x := partX(limit.co2 - b.Target)
			d.add("k", "M%d %dV%d", x, partsHead, height)
			text(x, 14, "c y", limit.name)
			text(x, 28, "c y", words.GasNumber(limit.co2))
		}
	}
	d.add("l", "M%d %dV%d", partsTarget, partsHead, height)
	text(partsTarget, 14, "c", "target")
	text(partsTarget, 28, "c", words.GasNumber(b.Target))
}

// partsTotal draws the expected value with its interval, as a row of the list does.
func partsTotal(d *paths, f *watch.FireLine, y int) {
	p, b := f.Forecast, f.Bands
	low, high := partX(p.LowPercent-b.Target), partX(p.HighPercent-b.Target)
	lean, rich := low, high
	if !math.IsNaN(b.ActLow + b.ActHigh) {
		lean, rich = partX(b.ActLow-b.Target), partX(b.ActHigh-b.Target)
	}
	for _, s := range splitAt(lean, rich, low, high) {
		d.add(s.class, "M%d %dH%d", s.from, y, s.to)
	}
	class := "d"
	if p.CO2Percent < b.ActLow || p.CO2Percent > b.ActHigh {
		class = "e"
	}
	d.add(class, "M%d %dh0", partX(p.CO2Percent-b.Target), y)
}
