package days

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

// EarthRadiusKm is the mean radius of the Earth, (2a+b)/3 of the ellipsoid
// GRS 80 (H. Moritz, Geodetic Reference System 1980, Journal of Geodesy 74:128,
// 2000: R1 = 6371008.7714 m).
const EarthRadiusKm = 6371.0087714

// GreatCircleKm is the shortest way between two places on a sphere, by the
// haversine formula; NaN where a place is not known.
func GreatCircleKm(a, b Place) float64 {
	const rad = math.Pi / 180
	p, q := a.LatitudeDeg*rad, b.LatitudeDeg*rad
	s, t := math.Sin((q-p)/2), math.Sin((b.LongitudeDeg-a.LongitudeDeg)*rad/2)
	h := s*s + math.Cos(p)*math.Cos(q)*t*t
	return 2 * EarthRadiusKm * math.Asin(math.Min(1, math.Sqrt(h)))
}

// known reports whether a place has coordinates.
func (p Place) known() bool { return !math.IsNaN(p.LatitudeDeg) && !math.IsNaN(p.LongitudeDeg) }

// Between is a drive known in minutes, from one site or crew to another. A pair
// given one way only holds both ways.
type Between struct {
	From, To string
	Minutes  float64
}

// spot is a place as the search knows it: where, under which name, and how many
// minutes a drive there may be longer because the place stands for another.
type spot struct {
	name  string
	place Place
	extra float64
	from  StandIn // what stands in for coordinates
}

// matrix holds minutes between spots.
type matrix struct {
	n         int
	minutes   []float64
	symmetric bool
}

func (m *matrix) at(a, b int) float64 { return m.minutes[a*m.n+b] }

// newMatrix reckons all minutes: those given by name, else great circle times
// detour over speed, else the minutes of which nothing is known. Minutes are
// kept to a tenth, so that sums do not depend on digits nobody knows.
func newMatrix(spots []spot, given []Between, r Config) *matrix {
	n := len(spots)
	m := &matrix{n: n, minutes: make([]float64, n*n), symmetric: true}
	for i := range spots {
		for j := range i {
			v := drive(spots[i], spots[j], r)
			m.minutes[i*n+j], m.minutes[j*n+i] = v, v
		}
	}
	index := map[string][]int{}
	for i, s := range spots {
		index[s.name] = append(index[s.name], i)
	}
	way := map[[2]string]bool{}
	for _, b := range given {
		way[[2]string{b.From, b.To}] = true
	}
	for _, b := range given {
		for _, i := range index[b.From] {
			for _, j := range index[b.To] {
				m.minutes[i*n+j] = b.Minutes
				if !way[[2]string{b.To, b.From}] {
					m.minutes[j*n+i] = b.Minutes
				} else {
					m.symmetric = false
				}
			}
		}
	}
	return m
}

// drive is the minutes between two spots by their coordinates.
func drive(a, b spot, r Config) float64 {
	if samePlace(a, b) {
		return 0
	}
	if !a.place.known() || !b.place.known() {
		return r.UnknownMinutes
	}
	v := GreatCircleKm(a.place, b.place)*r.Detour/r.KmPerHour*60 + a.extra + b.extra
	return math.Round(v*10) / 10
}

// locator finds stand-ins for sites without coordinates.
type locator struct {
	sites map[string]Place
	areas map[string]spot
}

// newLocator gathers the coordinates of units by site, and by area the middle of
// its sites with the minutes from there within which half of them lie.
func newLocator(units []candidate, r Config) *locator {
	l := &locator{sites: map[string]Place{}, areas: map[string]spot{}}
	byArea := map[string][]Place{}
	for i := range units {
		u, key := &units[i].line.Unit, units[i].site
		p := placeOf(u)
		if _, ok := l.sites[key]; ok || !p.known() {
			continue
		}
		l.sites[key] = p
		if u.Area != "" {
			byArea[u.Area] = append(byArea[u.Area], p)
		}
	}
	for area, places := range byArea {
		l.areas[area] = middle(places, r)
	}
	return l
}

// middle is the middle of some places, with the minutes from it within which half
// of them lie.
func middle(places []Place, r Config) spot {
	lat, lon := make([]float64, len(places)), make([]float64, len(places))
	for i, p := range places {
		lat[i], lon[i] = p.LatitudeDeg, p.LongitudeDeg
	}
	sort.Float64s(lat)
	sort.Float64s(lon)
	s := spot{place: Place{lat[len(lat)/2], lon[len(lon)/2]}, from: MiddleOfArea}
	away := make([]float64, len(places))
	for i, p := range places {
		away[i] = GreatCircleKm(p, s.place) * r.Detour / r.KmPerHour * 60
	}
	sort.Float64s(away)
	s.extra = math.Round(away[len(away)/2])
	return s
}

// spotOf is where a stop is taken to be: where the site's first unit with coordinates
// stands, be it one of its own, else the middle of the area, else nowhere known.
func (l *locator) spotOf(units []candidate) spot {
	u := &units[0].line.Unit
	if p, ok := l.sites[units[0].site]; ok {
		from := OfSite
		if slices.ContainsFunc(units, func(c candidate) bool { return placeOf(&c.line.Unit).known() }) {
			from = OwnPlace
		}
		return spot{name: u.Site, place: p, from: from}
	}
	if s, ok := l.areas[u.Area]; ok {
		s.name = u.Site
		return s
	}
	return spot{name: u.Site, place: Place{math.NaN(), math.NaN()}, from: NoPlace}
}

// nearest lists the nodes nearest to one, by the minutes to them.
func (p *problem) nearest(i, most int) []int {
	type step struct {
		minutes float64
		node    int
	}
	all := make([]step, 0, len(p.nodes))
	from := p.nodes[i].spot
	for j := range p.nodes {
		if j != i {
			all = append(all, step{p.m.at(from, p.nodes[j].spot), j})
		}
	}
	slices.SortFunc(all, func(a, b step) int { return cmp.Or(cmp.Compare(a.minutes, b.minutes), a.node-b.node) })
	out := make([]int, min(most, len(all)))
	for k := range out {
		out[k] = all[k].node
	}
	return out
}
