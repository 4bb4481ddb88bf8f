package page

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// aTrack is a fire within ±0.4 of its target, set within ±0.2, about which nothing
// else is known.
func aTrack() track {
	nan := math.NaN()
	return track{
		letter: "H", setLean: -0.2, setRich: 0.2, actLean: -0.4, actRich: 0.4, expected: nan, low: nan, high: nan, worst: nan, read: nan,
	}
}

// A point of CO2 is 80 px, the target stands at 120, and what is beyond ±1.2 is cut.
func TestScaleOfIntervals(t *testing.T) {
	assert.Equal(t, []int{120, 200, 88}, []int{xOf(0), xOf(1), xOf(-0.4)})
	for points, want := range map[float64]int{1.2: 216, 1.3: 216, -1.2: 24, -9: 24} {
		at, within := cut(xOf(points))
		assert.Equal(t, want, at)
		assert.Equal(t, math.Abs(points) <= 1.2, within)
	}
}

// Both bands, a tick at either limit, and of the interval what is beyond the limits
// in its own class.
func TestIntervalBesideItsLimits(t *testing.T) {
	high := aTrack()
	high.expected, high.low, high.high = 0.5, 0.3, 0.7
	svg := drawInterval([]track{high, aTrack()}, "words <")
	assert.Contains(t, svg, `<path class=a d="M88 6h64v12h-64zM88 26h64v12h-64z"/>`)
	assert.Contains(t, svg, `<path class=s d="M104 6h32v12h-32zM104 26h32v12h-32z"/>`)
	assert.Contains(t, svg, `<path class=k d="M88 6v12M152 6v12M88 26v12M152 26v12"/>`)
	assert.Contains(t, svg, `<path class=n d="M144 12h8"/><path class=r d="M152 12h24"/>`)
	assert.Contains(t, svg, `<path class=e d="M160 12h0"/>`, "expected beyond its limit")
	assert.NotContains(t, svg, "class=d ")
	assert.Contains(t, svg, `<text x=4 y=16>H</text>`)
	assert.Contains(t, svg, `aria-label="words &lt;"`)
	assert.NotContains(t, svg, "NaN")
}

// An interval on both sides of the limits has two pieces beyond them, and one all
// beyond has none inside.
func TestIntervalAcrossItsLimits(t *testing.T) {
	wide := aTrack()
	wide.expected, wide.low, wide.high = 0, -0.5, 0.5
	assert.Contains(t, drawInterval([]track{wide}, ""), `<path class=n d="M88 22h64"/><path class=r d="M80 22h8M152 22h8"/>`)
	out := aTrack()
	out.expected, out.low, out.high = -0.8, -1, -0.6
	svg := drawInterval([]track{out}, "")
	assert.Contains(t, svg, `<path class=r d="M40 22h32"/>`)
	assert.NotContains(t, svg, "class=n ")
}

// What is beyond the range ends in a triangle that points there; the value has no dot.
func TestIntervalBeyondTheRange(t *testing.T) {
	far := aTrack()
	far.expected, far.low, far.high = 1.4, 1.1, 1.7
	svg := drawInterval([]track{far}, "")
	assert.Contains(t, svg, `<path class=r d="M208 22h8"/><path class=t d="M216 17l7 5-7 5z"/>`)
	assert.NotContains(t, svg, "class=e ")
	read := aTrack()
	read.read = -1.5
	assert.Contains(t, drawInterval([]track{read}, ""), `<path class=g d="M24 17l-7 5 7 5z"/>`)
	read.read = 0.1
	assert.Equal(t, 1, strings.Count(drawInterval([]track{read}, ""), "a3.5"), "an open circle")
}

// An arrow goes to what is expected at worst.
func TestArrowToTheWorst(t *testing.T) {
	rising := aTrack()
	rising.expected, rising.low, rising.high, rising.worst = 0, -0.1, 0.1, 0.5
	assert.Contains(t, drawInterval([]track{rising}, ""), `<path class=w d="M120 27H154m0 -4l6 4-6 4z"/>`)
	rising.worst = -0.5
	assert.Contains(t, drawInterval([]track{rising}, ""), `<path class=w d="M120 27H86m0 -4l-6 4 6 4z"/>`)
}
