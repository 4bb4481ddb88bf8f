package main

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"time"
)

// The second reading of a season's exports. It knows what the records were made
// to show and nothing about how the program finds it.

// Levels of CO free of excess air: attention from 100 ppm, urgent from 400
// (common practice, no source).
const (
	coNone = iota
	coLow
	coAttentionLevel
	coUrgentLevel
)

func coLevel(ppm float64) int {
	switch {
	case math.IsNaN(ppm):
		return coNone
	case ppm < 100:
		return coLow
	case ppm < 400:
		return coAttentionLevel
	}
	return coUrgentLevel
}

func numberIn(cell string) float64 {
	v, err := strconv.ParseFloat(cell, 64)
	if err != nil {
		return math.NaN()
	}
	return v
}

// usable says whether what a reading needs can be read and lies within what is
// possible: its fire and condition, and its gases; what else cannot be read is set
// aside as a cell.
func (r seasonRow) usable() bool {
	within := func(cell string, low, high float64) bool {
		v := numberIn(cell)
		return cell == "" || v >= low && v <= high
	}
	return (r.fire == "Hi" || r.fire == "Lo") && r.state == "before" && within(r.co2, 0, 20) && within(r.o2, 0, 21) &&
		within(r.co, 0, 50000)
}

// leastCO is the CO that a person reads in a cell, however it is written.
func leastCO(cell string) float64 {
	switch cell {
	case "900 !":
		return 900
	case "1,200":
		return 1200
	case "ca 850":
		return 850
	}
	return numberIn(cell)
}

// atWork says whether a burner was at work while the line was read.
func (r seasonRow) atWork() bool { return !(numberIn(r.co2) < 2) && !(numberIn(r.o2) > 17.5) }

// airFree turns CO as measured into CO free of excess air; natural gas, CO2max
// about 11.8. The fleet's values stay away from the levels by more than the
// doubt in that figure.
func (r seasonRow) airFree() float64 {
	co := numberIn(r.co)
	if o2 := numberIn(r.o2); !math.IsNaN(o2) {
		return co * 20.9 / (20.9 - o2)
	}
	return co * 11.8 / numberIn(r.co2)
}

func (r seasonRow) date() time.Time {
	d, err := time.Parse(time.DateOnly, r.day)
	if err != nil {
		panic(err)
	}
	return d
}

// seasonPast is what the model remembers of the nights that published.
type seasonPast struct {
	groups   map[string]string // of the last list
	accepted map[string]int    // the most lines of a file that could be used
	register int               // the most lines of the register that could
}

// seasonLine is a line of an export of tests.
type seasonLine struct {
	file string
	at   int
}

// contradicting finds the lines that contradict each other: one call, fire and
// state, exported on one day with different values, so that neither is the later.
func (s *season) contradicting() map[seasonLine]bool {
	day := len("tests_2025-01-01")
	first, out := map[[4]string]seasonLine{}, map[seasonLine]bool{}
	for _, name := range slices.Sorted(maps.Keys(s.tests)) {
		for i, r := range s.tests[name] {
			k, here := [4]string{name[:day], r.call, r.fire, r.state}, seasonLine{name, i}
			if there, seen := first[k]; seen && there.file != name && s.tests[there.file][there.at] != r {
				out[here], out[there] = true, true
			} else {
				first[k] = here
			}
		}
	}
	return out
}

// boilerRecords is what counts of a boiler's lines.
type boilerRecords struct {
	rows   []seasonRow // that can be used, in order of day
	unused []seasonRow // that cannot, or contradict each other
}

// seasonReading is what the second reading finds in all exports.
type seasonReading struct {
	boilers   map[string]*boilerRecords
	register  map[string]seasonBoiler // lines that can be used
	accepted  map[string]int          // by file of tests
	strangers map[string]int          // lines of them whose boiler stands in no register
	aside     int
	doubtful  int
	lines     int // of tests
}

func (s *season) read() *seasonReading {
	r := &seasonReading{
		boilers: map[string]*boilerRecords{}, register: map[string]seasonBoiler{}, accepted: map[string]int{},
		strangers: map[string]int{},
	}
	for _, b := range s.register {
		r.boilers[b.serial] = &boilerRecords{} // a damaged line still says that there is one
		if _, err := time.Parse(time.DateOnly, b.fitted); err == nil {
			r.register[b.serial] = b
		}
	}
	doubtful := s.contradicting()
	for _, name := range slices.Sorted(maps.Keys(s.tests)) {
		r.file(name, s.tests[name], doubtful)
	}
	for _, b := range r.boilers {
		slices.SortStableFunc(b.rows, func(x, y seasonRow) int { return x.date().Compare(y.date()) })
	}
	return r
}

