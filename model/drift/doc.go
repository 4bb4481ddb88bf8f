// Package drift models how a unit's CO2 moves between services, and forecasts
// it. It works on deviations (CO2 minus the target, points) in years, one fire
// at a time; it decides which readings may be compared, and nothing about which
// readings are credible: that is the caller's judgement, given as Use. The
// symbols and the mathematics stand in package model.
//
// The steps, in order:
//
//  1. A Series a unit: its visits with their readings, and the Runs of its drift
//     rates. NewFleet cuts them into segments (Segment) and holds the
//     covariates. Columns that cannot be told apart are dropped, with the reason.
//  2. Fleet.Fit removes or cuts what contradicts itself (Fleet.Clean) and fits at
//     fixed or estimated ratios, as far as the amount of data carries: defaults
//     under 20 differences, wide priors under 400. Fleet.Evaluate is one
//     evaluation at given ratios.
//  3. Fit.Predictor forecasts units: Predictive decides what the state of today is
//     computed from, At a day, FirstPassage when the unit leaves its action band.
//
// # What a caller supplies
//
//   - Every visit at which the burner could have been adjusted, whether or not it
//     recorded a value at this fire: a visit without an as-found reading ends a segment,
//     and one after which the setting is not known makes the forecast a mixture.
//   - Y as CO2 minus the target of that day; TargetStep where today's target is
//     another. Change.. on the visit at which it was first seen.
//   - Chosen: a visit that somebody made or wrote down because of how the burner
//     stood. Past forecasts are not judged by it.
//   - Use: ForNone for a copied or impossible value, ForState for one that must
//     not enter the fit and is still the best word on today (an as-left reading outside
//     its band, with W several times 1).
//   - Level covariates as departures from the reference conditions (temperature
//     minus 10 degC, one column a class of burner control), never missing: the
//     expected value of site and day where it was not recorded.
//   - Drift rates by Run. The constant rate is a column of ones ("time"). An
//     unknown rate is NaN, and its column names a Companion: the unit then stays
//     in the fit at a rate of its own. Imputed is the middle and the variance of its
//     model line, for forecasts.
//   - Area and Site, numbered from 1, where they are known: a level that the units of
//     an area have in common is looked for, and states allow for it.
//   - Analyzer and Period columns, -1 where unknown. A technician may stand in.
//   - Level covariates of the instrument (Column.Instrument: years since its
//     calibration), 0 in the Points asked for; Certificates of what calibrations
//     found.
//   - Drift covariates with a prior counted from their middle (age less the fleet's
//     mean): else the prior on a slope is one on the rate all units share.
//   - The action band and the expected level covariates of each Point.
//
// Sums run over a fixed number of shards, so a fit has the same digits for any
// number of workers. An estimate is a value with its caveats: Coefficient,
// Bias, Estimate, Forecast; Fit.Notes and Mark say what a reader must know.
package drift
