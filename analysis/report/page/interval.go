package page

import (
	"fmt"
	"math"
	"strings"

	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/model/judge"
)

// Measures of a row's interval, px. Every boiler, fuel and page has the same scale:
// the target is at originX, a point of CO2 is pointWidth, and nothing is drawn left of
// leastX or right of mostX but the triangles that point there.
const (
	intervalWidth, intervalHeight = 224, 44
	originX, pointWidth           = 120, 80
	leastX, mostX                 = 24, 216
	trackHeight                   = 12
	firstTrack, secondTrack       = 12, 32 // middles of two tracks
	onlyTrack                     = 22
)

// track is one fire of a row, in points of CO2 from its target, towards rich; NaN
// where nothing is known.
type track struct {
	letter           string // "H" or "L", "" of a single fire
	setLean, setRich float64
	actLean, actRich float64
	expected         float64 // today
	low, high        float64 // its 90 % interval
	worst            float64 // expected on the worst day, where the chance only then is 50 % or more
	read             float64 // the last reading, where nothing is expected
}

// tracksOf takes the fires of a line: both, the single one, or of points those at the
// highest and at the lowest rate.
func tracksOf(l *watch.Line) []track {
	if len(l.Fires) == 0 {
		return nil
	}
	if len(l.Fires) == 1 {
		return []track{trackOf(&l.Fires[0], "")}
	}
	return []track{trackOf(&l.Fires[0], "H"), trackOf(&l.Fires[len(l.Fires)-1], "L")}
}

func trackOf(f *watch.FireLine, letter string) track {
	b, target, nan := f.Bands, f.Bands.Target, math.NaN()
	t := track{
		letter: letter, setLean: b.SetLow - target, setRich: b.SetHigh - target, actLean: b.ActLow - target, actRich: b.ActHigh - target,
		expected: nan, low: nan, high: nan, worst: nan, read: nan,
	}
	p := f.Forecast
	if p == nil || math.IsNaN(p.CO2Percent) || math.IsNaN(p.Today.Out()) {
		t.read = f.CO2Percent - target
		return t
	}
	t.expected, t.low, t.high = p.CO2Percent-target, p.LowPercent-target, p.HighPercent-target
	t.worst = f.AtWorst() - target
	return t
}

// xOf is where a deviation stands, not cut.
func xOf(points float64) int { return originX + int(math.Round(pointWidth*points)) }

// cut keeps a place within the range; false where it had to be cut.
func cut(x int) (at int, within bool) {
	at = min(max(x, leastX), mostX)
	return at, at == x
}

// paths are pieces of a drawing, by class in the order in which they are drawn.
type paths struct {
	order []string
	by    map[string]*strings.Builder
}

func newPaths(classes ...string) *paths {
	p := &paths{order: classes, by: map[string]*strings.Builder{}}
	for _, c := range classes {
		p.by[c] = &strings.Builder{}
	}
	return p
}

func (p *paths) add(class, format string, values ...any) { fmt.Fprintf(p.by[class], format, values...) }

// write writes the classes that have any piece.
func (p *paths) write(b *strings.Builder) {
	for _, class := range p.order {
		if d := p.by[class]; d.Len() > 0 {
			fmt.Fprintf(b, `<path class=%s d="%s"/>`, class, d)
		}
	}
}

