package drift

import "math"

// Point is a day a forecast is asked for.
type Point struct {
	T        float64   // years, on the unit's scale; not before its last visit
	Level    []float64 // expected level covariates of that day, one a level column
	LevelVar []float64 // their variance about it; nil where they are known
	Lo, Hi   float64   // action band, points from the target, Lo < 0 < Hi; NaN: none on that side
	Analyzer int       // column of the next reading's analyzer, -1 unknown
	Period   int       // and of its calibration period, -1 unknown
	// Made says that the instrument columns of Level are those of a reading that was
	// made; otherwise they are 0, and the next reading's instrument is expected to be
	// one of the fleet's.
	Made bool
}

// Parts are what the expected deviation of a state is made of; they add up to
// its mean. Of a mixture they are the parts of the means.
type Parts struct {
	Last      float64 // the last reading as recorded, from today's target
	Analyzer  float64 // minus the bias of the analyzer that made it
	Smoothing float64 // what the readings before it say about its noise
	Drift     float64 // rates of the covariates x time, settling included
	Slope     float64 // the unit's own rate x time
	Season    float64 // level covariates of that day minus those of the last reading
	Fleet     float64 // the pull towards what burners of the fleet are found at
}

// Sum returns the mean the parts make.
func (p Parts) Sum() float64 {
	return p.Last + p.Analyzer + p.Smoothing + p.Drift + p.Slope + p.Season + p.Fleet
}

func (p *Parts) add(w float64, o Parts) {
	p.Last += w * o.Last
	p.Analyzer += w * o.Analyzer
	p.Smoothing += w * o.Smoothing
	p.Drift += w * o.Drift
	p.Slope += w * o.Slope
	p.Season += w * o.Season
	p.Fleet += w * o.Fleet
}

// Forecast is a unit's expected deviation on a day.
type Forecast struct {
	T             float64
	State         Estimate // true deviation with that day's level covariates
	Reading       Estimate // what a reading of that day would show
	States, Shown Mixture  // the distributions behind them
	// Probability that the true deviation is above Hi, below Lo, either.
	PRich, PLean, POut float64
	Parts              Parts
	Marks              Mark
	Ahead              float64 // years since what the forecast is reckoned from, the longest
	// With an unconfirmed last reading: POut if it is right, and if it is not.
	POutKept, POutWithout float64
}

// Predictive is the predictive distribution of a unit's state, from which any day is
// forecast. It works in its Predictor's space, and is best let go before the next unit.
type Predictive struct {
	Unit  int
	Marks Mark
	Last  *UnconfirmedLast // nil without an unconfirmed last reading
	// LastVisit and LastReading locate the reading with the largest weight,
	// -1 where the state rests on no reading.
	LastVisit, LastReading int

	p     *Predictor
	parts []base
}

// Predictor forecasts units of one fit. It reuses its working space: one a
// goroutine.
type Predictor struct {
	fit *Fit
	increments
	k       *kernel
	g       []float64
	filled  []int // where g is not 0: units have few of the fleet's covariates
	without int   // reading from which on the unit's are left out; -1: none
}

// history is the unit's, as the fit sees it.
func (p *Predictor) history(u int) history { return newHistory(p.fit.fleet, u, p.fit.Sigma) }

// base is what forecasting from one conditioning state needs of the unit's differences,
// whatever the day: inner products under P of e (the conditioning state's noise in the
// difference it ends), h, r, X and Z.
type base struct {
	state
	cols               []int32   // analyzer columns of Z and of the conditioning state
	er, hr, ee, eh, hh float64   //
	xe, xh             []float64 // per coefficient, then per analyzer column
	minus              []float64 // 1 at the conditioning state's own analyzer columns
	cov                []float64 // of coefficients, then analyzer columns
	w                  float64   // noise of the conditioning state, analyzer unknown included

	// toLast is what the drift covariates gain from the conditioning state to where the
	// unit's last run begins, then the years of it that are not known: the same for every
	// day to come. Nil until such a day is asked for.
	toLast []float64
}

