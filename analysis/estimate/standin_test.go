package estimate_test

import (
	"context"
	"database/sql"
	"hash/fnv"
	"math"
	"strings"
	"testing"

	_ "github.com/marcboeker/go-duckdb"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/report/words"
	"fluedrift/datasets/demo"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// habit is what a technician reads too high here, points: an invented figure, a
// third of a point at most, the same for a name in every fleet.
func habit(name string) float64 {
	h := fnv.New32a()
	h.Write([]byte(name))
	return 0.3 * (float64(h.Sum32()%1000)/1000 - 0.5)
}

// nameOf is a technician as a stand-in is named.
func nameOf(v *judge.Visit) string { return v.Source + "/" + v.Technician }

// habits adds what each technician reads too high to all readings in the field. Where
// he set the burner to his display, what he left moves by a constant that no
// difference within the next segment holds.
func (o *world) habits() {
	for _, h := range o.histories {
		for i := range h.Readings {
			if v := &h.Visits[h.Readings[i].Visit]; v.Technician != "" && v.Reason != judge.FactoryTest {
				h.Readings[i].CO2Percent += habit(nameOf(v))
			}
		}
	}
}

// withHabits is the model's world without errors of analyzers, with technicians' own.
func withHabits(t *testing.T, units int, change func(w *demo.World)) *world {
	t.Helper()
	o := invented(7, units, plainWith(func(w *demo.World) {
		w.Gases, w.AnalyzerSD, w.CalibrationSD = demo.OnlyCO2, 0, 0
		change(w)
	}))
	o.habits()
	r := rulesFor(t, o.histories)
	o.rules = r
	var err error
	o.out, err = estimate.Run(context.Background(), o.histories, r)
	require.NoError(t, err)
	return o
}

// group are technicians who were compared with each other.
type group struct{ planted, found, sd []float64 }

// Where no analyzer is recorded the technician stands in: what he reads too high is
// found at his name, marked as standing in, in the fits and in the stored rows. Biases
// are known up to a constant a group, which their posterior standard deviations hold as
// well: without it they lie no further off than these allow, and what is found of a bias
// is what is to be expected of it.
func TestTechnicianStandsInForTheAnalyzer(t *testing.T) {
	o := withHabits(t, 200, func(w *demo.World) { w.NoAnalyzers = true })
	require.True(t, o.hasNote("analyzers are not recorded; their technicians stand in"))
	for i := range o.out.Fits {
		fit := &o.out.Fits[i]
		groups := map[int]*group{}
		for a, x := range fit.Analyzers {
			require.True(t, x.Standin, x.Name)
			require.Contains(t, x.Name, "/")
			b := fit.Fit.Analyzers[a]
			if b.Component < 0 {
				continue
			}
			g := groups[b.Component]
			if g == nil {
				g = &group{}
				groups[b.Component] = g
			}
			g.planted, g.found, g.sd = append(g.planted, habit(x.Name)), append(g.found, b.Value), append(g.sd, b.SD)
		}
		n, z, xy, yy := 0, 0.0, 0.0, 0.0
		for _, g := range groups {
			planted, found := stat.Mean(g.planted, nil), stat.Mean(g.found, nil)
			for k := range g.sd {
				x, y := g.planted[k]-planted, g.found[k]-found
				n, z, xy, yy = n+1, z+(y-x)*(y-x)/(g.sd[k]*g.sd[k]), xy+x*y, yy+y*y
			}
		}
		t.Logf("%s fire: %d technicians in %d groups, slope of what was planted on what is found %.3f, root mean square z %.2f", fit.Fire, n,
			len(groups), xy/yy, math.Sqrt(z/float64(n)))
		require.Greater(t, n, 20)
		require.InDelta(t, 1, xy/yy, 0.2)
		require.Less(t, z, distuv.ChiSquared{K: float64(n - len(groups))}.Quantile(0.999))
	}
	standins := map[bool]int{}
	for _, x := range stored(t, o) {
		standins[x.standIn]++
	}
	require.Zero(t, standins[false])
	require.Positive(t, standins[true])
}

// storedBias is a row of the stored biases.
type storedBias struct {
	name    string
	standIn bool
}

// stored saves an estimate and reads its analyzers back.
func stored(t *testing.T, o *world) (rows []storedBias) {
	t.Helper()
	path := t.TempDir() + "/w.duckdb"
	w, err := queries.Create(t.Context(), path, queries.Options{Threads: 1, Version: "test"})
	require.NoError(t, err)
	require.NoError(t, w.Build(t.Context(), o.rules.AsOf))
	require.NoError(t, estimate.Save(t.Context(), w, o.histories, o.out, words.OfEstimate()))
	require.NoError(t, w.Close())
	db, err := sql.Open("duckdb", path+"?access_mode=read_only")
	require.NoError(t, err)
	defer db.Close()
	found, err := db.QueryContext(t.Context(), "select analyzer, stand_in from result.analyzers order by all")
	require.NoError(t, err)
	defer found.Close()
	for found.Next() {
		var x storedBias
		require.NoError(t, found.Scan(&x.name, &x.standIn))
		rows = append(rows, x)
	}
	require.NoError(t, found.Err())
	require.NotEmpty(t, rows)
	return rows
}

// Nobody stands in where the analyzer is recorded; where it is for some, those that are
// not stand beside them, and one name is never both.
func TestNobodyStandsInForARecordedAnalyzer(t *testing.T) {
	o := withHabits(t, 120, func(*demo.World) {})
	require.False(t, o.hasNote("technicians stand in"))
	for _, x := range o.out.Fits[0].Analyzers {
		require.False(t, x.Standin, x.Name)
		require.NotContains(t, x.Name, "/")
	}
	for _, x := range stored(t, o) {
		require.False(t, x.standIn, x.name)
	}
	o = withHabits(t, 120, func(w *demo.World) { w.AnalyzerMissing = 0.3 })
	standins := 0
	for _, x := range o.out.Fits[0].Analyzers {
		require.Equal(t, x.Standin, strings.Contains(x.Name, "/"), x.Name)
		if x.Standin {
			standins++
		}
	}
	require.Positive(t, standins)
	require.Less(t, standins, len(o.out.Fits[0].Analyzers))
	require.True(t, o.hasNote("analyzers are not recorded; their technicians stand in"))
}
