package estimate

import (
	"math"

	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/drift"
)

// course is how the harm of a fire may go, given where it stands today: the expected
// deviation moves along from there, and what is not known of its way fans out on one
// side or the other. It is a stand-in for drawing whole paths, good for ranks.
type course struct {
	moves, fans []float64  // by day: from today's mean, and the standard deviation that today does not explain
	near, far   []float64  // by day: its weight in the sums of the two horizons
	visited     [2]float64 // what is left after a visit in these sums
	band        [2]float64 // lean and rich side of the action band, points from target
	width       float64    // half of it
	r           analysis.VisitConfig
	mean        float64 // of today
}

func newCourse(l *lookahead, out *analysis.FireForecast, r analysis.VisitConfig) *course {
	days := l.harmDays(out.Planned.Day)
	c := &course{band: [2]float64{l.band.Lean, l.band.Rich}, width: out.HalfWidth(), r: r, mean: days[0].without.Mean()}
	sd := days[0].without.SD()
	on := make([]day.Day, len(days))
	for i := range days {
		on[i] = days[i].day
	}
	unseen := on[0] + day.Day(r.UnseenDays)
	c.near, c.far = weights(on, unseen), weights(on, max(unseen, out.Planned.Day))
	for i := range days {
		if c.near[i] == 0 && c.far[i] == 0 { // beyond both horizons
			c.near, c.far = c.near[:i], c.far[:i]
			break
		}
		spread := days[i].without.SD()
		c.moves = append(c.moves, days[i].without.Mean()-c.mean)
		c.fans = append(c.fans, math.Sqrt(math.Max(spread*spread-sd*sd, 0)))
		left := r.Value(&out.Harm[i].Visited, c.width)
		c.visited[0], c.visited[1] = c.visited[0]+c.near[i]*left, c.visited[1]+c.far[i]*left
	}
	return c
}

// weights are the days' weights in a sum over every day from the first of them to
// another.
func weights(days []day.Day, until day.Day) []float64 {
	w := make([]float64, len(days))
	for _, s := range analysis.Spans(days, days[0], until) {
		w[s.Next-1], w[s.Next] = w[s.Next-1]+s.Days*(1-s.Middle), w[s.Next]+s.Days*s.Middle
	}
	return w
}

// key is what a visit avoids where the fire stands at a deviation today and goes so many
// standard deviations off its expected way.
func (c *course) key(today, off float64) float64 {
	near, far := -c.visited[0], -c.visited[1]
	for i, move := range c.moves {
		v := c.harm(today + move + off*c.fans[i])
		near, far = near+c.near[i]*v, far+c.far[i]*v
	}
	return math.Min(near, far)
}

// harm is the value of standing at a deviation on a day.
func (c *course) harm(y float64) float64 {
	var h drift.Harm
	switch {
	case y > c.band[1]:
		h.Rich, h.RichBeyond = 1, y-c.band[1]
	case y < c.band[0]:
		h.Lean, h.LeanBeyond = 1, c.band[0]-y
	default:
		return 0
	}
	return c.r.Value(&h, c.width)
}
