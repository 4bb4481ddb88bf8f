package queries

import "context"

// RegisterPair is how far two layouts of the unit register agree about their
// units, each by its newest line that stands.
type RegisterPair struct {
	First, Second               string // layouts
	FirstSerials, SecondSerials int64  // units they name
	Alike                       int64  // serials of the second spelt otherwise than one of the first: letter case, blanks, marks, zeros in front
	FirstSerial, SecondSerial   string // one such pair
	Moved                       int64  // units of both for which they name different model lines
	MovedSerial                 string // one of them
	FirstLine, SecondLine       string // its model lines
}

// RegisterPairs gives the pairs of layouts that disagree, in order of their
// names.
func (w *Warehouse) RegisterPairs(ctx context.Context) ([]RegisterPair, error) {
	return collect(ctx, w, "register_pairs.sql", func(p *RegisterPair) []field {
		return []field{
			text("first_layout", &p.First), text("second_layout", &p.Second),
			whole("first_serials", &p.FirstSerials, 0), whole("second_serials", &p.SecondSerials, 0),
			whole("alike", &p.Alike, 0), text("first_serial", &p.FirstSerial), text("second_serial", &p.SecondSerial),
			whole("moved", &p.Moved, 0), text("moved_serial", &p.MovedSerial), text("first_line", &p.FirstLine), text("second_line", &p.SecondLine),
		}
	})
}
