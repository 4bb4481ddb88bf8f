package night

import (
	"context"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/report/words"
)

// instruments looks at what the fits say of instruments before anybody reads their
// lists: biases that no calibration explains end the night with something to look
// at; how fast they move from calibration to calibration is fitted when a calibration
// is new, and taken over from the publication before otherwise.
func instruments(ctx context.Context, fleet *estimate.Fleet, before *Record, calibrations int) (notes []string, err error) {
	if before != nil && before.Counts[countCalibrations] != int64(calibrations) {
		if err := fleet.Trends(ctx); err != nil {
			return nil, err
		}
	} else if before != nil {
		for i := range fleet.Fits {
			for _, was := range before.Fits {
				if f := &fleet.Fits[i]; was.Fire == f.Fire && was.Trend != nil {
					f.Trend = *was.Trend
				}
			}
		}
	}
	found := fleet.InstrumentNotes()
	for _, n := range found {
		if wild, ok := n.(estimate.WildPeriods); ok {
			notes = append(notes, words.Note(wild))
		}
	}
	fleet.Notes = append(fleet.Notes, found...)
	return notes, nil
}

// countCalibrations is the number of calibrations on record, among the counts of a
// night.
const countCalibrations = "calibrations"
