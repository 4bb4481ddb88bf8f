package watch

import (
	"cmp"
	"math"
	"slices"

	"fluedrift/model/judge"
)

// ColumnMedian is where the newest readings of a column of exports lie about their
// targets: the middle over units and fires, in points of CO2, positive towards rich.
type ColumnMedian struct {
	Layout string  `json:"layout"`
	Column string  `json:"column"`
	Units  int     `json:"units"`
	Points float64 `json:"points"`         // the median
	SE     float64 `json:"standard_error"` // of the median, by the middle half of the readings
	Rich   float64 `json:"rich"`           // median widths of the action band
	Lean   float64 `json:"lean"`
	Set    float64 `json:"set"`   // median width of the narrower side of the setting band
	Same   float64 `json:"same"`  // share of the readings on its side of the target
	Apart  float64 `json:"apart"` // width of the middle half of the readings
}

// Medians takes the newest reading of each fire of the listed units, by the column
// it was read from, which column names; "" leaves a reading out. In order of layouts
// and columns.
func Medians(lines []Line, r Config, column func(*judge.Reading) (layout, header string)) []ColumnMedian {
	type key struct{ layout, header string }
	type values struct {
		units                   map[int32]bool
		points, rich, lean, set []float64
	}
	all := map[key]*values{}
	for i := range lines {
		l := &lines[i]
		if l.Removed {
			continue
		}
		for k := range l.Fires {
			f := &l.Fires[k]
			if f.Reading == nil || f.OtherFuel || math.IsNaN(f.CO2Percent-f.TargetCO2Percent) {
				continue
			}
			layout, header := column(f.Reading)
			if layout == "" {
				continue
			}
			v := all[key{layout, header}]
			if v == nil {
				v = &values{units: map[int32]bool{}}
				all[key{layout, header}] = v
			}
			action, _ := r.Judge.Action(&f.Target, l.Unit.Fuel)
			setting := r.Judge.Setting(&f.Target, l.Unit.Fuel)
			v.units[l.Unit.Key] = true
			v.points = append(v.points, f.CO2Percent-f.TargetCO2Percent)
			v.rich, v.lean = append(v.rich, action.Rich), append(v.lean, -action.Lean)
			v.set = append(v.set, math.Min(setting.Rich, -setting.Lean))
		}
	}
	var out []ColumnMedian
	for k, v := range all {
		m := ColumnMedian{Layout: k.layout, Column: k.header, Units: len(v.units), Rich: middle(v.rich), Lean: middle(v.lean), Set: middle(v.set)}
		slices.Sort(v.points)
		m.Points = middle(v.points)
		n := len(v.points)
		m.Apart = v.points[3*(n-1)/4] - v.points[(n-1)/4]
		m.SE = 1.2533 * m.Apart / 1.349 / math.Sqrt(float64(n)) // of the median of a normal sample: sqrt(pi/2) s / sqrt(n)
		same := 0
		for _, p := range v.points {
			if p*m.Points > 0 {
				same++
			}
		}
		m.Same = float64(same) / float64(n)
		for _, v := range []*float64{&m.Points, &m.SE, &m.Rich, &m.Lean, &m.Set, &m.Same, &m.Apart} {
			*v = math.Round(1e4**v) / 1e4
		}
		out = append(out, m)
	}
	slices.SortFunc(out, func(a, b ColumnMedian) int {
		return cmp.Or(cmp.Compare(a.Layout, b.Layout), cmp.Compare(a.Column, b.Column))
	})
	return out
}

// middle is the median of the values that are known, 0 of none.
func middle(values []float64) float64 {
	known := slices.DeleteFunc(slices.Clone(values), math.IsNaN)
	if len(known) == 0 {
		return 0
	}
	slices.Sort(known)
	return (known[(len(known)-1)/2] + known[len(known)/2]) / 2
}

// Beyond returns by how many widths of the action band the median lies off target,
// on its own side; 0 without a band.
func (m *ColumnMedian) Beyond() float64 {
	width := m.Rich
	if m.Points < 0 {
		width = m.Lean
	}
	if !(width > 0) {
		return 0
	}
	return math.Abs(m.Points) / width
}

// Jump returns by how many widths of the setting band the median has moved since it
// was last taken, as far as it is more than the two can differ by chance.
func (m *ColumnMedian) Jump(was *ColumnMedian) float64 {
	const sure = 2 // standard errors
	moved := math.Abs(m.Points-was.Points) - sure*math.Hypot(m.SE, was.SE)
	if !(m.Set > 0) || moved <= 0 {
		return 0
	}
	return moved / m.Set
}

// ProbablyOut counts the listed units that have a chance, and those of them that are
// probably out of limits today.
func ProbablyOut(lines []Line, r Config) (out, of int) {
	for i := range lines {
		if lines[i].Removed {
			continue
		}
		f, c := worstFire(lines[i].Forecast, today)
		if f == nil {
			continue
		}
		of++
		if c.Out() >= r.outProbability() {
			out++
		}
	}
	return out, of
}
