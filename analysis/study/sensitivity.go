package study

import (
	"fmt"
	"math"
	"slices"

	"fluedrift/model/judge"
)

// FarOff is from how many standard deviations a row is left out in one sensitivity.
const FarOff = 4

// variation is one way in which the study might have been made otherwise.
type variation struct {
	group   Group
	choice  Choice
	rows    []Row // nil: the study's own
	keep    func(*Row) bool
	measure measure
	more    func(*design)
	mixed   bool
	every   bool    // all burner controls, not the declared one alone
	within  float64 // rows with residuals beyond so many standard deviations are left out; 0: none
}

// varied is a study made otherwise.
type varied struct{ *Study }

// sensitivities makes the vent's effect under every variation.
func (s varied) sensitivities() {
	every := s.everyRow()
	base := variation{
		group: GroupDeclared, choice: Choice{Kind: AsDeclared}, rows: s.Rows, keep: func(*Row) bool { return true }, measure: byLength,
		more: fits[0].more,
	}
	list := []variation{base}
	add := func(group Group, choice Choice, change func(*variation)) {
		v := base
		v.group, v.choice = group, choice
		change(&v)
		list = append(list, v)
	}
	if s.Settings.Primary.Control != "" {
		add(GroupControls, Choice{Kind: EveryControl}, func(v *variation) { v.every = true })
	}
	add(GroupRows, Choice{Kind: KeepsRemoved}, func(v *variation) { v.rows = every })
	add(GroupRows, Choice{Kind: NoCallOuts}, func(v *variation) { v.keep = func(r *Row) bool { return r.Reason != judge.CallOut } })
	add(GroupRows, Choice{Kind: NoFarRows}, func(v *variation) { v.within = FarOff })
	for _, f := range fits[2:] {
		add(GroupColumns, Choice{WithColumns, f.name}, func(v *variation) { v.more = f.more })
	}
	for _, m := range []measure{byLength, byFan} {
		add(GroupMeasure, Choice{OnRowsOfBoth, m.name}, func(v *variation) {
			v.measure, v.keep = m, func(r *Row) bool { return whole(r.OfFan) }
		})
	}
	add(GroupFittings, Choice{LeastFittings, ByFan}, func(v *variation) {
		v.measure = measure{ByFan, func(r *Row) float64 { return r.OfFanLow }, byFan.years}
	})
	add(GroupFittings, Choice{MostFittings, ByFan}, func(v *variation) {
		v.measure = measure{ByFan, func(r *Row) float64 { return r.OfFanHigh }, byFan.years}
	})
	add(GroupSites, Choice{Kind: OwnBySite}, func(v *variation) { v.mixed = true })
	for _, by := range []struct {
		group Group
		of    func(*Row) []string
		alone bool
	}{
		{GroupSource, func(r *Row) []string { return []string{r.Source} }, true},
		{GroupFuel, func(r *Row) []string { return []string{r.Fuel} }, true},
		{GroupAnalyzers, func(r *Row) []string { return []string{r.AnalyzerBefore, r.AnalyzerAfter} }, false},
		{GroupAreas, func(r *Row) []string { return []string{r.Area} }, false},
	} {
		for _, level := range s.levels(by.of) {
			add(by.group, Choice{OneOf, level}, func(v *variation) {
				v.keep = func(r *Row) bool { return slices.Contains(by.of(r), level) == by.alone }
			})
		}
	}
	for _, v := range list {
		s.Sensitivities = append(s.Sensitivities, s.vary(v))
	}
}

// mostLevels is how many analyzers or areas are left out one at a time: those with
// most rows, since one of few rows moves little.
const mostLevels = 60

// levels lists what occurs in the rows that fits take; none where there is one only.
func (s varied) levels(of func(*Row) []string) []string {
	found := map[string]int{}
	p := s.Settings.Primary
	for _, kind := range Kinds {
		for _, r := range within(s.rowsOf(s.Rows, kind, p.Fire), p.Control) {
			for _, l := range of(r) {
				found[l]++
			}
		}
	}
	delete(found, "")
	if len(found) < 2 {
		return nil
	}
	return mostFrequent(found, mostLevels)
}

// vary makes the three slopes of one variation.
func (s varied) vary(v variation) Sensitivity {
	out := Sensitivity{Group: v.group, Choice: v.choice, Measure: v.measure.name, Declared: slices.Index(Kinds[:], s.Settings.Primary.Kind)}
	p := s.Settings.Primary
	if v.every {
		p.Control = ""
	}
	for i, kind := range Kinds {
		rows := slices.DeleteFunc(within(s.rowsOf(v.rows, kind, p.Fire), p.Control), func(r *Row) bool { return !v.keep(r) })
		t := withinTask(kind, p.Fire, responses[0], v.measure, p.Control)
		t.more = v.more
		f, err := t.regress(rows)
		if err == nil && v.within > 0 {
			f, err = t.regress(f.near(v.within))
		}
		if err == nil && v.mixed {
			out.Mixed = true
			var slope Contrast
			if slope, err = f.mixed(); err == nil {
				out.Slopes[i] = Slope{Contrast: slope, Counts: f.counts}
			}
		} else if err == nil {
			out.Slopes[i] = Slope{Contrast: f.vent(), Counts: f.counts}
		}
		if err != nil {
			out.Slopes[i] = Slope{Counts: countsOf(rows), NotMade: Failed{Err: err}}
		}
	}
	return out
}

// near are the rows whose residual is at most so many standard deviations.
func (f *fitted) near(most float64) (out []*Row) {
	for i, r := range f.rows {
		if math.Abs(f.Residuals[i]) <= most*f.ResidualSD*math.Sqrt(1-f.Leverage[i]) {
			out = append(out, r)
		}
	}
	return out
}

// mixed refits with a level and a slope of its own for each site and returns the
// vent's mean effect.
func (f *fitted) mixed() (Contrast, error) {
	vent := f.column(VentName)
	d := Data{Names: f.Names, X: make([][]float64, len(f.rows))}
	for i, r := range f.rows {
		for _, c := range f.design.columns {
			d.X[i] = append(d.X[i], c.values[i])
		}
		d.Y, d.Cluster = append(d.Y, f.Fitted[i]+f.Residuals[i]), append(d.Cluster, r.Site)
	}
	m, err := fitMixed(d, []int{f.column(constantName), vent})
	if err != nil {
		return Contrast{}, fmt.Errorf("random slope by site: %w", err)
	}
	return contrastOf(m.Beta[vent], m.SE[vent], f.DF[vent]), nil
}
