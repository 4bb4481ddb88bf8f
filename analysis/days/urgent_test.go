package days

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/analysis/watch"
	"fluedrift/model/judge"
)

// lineAt is a unit due at a place.
func lineAt(i int, site string, lat, lon float64) watch.Line {
	l := forecastLine(0.6, 0.05)
	l.Rank, l.Ground, l.Group = i+1, watch.ProbablyOutside, watch.BookSooner
	l.Unit = judge.Unit{Serial: fmt.Sprintf("S-%02d", i), Site: site, LatitudeDeg: lat, LongitudeDeg: lon}
	return l
}

// weekdays is a crew that works Monday to Friday from eight to four.
func weekdays(code string, home Place) Crew {
	c := Crew{Code: code, Home: home}
	for d := time.Monday; d <= time.Friday; d++ {
		c.Days[d] = Window{480, 960}
	}
	return c
}

// A unit whose CO is urgent is the first stop of the first day of the crew that is
// there soonest, however far off the road it lies; the second such unit of the other
// crew, and what crews can do beside stays planned.
func TestUrgentIsFirst(t *testing.T) {
	in := Input{AsOf: asOf, Rules: DefaultConfig(asOf)}
	in.Rules.Iterations, in.Rules.Weeks = 50, 1
	for i := range 12 {
		in.Lines = append(in.Lines, lineAt(i, fmt.Sprintf("Site %d", i), 45, -35+0.02*float64(i)))
	}
	for _, k := range []int{9, 11} {
		in.Lines[k].Ground, in.Lines[k].Group = watch.COUrgentNow, watch.GoToday
	}
	in.Lines[11].Unit.LatitudeDeg = 45.4
	in.Crews = []Crew{weekdays("A", Place{45, -35}), weekdays("B", Place{45.3, -34.8})}
	p, err := Make(in)
	require.NoError(t, err)
	first := map[string]string{}
	seen := 0
	for _, d := range p.Days {
		if d.Day == asOf {
			first[d.Crew] = d.Stops[0].Visits[0].Line.Unit.Serial
			require.Equal(t, 480.0, d.Start)
		}
		for _, s := range d.Stops {
			seen += len(s.Visits)
		}
	}
	assert.Equal(t, map[string]string{"A": "S-09", "B": "S-11"}, first)
	assert.Equal(t, 12, seen)
	for _, c := range p.Compared {
		assert.Equal(t, 12, c.Units, "other ways go there first as well")
	}
}

// What is promised keeps its day where another crew can see to the urgent unit a
// little later, and gives way where none can.
func TestUrgentAndPromised(t *testing.T) {
	in := Input{AsOf: asOf, Rules: DefaultConfig(asOf)}
	in.Rules.Iterations, in.Rules.Weeks = 20, 1
	in.Lines = []watch.Line{lineAt(0, "near", 45, -35), lineAt(1, "kept", 45.05, -35)}
	in.Lines[0].Ground, in.Lines[0].Group = watch.COUrgentNow, watch.GoToday
	in.Rules.FirstUnitMinutes = 250
	in.Promises = []Promise{{"S-01", asOf, "A"}}
	in.Crews = []Crew{weekdays("A", Place{45, -35}), weekdays("B", Place{45.2, -35})}
	where := func() map[string]string {
		p, err := Make(in)
		require.NoError(t, err)
		out := map[string]string{}
		for _, d := range p.Days {
			for _, s := range d.Stops {
				for _, v := range s.Visits {
					out[v.Line.Unit.Serial] = fmt.Sprint(d.Crew, int(d.Day-asOf))
				}
			}
		}
		for _, l := range p.Left {
			out[l.Line.Unit.Serial] = "left"
		}
		return out
	}
	assert.Equal(t, map[string]string{"S-00": "B0", "S-01": "A0"}, where())
	in.Crews = in.Crews[:1]
	in.Crews[0].Days = [7]Window{time.Monday: {480, 960}} // asOf is one
	assert.Equal(t, map[string]string{"S-00": "A0", "S-01": "left"}, where())
}

// Two sites of one name far apart are two stops, and a drive lies between them.
func TestSitesArePlaces(t *testing.T) {
	in := Input{AsOf: asOf, Rules: DefaultConfig(asOf)}
	in.Rules.Iterations, in.Rules.Weeks = 20, 1
	in.Lines = []watch.Line{
		lineAt(0, "School", 45, -35), lineAt(1, "School", 45.29, -35), lineAt(2, "School", math.NaN(), math.NaN()),
		lineAt(3, "School", 45.003, -35),
	}
	in.Crews = []Crew{weekdays("A", Place{45, -35.01})}
	p, err := Make(in)
	require.NoError(t, err)
	at := map[float64]int{}
	for _, d := range p.Days {
		for _, s := range d.Stops {
			at[s.Place.LatitudeDeg] += len(s.Visits)
			if s.Place.LatitudeDeg > 45.1 {
				assert.Greater(t, s.DriveMinutes, 30.0)
			}
		}
	}
	assert.Equal(t, map[float64]int{45: 3, 45.29: 1}, at)
}

// A register that gives all units one site has a plan all the same.
func TestOneSiteForAll(t *testing.T) {
	for name, lat := range map[string]float64{"at one place": 45, "nowhere": math.NaN(), "all over the map": 46} {
		in := Input{AsOf: asOf, Rules: DefaultConfig(asOf)}
		in.Rules.Iterations, in.Rules.Weeks = 10, 2
		for i := range 60 {
			in.Lines = append(in.Lines, lineAt(i, "Main", lat, lat-80))
			if lat == 46 {
				in.Lines[i].Unit.LatitudeDeg, in.Lines[i].Unit.LongitudeDeg = 45+noise(i, 1)/3, -35+noise(i, 2)/3
			}
			in.Lines[i].Unit.Area = "ab"[i%2 : i%2+1]
			if i%9 == 0 {
				in.Lines[i].Ground, in.Lines[i].Group = watch.COUrgentNow, watch.GoToday
			}
		}
		in.Crews = []Crew{weekdays("A", Place{45.1, -35})}
		p, err := Make(in)
		require.NoError(t, err, name)
		require.NotEmpty(t, p.Days, name)
	}
}
