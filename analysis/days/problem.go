package days

import "math"

// problem is what the search works on: stops as nodes, crew days as routes,
// minutes between them.
type problem struct {
	nodes  []node
	routes []route
	m      *matrix
	// minuteWorth is what a minute of driving is worth in days of gain, so small
	// that it only decides between plans that gain alike.
	minuteWorth float64
}

// node is one stop.
type node struct {
	spot   int
	onSite float64
	open   [][]Window // by day index; none: closed. Nil: open always
	value  []float64  // what seeing it is worth, by day index, weights included
	must   bool
	routes []bool // which routes may take it
}

// route is one day of one crew.
type route struct {
	crew, day   int     // index of the crew, index of the day
	home        int     // spot it starts from: the crew's, or that of the last of the first stops
	end         int     // spot it ends at
	starts      float64 // when the crew leaves home
	from, until float64 // from when and until when it is free
	most        float64 // driving minutes; +Inf no limit
	first       []firstStop
}

// begin is the earliest start of work at a node on a route's day for an arrival,
// +Inf where there is none.
func (p *problem) begin(n, day int, arrive float64) float64 {
	open := p.nodes[n].open
	if open == nil {
		return arrive
	}
	return beginWithin(open[day], arrive, p.nodes[n].onSite)
}

// beginWithin is the earliest start of work for an arrival that ends within the hours
// of a site, +Inf where there is none.
func beginWithin(hours []Window, arrive, onSite float64) float64 {
	for _, w := range hours {
		if t := math.Max(arrive, float64(w.From)); t+onSite <= float64(w.Until)+1e-9 {
			return t
		}
	}
	return math.Inf(1)
}

// latest is the latest arrival at a node from which the work can begin by a
// time, -Inf where there is none.
func (p *problem) latest(n, day int, by float64) float64 {
	open := p.nodes[n].open
	if open == nil {
		return by
	}
	late := math.Inf(-1)
	for _, w := range open[day] {
		if t := math.Min(by, float64(w.Until)-p.nodes[n].onSite); t >= float64(w.From)-1e-9 {
			late = math.Max(late, t)
		}
	}
	return late
}

// tour is a route with its stops in order.
type tour struct {
	stops   []int
	depart  []float64 // earliest leave of each stop
	late    []float64 // latest arrival at each stop that leaves the rest possible
	minutes float64   // driving
	value   float64
}

// state is a whole plan as the search sees it.
type state struct {
	p     *problem
	tours []tour
	where []int // route of each node, -1 none
	// blink makes cheapest overlook about one place in 128, others for another
	// number; 0 for none.
	blink uint64
}

func newState(p *problem) *state {
	s := &state{p: p, tours: make([]tour, len(p.routes)), where: make([]int, len(p.nodes))}
	for i := range s.where {
		s.where[i] = -1
	}
	for r := range s.tours {
		s.update(r)
	}
	return s
}

// clone copies a state.
func (s *state) clone() *state {
	c := &state{p: s.p, tours: make([]tour, len(s.tours)), where: append([]int{}, s.where...)}
	for r := range s.tours {
		c.tours[r] = s.tours[r].clone()
	}
	return c
}

func (t *tour) clone() tour {
	return tour{append([]int{}, t.stops...), append([]float64{}, t.depart...), append([]float64{}, t.late...), t.minutes, t.value}
}

// update reckons the times of a route anew. It reports whether all is in time.
func (s *state) update(r int) bool {
	t, x, p := &s.tours[r], &s.p.routes[r], s.p
	n := len(t.stops)
	t.depart, t.late = sized(t.depart, n), sized(t.late, n)
	at, now, ok := x.home, x.from, true
	t.minutes, t.value = 0, 0
	for i, k := range t.stops {
		v := &p.nodes[k]
		d := p.m.at(at, v.spot)
		t.minutes += d
		begin := p.begin(k, x.day, now+d)
		ok = ok && !math.IsInf(begin, 1)
		now, at = begin+v.onSite, v.spot
		t.depart[i] = now
		t.value += v.value[x.day]
	}
	back := 0.0
	if n > 0 || x.end != x.home {
		back = p.m.at(at, x.end)
	}
	t.minutes += back
	ok = ok && now+back <= x.until+1e-9 && t.minutes <= x.most+1e-9
	by, next := x.until, x.end
	for i := n - 1; i >= 0; i-- {
		v := &p.nodes[t.stops[i]]
		by = p.latest(t.stops[i], x.day, by-p.m.at(v.spot, next)-v.onSite)
		t.late[i], next = by, v.spot
	}
	return ok
}

