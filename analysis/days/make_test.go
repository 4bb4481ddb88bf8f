package days

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// asOf is Monday 2 March 2026, by date -d 2026-03-02 +%s / 86400 = 20514.
const asOf day.Day = 20514

// aLine is an invented line of the list.
func aLine(chance *rand.Rand, i int, areas []string) watch.Line {
	nan := math.NaN()
	grounds := []watch.Ground{watch.ProbablyOutside, watch.ExpectedOutside, watch.OverdueTest, watch.ToPlan, watch.LeftOutside}
	l := watch.Line{
		Rank: i + 1, Ground: grounds[chance.IntN(len(grounds))], Group: watch.BookSooner, LastVisit: asOf - day.Day(chance.IntN(700)),
		Plan: watch.Plan{PlannedDay: asOf - 200 + day.Day(chance.IntN(500))},
	}
	if l.Ground == watch.ToPlan {
		l.Group = watch.CanWait
	}
	l.GroupWords = l.Group.Words()
	l.Unit = judge.Unit{
		Serial: fmt.Sprintf("S-%04d", i), Site: fmt.Sprintf("Site %d", i*2/3), Area: areas[i*2/3%len(areas)], Fuel: []string{
			"natural gas",
			"propane",
		}[i%7/6],
		LatitudeDeg: 45 + 0.8*noise(i*2/3, 1), LongitudeDeg: -35 + noise(i*2/3, 2),
	}
	if i%23 == 0 {
		l.Unit.LatitudeDeg, l.Unit.LongitudeDeg = nan, nan
	}
	if chance.Float64() < 0.03 {
		l.Ground, l.GroupWords, l.Group = watch.COUrgentNow, watch.GoToday.Words(), watch.GoToday
	}
	if chance.Float64() < 0.85 {
		p := chance.Float64()
		l.Forecast = forecastLine(2*p/3, 0.05).Forecast
	}
	return l
}

// noise is a number between 0 and 1 that depends on nothing but its arguments.
func noise(i, salt int) float64 {
	return rand.New(rand.NewPCG(uint64(i), uint64(salt))).Float64()
}

// someInput is an invented list with crews.
func someInput(seed uint64, lines, crews int) Input {
	chance := rand.New(rand.NewPCG(seed, 11))
	areas := []string{"east", "west", "hills"}
	in := Input{AsOf: asOf, Rules: DefaultConfig(asOf)}
	for i := range lines {
		in.Lines = append(in.Lines, aLine(chance, i, areas))
	}
	for c := range crews {
		crew := Crew{Code: string(rune('A' + c)), Home: Place{45 + 0.8*chance.Float64(), -35 + chance.Float64()}}
		for d := time.Monday; d <= time.Friday; d++ {
			crew.Days[d] = Window{480, 960}
		}
		if c%3 == 1 {
			crew.Areas = []string{areas[c%len(areas)], areas[(c+1)%len(areas)]}
		}
		if c%4 == 2 {
			crew.Fuels = []string{"natural gas"}
		}
		in.Crews = append(in.Crews, crew)
	}
	return in
}

// A plan never breaks hours, open hours, areas, abilities, promises or what has
// to be seen, whatever the input. Check reckons anew from the input alone.
func TestPlansBreakNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := someInput(rapid.Uint64().Draw(t, "seed"), rapid.IntRange(1, 40).Draw(t, "lines"), rapid.IntRange(1, 3).Draw(t, "crews"))
		in.Rules.Iterations, in.Rules.Weeks = 30, rapid.IntRange(1, 2).Draw(t, "weeks")
		in.Rules.Holidays = []day.Day{asOf + day.Day(rapid.IntRange(0, 6).Draw(t, "holiday"))}
		for i := range in.Lines {
			u := &in.Lines[i].Unit
			switch rapid.IntRange(0, 9).Draw(t, "promise") {
			case 0:
				in.Promises = append(in.Promises, Promise{Serial: u.Serial, Day: asOf + day.Day(rapid.IntRange(-3, 16).Draw(t, "on"))})
			case 1:
				in.Lines[i].Answer = &judge.Answer{Day: asOf - 3, Answer: "refused", Until: day.None}
				in.Lines[i].Foot = watch.FootAnswered
			case 2:
				h := SiteHours{Site: u.Site, Closed: []day.Day{asOf + 1}}
				for d := range h.Open {
					h.Open[d] = []Window{{rapid.IntRange(400, 700).Draw(t, "opens"), rapid.IntRange(701, 900).Draw(t, "closes")}}
				}
				in.Hours = append(in.Hours, h)
			}
		}
		if rapid.Bool().Draw(t, "table") {
			in.Minutes = []Between{{"Site 0", "Site 1", 7}, {"A", "Site 0", 12}, {"Site 0", "A", 15}}
			in.Crews[0].MostMinutes = 90
		}
		p, err := Make(in)
		require.NoError(t, err) // Make checks its own plan
		require.Empty(t, check(in, p))
		listed := len(p.Left)
		for _, d := range p.Days {
			for _, s := range d.Stops {
				listed += len(s.Visits)
			}
		}
		require.Equal(t, len(in.Lines), listed, "every unit is planned or left over with a reason")
	})
}

