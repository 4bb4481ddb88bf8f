package queries

import (
	"context"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// UnusedCO is a CO that stands on a line of readings which takes no part: one
// that is set aside or doubtful; without its Origin, which file and line make.
type UnusedCO struct {
	UnitKey int32 // 0: the line's serial cannot be read or names no unit
	Serial  string
	File    string
	Line    int32
	judge.UnusedCO
}

// UnusedCO gives every such CO in order of file and line.
func (q Exports) UnusedCO(ctx context.Context) ([]UnusedCO, error) {
	return collect(ctx, q.session, "unused_co.sql", func(u *UnusedCO) []Field {
		return []Field{
			Whole("unit_key", &u.UnitKey), Text("serial", &u.Serial), Word("file", &u.File), Whole("line", &u.Line),
			Day("day", &u.Day), Day("latest_day", &u.LatestDay), Code("fire", &u.Fire), Code("condition", &u.Condition),
			Text("co_text", &u.Text), Number("co_ppm", &u.COPPM), Word("co_limit", &u.COLimit), Word("co_basis", &u.COBasis),
			Number("co_reference_o2", &u.COReferenceO2Percent), Number("o2_percent", &u.O2Percent), Word("reason", &u.Reason),
		}
	})
}

// SourceCO is how much of CO a source's readings in the field tell.
type SourceCO struct {
	Source          string
	Readings, Since int     // all that stand; those of days after the last one with CO
	LastDay         day.Day // of the last reading with CO, day.None without one
	Declared        bool    // a layout of the source declares a CO column
}

// COBySource gives every source of readings in order of its name.
func (q Exports) COBySource(ctx context.Context) ([]SourceCO, error) {
	return collect(ctx, q.session, "co_by_source.sql", func(s *SourceCO) []Field {
		return []Field{
			Text("source", &s.Source), Whole("readings", &s.Readings), Day("last_day", &s.LastDay), Whole("since", &s.Since),
			Truth("declared", &s.Declared),
		}
	})
}