// file takes the lines of one export of tests.
func (r *seasonReading) file(name string, rows []seasonRow, doubtful map[seasonLine]bool) {
	r.lines += len(rows)
	for i, row := range rows {
		b := r.boilers[row.boiler]
		if b == nil {
			b = &boilerRecords{}
			r.boilers[row.boiler] = b
		}
		if _, known := r.register[row.boiler]; !known && row.usable() {
			r.strangers[name]++
		}
		switch {
		case !row.usable():
			r.aside++
			b.unused = append(b.unused, row)
		case doubtful[seasonLine{name, i}]:
			r.doubtful++
			b.unused = append(b.unused, row)
		default:
			r.accepted[name]++
			b.rows = append(b.rows, row)
		}
	}
}

// settled is the newest day on which both fires were read with a burner at work
// and CO low at each.
func (b *boilerRecords) settled() time.Time {
	low, newest := map[string]map[string]bool{}, time.Time{}
	for _, r := range b.rows {
		if !r.atWork() || coLevel(r.airFree()) != coLow {
			continue
		}
		if low[r.call] == nil {
			low[r.call] = map[string]bool{}
		}
		low[r.call][r.fire] = true
		if len(low[r.call]) == 2 {
			newest = r.date()
		}
	}
	return newest
}

// standing are the levels of CO on records that cannot be used, or were read
// without a burner at work, and that no later test has settled.
func (b *boilerRecords) standing() (levels []int) {
	unused := slices.Clone(b.unused)
	for _, r := range b.rows {
		if !r.atWork() {
			unused = append(unused, r)
		}
	}
	settled := b.settled()
	for _, r := range unused {
		if level := coLevel(leastCO(r.co)); level >= coAttentionLevel && !r.date().Before(settled) {
			levels = append(levels, level)
		}
	}
	return levels
}

// co is a boiler's level: the newest that a burner at work shows at each fire, and
// what still stands.
func (b *boilerRecords) co() int {
	byFire := map[string]int{}
	for _, r := range b.rows {
		if level := coLevel(r.airFree()); r.atWork() && level != coNone {
			byFire[r.fire] = level
		}
	}
	return max(byFire["Hi"], byFire["Lo"], slices.Max(append(b.standing(), coNone)))
}

// expect reads the exports a second time: who stands where, and how the night has
// to end.
func (s *season) expect() (groups map[string]string, code int, read *seasonReading) {
	read, groups = s.read(), map[string]string{}
	for serial, b := range read.boilers {
		r, registered := read.register[serial]
		if r.state == "taken out" {
			continue
		}
		groups[serial] = s.groupOf(b, r, registered)
	}
	return groups, s.code(groups, read), read
}

// published remembers a night that published.
func (s *season) published(groups map[string]string, read *seasonReading) {
	if s.past == nil {
		s.past = &seasonPast{accepted: map[string]int{}}
	}
	s.past.groups = groups
	s.past.register = max(s.past.register, len(read.register))
	for name, n := range read.accepted {
		s.past.accepted[name] = max(s.past.accepted[name], n)
	}
}

// hasTargets says whether the settings have a boiler's line.
func (s *season) hasTargets(line string) bool {
	return slices.ContainsFunc(s.settings, func(t []string) bool { return t[0] == line })
}

// groupOf places by what the fleet's kinds leave no doubt about.
func (s *season) groupOf(b *boilerRecords, r seasonBoiler, registered bool) string {
	co, targets := b.co(), s.hasTargets(r.line)
	switch {
	case co == coUrgentLevel:
		return groupToday
	case !registered, !targets && len(b.rows) > 0:
		return groupAsk
	case targets && b.foundRich(), co == coAttentionLevel:
		return groupSooner
	case len(b.rows) == 0 && len(b.unused) > 0:
		return groupAsk
	case s.overdue(b):
		return groupOverdue
	}
	return groupWait
}

// The groups as the list words them.
const (
	groupToday   = "go today"
	groupAsk     = "ask before driving"
	groupSooner  = "book sooner"
	groupOverdue = "test overdue"
	groupWait    = "can wait"
)

// atTarget is the target of a fire, in tenths of a percent.
var atTarget = map[string]float64{"Hi": 90, "Lo": 86}

