package page

import (
	"bytes"
	"fmt"
	"html"
	"html/template"
	"image/color"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"

	"fluedrift/analysis/report/words"
)

// Tones of figures. None tells anything by itself: lines differ in how they are
// stroked as well.
var (
	ModelTone = color.RGBA{R: 0x1d, G: 0x1b, B: 0x18, A: 0xff}
	BandTone  = color.RGBA{R: 0xdd, G: 0xd6, B: 0xc6, A: 0xff}
	PlainTone = color.RGBA{R: 0x82, G: 0x7b, B: 0x6e, A: 0xff}
	OtherTone = color.RGBA{R: 0x5a, G: 0x55, B: 0x4c, A: 0xff}
)

// Stroke is how a line is drawn.
type Stroke int

const (
	Solid Stroke = iota
	Dashed
	Dotted
	LongDashed
)

// dashes of each stroke, in points, and how wide the line is.
var strokes = map[Stroke]struct {
	dashes []vg.Length
	width  vg.Length
}{
	Solid:      {nil, vg.Points(1.6)},
	Dashed:     {[]vg.Length{vg.Points(4), vg.Points(3)}, vg.Points(1)},
	Dotted:     {[]vg.Length{vg.Points(0.1), vg.Points(3)}, vg.Points(1.4)},
	LongDashed: {[]vg.Length{vg.Points(9), vg.Points(4)}, vg.Points(1.2)},
}

// Figure is a plot on the way to a page. The first error of what is added to it is
// kept until it is drawn.
type Figure struct {
	*plot.Plot
	size [2]vg.Length
	err  error
}

// Sizes of figures: one of several in a row, and one by itself.
var (
	oneOfMany = [2]vg.Length{11 * vg.Centimeter, 9 * vg.Centimeter}
	byItself  = [2]vg.Length{14 * vg.Centimeter, 8 * vg.Centimeter}
)

// NewFigure makes an empty figure, one of several in a row, with the names of its
// axes.
func NewFigure(x, y string) *Figure {
	p := plot.New()
	p.X.Label.Text, p.Y.Label.Text = x, y
	p.Legend.Left, p.Legend.Top = true, true
	p.BackgroundColor = color.Transparent
	p.X.Tick.Marker, p.Y.Tick.Marker = plainTicks{}, plainTicks{}
	for _, f := range []*font.Font{
		&p.X.Label.TextStyle.Font, &p.Y.Label.TextStyle.Font, &p.X.Tick.Label.Font,
		&p.Y.Tick.Label.Font, &p.Legend.TextStyle.Font,
	} {
		f.Variant = figureFont.Variant
	}
	return &Figure{Plot: p, size: oneOfMany}
}

// NewBroadFigure makes an empty figure that stands by itself.
func NewBroadFigure(x, y string) *Figure {
	f := NewFigure(x, y)
	f.size = byItself
	return f
}

// figureFont is what texts of figures are measured with; the page writes them in
// its own.
var figureFont = font.Font{Typeface: "Liberation", Variant: "Sans"}

// plainTicks are the library's places with as few digits as they need.
type plainTicks struct{}

// Ticks gives the marks of an axis.
func (plainTicks) Ticks(low, high float64) []plot.Tick {
	ticks := plot.DefaultTicks{}.Ticks(low, high)
	for i := range ticks {
		if ticks[i].Label != "" {
			const digits = 6 // more are from sums of steps
			v, _ := strconv.ParseFloat(strconv.FormatFloat(ticks[i].Value, 'g', digits, 64), 64)
			ticks[i].Label = strconv.FormatFloat(v, 'f', -1, 64)
		}
	}
	return ticks
}

// add adds what could be made, in the order of calls.
func (f *Figure) add(p plot.Plotter, err error) bool {
	if f.err == nil {
		f.err = err
	}
	if f.err == nil {
		f.Add(p)
	}
	return f.err == nil
}

// Line adds a line, with its name in the legend where it has one.
func (f *Figure) Line(name string, at plotter.XYs, tone color.Color, as Stroke) {
	l, err := plotter.NewLine(at)
	if err == nil {
		l.Color, l.Width, l.Dashes = tone, strokes[as].width, strokes[as].dashes
	}
	if f.add(l, err) && name != "" {
		f.Legend.Add(name, l)
	}
}

// Dots adds points.
func (f *Figure) Dots(at plotter.XYs, tone color.Color) { f.add(dots{at, tone}, nil) }

// Marks adds points of a shape, their radius in points.
func (f *Figure) Marks(at plotter.XYs, shape draw.GlyphDrawer, tone color.Color, radius float64) {
	marks, err := plotter.NewScatter(at)
	if err == nil {
		marks.Shape, marks.Color, marks.Radius = shape, tone, vg.Points(radius)
	}
	f.add(marks, err)
}

