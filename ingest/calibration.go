package ingest

import (
	"fmt"
	"math"
	"slices"

	"fluedrift/ingest/layout"
)

// computeError makes the error that a calibration found of what the analyzer read and
// the gas in the bottle. One that no analyzer in use has is a typing error or another
// gas: the cell of what it read is set aside.
func (r losses) computeError() {
	if r.layout.Record != layout.Analyzers {
		return
	}
	var at [3]int
	for k, name := range []string{"found_error", "span_co2", "found_co2"} {
		at[k] = slices.IndexFunc(layout.Fields(layout.Analyzers), func(f layout.Field) bool { return f.Name == name })
	}
	out, span, found := &r.base[at[0]], r.base[at[1]], r.base[at[2]]
	if out.ok || !span.ok || !found.ok {
		return
	}
	v := math.Round(1e6*(found.num-span.num)) / 1e6
	f := layout.Fields(layout.Analyzers)[at[0]]
	if err := f.InBounds(v, f.Unit()); err == nil {
		*out = value{ok: true, num: v, decimals: max(span.decimals, found.decimals)}
		return
	}
	i := slices.IndexFunc(r.head.bound, func(b bound) bool { return b.Field == "found_co2" })
	b := r.head.bound[i]
	r.base[at[2]] = value{}
	r.mark(b, markUnreadable)
	r.spoilt.cells = append(r.spoilt.cells, spoiltCell{bound: i, fault: cellFault{
		b.Header, fmt.Sprint(found.num), outOfRange, fmt.Sprintf("%g %% was read of a gas of %g %%: no analyzer in use is so far off",
			found.num, span.num),
	}})
}
