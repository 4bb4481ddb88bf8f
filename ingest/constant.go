package ingest

import (
	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/model/day"
)

// oneUnit sees that a file whose serial is a constant of the layout holds the
// readings of one boiler: it has one reading of a fire and condition a day. With
// two, the lines are those of several boilers, and all would become one.
type oneUnit struct {
	serial string
	lines  map[dayReading]int
}

type dayReading struct {
	day day.Day
	at  layout.Group
}

// newOneUnit is nil where a column gives the serials.
func newOneUnit(l *layout.Layout) *oneUnit {
	serial, constant := l.Constants["serial"]
	if !constant || l.Record != layout.Readings {
		return nil
	}
	return &oneUnit{serial, map[dayReading]int{}}
}

// look refuses the file at the second reading of one fire and condition on a day.
func (o *oneUnit) look(number int, r *rowReader) error {
	for g, own := range r.own {
		at := dayReading{r.base[fieldDay].day, half{r}.at(g)}
		if err := o.add(number, at, own && !r.bare); err != nil {
			return err
		}
	}
	return nil
}

func (o *oneUnit) add(number int, at dayReading, read bool) error {
	if !read {
		return nil
	}
	if first, twice := o.lines[at]; twice {
		return lines.Refuse(lines.Contradicted, "lines %d and %d are both the reading at %s of %s, and the layout gives every line "+
			"the serial %q\ngive the column that tells the boilers apart field = \"serial\", and take the constant away",
			first, number, at.at, iso(at.day), o.serial)
	}
	o.lines[at] = number
	return nil
}
