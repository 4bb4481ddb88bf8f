package queries

import "context"

// Fit is how the fit of one fire ended: how it came about, the noise of a reading in
// points of CO2, the ratios of the other standard deviations to it (wandering a
// square-root year, unit slope a year, analyzer bias, bias by calibration period),
// and minus twice the restricted log-likelihood; NaN where there is none.
type Fit struct {
	Fire, How, Ended                                string
	SigmaPoints, RatioQ, RatioTau, RatioB1, RatioB2 float64
	Crit                                            float64
	Units, Differences                              int32
}

// Fits gives the fits in order of fire.
func (w *Warehouse) Fits(ctx context.Context) ([]Fit, error) {
	return collect(ctx, w, "fits.sql", func(f *Fit) []field {
		return []field{text("fire", &f.Fire), text("how", &f.How), text("ended", &f.Ended), number("sigma_points", &f.SigmaPoints),
			number("ratio_q", &f.RatioQ), number("ratio_tau", &f.RatioTau), number("ratio_b1", &f.RatioB1), number("ratio_b2", &f.RatioB2),
			number("crit", &f.Crit), whole("units", &f.Units, 0), whole("differences", &f.Differences, 0)}
	})
}