// foundRich says whether the last usable line of a fire lies far above target.
func (b *boilerRecords) foundRich() bool {
	last := map[string]float64{}
	for _, r := range b.rows {
		if r.atWork() {
			last[r.fire] = 10*numberIn(r.co2) - atTarget[r.fire]
		}
	}
	return last["Hi"] > 5 || last["Lo"] > 5
}

// overdue says whether twelve months have passed since the last yearly call of which
// a line can be used, whatever it found.
func (s *season) overdue(b *boilerRecords) bool {
	newest := time.Time{}
	for _, r := range b.rows {
		if r.why == "yearly" && r.date().After(newest) {
			newest = r.date()
		}
	}
	today := time.Date(2025, 1, 1+s.today, 0, 0, 0, 0, time.UTC)
	return newest.AddDate(1, 0, 0).Before(today)
}

// code says how the night ends: refused before worth a look before done.
func (s *season) code(groups map[string]string, r *seasonReading) int {
	switch {
	case s.refused(groups, r):
		return exitRefused
	case s.worthALook(groups, r) != nil:
		return exitLook
	}
	return exitDone
}

// tooMany says whether a part of a whole is over a limit, and three at least.
func tooMany(part, whole int, limit float64) bool {
	return part >= 3 && float64(part) > limit*float64(whole)
}

// refused knows what must not replace a good list.
func (s *season) refused(groups map[string]string, r *seasonReading) bool {
	damaged := len(s.register) - len(r.register)
	newest := s.newestTests()
	rows := len(s.tests[newest])
	if tooMany(damaged, len(s.register), 0.05) || r.aside+damaged > (r.lines+len(s.register))/10 || rows >= 5 && 2*r.accepted[newest] < rows {
		return true
	}
	for name, strange := range r.strangers {
		if tooMany(strange, len(s.tests[name]), 0.5) {
			return true
		}
	}
	if s.past == nil {
		return false
	}
	for name, was := range s.past.accepted {
		if tooMany(was-r.accepted[name], was, 0.1) {
			return true
		}
	}
	removed := 0
	for serial := range s.past.groups {
		if r.register[serial].state == "taken out" {
			removed++
		}
	}
	return tooMany(s.past.register-len(r.register), s.past.register, 0.1) || tooMany(removed, len(s.past.groups), 0.05)
}

// worthALook names what a person is to be told about a list that is published.
func (s *season) worthALook(groups map[string]string, r *seasonReading) (why []string) {
	note := func(found bool, what string) {
		if found {
			why = append(why, what)
		}
	}
	note(len(s.strays) > 0, "a file no layout knows")
	note(len(r.register) < len(s.register), "a line of the register")
	note(50*(r.aside+r.doubtful) > r.lines+len(s.register), "lines set aside or that contradict each other")
	for name, strange := range r.strangers {
		note(tooMany(strange, len(s.tests[name]), 0.05), "strange serials in "+name)
	}
	for serial, b := range r.boilers {
		note(len(b.standing()) > 0, "CO nobody can use and nobody has settled at "+serial)
	}
	note(s.silent(r), "a silent source")
	if s.past == nil {
		return why
	}
	both, moved := 0, []string(nil)
	for serial, was := range s.past.groups {
		if is, there := groups[serial]; there {
			both++
			if is != was {
				moved = append(moved, fmt.Sprintf("%s from %q to %q", serial, was, is))
			}
		}
	}
	note(tooMany(len(moved), both, 0.05), fmt.Sprint("groups changed: ", moved))
	return why
}

// newestTests names the newest export of tests.
func (s *season) newestTests() string {
	return slices.Max(slices.Collect(maps.Keys(s.tests)))
}

// silent says whether the newest call is older than two weeks and than three
// times the gap that one in twenty of the last two years' gaps is longer than.
func (s *season) silent(r *seasonReading) bool {
	days := map[int]bool{}
	for _, b := range r.boilers {
		for _, row := range b.rows {
			days[int(row.date().Unix()/86400)] = true
		}
	}
	sorted := slices.Sorted(maps.Keys(days))
	newest := sorted[len(sorted)-1]
	var gaps []int
	for i, day := range sorted[:len(sorted)-1] {
		if newest-day <= 730 {
			gaps = append(gaps, sorted[i+1]-day)
		}
	}
	slices.Sort(gaps)
	usual := gaps[(95*len(gaps)+99)/100-1]
	age := int(time.Date(2025, 1, 1+s.today, 0, 0, 0, 0, time.UTC).Unix()/86400) - newest
	return age > 14 && age > 3*usual
}
