package queries

import "context"

// Outcome is a readable line that does not stand, and the line that does.
type Outcome struct {
	File    string
	Line    int32
	Outcome string // superseded | duplicate | doubtful
	Reason  string // of a doubtful line
	Other   string // file:line of the line that stands, or that it contradicts
}

// Outcomes gives every superseded, duplicate and doubtful line in order of file
// and line.
func (w *Warehouse) Outcomes(ctx context.Context) ([]Outcome, error) {
	return collect(ctx, w, "outcomes.sql", func(o *Outcome) []field {
		return []field{
			text("file", &o.File), whole("line", &o.Line, 0), text("outcome", &o.Outcome),
			text("reason", &o.Reason), text("other", &o.Other),
		}
	})
}