func sized(v []float64, n int) []float64 {
	if cap(v) < n {
		return make([]float64, n, 2*n+4)
	}
	return v[:n]
}

// possible reports whether an order of stops keeps a route's times, and its
// driving minutes.
func (p *problem) possible(r int, stops []int) (minutes float64, ok bool) {
	x := &p.routes[r]
	at, now := x.home, x.from
	for _, k := range stops {
		v := &p.nodes[k]
		d := p.m.at(at, v.spot)
		minutes += d
		now = p.begin(k, x.day, now+d) + v.onSite
		at = v.spot
	}
	back := 0.0
	if len(stops) > 0 || x.end != x.home {
		back = p.m.at(at, x.end)
	}
	minutes += back
	return minutes, now+back <= x.until+1e-9 && minutes <= x.most+1e-9
}

// insertion is the cheapest place of a node on a route.
type insertion struct {
	added float64
	at    int32 // -1 none
}

// cheapest finds the place in a route where a node adds the fewest minutes.
func (s *state) cheapest(n, r int) insertion {
	best := insertion{math.Inf(1), -1}
	p, x, t := s.p, &s.p.routes[r], &s.tours[r]
	v := &p.nodes[n]
	if !v.routes[r] {
		return best
	}
	count := len(t.stops)
	from, now := x.home, x.from
	for i := 0; i <= count; i++ {
		to, late := x.end, x.until
		if i < count {
			to, late = p.nodes[t.stops[i]].spot, t.late[i]
		}
		there, on := p.m.at(from, v.spot), p.m.at(v.spot, to)
		old := p.m.at(from, to)
		if count == 0 && x.home == x.end {
			old = 0
		}
		added := there + on - old
		if s.blink != 0 && (uint64(n)*0x9E3779B97F4A7C15+uint64(i)*0xD1B54A32D192ED03+s.blink)>>57 == 0 {
			added = best.added // now and then a place is overlooked
		}
		if added < best.added && t.minutes+added <= x.most+1e-9 {
			begin := now + there
			if v.open != nil {
				begin = p.begin(n, x.day, begin)
			}
			if begin+v.onSite+on <= late+1e-9 {
				best = insertion{added, int32(i)}
			}
		}
		if i < count {
			from, now = to, t.depart[i]
		}
	}
	return best
}

// insert puts a node into a route.
func (s *state) insert(n, r, at int) {
	t := &s.tours[r]
	t.stops = append(t.stops, 0)
	copy(t.stops[at+1:], t.stops[at:])
	t.stops[at] = n
	s.where[n] = r
	s.update(r)
}

// removeFrom takes nodes out of a route. Where drives break the triangle
// inequality the rest may need longer than the whole did: then all go.
func (s *state) removeFrom(r int, drop func(n int) bool) (gone []int) {
	t := &s.tours[r]
	kept := t.stops[:0]
	for _, n := range t.stops {
		if drop(n) {
			gone = append(gone, n)
			s.where[n] = -1
			continue
		}
		kept = append(kept, n)
	}
	t.stops = kept
	if !s.update(r) {
		for _, n := range t.stops {
			s.where[n] = -1
		}
		gone, t.stops = append(gone, t.stops...), t.stops[:0]
		s.update(r)
	}
	return gone
}

// worth is what a state comes to: the value of what is seen less what driving
// is worth.
func (s *state) worth() float64 {
	sum := 0.0
	for r := range s.tours {
		sum += s.tourValue(r)
	}
	return sum
}

func (s *state) tourValue(r int) float64 {
	return s.tours[r].value - s.p.minuteWorth*s.tours[r].minutes
}
