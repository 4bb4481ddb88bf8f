// Package model is the trade and the statistics: units of measure, combustion,
// vent runs, judgement of readings, and the drift of CO2. Its packages know no
// database, no file, no clock and no randomness. This page holds the symbols
// of the drift model (package drift) and its mathematics, once.
//
// # Symbols
//
//	u, s, j    unit, segment of a unit, reading
//	t, y       time in years; CO2 minus the unit's target, points of %
//	l, A       level covariates (values of the day), drift covariates (rates
//	           integrated over time): row vectors of one reading
//	gamma,beta their coefficients; below beta stands for both, X for both
//	m_s        the level of a segment, free: no prior
//	v_u        the unit's own slope, N(0, tau^2), points a year
//	W_u        Brownian wandering of the unit, variance q a year
//	b          bias of an analyzer, b1 N(0, s_b1^2) constant plus b2
//	           N(0, s_b2^2) by calibration period, points
//	a, g       years since the calibration of a reading's analyzer (a level
//	           covariate), and how its reading changes, points a year
//	e          noise of a reading, N(0, sigma^2 w), w a known multiple
//	theta      (sqrt q, tau, s_b1, s_b2) / sigma = (th1, th2, th3, th4)
//	d, h       difference of two consecutive readings of a segment, its years
//	n, p, Q    differences of the fleet, coefficients, analyzer columns
//
// # A reading
//
//	y_j = m_s + l_j gamma + A_j beta + v_u t_j + W_u(t_j) + b_a(j) + e_j
//
// A segment runs from a reading after which nobody touched the burner to the
// next possible adjustment. Its level is free because an as left is set by the
// analyzer's display: it says nothing of the bias or of the day's temperature,
// and a prior on it would believe that it does.
//
// # Differences
//
// For consecutive readings i, j of a segment d = y_j - y_i, x = (l_j - l_i,
// A_j - A_i), h = t_j - t_i, z = e_a(j) - e_a(i). A unit's differences have
//
//	d = X beta + Z b + eta,  Cov(eta) = sigma^2 (R + th2^2 h h')
//	R[k,k] = w_i + w_j + th1^2 h_k,  R[k,k-1] = -w_i within a segment, else 0
//
// The restricted likelihood of the differences is that of the readings with one
// fixed intercept a segment, constant included: with D the differencing matrix
// of n readings, |D D'| = n.
//
// # Criterion
//
// Minus twice the restricted log-likelihood with sigma profiled out, summed over
// units, V the covariance of all differences over sigma^2:
//
//	sum(log|R| + log(1 + th2^2 h'R^-1 h)) + log|I + T Z'P Z T| + log|X'V^-1 X|
//	    + (n - p)(1 + log(2 pi sigma^2)),   sigma^2 = rss/(n - p)
//	P = R^-1 - c R^-1 h h'R^-1,  c = th2^2/(1 + th2^2 h'R^-1 h),  T = diag(th3.., th4..)
//
// R is tridiagonal: one forward pass a unit over the columns [X d h Z] gives
// their products under R^-1, a rank-one step those under P. Summed over the
// fleet they make one matrix of Q + p + 1 rows, ordered biases, coefficients, d;
// its Cholesky factor holds both determinants, beta, b and rss. Every form is
// finite where a ratio is 0. The signs of theta do not matter.
//
// # Time, analyzer, calibration
//
// An analyzer loses CO2 between calibrations. Let a = t - k be the years since its
// last calibration, on day k. A unit that drifts at rate r, read by analyzers that
// age at g a year and whose calibrations leave c more each year, shows
//
//	y = r t + g a + c k = (r + g) a + (r + c) k
//
// t, a and k are exactly collinear, so readings give two numbers and not three: the
// slope within a calibration period, r + g, and the slope across periods, r + c.
// Only the sawtooth g - c is in the data. What separates the three is
//
//   - from the data: units read again within one period, and across two; analyzers
//     calibrated on different days that read the same units. They give g - c, as
//     the coefficient of the level column "years since calibration".
//   - from outside: certificates. A found error is b1 + b2 + g a at the end of a
//     period, against a reference gas, and no difference of readings.
//   - by assumption: c = 0, calibrations are right on the average. It is made by the
//     independence of the b2 of one analyzer: over P periods spread over Y years they
//     hold a trend to about s_b2 sqrt(12/P)/Y. A common error of all calibrations
//     cannot be seen in any difference.
//
// Without g all of the sawtooth would have to be c: s_b2 grows until the b2 can walk,
// and the level of today is off by half of the walk. So the column is in every fit,
// with the prior g ~ N(0, 0.10^2) at every amount of data. Where its posterior
// standard error stays above half of that, assumption does not: the column leaves the
// fit and every state gains (0.10 a)^2 of its reading's analyzer. The trend of b1 + b2
// over k in a fit without the column is what c would have to be, and is watched.
//
// A state is that of a right instrument, a = 0. A reading nobody has made yet has the
// mean and the variance of the fleet's a. The bias of an analyzer is one of a day,
// b1 + b2 + g a.
//
// The same holds of a step: where one analyzer takes over from another, their
// difference is in the data, and which of the two is off is not. A normal prior shares
// the step out among both and the units, because its cost grows with the square; so
// where a bias stands out by its auxiliary residual, biases are drawn from Student's t
// with four degrees of freedom instead. The rate that all units share would be another
// way out: units' age is counted from the fleet's middle, so that its prior is none on
// that rate.
//
// # Contradicted readings
//
// With r = d - X beta - Z b and a = P r, of the increment k and of the reading
// between k and k+1
//
//	t_k = a_k / (sigma sqrt(P[k,k]))
//	t_j = (a_k - a_k+1) / (sigma sqrt(P[k,k] + P[k+1,k+1] - 2 P[k,k+1]))
//
// A shift of the first or last reading of a segment and a shift of its increment
// are one column. So a segment is cut where an increment stands out most, and
// nothing is removed; only a reading that both neighbours contradict is taken
// out, and its neighbours compared. Neither is called an error: most are real.
//
// # Forecast
//
// From the last reading L of the current segment, D years ahead, with x* the
// covariates' increment and c = -w_L [difference k ends at L] + th2^2 D h
//
//	mean = y_L - b_a(L) + x*'beta + c'P r
//	var  = sigma^2 (w_L + th1^2 D + th2^2 D^2 - c'P c) + g'C g
//	g    = (x* - X'P c ; -e_a(L) - Z'P c),  C the joint covariance of (beta, b)
//
// is the state; a reading adds sigma^2 and the bias of its analyzer. It is
// universal kriging on the readings. With lo < 0 < hi the action band about the
// target, P_rich = 1 - Phi((hi - mean)/sd), P_lean = Phi((lo - mean)/sd) and
// P_out is their sum. Where the record leaves open what was done, the state is a
// mixture of such normals.
//
// # What past forecasts teach
//
// The newest as-found readings of units are forecast from what came before each, with
// the parameters of the fit; those that somebody made or wrote down because of how the
// burner stood (call-outs, technicians who record only what is bad) are left out, since
// a unit of today has had no such visit. Whether they lay outside the action band says
// how far expected states are to be drawn to the target,
//
//	mean' = mean / (1 + (a + b ln D) v),  v = var / (variance of the population)
//
// D years ahead, held within those that past forecasts reach. a and b are the likeliest
// by the outcomes rich, lean and neither, with a prior on none, and less what chance
// alone gains. The variance stays: forecasts whose means reach too far are drawn in, and
// intervals stay as wide. Mean, interval and chance remain one distribution, and of one
// horizon and variance the order of units stays (prequential: Dawid 1984; a map from
// what was said to what happened: Platt 1999; of a predictive distribution: Gneiting and
// Ranjan 2013; all from memory). It is learned where 200 readings can be, and not where
// drift rests on priors; a unit last read far off speaks for itself.
//
// What annual visits cannot teach: how far forecasts err half a year ahead, where the
// season is another; and what an area has had in common since they were made.
//
// # Neighbours
//
// Readings of the units of an area may carry a level g(area, t) that lasts for about a
// year: another gas. It is noise to the differences, since it moves each of them as the
// noise of its readings does, but no noise of an instrument: the burner stands there.
// For differences of two units of an area, r1 that ends in a season and r2 that begins
// in it,
//
//	E(r1 r2) = -Var(g) (1 - k(D1) - k(D2) + k(D1 + D2)),  k(D) = max(0, 1 - D)
//
// D1 and D2 their years and k the correlation of the level with itself, while drift that
// both share is in one year of r1 and in another of r2, and gives
// nothing or the other sign. Units of one site and readings of one analyzer are left
// out. Where the mean product over the seasons of the areas lies below 0 by more than
// sampling explains, the state D years after its reading gains Var(g) min(1, D) and the
// noise of the next reading loses it, so that readings are forecast as before. Nothing
// is said of which way a level went.
//
// The algebra is that of linear mixed models (Henderson's equations, REML of
// Patterson and Thompson 1971) and of universal kriging; references from memory.
package model
