package estimate

import (
	"math"
	"slices"

	"fluedrift/model/day"
)

// observed is a calibration period whose end a certificate observes.
type observed struct {
	analyzer, period int // indices into FireFit.Analyzers and its Periods
	found            float64
}

// ended finds the certificate of the calibration that ended a period.
func (x *Analyzer) ended(p *Period, certificates []Certificate) (c Certificate, ok bool) {
	if x.Standin || p.Calibrated == day.None {
		return c, false
	}
	c.Day = math.MaxInt32
	for _, one := range certificates {
		if one.Analyzer == x.Name && one.Day > p.Calibrated && one.Day < c.Day && !math.IsNaN(one.FoundErrorPoints) {
			c, ok = one, true
		}
	}
	later := func(q Period) bool {
		return q.Calibrated != day.None && q.Calibrated > p.Calibrated && q.Calibrated < c.Day
	}
	return c, ok && !slices.ContainsFunc(x.Periods, later)
}

// certify sets what calibrations found beside the estimated bias of the day on
// which they found it.
func (f instrumentCheck) certify() {
	for a := range f.Analyzers {
		for k := range f.Analyzers[a].Periods {
			p := &f.Analyzers[a].Periods[k]
			p.FoundErrorPoints = math.NaN()
			p.Reads = f.Fit.ReadsAlong(a, p.Column, colSince)
			p.Known = f.Fit.Periods[p.Column].Known()
		}
	}
	for _, o := range f.observed {
		f.Analyzers[o.analyzer].Periods[o.period].FoundErrorPoints = o.found
	}
}

// certificateNotes say what became of certificates.
func (f instrumentCheck) certificateNotes() (notes []Note) {
	refused := f.Fit.Refused()
	if used := len(f.observed) - len(refused); used > 0 {
		notes = append(notes, CertificatesUsed{Certificates: used})
	}
	for _, i := range refused {
		o := f.observed[i]
		x := &f.Analyzers[o.analyzer]
		notes = append(notes, CertificateRefused{Analyzer: x.Name, Period: x.Periods[o.period], FoundErrorPoints: o.found})
	}
	return notes
}

// certificates are those given, each with a standard deviation.
func (r *Config) certificates() (out []Certificate) {
	for _, c := range r.Certificates {
		if c.SDPoints == 0 {
			c.SDPoints = r.Priors.CertificateSD
		}
		out = append(out, c)
	}
	return out
}