// drawInterval draws the fires of a row on the common scale: action and setting band,
// ticks at the limits, the 90 % interval with the part beyond them in its own class,
// the expected value, and an arrow to the worst one. Classes: a s bands, k ticks,
// n r interval inside and beyond, d e value inside and beyond, w arrow, t triangles
// of what is cut, g open marks of last readings.
func drawInterval(tracks []track, label string) string {
	if len(tracks) == 0 {
		return ""
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class=i role=img viewBox="0 0 %d %d" aria-label="%s">`, intervalWidth, intervalHeight, marked(label))
	p := newPaths("a", "s", "k", "n", "r", "t", "w", "d", "e", "g")
	for i := range tracks {
		y := onlyTrack
		if len(tracks) > 1 {
			y = [...]int{firstTrack, secondTrack}[i]
		}
		if tracks[i].letter != "" {
			fmt.Fprintf(&b, `<text x=4 y=%d>%s</text>`, y+4, tracks[i].letter)
		}
		tracks[i].draw(p, y)
	}
	p.write(&b)
	b.WriteString("</svg>")
	return b.String()
}

func (t *track) draw(p *paths, y int) {
	band(p, "a", t.actLean, t.actRich, y)
	band(p, "s", t.setLean, t.setRich, y)
	for _, limit := range []float64{t.actLean, t.actRich} {
		if x, in := cut(xOf(limit)); in && !math.IsNaN(limit) {
			p.add("k", "M%d %dv%d", x, y-trackHeight/2, trackHeight)
		}
	}
	if math.IsNaN(t.expected) {
		t.reading(p, y)
		return
	}
	t.interval(p, y)
	class := "d"
	if t.beyond(t.expected) {
		class = "e"
	}
	if x, in := cut(xOf(t.expected)); in {
		p.add(class, "M%d %dh0", x, y)
	}
	t.arrow(p, y)
}

// band draws the area between two deviations; a side that is not known is the target.
func band(p *paths, class string, lean, rich float64, y int) {
	known := func(v float64) float64 {
		if math.IsNaN(v) {
			return 0
		}
		return v
	}
	from, _ := cut(xOf(known(lean)))
	to, _ := cut(xOf(known(rich)))
	if to > from {
		p.add(class, "M%d %dh%dv%dh%dz", from, y-trackHeight/2, to-from, trackHeight, from-to)
	}
}

// beyond reports whether a deviation lies outside the limits.
func (t *track) beyond(points float64) bool { return points < t.actLean || points > t.actRich }

// interval draws the 90 % interval, what lies beyond the limits in a class of its own,
// with a triangle where it is cut.
func (t *track) interval(p *paths, y int) {
	low, lowIn := cut(xOf(t.low))
	high, highIn := cut(xOf(t.high))
	lean, rich := low, high
	if !math.IsNaN(t.actLean) {
		lean = xOf(t.actLean)
	}
	if !math.IsNaN(t.actRich) {
		rich = xOf(t.actRich)
	}
	for _, s := range splitAt(lean, rich, low, high) {
		p.add(s.class, "M%d %dh%d", s.from, y, s.to-s.from)
	}
	if !lowIn {
		beyondLeft(p, "t", y)
	}
	if !highIn {
		beyondRight(p, "t", y)
	}
}

// beyondLeft and beyondRight draw a triangle that points out of the range.
func beyondLeft(p *paths, class string, y int)  { p.add(class, "M%d %dl-7 5 7 5z", leastX, y-5) }
func beyondRight(p *paths, class string, y int) { p.add(class, "M%d %dl7 5-7 5z", mostX, y-5) }

// stretch is a part of a drawn interval.
type stretch struct {
	class    string // n inside the limits, r beyond them
	from, to int
}

// splitAt parts an interval at the limits that lie in it.
func splitAt(lean, rich, low, high int) (parts []stretch) {
	lean = min(max(lean, low), high)
	rich = max(min(rich, high), lean)
	for _, s := range []stretch{{"r", low, lean}, {"n", lean, rich}, {"r", rich, high}} {
		if s.to > s.from {
			parts = append(parts, s)
		}
	}
	return parts
}

// arrow draws where the fire is expected at worst.
func (t *track) arrow(p *paths, y int) {
	const head, half, below = 6, 4, 5
	if math.IsNaN(t.worst) {
		return
	}
	from, _ := cut(xOf(t.expected))
	to, _ := cut(xOf(t.worst))
	switch {
	case to > from:
		p.add("w", "M%d %dH%dm0 -%dl%d %d-%d %dz", from, y+below, max(to-head, from), half, head, half, head, half)
	case to < from:
		p.add("w", "M%d %dH%dm0 -%dl-%d %d %d %dz", from, y+below, min(to+head, from), half, head, half, head, half)
	}
}

// reading draws the last reading of a fire about which nothing is expected.
func (t *track) reading(p *paths, y int) {
	const r = "3.5"
	if math.IsNaN(t.read) {
		return
	}
	switch x, in := cut(xOf(t.read)); {
	case in:
		p.add("g", "M%d %da%s %s 0 1 1 0 .01z", x-3, y, r, r)
	case x == leastX:
		beyondLeft(p, "g", y)
	default:
		beyondRight(p, "g", y)
	}
}

// rowInterval draws the interval of a line, with its words.
func rowInterval(l *watch.Line) string {
	tracks := tracksOf(l)
	if len(tracks) == 0 || allUnknown(tracks) {
		return ""
	}
	var told []string
	for i := range l.Fires {
		if f := &l.Fires[i]; f.Fire != judge.Point || i == 0 || i == len(l.Fires)-1 {
			told = append(told, words.FireInterval(f))
		}
	}
	return drawInterval(tracks, strings.Join(told, "; "))
}

// allUnknown reports whether there is nothing to draw.
func allUnknown(tracks []track) bool {
	for _, t := range tracks {
		if !math.IsNaN(t.expected) || !math.IsNaN(t.read) || !math.IsNaN(t.actLean) {
			return false
		}
	}
	return true
}
