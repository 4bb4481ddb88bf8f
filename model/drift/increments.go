package drift

import "math"

// increments are the changes of a unit's covariates from a conditioning state to a day.
type increments struct {
	fit     *Fit
	x       []float64 // of all columns, scaled
	unknown []float64 // years for which a drift rate is not known
	apart   []float64 // by companion: what its unknown rates add
}

// between fills x with the covariates' change from the conditioning state to the day,
// scaled, and returns the standard deviation of what had to be imputed, if
// anything was.
func (c *increments) between(u int, b *base, point *Point) (sd float64, imputed bool) {
	f := c.fit.fleet
	design := &f.in.Design
	clear(c.x)
	nl, nd := len(design.Level), len(design.Drift)
	for k := range nl {
		c.x[k] = point.Level[k]
		if b.level != nil {
			c.x[k] -= b.level[k]
		}
	}
	unknown := c.unknown[:nd]
	clear(unknown)
	series := &f.in.Series[u]
	imputation := series.Imputed.completedBy(f.imputed)
	runs := integral{series.Runs, f.comps}
	b.toLast = runs.ahead(b.t, point.T, imputation.Rate, b.toLast, c.x[nl:nl+nd], unknown)
	if design.Settling {
		c.x[f.stride-1] = settled(point.T, b.set) - settled(b.t, b.set)
	}
	for k := range c.x {
		c.x[k] /= f.scale[k]
	}
	for _, t := range unknown {
		imputed = imputed || t > 0
	}
	if !imputed {
		return 0, false
	}
	return c.imputedSD(unknown, imputation.Var), true
}

// Three metres more or less are not known of a vent that is not recorded; how much drift
// that is follows from the coefficient. All intervals of the unit err by the same imputation,
// so it adds as a standard deviation times years and not as independent steps.

// imputedSD is what unknown rates add: a standard deviation, negative where rates
// above the imputed ones make the state leaner. Columns with one companion lack the
// same figure, and so err together.
func (c *increments) imputedSD(unknown, variance []float64) float64 {
	f := c.fit.fleet
	nl, total, along := len(f.in.Design.Level), 0.0, 0.0
	c.apart = append(c.apart[:0], make([]float64, len(unknown))...)
	for k, col := range f.used {
		if d := col - nl; d >= 0 && d < len(unknown) && unknown[d] > 0 && f.comps[d] >= 0 {
			c.apart[f.comps[d]] += c.fit.beta[k] / f.scale[col] * unknown[d] * math.Sqrt(variance[d])
		}
	}
	for _, sd := range c.apart {
		total, along = total+sd*sd, along+sd
	}
	return math.Copysign(math.Sqrt(total), along)
}

// The day's air is not known in advance: gamma^2 Var(T) of each level column, the columns
// taken as uncorrelated (air temperature is the only one that varies from day to day).

// levelVar is the variance of the day's level covariates about what is expected.
func (c *increments) levelVar(point *Point) float64 {
	f, total := c.fit.fleet, 0.0
	if point.LevelVar == nil {
		return 0
	}
	for k, col := range f.used {
		if col < len(f.in.Design.Level) {
			gamma := c.fit.beta[k] / f.scale[col]
			total += gamma * gamma * point.LevelVar[col]
		}
	}
	return total
}

// levelSD is by how much a state moves with one standard deviation of the day's
// level covariates. A unit has one that varies: the air of its burner control.
func (c *increments) levelSD(point *Point) (points float64) {
	for k, col := range c.fit.fleet.used {
		if col < len(point.LevelVar) {
			points += c.fit.beta[k] / c.fit.fleet.scale[col] * math.Sqrt(point.LevelVar[col])
		}
	}
	return points
}

// heldVar is the variance a state gains from columns with a MaxSE that are not in
// the fit, its covariates being those of the conditioning state and shift (of a reading).
func (c *increments) heldVar(next bool) float64 {
	f, total := c.fit.fleet, 0.0
	for _, k := range f.widen {
		sd := f.cols[k].Prior.SD
		x, spread := c.x[k]*f.scale[k], 0.0
		if next && f.cols[k].Instrument {
			x, spread = x+f.next[k].mean, f.next[k].variance
		}
		total += sd * sd * (x*x + spread)
	}
	return total
}
