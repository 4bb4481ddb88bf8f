package drift

// moments are the mean and the variance of a covariate.
type moments struct{ mean, variance float64 }