// Check sees what is broken: each fault is planted into a good plan.
func TestCheckSeesFaults(t *testing.T) {
	in := someInput(5, 30, 2)
	in.Rules.Iterations, in.Rules.Weeks = 50, 1
	for name, spoil := range map[string]func(p *Plan){
		"late home":      func(p *Plan) { p.Days[0].Back = 1000 },
		"too fast":       func(p *Plan) { p.Days[0].Stops[0].Arrive = p.Days[0].Start - 1 },
		"on a Sunday":    func(p *Plan) { p.Days[0].Day = asOf + 6 },
		"twice":          func(p *Plan) { p.Days[1].Stops = append(p.Days[1].Stops, p.Days[0].Stops[0]) },
		"forgotten":      func(p *Plan) { p.Days[0].Stops = p.Days[0].Stops[1:] },
		"no such crew":   func(p *Plan) { p.Days[0].Crew = "Z" },
		"left, no cause": func(p *Plan) { p.Left[0].Why = Cause{} },
	} {
		p, err := Make(in)
		require.NoError(t, err)
		require.Greater(t, len(p.Days), 1)
		spoil(p)
		units, _ := candidates(&in)
		if name == "left, no cause" && !isCandidate(units, p.Left[0].Line.Unit.Serial) {
			continue
		}
		assert.NotEmpty(t, check(in, p), name)
	}
}

func isCandidate(units []candidate, serial string) bool {
	for _, u := range units {
		if u.line.Unit.Serial == serial {
			return true
		}
	}
	return false
}

// With three in ten stops promised for their days none of them moves, and
// planning around them loses little.
func TestPromisesStay(t *testing.T) {
	in := someInput(8, 200, 2)
	in.Rules.Iterations, in.Rules.Weeks = 400, 2
	first, err := Make(in)
	require.NoError(t, err)
	planned := map[string]day.Day{}
	k := 0
	for _, d := range first.Days {
		for _, s := range d.Stops {
			if k++; k%10 < 3 {
				for _, v := range s.Visits {
					in.Promises = append(in.Promises, Promise{v.Line.Unit.Serial, d.Day, d.Crew})
					planned[v.Line.Unit.Serial] = d.Day
				}
			}
		}
	}
	again, err := Make(in)
	require.NoError(t, err)
	seen := 0
	for _, d := range again.Days {
		for _, s := range d.Stops {
			for _, v := range s.Visits {
				if day, ok := planned[v.Line.Unit.Serial]; ok {
					seen++
					assert.Equal(t, day, d.Day, v.Line.Unit.Serial)
				}
			}
		}
	}
	assert.Equal(t, len(planned), seen, "every promise is kept")
	t.Logf("%d of %d units promised: %.0f days instead of %.0f", len(planned), first.Compared[0].Units, again.Compared[0].GainDays,
		first.Compared[0].GainDays)
	assert.Greater(t, again.Compared[0].GainDays, 0.97*first.Compared[0].GainDays)
}

// Same input, same plan; and the plan gains more than the two plain orders.
func TestMakeRepeats(t *testing.T) {
	in := someInput(9, 150, 2)
	in.Rules.Iterations, in.Rules.Weeks = 200, 1
	a, err := Make(in)
	require.NoError(t, err)
	b, err := Make(in)
	require.NoError(t, err)
	require.Equal(t, fmt.Sprint(summary(a)), fmt.Sprint(summary(b)))
	for _, other := range a.Compared[1:] {
		assert.Greater(t, a.Compared[0].GainDays, other.GainDays, other.Way)
	}
}

func summary(p *Plan) (out []string) {
	for _, d := range p.Days {
		for _, s := range d.Stops {
			for _, v := range s.Visits {
				out = append(out, fmt.Sprint(d.Day, d.Crew, s.Begin, v.Line.Unit.Serial))
			}
		}
	}
	return out
}

// Four crews, four weeks and 2,000 units that may be visited: under 10 s of one
// core.
func TestPlanIsFast(t *testing.T) {
	if os.Getenv("FLUEDRIFT_LONG") == "" {
		t.Skip("times a whole plan: FLUEDRIFT_LONG=1")
	}
	in := someInput(10, 2000, 4)
	for i := range in.Lines {
		in.Lines[i].Unit.Site = fmt.Sprint("Site ", i) // a stop each
		in.Lines[i].Unit.LatitudeDeg, in.Lines[i].Unit.LongitudeDeg = 45+0.8*noise(i, 1), -35+noise(i, 2)
		if in.Lines[i].Group == watch.CanWait {
			in.Lines[i].Group = watch.BookSooner
		}
	}
	began := cpuSeconds(t)
	p, err := Make(in)
	require.NoError(t, err)
	t.Logf("%d units of %d in %d crew days, %.1f CPU s", p.Compared[0].Units, len(in.Lines), p.Compared[0].CrewDays, cpuSeconds(t)-began)
	for _, c := range p.Compared {
		t.Logf("way %d: %5d units %6.0f minutes %7.0f days", c.Way, c.Units, c.DriveMinutes, c.GainDays)
	}
	assert.Less(t, cpuSeconds(t)-began, 10.0)
}

// cpuSeconds is what the process has used of a core, so that other work on the
// machine does not count.
func cpuSeconds(t *testing.T) float64 {
	var u syscall.Rusage
	require.NoError(t, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return float64(u.Utime.Sec+u.Stime.Sec) + float64(u.Utime.Usec+u.Stime.Usec)/1e6
}

// Published: the great circle from Nashville (36.12 N 86.67 W) to Los Angeles
// (33.94 N 118.40 W) is 2887.26 km on a sphere of 6372.8 km (the worked example
// of the haversine formula that many texts use; from memory).
func TestGreatCircle(t *testing.T) {
	d := GreatCircleKm(Place{36.12, -86.67}, Place{33.94, -118.40})
	assert.InDelta(t, 2887.26, d*6372.8/EarthRadiusKm, 0.05)
	assert.InDelta(t, math.Pi*EarthRadiusKm/2, GreatCircleKm(Place{0, 0}, Place{90, 77}), 1e-6) // a quarter of a great circle
	assert.Zero(t, GreatCircleKm(Place{50, 9}, Place{50, 9}))
}
