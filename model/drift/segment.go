package drift

import "math"

// Placed is a reading that counts, with the segment it stands in.
type Placed struct {
	Visit, Reading int     // index into Series.Visits and Visit.Readings
	Segment        int     // 0.. within the unit; readings of one number are comparable
	Set            float64 // time of the last adjustment known or inferred; NaN unknown
}

// Segment cuts a unit's history into stretches within which nobody touched the
// setting, so that differences of consecutive readings are drift and noise. A
// new segment opens at
//
//	(a) the first visit;
//	(b) a visit where adjustment is recorded, or as found and as left differ by
//	    more than SameWithin;
//	(c) any visit without an as-found reading, whatever the flag says: the decision was
//	    made on a value nobody wrote down, and going on would keep the small
//	    drifts and lose the large ones;
//	(d) without a flag, a visit with only an as-found reading beyond AdjustAt;
//	(e) a change of target, fuel, burner, vent or sensor;
//	(f) a gap longer than MaxGapYears.
//
// As found closes the old segment, as left opens the new one. Equal values of a
// visit without adjustment are one reading. A reading ForState stands alone.
// Readings between are not placed.
func Segment(s *Series, r Config) []Placed {
	return segmenter{rules: r, series: s, set: math.NaN(), seg: -1}.walk(nil)
}

type segmenter struct {
	rules  Config
	series *Series
	seg    int
	open   bool    // the segment seg goes on
	last   float64 // time of the latest reading of the open segment
	set    float64
}

func (g segmenter) walk(out []Placed) []Placed {
	for v := range g.series.Visits {
		out = g.visit(out, v)
	}
	return out
}

func (g *segmenter) visit(out []Placed, v int) []Placed {
	vis := &g.series.Visits[v]
	found, left := vis.find(AsFound), vis.find(AsLeft)
	adjusted, _ := vis.outcome(g.rules)
	if vis.Before != 0 || found < 0 {
		g.open = false // (e), (c)
	}
	if found >= 0 {
		out = g.place(out, v, found)
	}
	switch {
	case adjusted || vis.During != 0: // (b), (e)
		g.open, g.set = false, vis.T
	case found >= 0 && left >= 0:
		left = -1 // the same reading written twice
	case found >= 0 && vis.Adjusted == Unknown && beyond(vis.Readings[found].Y, g.rules.AdjustAt): // (d)
		g.open, g.set = false, vis.T
	case found < 0 && vis.Adjusted == Unknown && (left >= 0 || vis.Work):
		g.set = vis.T // inferred
	}
	if left >= 0 {
		out = g.place(out, v, left)
	}
	return out
}

// place adds a reading to the open segment, or opens the next one with it.
func (g *segmenter) place(out []Placed, v, r int) []Placed {
	vis := &g.series.Visits[v]
	alone := vis.Readings[r].Use == ForState
	if !g.open || alone || vis.T-g.last > g.rules.MaxGapYears { // (a), (f)
		g.seg++
	}
	g.open, g.last = !alone, vis.T
	return append(out, Placed{Visit: v, Reading: r, Segment: g.seg, Set: g.set})
}
