package study

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// diagnose collects what pictures of a fit show.
func (s fitting) diagnose(t task, f *fitted) Diagnostic {
	k := f.column(VentName)
	d := Diagnostic{
		Kind: t.kind, Fire: t.fire, Response: t.response.name, Measure: t.measure.name, Fit: t.fit, Control: t.control, Unit: t.response.unit,
		Fitted: f.Fitted, Residual: f.Residuals, Leverage: f.Leverage, Slope: f.Beta[k], ResidualSD: f.ResidualSD, Counts: f.counts,
	}
	index := map[*Row]int{}
	for i := range s.Rows {
		index[&s.Rows[i]] = i
	}
	for i, r := range f.rows {
		d.Rows = append(d.Rows, index[r])
		vent := f.design.columns[k].values[i]
		d.Vent, d.Partial = append(d.Vent, vent), append(d.Partial, f.Residuals[i]+f.Beta[k]*vent)
		d.Standardized = append(d.Standardized, f.Residuals[i]/(f.ResidualSD*math.Sqrt(math.Max(1-f.Leverage[i], 1e-9))))
	}
	d.Quantile = normalQuantiles(d.Standardized)
	return d
}

// normalQuantiles gives each value the normal quantile of its rank, (rank - 3/8) /
// (n + 1/4) (Blom, Statistical Estimates and Transformed Beta-Variables, 1958; from
// memory).
func normalQuantiles(values []float64) []float64 {
	order := make([]int, len(values))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(values[a], values[b]) })
	out := make([]float64, len(values))
	for rank, i := range order {
		out[i] = distuv.UnitNormal.Quantile((float64(rank+1) - 0.375) / (float64(len(values)) + 0.25))
	}
	return out
}