// base runs the unit's forward pass with the conditioning state's column at the end.
func (p *Predictor) base(u int, a state) base {
	k, fit := p.k, p.fit
	k.gather(u)
	for n := len(k.diffs); p.without >= 0 && n > 0 && int(k.diffs[n-1].j) >= p.without; n-- {
		k.diffs = k.diffs[:n-1]
	}
	b := base{state: a, w: a.w}
	if a.an < 0 {
		b.w += k.th.B1 * k.th.B1
	}
	if a.per < 0 {
		b.w += k.th.B2 * k.th.B2
	}
	k.pass(1, func(at int, row []float64) {
		if int(k.diffs[at].j) == a.reading {
			row[k.c-1] -= b.w
		}
	})
	k.absorb()
	e, h := k.c-1, k.p+1
	b.er, b.hr = k.residual(e, fit), k.residual(h, fit)
	b.ee, b.eh, b.hh = k.at(e, e), k.at(e, h), k.at(h, h)
	b.cols = append(b.cols, k.cols...)
	np := len(fit.beta)
	b.xe, b.xh = make([]float64, np, np+len(k.cols)+2), make([]float64, np, np+len(k.cols)+2)
	for c, x := range k.xs {
		b.xe[x], b.xh[x] = k.at(e, c), k.at(h, c)
	}
	for c := range k.cols {
		b.xe, b.xh = append(b.xe, k.at(e, k.p+2+c)), append(b.xh, k.at(h, k.p+2+c))
	}
	b.minus = make([]float64, len(b.xe), len(b.xe)+2)
	b.own(a.an, np)
	if a.per >= 0 {
		b.own(a.per+int32(fit.fleet.in.Analyzers), np)
	}
	b.cov = fit.cov.local(b.cols)
	return b
}

// own marks an analyzer column as the conditioning state's, adding it where Z lacks it.
func (b *base) own(col int32, p int) {
	if col < 0 {
		return
	}
	for i, c := range b.cols {
		if c == col {
			b.minus[p+i] = 1
			return
		}
	}
	b.cols = append(b.cols, col)
	b.xe, b.xh, b.minus = append(b.xe, 0), append(b.xh, 0), append(b.minus, 1)
}

// Predictive decides which states a unit's distribution is conditioned on. Where the record leaves
// open what was done, it is a mixture.
func (p *Predictor) Predictive(u int) *Predictive {
	fit := p.fit
	f := fit.fleet
	list, marks := p.history(u).states()
	o := &Predictive{Unit: u, Marks: marks, p: p, LastVisit: -1, LastReading: -1}
	best := 0.0
	for _, a := range list {
		if math.IsNaN(a.t) {
			continue
		}
		if a.reading >= 0 && a.weight > best {
			best, o.LastVisit, o.LastReading = a.weight, int(f.vis[a.reading]), int(f.idx[a.reading])
		}
		p.condition(o, a)
	}
	if len(p.k.diffs) == 0 {
		o.Marks |= NoHistory
	}
	if fit.How == Defaults {
		o.Marks |= NotMeasuredEffect
	}
	return o
}

// Slope returns the unit's own drift rate beside that of its covariates, points
// a year, and its standard deviation given the coefficients and biases.
func (p *Predictor) Slope(u int) (v, sd float64) {
	k, fit := p.k, p.fit
	k.unit(u)
	k.absorb()
	h := k.p + 1
	tau2 := k.th.Tau * k.th.Tau
	v = tau2 * k.residual(h, fit)
	return v, fit.Sigma * math.Sqrt(tau2*math.Max(0, 1-tau2*k.g[h*k.c+h]))
}

// condition takes a conditioning state in, as two where it is an isolated last reading.
func (p *Predictor) condition(o *Predictive, a state) {
	u, f := o.Unit, p.fit.fleet
	if a.reading >= 0 {
		if f.in.Series[u].Visits[f.vis[a.reading]].Readings[f.idx[a.reading]].Use == ForState {
			o.Marks |= NotInFit
		}
		if a.an < 0 {
			o.Marks |= AnalyzerUnknown
		}
		if a.confirmed == keptReading {
			o.Last = &UnconfirmedLast{
				Visit: int(f.vis[a.reading]), Y: a.y, Expected: f.in.Series[u].Visits[f.vis[a.reading]].TargetStep,
				SD: f.in.Rules.SetSD, Wrong: f.in.Rules.ResetUnconfirmed,
			}
		}
		if a.confirmed == certain {
			parts, last := lastReading{p, u, a}.weighed()
			if o.parts = append(o.parts, parts...); last != nil {
				o.Last = last
				o.Marks |= LastUnconfirmed
			}
			return
		}
	}
	o.parts = append(o.parts, p.base(u, a))
}
