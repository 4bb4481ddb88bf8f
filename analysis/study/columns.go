package study

import (
	"fmt"
	"maps"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// Names of columns.
const (
	constantName = "constant"
	VentName     = "vent"
	airName      = "combustion air"
	airAtName    = airName + " at " // then a burner control
	ageName      = "age"
	settlingName = "settling after setting"
	timeName     = "time between"
	exposureName = "vent x time between"
	ventByName   = "vent x " // then a burner control
	ventAtName   = "vent at "
)

// Names of fits.
const (
	PooledFit    = "pooled"
	ControlFit   = "by burner control"
	AdjustedFit  = "with fuel, model line and altitude"
	AnalyzersFit = "with analyzers"
	WithinFit    = "within-control"
)

// fits are the sets of columns: pooled first, the others beside it.
var fits = []struct {
	name string
	more func(*design)
}{
	{PooledFit, func(*design) {}},
	{ControlFit, (*design).byControl},
	{AdjustedFit, (*design).adjusted},
	{AnalyzersFit, (*design).analyzers},
}

// design is a table of columns in the making. Of drift, whose coefficients are
// rates, columns that are not changes themselves go with the time between.
type design struct {
	rows    []*Row
	kind    Kind
	z       func(*Row) float64
	years   func(*Row) float64
	columns []column
	dropped []column // that repeat others
}

// column is one of them; a nuisance one needs no degrees of freedom.
type column struct {
	name, unit string
	values     []float64
	nuisance   bool
	analyzer   bool    // what one analyzer reads more than the others
	level      bool    // of a burner control, less that of the most frequent one
	share      float64 // of a level: the part of the rows that have it
}

// newDesign has the columns that every fit has: the constant, the vent, and the
// change of air by burner control; of installation and drift a level of each control,
// since the bench's own vent and time act on each otherwise; of drift age and settling too, of re-routing what
// drifts between the two readings, in general and on the vents there were.
func newDesign(kind Kind, rows []*Row, m measure) *design {
	d := &design{rows: rows, kind: kind, z: m.of, years: m.years}
	d.timed(constantName, "", func(*Row) float64 { return 1 })
	if kind != Rerouting {
		d.levels()
	}
	d.timed(VentName, "", m.of)
	d.air()
	if kind == Rerouting {
		d.plain(timeName, "a year", func(r *Row) float64 { return r.Years })
		d.plain(exposureName, "a year", m.years)
	}
	if kind == Drift {
		d.timed(ageName, "per year of age", func(r *Row) float64 { return r.AgeYears })
		d.plain(settlingName, "in the first year", func(r *Row) float64 { return r.Settled })
	}
	return d
}

// levels adds a level for each burner control but the most frequent.
func (d *design) levels() {
	of, names := controlLevels(d.rows)
	for _, l := range names[1:] {
		d.timed(l, "", func(r *Row) float64 { return one(of(r) == l) })
		c := &d.columns[len(d.columns)-1]
		c.level = true
		for _, r := range d.rows {
			c.share += one(of(r) == l) / float64(len(d.rows))
		}
	}
}

// air adds the change of air, a column for each burner control: a fan that blows the
// same whatever the gas does loses about twice what a ratio control does, and one
// coefficient for both would be taken for an effect of the vents that each has. Rare
// controls go together, or with the most frequent one where they are rare together.
func (d *design) air() {
	of, names := controlLevels(d.rows)
	if len(names) < 2 {
		d.plain(airName, "per K", func(r *Row) float64 { return r.AirK })
		return
	}
	for _, l := range names {
		d.plain(airAtName+l, "per K", func(r *Row) float64 { return r.AirK * one(of(r) == l) })
	}
}

// controlLevels groups rows by the burner controls that have columns of their own.
func controlLevels(rows []*Row) (of func(*Row) string, names []string) {
	level, names := levelsOf(rows, controlOf)
	counts, sites := rowsAndSites(rows, level)
	if len(names) < 2 || !slices.Contains(names, otherLevel) || enough(counts[otherLevel], sites[otherLevel]) {
		return level, names
	}
	names = slices.DeleteFunc(names, func(l string) bool { return l == otherLevel })
	return func(r *Row) string {
		if l := level(r); l != otherLevel {
			return l
		}
		return names[0]
	}, names
}

// Controls are the burner controls that have columns of their own in the declared
// comparison, "other" for those that share one; none where all do.
func Controls(s *Study) []string {
	p := s.Settings.Primary
	if _, names := controlLevels(within(s.rowsOf(s.Rows, p.Kind, p.Fire), p.Control)); len(names) > 1 {
		return names
	}
	return nil
}

// timed adds a column that goes with the years between where drift is asked for.
func (d *design) timed(name, unit string, of func(*Row) float64) {
	if d.kind == Drift {
		d.plain(name, unitOf("a year", unit), func(r *Row) float64 { return of(r) * r.Years })
		return
	}
	d.plain(name, unit, of)
}

// plain adds a column as it is.
func (d *design) plain(name, unit string, of func(*Row) float64) {
	c := column{name: name, unit: unit}
	for _, r := range d.rows {
		c.values = append(c.values, of(r))
	}
	d.columns = append(d.columns, c)
}

// unitOf joins two parts of a unit.
func unitOf(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + " " + b
}

// byControl lets the vent differ by burner control, and the level where it does not
// already; the most frequent one is what the others are compared with, and rare ones go
// together, or out where they are rare together (commonControls).
func (d *design) byControl() {
	level, names := levelsOf(d.rows, controlOf)
	if d.kind == Rerouting {
		d.levels()
	}
	for _, l := range names[1:] {
		d.timed(ventByName+l, "", func(r *Row) float64 { return d.z(r) * one(level(r) == l) })
		if d.kind == Rerouting { // what drifts between differs too
			d.plain(exposureName+" x "+l, "a year", func(r *Row) float64 { return d.years(r) * one(level(r) == l) })
		}
	}
}

// adjusted adds fuel, model line and altitude.
func (d *design) adjusted() {
	for _, by := range []struct {
		name string
		of   func(*Row) string
	}{{"fuel ", func(r *Row) string { return r.Fuel }}, {"line ", func(r *Row) string { return r.Line }}} {
		level, names := levelsOf(d.rows, by.of)
		for _, l := range names[1:] {
			d.timed(by.name+l, "", func(r *Row) float64 { return one(level(r) == l) })
		}
	}
	if !slices.ContainsFunc(d.rows, func(r *Row) bool { return !whole(r.AltitudeM) }) {
		d.timed("altitude", "per km", func(r *Row) float64 { return r.AltitudeM / 1000 })
	}
}

// fewestOfAnalyzer is how many rows with another analyzer at the other end an
// analyzer's own column needs; mostAnalyzers are as many as get one.
const fewestOfAnalyzer, mostAnalyzers = 5, 150

// analyzers adds what each analyzer reads more than the others: the one after less
// the one before. Of each group of analyzers that met at units one repeats the
// others and is dropped. Of many analyzers those with most rows have a column; what
// the others read more stays in the noise.
func (d *design) analyzers() {
	rows := map[string]int{}
	for _, r := range d.rows {
		if r.AnalyzerBefore != r.AnalyzerAfter {
			rows[r.AnalyzerBefore]++
			rows[r.AnalyzerAfter]++
		}
	}
	delete(rows, "")
	for _, a := range mostFrequent(rows, mostAnalyzers) {
		if rows[a] < fewestOfAnalyzer {
			continue
		}
		d.plain("analyzer "+a, "", func(r *Row) float64 { return one(r.AnalyzerAfter == a) - one(r.AnalyzerBefore == a) })
		d.columns[len(d.columns)-1].analyzer = true
		d.columns[len(d.columns)-1].nuisance = true
	}
}

// mostFrequent lists the names with the highest counts, by name.
func mostFrequent(counts map[string]int, most int) []string {
	names := slices.Sorted(maps.Keys(counts))
	slices.SortStableFunc(names, func(a, b string) int { return counts[b] - counts[a] })
	names = names[:min(most, len(names))]
	slices.Sort(names)
	return names
}

func one(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

// fewestOfLevel is how many rows a level of its own needs, and fewestSitesOfLevel in
// how many sites: a slope that lives in few of them takes the degrees of freedom of
// every joint test it is in.
const fewestOfLevel, fewestSitesOfLevel = 15, 10

// levelsOf groups rows: levels with few rows or sites are "other". The names come by
// how many rows they have, most first.
func levelsOf(rows []*Row, of func(*Row) string) (level func(*Row) string, names []string) {
	own := map[string]bool{}
	counts, sites := rowsAndSites(rows, of)
	for l := range counts {
		own[l] = l != "" && enough(counts[l], sites[l])
	}
	level = func(r *Row) string {
		if own[of(r)] {
			return of(r)
		}
		return otherLevel
	}
	counts, _ = rowsAndSites(rows, level)
	names = slices.Sorted(maps.Keys(counts))
	slices.SortStableFunc(names, func(a, b string) int { return counts[b] - counts[a] })
	return level, names
}

// commonControls leaves out rows of burner controls that are too rare for a slope,
// all of them together too.
func commonControls(rows []*Row) []*Row {
	level, _ := levelsOf(rows, controlOf)
	counts, sites := rowsAndSites(rows, level)
	if enough(counts[otherLevel], sites[otherLevel]) {
		return rows
	}
	return slices.DeleteFunc(slices.Clone(rows), func(r *Row) bool { return level(r) == otherLevel })
}

func controlOf(r *Row) string { return string(r.Control) }

// otherLevel holds what is too rare for a level of its own.
const otherLevel = "other"

func enough(rows, sites int) bool { return rows >= fewestOfLevel && sites >= fewestSitesOfLevel }

// rowsAndSites counts the rows of each level and the sites they come from.
func rowsAndSites(rows []*Row, of func(*Row) string) (counts, sites map[string]int) {
	counts, sites = map[string]int{}, map[string]int{}
	seen := map[[2]string]bool{}
	for _, r := range rows {
		l := of(r)
		counts[l]++
		if key := [2]string{l, r.Site}; !seen[key] {
			seen[key] = true
			sites[l]++
		}
	}
	return counts, sites
}

// independent drops columns that repeat earlier ones to nine digits; an error where
// the constant or the vent is one of them.
func (d *design) independent() error {
	var b basis
	var kept []column
	for _, c := range d.columns {
		if b.add(c.values) == 0 {
			if c.name == constantName || c.name == VentName {
				return fmt.Errorf("%s: %w", c.name, ErrAliased)
			}
			d.dropped = append(d.dropped, c)
			continue
		}
		kept = append(kept, c)
	}
	d.columns = kept
	return nil
}

// ventAlone is the sum of squares of what the vent's column holds beside the others:
// one over it, times the noise's variance, is the variance of the vent's effect.
func (d *design) ventAlone() float64 {
	var b basis
	alone := 0.0
	for _, vent := range []bool{false, true} { // the vent last
		for _, c := range d.columns {
			if (c.name == VentName) == vent {
				alone = b.add(c.values)
			}
		}
	}
	return alone * alone
}

// basis is a set of orthogonal columns of length one.
type basis [][]float64

// add adds what a column holds beside those of the basis and returns its length, 0
// where it repeats them to nine digits.
func (b *basis) add(column []float64) float64 {
	const digits = 1e-9
	v := slices.Clone(column)
	before := floats.Norm(v, 2)
	for range 2 { // twice is enough
		for _, u := range *b {
			floats.AddScaled(v, -floats.Dot(u, v), u)
		}
	}
	after := floats.Norm(v, 2)
	if !(after > digits*before) {
		return 0
	}
	floats.Scale(1/after, v)
	*b = append(*b, v)
	return after
}

// data turns the columns into what a regression takes, the nuisance ones last.
func (d *design) data(y func(*Row) float64) Data {
	slices.SortStableFunc(d.columns, func(a, b column) int { return int(one(a.nuisance) - one(b.nuisance)) })
	out := Data{X: make([][]float64, len(d.rows))}
	for _, c := range d.columns {
		out.Names = append(out.Names, c.name)
		out.Nuisance += int(one(c.nuisance))
		for i, v := range c.values {
			out.X[i] = append(out.X[i], v)
		}
	}
	for _, r := range d.rows {
		out.Y, out.Cluster = append(out.Y, y(r)), append(out.Cluster, r.Site)
	}
	return out
}
