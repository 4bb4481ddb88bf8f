package estimate

import (
	"fluedrift/queries"
)

// shiftRows are the coefficients of fits of shifts.
func shiftRows(fits []ShiftFit, say Sentences) (rows []queries.Shift) {
	for i := range fits {
		f := &fits[i]
		for _, c := range f.Fit.Coefficients {
			rows = append(rows, queries.Shift{
				Fire: f.Fire, Event: f.Name, Name: c.Name, Unit: c.Unit,
				Value: c.Value, SE: c.SE, Low: c.Low, High: c.High, Dropped: say.dropped(c.Dropped),
				Events: int32(f.Events), Units: int32(f.Units), SigmaPoints: f.Fit.Sigma, Ended: say.Ended(f.Ended()),
			})
		}
	}
	return rows
}
