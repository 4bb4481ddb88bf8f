package main

import (
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/datasets/measured"
)

// seasonEvents are what can happen in the week before a night. Each changes the
// exports and returns how to put right what a refused night would not take.
var seasonEvents = map[string]func(*season) (undo func()){
	"quiet":                  func(*season) func() { return nil },
	"visits":                 func(s *season) func() { return s.newTests(nil) },
	"burner off":             (*season).burnerOff,
	"CO on a lost line":      (*season).lostLine,
	"contradicting copies":   (*season).contradiction,
	"CO hard to read":        (*season).smudged,
	"CO settled":             (*season).settledBy,
	"a stray file":           (*season).stray,
	"nobody writes":          func(s *season) func() { s.today += 21; return nil },
	"a new word":             (*season).newWord,
	"strange serials":        (*season).strangeSerials,
	"register rows missing":  func(s *season) func() { return s.registerWithout(2) },
	"register shrunk":        func(s *season) func() { return s.registerWithout(5) },
	"register rows damaged":  func(s *season) func() { return s.registerDamaged(2) },
	"register damaged":       func(s *season) func() { return s.registerDamaged(4) },
	"a boiler taken out":     func(s *season) func() { return s.takenOut(1) },
	"many boilers taken out": func(s *season) func() { return s.takenOut(4) },
	"tested without CO":      (*season).settledByHalf,
}

// testsName is the name of this week's export of tests.
func (s *season) testsName() string { return "tests_" + seasonDay(s.today) + ".csv" }

// kindOf is the kind that a serial was made as.
func kindOf(serial string) string { kind, _, _ := strings.Cut(serial, "-"); return kind }

// newTests writes this week's visits at some sound boilers, and what change makes
// of them.
func (s *season) newTests(change func(file string)) (undo func()) {
	file := s.testsName()
	from := rapid.IntRange(1, 15).Draw(s.T, "first of the visited")
	for i := range 8 {
		s.visit(file, sound, fmt.Sprintf("%s-%02d", sound, from+i), s.today-2)
	}
	if change != nil {
		change(file)
	}
	return func() { delete(s.tests, file) }
}

// one draws a boiler of a kind.
func (s *season) one(kind string) string {
	var serials []string
	for _, b := range s.register {
		if kindOf(b.serial) == kind && b.state == "in use" {
			serials = append(serials, b.serial)
		}
	}
	return rapid.SampledFrom(serials).Draw(s.T, kind)
}

// lastCall changes the lines of the visit added last.
func (s *season) lastCall(file string, change func(r *seasonRow)) {
	rows := s.tests[file]
	for i := len(rows) - 2; i < len(rows); i++ {
		change(&rows[i])
	}
}

// burnerOff visits a boiler of urgent CO and reads room air.
func (s *season) burnerOff() func() {
	serial := s.one(choking)
	return s.newTests(func(file string) {
		s.visit(file, sound, serial, s.today-1)
		s.lastCall(file, func(r *seasonRow) { r.co2, r.o2, r.co = "0.0", "20.9", "0" })
	})
}

// lostLine visits a sound boiler, finds 900 ppm and has the line lost.
func (s *season) lostLine() func() {
	serial := s.one(sound)
	return s.newTests(func(file string) {
		s.visit(file, sound, serial, s.today-1)
		how := rapid.SampledFrom([]string{"gases", "fire"}).Draw(s.T, "lost by")
		s.lastCall(file, func(r *seasonRow) {
			if r.fire != "Hi" {
				return
			}
			r.co = "900"
			switch how {
			case "gases":
				r.co2, r.o2 = "90", "90"
			case "fire":
				r.fire = "Top"
			}
		})
	})
}

// contradiction has a visit exported twice on one day, with one CO and two CO2:
// neither copy is the later.
func (s *season) contradiction() func() {
	serial := s.one(sound)
	copied := strings.TrimSuffix(s.testsName(), ".csv") + " copy.csv"
	undo := s.newTests(func(file string) {
		s.visit(file, sound, serial, s.today-1)
		s.lastCall(file, func(r *seasonRow) { r.co = "800" })
		again := s.tests[file][len(s.tests[file])-1]
		again.co2 = "8.3"
		s.tests[copied] = []seasonRow{again}
	})
	return func() {
		undo()
		delete(s.tests, copied)
	}
}

// smudged visits a sound boiler and writes its CO so that the column's way of
// writing does not hold, but a person sees how much it is.
func (s *season) smudged() func() {
	serial := s.one(sound)
	return s.newTests(func(file string) {
		s.visit(file, sound, serial, s.today-1)
		cell := rapid.SampledFrom([]string{"900 !", "1,200", "ca 850"}).Draw(s.T, "cell")
		s.lastCall(file, func(r *seasonRow) {
			if r.fire == "Hi" {
				r.co = cell
			}
		})
	})
}

// settledBy visits a boiler of high CO and finds it low at both fires.
func (s *season) settledBy() func() {
	serial := s.one(rapid.SampledFrom([]string{choking, smoulder}).Draw(s.T, "kind"))
	return s.newTests(func(file string) { s.visit(file, sound, serial, s.today-1) })
}

