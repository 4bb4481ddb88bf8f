package worlds

// lowPoints is what the analyzer of LowSeason reads too low.
const lowPoints = 0.6

// LowSeason is a world in which one technician gets another analyzer half a year
// before the as-of day, calibrated three weeks earlier, that reads 0.6 points low.
// All units of the first area, forty where there are so many, are read with it
// once, last of all; as they seem to have moved by as much at once they are left
// alone, which the record says. None of them has truly moved more than any other.
// Before that the first area was read by the same technician, with one analyzer,
// in all the years; in a fleet of forty units nobody else reads at all.
func LowSeason(o Options) *Fleet {
	f := invent(o, &world{id: 6, lowSeason: true, course: speeds(0.05, 0.05)})
	for i := range f.Histories {
		h := &f.Histories[i]
		if n := len(h.Visits); n > 0 && f.analyzer(h.Visits[n-1].Analyzer).low != 0 {
			f.step = append(f.step, i)
		}
	}
	return f
}
