package queries

import "context"

// UnusedCO is a CO that stands on a line of readings which takes no part: one
// that is set aside or doubtful.
type UnusedCO struct {
	UnitKey              int32 // 0: the line's serial cannot be read or names no unit
	Serial               string
	File                 string
	Line                 int32
	Day                  int32 // NoDay where it cannot be read
	LatestDay            int32 // no later than this, else NoDay; Day where that is known
	Fire, Condition      string
	Text                 string  // the cell as written, of a line set aside
	COPPM                float64 // as recorded; NaN: over range without a number, or not readable
	COLimit              string  // below | above | ""
	COBasis              string
	COReferenceO2Percent float64
	O2Percent            float64
	Reason               string // why the line takes no part
}

// UnusedCO gives every such CO in order of file and line.
func (w *Warehouse) UnusedCO(ctx context.Context) ([]UnusedCO, error) {
	many := words{}
	return collect(ctx, w, "unused_co.sql", func(u *UnusedCO) []field {
		return []field{
			whole("unit_key", &u.UnitKey, 0), text("serial", &u.Serial), many.word("file", &u.File), whole("line", &u.Line, 0),
			day("day", &u.Day), day("latest_day", &u.LatestDay), many.word("fire", &u.Fire), many.word("condition", &u.Condition),
			text("co_text", &u.Text), number("co_ppm", &u.COPPM), many.word("co_limit", &u.COLimit), many.word("co_basis", &u.COBasis),
			number("co_reference_o2", &u.COReferenceO2Percent), number("o2_percent", &u.O2Percent), many.word("reason", &u.Reason),
		}
	})
}

// SourceCO is how much of CO a source's readings in the field tell.
type SourceCO struct {
	Source          string
	Readings, Since int   // all that stand; those of days after the last one with CO
	LastDay         int32 // of the last reading with CO, NoDay without one
	Declared        bool  // a layout of the source declares a CO column
}

// COBySource gives every source of readings in order of its name.
func (w *Warehouse) COBySource(ctx context.Context) ([]SourceCO, error) {
	return collect(ctx, w, "co_by_source.sql", func(s *SourceCO) []field {
		return []field{
			text("source", &s.Source), whole("readings", &s.Readings, 0), day("last_day", &s.LastDay), whole("since", &s.Since, 0),
			truth("declared", &s.Declared),
		}
	})
}
