package demo

import "fmt"

// regionSites are the sites of a region, about 10,200 units: a large company's offices
// export region by region, and a workbook ends at 1,048,576 rows.
const regionSites = 52 * areaSites

// areaSites are the sites of three areas, one of each office.
const areaSites = 120

// Write writes the exports, the layouts, the configuration and the truth of a fleet to a
// folder, as Fleet.Write does, one region after another, and holds no more than one
// of them at a time. A fleet of one region is the fleet of New.
func Write(dir string, o Options) error {
	g := newGround(o)
	s, everybody, units := &spoiler{ground: g}, newPeople(g), 0
	for region := 0; units < g.Options.Units; region++ {
		here := *g
		here.region = region
		t := &Truth{people: everybody, estate: &estate{
			ground: &here, lines: modelLines(), unitsBefore: units,
			firstSite: region * g.Options.regionSites, untilSite: (region + 1) * g.Options.regionSites,
		}}
		t.invent()
		s.ground, s.faults = &here, nil
		f := recorded(t, s)
		if err := f.Write(dir); err != nil {
			return fmt.Errorf("region %d: %w", region+1, err)
		}
		units += len(f.Units)
		everybody.leave()
	}
	return nil
}

// leave takes leave of the people of a region that is written. The factory's analyzers
// stay, and the first technicians, whom a contractor lends to all areas.
func (p *people) leave() {
	for key := range p.technicians {
		if key.area >= len(damages) {
			delete(p.technicians, key)
		}
	}
	for id, a := range p.Analyzers {
		if a.exported = a.used; a.area >= len(damages) {
			delete(p.Analyzers, id)
		}
	}
}
