package demo

// What the tests outside the package need of its inside.
const (
	SwappedFor = swappedFor
)

// How the offices write, and the calendar.
var (
	Number    = number
	Comma     = comma
	ISO       = iso
	Format    = format
	Years     = years
	FuelNamed = fuelNamed
)

// Lasting turns years in service into years of full drift.
func (f *Fleet) Lasting(age float64) float64 { return f.lasting(age) }

// EffectOn returns the planted effects of a unit's control at a fire.
func (f *Fleet) EffectOn(u *Unit, fire int) Effects { return f.effect(u, fire) }

// AcceptedLines counts the values on every line of readings that is to be
// accepted, by file and line.
func (f *Fleet) AcceptedLines() map[PlantedLine]int {
	lines := map[PlantedLine]int{}
	for _, x := range f.files {
		for _, r := range x.rows {
			if r.entry == nil {
				continue
			}
			if o := r.entry.Lines[r.index].Outcome; o != Accepted && o != CellAside && o != ReadingAside {
				continue
			}
			values := 0
			for k := range r.entry.Values {
				if v := r.entry.AsRead(k); v.HasGas() && (!x.Long() || k == r.index) {
					values++
				}
			}
			lines[PlantedLine{File: x.Name, Line: r.number}] += values
		}
	}
	return lines
}

// DamageKinds lists the ways a line is made unreadable.
func DamageKinds() (kinds []string) {
	for _, list := range damages {
		for _, d := range list {
			kinds = append(kinds, d.kind)
		}
	}
	return kinds
}

// InRegions makes regions of so many sites, a multiple of 120.
func (o Options) InRegions(sites int) Options {
	o.regionSites = sites
	return o
}
