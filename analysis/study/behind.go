package study

// Behind is what a fit rests on.
type Behind struct {
	Rows, Units, Sites int
	// Segments are stretches in which nobody set the burner or altered the vent; a
	// shift belongs to the one it ends.
	Segments int
	Readings int
}

// behindRows counts what rows rest on; what several rows share counts once.
func behindRows(rows []*Row) Behind {
	type part struct {
		serial, fire string
		of           int32
	}
	units, sites, segments, readings := map[string]bool{}, map[string]bool{}, map[part]bool{}, map[part]bool{}
	for _, r := range rows {
		units[r.Serial], sites[r.Site] = true, true
		segments[part{r.Serial, r.Fire, r.Segment}] = true
		for _, i := range r.Readings {
			if i >= 0 {
				readings[part{serial: r.Serial, of: i}] = true
			}
		}
	}
	return Behind{Rows: len(rows), Units: len(units), Sites: len(sites), Segments: len(segments), Readings: len(readings)}
}
