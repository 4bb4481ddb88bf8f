package study

import (
	"fmt"
	"maps"
	"slices"
)

// airName is the column of the change of combustion air.
const airName = "combustion air"

// fits are the sets of columns: pooled first, the others beside it.
var fits = []struct {
	name    string
	columns func(rows []*Row, z func(*Row) float64) ([]string, [][]float64)
}{
	{"pooled", pooled},
	{"by burner control", byControl},
	{"with fuel, model line and altitude", adjusted},
}

func pooled(rows []*Row, z func(*Row) float64) (names []string, x [][]float64) {
	for _, r := range rows {
		x = append(x, []float64{1, z(r), r.AirK})
	}
	return []string{"constant", ventName, airName}, x
}

// byControl lets level and vent differ by burner control; the most frequent one is
// what the others are compared with, and rare ones go together.
func byControl(rows []*Row, z func(*Row) float64) (names []string, x [][]float64) {
	names, x = pooled(rows, z)
	return addLevels(names, x, rows, func(r *Row) string { return r.Control }, func(i int) []float64 { return []float64{1, z(rows[i])} }, []string{"%s", "vent x %s"})
}

// adjusted adds fuel, model line and altitude.
func adjusted(rows []*Row, z func(*Row) float64) (names []string, x [][]float64) {
	names, x = pooled(rows, z)
	one := func(int) []float64 { return []float64{1} }
	names, x = addLevels(names, x, rows, func(r *Row) string { return r.Fuel }, one, []string{"fuel %s"})
	names, x = addLevels(names, x, rows, func(r *Row) string { return r.Line }, one, []string{"line %s"})
	first := rows[0].AltitudeM
	if slices.ContainsFunc(rows, func(r *Row) bool { return !whole(r.AltitudeM) }) || !slices.ContainsFunc(rows, func(r *Row) bool { return r.AltitudeM != first }) {
		return names, x
	}
	for i, r := range rows {
		x[i] = append(x[i], r.AltitudeM/1000)
	}
	return append(names, "altitude, km"), x
}

// fewestOfLevel is how many rows a level of its own needs.
const fewestOfLevel = 15

// addLevels adds columns for each level but the most frequent one.
func addLevels(names []string, x [][]float64, rows []*Row, of func(*Row) string, values func(int) []float64, words []string) ([]string, [][]float64) {
	counts := map[string]int{}
	for _, r := range rows {
		counts[of(r)]++
	}
	level := func(r *Row) string {
		if counts[of(r)] < fewestOfLevel {
			return "other"
		}
		return of(r)
	}
	grouped := map[string]int{}
	for _, r := range rows {
		grouped[level(r)]++
	}
	levels := slices.Sorted(maps.Keys(grouped))
	slices.SortStableFunc(levels, func(a, b string) int { return grouped[b] - grouped[a] })
	for _, l := range levels[1:] {
		for k, w := range words {
			names = append(names, fmt.Sprintf(w, l))
			for i, r := range rows {
				v := 0.0
				if level(r) == l {
					v = values(i)[k]
				}
				x[i] = append(x[i], v)
			}
		}
	}
	return names, x
}
