package drift

// moments are the mean and the variance of a covariate.
type moments struct{ mean, variance float64 }

// periodOwners finds the analyzer each calibration period belongs to.
func (in *Input) periodOwners(rs *readings) []int32 {
	out := make([]int32, in.Periods)
	for p := range out {
		out[p] = -1
	}
	for at, p := range rs.per {
		if p >= 0 && rs.an[at] >= 0 {
			out[p] = rs.an[at]
		}
	}
	for _, c := range in.Certificates {
		if c.Period >= 0 && c.Analyzer >= 0 {
			out[c.Period] = int32(c.Analyzer)
		}
	}
	return out
}
