package page

import (
	"fmt"
	"strings"
)

// point is a place in time, px, with a value, percent CO2.
type point struct {
	x   int
	co2 float64
}

// clamped holds a line between two values: where it crosses one of them it gets a
// corner, so that what lies between stays as it is.
func clamped(line []point, low, high float64) []point {
	var out []point
	for i, p := range line {
		if i > 0 {
			out = append(out, crossings(line[i-1], p, low, high)...)
		}
		out = append(out, point{p.x, min(max(p.co2, low), high)})
	}
	return out
}

// crossings are the places between two points where a line crosses two values, in
// their order along it.
func crossings(a, b point, low, high float64) (at []point) {
	levels := [2]float64{low, high}
	if b.co2 < a.co2 {
		levels = [2]float64{high, low}
	}
	for _, v := range levels {
		if (a.co2-v)*(b.co2-v) < 0 {
			share := (v - a.co2) / (b.co2 - a.co2)
			at = append(at, point{a.x + int(share*float64(b.x-a.x)+0.5), v})
		}
	}
	return at
}

// areaBetween is the ring of what lies between two lines and, at once, between two
// values; nil where nothing does.
func areaBetween(lower, upper []point, low, high float64) []point {
	if len(lower) < 2 || low >= high {
		return nil
	}
	a, b := clamped(upper, low, high), clamped(lower, low, high)
	any := false
	for i := range upper {
		any = any || min(upper[i].co2, high) > max(lower[i].co2, low)
	}
	if !any {
		return nil
	}
	ring := a
	for i := len(b) - 1; i >= 0; i-- {
		ring = append(ring, b[i])
	}
	return ring
}

// pieces are the parts of a line that lie between two values, with a corner where they
// end there.
func pieces(line []point, low, high float64) (all [][]point) {
	var piece []point
	end := func() {
		if len(piece) > 1 {
			all = append(all, piece)
		}
		piece = nil
	}
	add := func(p point) {
		if p.co2 < low || p.co2 > high {
			end()
			return
		}
		piece = append(piece, p)
	}
	for i, p := range line {
		if i > 0 {
			for _, c := range crossings(line[i-1], p, low, high) {
				entered := len(piece) == 0
				add(c)
				if !entered {
					end() // it leaves here
				}
			}
		}
		add(p)
	}
	end()
	return all
}

// line writes a line through points, each from the one before: that is shorter.
func (d *drawing) line(points []point, v valueScale) string {
	var b strings.Builder
	x, y := 0, 0
	for i, p := range points {
		at := v.y(p.co2)
		switch {
		case i == 0:
			fmt.Fprintf(&b, "M%d %dl", p.x, at)
		case p.x == x && at == y:
			continue
		default:
			pair(&b, p.x-x, at-y, b.Len() > 0 && !strings.HasSuffix(b.String(), "l"))
		}
		x, y = p.x, at
	}
	return strings.TrimSuffix(b.String(), "l")
}

// pair writes two whole numbers, with a space only where one is needed.
func pair(b *strings.Builder, x, y int, after bool) {
	if after && x >= 0 {
		b.WriteByte(' ')
	}
	fmt.Fprint(b, x)
	if y >= 0 {
		b.WriteByte(' ')
	}
	fmt.Fprint(b, y)
}
