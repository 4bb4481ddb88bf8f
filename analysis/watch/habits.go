package watch

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Habit counts how one source of records, or one technician of it, keeps them.
// It is for better records, not for blame: what a habit costs is that drift
// cannot be told from what was set.
type Habit struct {
	Source     string
	Technician string // "" for the whole source
	Visits     int    // in the field, with a reading
	Fires      int    // fires read at those visits
	NoFound    int    // fires without an as found
	NoLeft     int    // fires without an as left, though adjusted or not known to be left alone
	Copies     int    // fires whose values repeat those before, to the digit
	OneGas     int    // readings with CO2 or O2, not both
	NoCO       int    // readings without CO
	Readings   int
	NoAnalyzer int // visits that name no analyzer
}

// Groups smaller than this are not shown by technician: a share of few visits
// says nothing, and a group of few people points at one.
const smallestGroup = 5

// Habits counts recording habits by source; by technician too where asked for,
// and then only in sources with five technicians or more, for those with five
// visits or more. The judgements belong to the histories, one each.
func Habits(histories []*judge.History, judgements []judge.Judgement, by Grouping, asOf day.Day) []Habit {
	groups := map[[2]string]*Habit{}
	at := func(source, technician string) *Habit {
		key := [2]string{source, technician}
		if groups[key] == nil {
			groups[key] = &Habit{Source: source, Technician: technician}
		}
		return groups[key]
	}
	for i, h := range histories {
		countHabits(h, judgements[i], asOf, func(v *judge.Visit, add func(*Habit)) {
			add(at(v.Source, ""))
			if by == ByTechnician && v.Technician != "" {
				add(at(v.Source, v.Technician))
			}
		})
	}
	people := map[string]int{}
	for key := range groups {
		if key[1] != "" {
			people[key[0]]++
		}
	}
	var out []Habit
	for key, g := range groups {
		if key[1] == "" || (people[key[0]] >= smallestGroup && g.Visits >= smallestGroup) {
			out = append(out, *g)
		}
	}
	slices.SortFunc(out, func(a, b Habit) int {
		return cmp.Or(strings.Compare(a.Source, b.Source), strings.Compare(a.Technician, b.Technician))
	})
	return out
}

// Grouping is what recording habits are counted by.
type Grouping int

// BySource counts by source alone, ByTechnician by technician code too.
const (
	BySource Grouping = iota
	ByTechnician
)

// visitFire is one fire at one visit, and what was written down of it.
type visitFire struct {
	fire        judge.Fire
	found, left bool
}

// countHabits hands every visit in the field with a reading to each, with what
// to add to a group.
func countHabits(h *judge.History, j judge.Judgement, asOf day.Day, each func(*judge.Visit, func(*Habit))) {
	byVisit := map[int][]int{}
	for i := range h.Readings {
		if r := &h.Readings[i]; r.Day <= asOf && r.Visit >= 0 && r.Visit < len(h.Visits) && !isFactory(h, r) {
			byVisit[r.Visit] = append(byVisit[r.Visit], i)
		}
	}
	copies := copiedVisits(h, j)
	for v := range h.Visits {
		readings := byVisit[v]
		if len(readings) == 0 {
			continue
		}
		visit := &h.Visits[v]
		one := Habit{Visits: 1, Readings: len(readings), Copies: copies[v]}
		var fires []visitFire
		var analyzer strings.Builder
		analyzer.WriteString(visit.Analyzer)
		for _, i := range readings {
			r := &h.Readings[i]
			fires = noteFire(fires, r)
			if hasGas(r) && (math.IsNaN(r.CO2Percent) || math.IsNaN(r.O2Percent)) {
				one.OneGas++
			}
			if math.IsNaN(r.COPPM) && r.COLimit == "" {
				one.NoCO++
			}
			analyzer.WriteString(r.Analyzer)
		}
		one.Fires = len(fires)
		for _, f := range fires {
			if !f.found {
				one.NoFound++
			}
			if !f.left && visit.Adjusted(f.fire) != judge.No {
				one.NoLeft++
			}
		}
		if analyzer.String() == "" {
			one.NoAnalyzer = 1
		}
		each(visit, func(g *Habit) { g.add(one) })
	}
}

// noteFire marks what a reading says of its fire.
func noteFire(fires []visitFire, r *judge.Reading) []visitFire {
	i := slices.IndexFunc(fires, func(f visitFire) bool { return f.fire == r.Fire })
	if i < 0 {
		fires = append(fires, visitFire{fire: r.Fire})
		i = len(fires) - 1
	}
	fires[i].found = fires[i].found || r.Condition == judge.AsFound
	fires[i].left = fires[i].left || r.Condition == judge.AsLeft
	return fires
}

// copiedVisits counts the copies found at each visit.
func copiedVisits(h *judge.History, j judge.Judgement) map[int]int {
	copies := map[int]int{}
	for _, f := range j.Findings {
		if f.Kind == judge.CopiedVisit || f.Kind == judge.CopiedAsLeft {
			copies[h.Readings[f.Readings[0]].Visit]++
		}
	}
	return copies
}

// add adds one visit to a group.
func (g *Habit) add(o Habit) {
	g.Visits += o.Visits
	g.Fires += o.Fires
	g.NoFound += o.NoFound
	g.NoLeft += o.NoLeft
	g.Copies += o.Copies
	g.OneGas += o.OneGas
	g.NoCO += o.NoCO
	g.Readings += o.Readings
	g.NoAnalyzer += o.NoAnalyzer
}

// Share returns a count as a share in percent; NaN of nothing.
func Share(n, of int) float64 {
	if of == 0 {
		return math.NaN()
	}
	return 100 * float64(n) / float64(of)
}
