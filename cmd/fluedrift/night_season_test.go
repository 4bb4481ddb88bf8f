package main

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Seasons: a small invented fleet whose records are made so that nothing about
// them is a matter of degree, weekly nights on which something goes wrong, and
// a second reading of the same exports (season_model_test.go) that shares no
// code with the program and says, for every night, who stands where and how
// the night ends.

// seasonBoiler is a row of the register.
type seasonBoiler struct{ serial, place, line, gas, fitted, kW, state string }

// seasonRow is a line of a test export, as text.
type seasonRow struct{ call, boiler, day, why, by, fire, state, co2, o2, co, air, set string }

// cells are the columns in the export's order.
func (r seasonRow) cells() []string {
	return []string{r.call, r.boiler, r.day, r.why, r.by, r.fire, r.state, r.co2, r.o2, r.co, r.air, r.set}
}

// season is a folder of exports and the day it is.
type season struct {
	*rapid.T
	dir      string
	today    int // days since 2025-01-01
	calls    int
	register []seasonBoiler
	settings [][]string
	tests    map[string][]seasonRow // by file name
	strays   map[string]string      // files that are no exports of any layout
	past     *seasonPast            // of the last list published
}

// seasonDay writes a day counted from 2025-01-01.
func seasonDay(day int) string {
	return time.Date(2025, 1, 1+day, 0, 0, 0, 0, time.UTC).Format(time.DateOnly)
}

// Kinds of boilers in the fleet, by what their records show.
const (
	sound    = "sound"    // on target at every visit, visited within the year
	rich     = "rich"     // found a whole point rich at every visit, and left so
	late     = "late"     // on target, last visited three years ago
	unread   = "unread"   // in the register, never visited
	aimless  = "aimless"  // of a line without targets
	foreign  = "foreign"  // has readings and stands in no register
	smoulder = "smoulder" // 300 ppm at high fire, on target
	choking  = "choking"  // 584 ppm at high fire, on target
)

// seasonFleet lists how many there are of each kind.
var seasonFleet = []struct {
	kind  string
	count int
}{{sound, 24}, {rich, 3}, {aimless, 2}, {foreign, 1}, {smoulder, 2}, {choking, 3}, {late, 3}, {unread, 3}}

// newSeason makes the fleet with three years of yearly visits.
func newSeason(t *rapid.T, dir string) *season {
	s := &season{T: t, dir: dir, today: 60, tests: map[string][]seasonRow{}, strays: map[string]string{}}
	s.settings = [][]string{{"Tern", "natural gas", "high", "9.0", "0.2", "0.2"}, {"Tern", "natural gas", "low", "8.6", "0.2", "0.2"}}
	number := 0
	for _, kind := range seasonFleet {
		for i := range kind.count {
			number++
			b := seasonBoiler{
				fmt.Sprintf("%s-%02d", kind.kind, i+1), fmt.Sprintf("Yard %d", 1+number/3), "Tern", "natural gas", "2019-09-02", "120",
				"in use",
			}
			if kind.kind == aimless {
				b.line = "Dunlin"
			}
			if kind.kind != foreign {
				s.register = append(s.register, b)
			}
			s.history(kind.kind, b.serial, number)
		}
	}
	return s
}

// history gives a boiler its visits up to now.
func (s *season) history(kind, serial string, number int) {
	if kind == unread {
		return
	}
	for year := 3; year >= 0; year-- {
		ago := 365*year + 2 + 5*number
		if kind == late && year < 3 {
			return
		}
		s.visit("tests_2025-02-28.csv", kind, serial, s.today-ago)
	}
}

// visit adds a yearly visit to a file: both fires as found, nothing adjusted.
func (s *season) visit(file, kind, serial string, day int) string {
	s.calls++
	call := fmt.Sprintf("C%d", s.calls)
	for i, fire := range []string{"Hi", "Lo"} {
		co2 := []int{90, 86}[i]
		if kind == rich {
			co2 += 10
		}
		co := 10 + (7*s.calls+i)%30
		switch {
		case fire == "Hi" && kind == smoulder:
			co = 220 + s.calls%7
		case fire == "Hi" && kind == choking:
			co = 440 + s.calls%7
		}
		s.tests[file] = append(s.tests[file], seasonRow{
			call, serial, seasonDay(day), "yearly", []string{"T1", "T2", "T3"}[s.calls%3],
			fire, "before", tenths(co2 + s.calls%2), "", fmt.Sprint(co), tenths(100 + s.calls%90), "no",
		})
	}
	return call
}

func tenths(n int) string { return fmt.Sprintf("%d.%d", n/10, n%10) }

// deliver writes the exports as they are this week.
func (s *season) deliver() {
	exports := filepath.Join(s.dir, "exports")
	require.NoError(s, os.RemoveAll(exports))
	require.NoError(s, os.Mkdir(exports, 0o755))
	var boilers [][]string
	for _, b := range s.register {
		boilers = append(boilers, []string{b.serial, b.place, b.line, b.gas, b.fitted, b.kW, b.state})
	}
	s.write("boilers_2025-01-01.csv", "Boiler,Place,Line,Gas,Fitted,kW,State", boilers)
	s.write("lines_2025-01-01.csv", "Line,Gas,Fire,CO2,Up,Down", s.settings)
	for name, rows := range s.tests {
		var lines [][]string
		for _, r := range rows {
			lines = append(lines, r.cells())
		}
		s.write(name, "Call,Boiler,Day,Why,By,Fire,State,CO2 %,O2 %,CO ppm,Air C,Set", lines)
	}
	for name, text := range s.strays {
		require.NoError(s, os.WriteFile(filepath.Join(exports, name), []byte(text), 0o644))
	}
	config := "[exports]\nsettle_seconds = 0\n[plan]\nas_of = " + seasonDay(s.today) + "\n"
	require.NoError(s, os.WriteFile(filepath.Join(s.dir, "fluedrift.toml"), []byte(config), 0o644))
}

func (s *season) write(name, header string, rows [][]string) {
	var b strings.Builder
	b.WriteString(header + "\n")
	w := csv.NewWriter(&b)
	require.NoError(s, w.WriteAll(rows))
	require.NoError(s, os.WriteFile(filepath.Join(s.dir, "exports", name), []byte(b.String()), 0o644))
}

// listed reads the published list: serial to group.
func (s *season) listed() map[string]string {
	f, err := os.Open(filepath.Join(s.dir, "lists", "latest", "watchlist.csv"))
	require.NoError(s, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(s, err)
	serial, group := slices.Index(rows[0], "serial"), slices.Index(rows[0], "group")
	out := map[string]string{}
	for _, r := range rows[1:] {
		out[r[serial]] = r[group]
	}
	return out
}