// Counts adds circles of the size of counts, each with its count in it.
func (f *Figure) Counts(at plotter.XYs, counts []int, most int) {
	circles, err := plotter.NewScatter(at)
	if err == nil {
		circles.GlyphStyleFunc = func(i int) draw.GlyphStyle {
			r := 2.5 + 8*math.Sqrt(float64(counts[i])/float64(most))
			return draw.GlyphStyle{Color: BandTone, Radius: vg.Points(r), Shape: draw.CircleGlyph{}}
		}
	}
	f.add(circles, err)
	names := make([]string, len(counts))
	for i, n := range counts {
		names[i] = strconv.Itoa(n)
	}
	labels, err := plotter.NewLabels(plotter.XYLabels{XYs: at, Labels: names})
	if err == nil {
		for i := range labels.TextStyle {
			style := &labels.TextStyle[i]
			style.Font.Variant, style.Font.Size = figureFont.Variant, vg.Points(8)
			style.XAlign, style.YAlign = draw.XCenter, draw.YCenter
		}
	}
	f.add(labels, err)
}

// Band adds the area between two lines over the same places. It comes last in the
// legend: the name is added by the function returned.
func (f *Figure) Band(low, high plotter.XYs) (named func(string)) {
	ring := slices.Clone(low)
	for _, p := range slices.Backward(high) {
		ring = append(ring, p)
	}
	band, err := plotter.NewPolygon(ring)
	if err == nil {
		band.Color, band.LineStyle.Width = BandTone, 0
	}
	if !f.add(band, err) {
		return func(string) {}
	}
	return func(name string) { f.Legend.Add(name, band) }
}

// dots are points drawn as one path of lines without length, whose ends the page
// makes round: a tenth of the bytes of circles. Points that fall on each other
// are drawn once.
type dots struct {
	at   plotter.XYs
	tone color.Color
}

// dotWidth is across a dot; dots nearer than fineGrid are one, of more than manyDots
// those nearer than coarseGrid, so that a large fleet's page stays light.
const (
	dotWidth   = 2.2 * vg.Length(1)
	fineGrid   = 0.5
	coarseGrid = 1.5
	manyDots   = 2000
)

// Plot draws the points.
func (d dots) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	grid := fineGrid
	if len(d.at) > manyDots {
		grid = coarseGrid
	}
	seen := map[vg.Point]bool{}
	var path vg.Path
	for _, v := range d.at {
		at := vg.Point{X: onGrid(x(v.X), grid), Y: onGrid(y(v.Y), grid)}
		if seen[at] || !c.Contains(at) {
			continue
		}
		seen[at] = true
		path.Move(at)
		path.Line(at)
	}
	if len(path) > 0 {
		c.SetLineStyle(draw.LineStyle{Color: d.tone, Width: dotWidth})
		c.Stroke(path)
	}
}

func onGrid(v vg.Length, grid float64) vg.Length {
	return vg.Length(math.Round(float64(v)/grid) * grid)
}

// DataRange gives the range of the points.
func (d dots) DataRange() (xmin, xmax, ymin, ymax float64) { return plotter.XYRange(d.at) }

var (
	// svgSize finds the fixed size of a drawing, which a page must not have,
	// svgText a text with the size of its font, which is the page's.
	svgSize = regexp.MustCompile(`<svg width="[^"]*" height="[^"]*"`)
	svgText = regexp.MustCompile(`\n\tstyle="font-family:[^"]*;(font-size:([0-9.]+)px)"?([^>]*)>([^<]*)</text>`)
)

// SVG draws a figure for a page: no size of its own, texts as wide as they were
// measured whatever the page's font, and words for those who do not see it.
func (f *Figure) SVG(label string) (template.HTML, error) {
	if f.err != nil {
		return "", f.err
	}
	c := vgsvg.New(f.size[0], f.size[1])
	f.Draw(draw.New(c))
	var b bytes.Buffer
	if _, err := c.WriteTo(&b); err != nil {
		return "", err
	}
	text := b.String()
	if at := strings.Index(text, "<svg"); at >= 0 {
		text = text[at:]
	}
	text = svgText.ReplaceAllStringFunc(text, func(t string) string {
		m := svgText.FindStringSubmatch(t)
		size, err := strconv.ParseFloat(m[2], 64)
		if err != nil {
			return t
		}
		face := font.DefaultCache.Lookup(figureFont, vg.Length(size))
		wide := face.Width(html.UnescapeString(m[4]))
		return fmt.Sprintf(` style="%s" textLength="%.1f" lengthAdjust="spacingAndGlyphs"%s>%s</text>`, m[1], wide.Points(), m[3], m[4])
	})
	text = svgSize.ReplaceAllLiteralString(text, `<svg role="img" aria-label="`+html.EscapeString(words.Visible(label))+`"`)
	return template.HTML(text), nil
}