// settledByHalf visits one and writes no CO down at high fire.
func (s *season) settledByHalf() func() {
	serial := s.one(rapid.SampledFrom([]string{choking, smoulder}).Draw(s.T, "kind"))
	return s.newTests(func(file string) {
		s.visit(file, sound, serial, s.today-1)
		s.lastCall(file, func(r *seasonRow) {
			if r.fire == "Hi" {
				r.co = ""
			}
		})
	})
}

func (s *season) stray() func() {
	name := fmt.Sprintf("minutes of week %d.txt", s.today/7)
	s.strays[name] = "the pump at Yard 3 was loud\n"
	return func() { delete(s.strays, name) }
}

// newWord has the office write fires in words of its own from this week on.
func (s *season) newWord() func() {
	return s.newTests(func(file string) {
		for i := range s.tests[file] {
			r := &s.tests[file][i]
			r.fire = map[string]string{"Hi": "Top", "Lo": "Bottom"}[r.fire]
		}
	})
}

// strangeSerials spells some of this week's boilers otherwise.
func (s *season) strangeSerials() func() {
	share := rapid.IntRange(2, 7).Draw(s.T, "visits of eight")
	return s.newTests(func(file string) {
		for i := range 2 * share {
			r := &s.tests[file][i]
			r.boiler = strings.ReplaceAll(r.boiler, "-", "/")
		}
	})
}

// withRegister changes a copy of the register.
func (s *season) withRegister(change func(all []seasonBoiler) []seasonBoiler) func() {
	whole := s.register
	s.register = change(slices.Clone(whole))
	return func() { s.register = whole }
}

func (s *season) registerWithout(n int) func() {
	return s.withRegister(func(all []seasonBoiler) []seasonBoiler { return all[:len(all)-n] })
}

func (s *season) registerDamaged(n int) func() {
	return s.withRegister(func(all []seasonBoiler) []seasonBoiler {
		for i := range n {
			all[len(all)-1-i].fitted = "2019-13-02"
		}
		return all
	})
}

func (s *season) takenOut(n int) func() {
	return s.withRegister(func(all []seasonBoiler) []seasonBoiler {
		for i := range all {
			if n > 0 && all[i].state == "in use" && kindOf(all[i].serial) == sound {
				all[i].state = "taken out"
				n--
			}
		}
		return all
	})
}

// night lets a week pass, something happen and a night run, and compares.
func (s *season) night(event string) {
	s.today += 7
	undo := seasonEvents[event](s)
	s.deliver()
	groups, want, read := s.expect()
	code, errs := nightHere(filepath.Join(s.dir, "fluedrift.toml"), testNow)
	require.Equal(s, want, code, "%s on %s: %s\nthe second reading: %v", event, seasonDay(s.today), errs, s.worthALook(groups, read))
	if code == exitRefused {
		require.NotNil(s, undo, event)
		undo()
		return
	}
	require.Equal(s, groups, s.listed(), "%s on %s", event, seasonDay(s.today))
	s.published(groups, read)
}

// Seeded nights with CO on lines that cannot be used, burners read while off,
// registers that lose or damage rows, offices that change a word, files that no
// layout knows: after each, units listed, groups and code are those that a second
// reading of the exports gives. A seed that fails is shrunk.
func TestSeededSeasons(t *testing.T) {
	weeks := 3
	if allNights() {
		weeks = len(shortSeason)
	}
	checks, seed := "10", "0" // 0: another one every time
	if !long() {
		checks, seed = "1", "20250102"
	}
	for name, value := range map[string]string{"rapid.checks": checks, "rapid.seed": seed, "rapid.shrinktime": "10s"} {
		f := flag.Lookup(name)
		was := f.Value.String()
		require.NoError(t, f.Value.Set(value))
		defer f.Value.Set(was)
	}
	events := slices.Sorted(maps.Keys(seasonEvents))
	ran := map[string]int{}
	rapid.Check(t, func(rt *rapid.T) {
		dir, err := os.MkdirTemp("", "fluedrift-test-")
		require.NoError(rt, err)
		defer os.RemoveAll(dir)
		require.NoError(rt, copyTree("testdata/season", dir))
		s := newSeason(rt, dir)
		for week := range weeks {
			event := shortSeason[week]
			if long() {
				event = rapid.SampledFrom(events).Draw(rt, "event")
			}
			s.night(event)
			ran[event]++
		}
	})
	t.Logf("nights by event: %v", ran)
	nights := 0
	for _, n := range ran {
		nights += n
	}
	measured.Of(t, "seasons").Count(fmt.Sprintf("seasons of %d weekly nights, %d kinds of events", weeks, len(ran)), "nights that agree",
		nights, nights, "all")
}

// shortSeason is what happens where seasons are few; the normal suite plays its first three weeks.
var shortSeason = []string{"burner off", "a new word", "register rows damaged", "CO on a lost line", "contradicting copies", "CO settled"}
