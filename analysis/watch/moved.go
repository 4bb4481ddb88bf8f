package watch

import (
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// notReadSinceMove reports whether nothing was read at a fire since the unit moved.
func notReadSinceMove(x *facts) bool {
	return x.h.LastMove(x.rules.AsOf) != nil && (len(x.fires) == 0 || anyFire(x, func(f *FireLine) bool { return f.Reading == nil }))
}

// untestedAfterMove: at some fire nothing was read since the unit moved, or some day
// within which it moved. It stands so without any other reading too.
func untestedAfterMove(x *facts) finding {
	m := x.h.LastMove(x.rules.AsOf)
	if m == nil {
		return finding{}
	}
	f := untestedSince(x, change{m.Day, m.After, true, m}, "")
	f.unread = true
	return f
}

// ventOfPlace is the newest move of a unit whose vent run at the new place is not on
// record, nil where it is or where the unit never moved.
func ventOfPlace(h *judge.History, asOf day.Day) *judge.Move {
	m := h.LastMove(asOf)
	if run, _ := runInForce(h, asOf); m == nil || run != nil {
		return nil
	}
	return m
}

// ventOfPlaceFix asks for the vent run at a new place.
func ventOfPlaceFix(m *judge.Move, serial string) Fix {
	f := Fix{
		Reason: ReasonVentOfPlace, Column: "vent run", Serial: serial, Day: m.Day,
		Because: VentRunUnknown{Move: m},
	}
	f.File, f.Line = origin(m.Origin)
	return f
}
