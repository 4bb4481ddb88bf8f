package study

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
	"fluedrift/datasets/worlds"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// knownFans is an invented fleet whose fans are all known.
func knownFans(seed uint64, units int) *worlds.DemoFleet {
	w := studyWorld()
	w.Fans = demo.FansOfAll
	return worlds.Demo(demo.Options{Units: units, Years: 12, Seed: seed, AsOf: asOf, World: w})
}

// wholeStudy is a whole study with the error of lengths declared.
func wholeStudy(t *testing.T) *Study {
	t.Helper()
	values := knownFans(3, 150).Histories()
	var all []*judge.History
	for i := range values {
		all = append(all, &values[i])
	}
	set, rules := studySettings(), studyRules(t)
	set.Primary, set.Simulations, rules.VentErrorSD = Primary{Drift, judge.High, "ratio"}, 3, 0.1
	s, err := Run(judged(t, all, rules), set)
	require.NoError(t, err)
	return s
}

// A whole study: what is shown of one comparison is one figure wherever it stands,
// leaving out an analyzer or an area leaves out its rows and no others, and both
// measures stand on the same rows where they are compared.
func TestStudyHoldsTogether(t *testing.T) {
	s := wholeStudy(t)
	var declared []Effect
	for _, e := range s.Effects {
		if e.Primary {
			declared = append(declared, e)
		}
	}
	require.Len(t, declared, 1)
	require.Equal(t, InConfiguration{}, s.PrimaryWhy)
	c := declared[0]
	require.Equal(t, c.Contrast, s.Sensitivities[0].Slopes[2].Contrast)
	require.Equal(t, 2, s.Sensitivities[0].Declared)
	require.Equal(t, c.Rows, c.Counts.Rows)
	require.Greater(t, c.Readings, c.Rows)
	require.LessOrEqual(t, c.Readings, 2*c.Rows)
	require.LessOrEqual(t, c.Segments, c.Rows)
	require.LessOrEqual(t, c.Units, c.Segments)

	rows := within(s.rowsOf(s.Rows, Drift, judge.High), "ratio")
	groups := map[Group]int{}
	for _, v := range s.Sensitivities {
		groups[v.Group]++
		want := 0
		for _, r := range rows {
			switch v.Group {
			case GroupAnalyzers:
				want += count(r.AnalyzerBefore != v.Choice.Of && r.AnalyzerAfter != v.Choice.Of)
			case GroupAreas:
				want += count(r.Area != v.Choice.Of)
			case GroupSource:
				want += count(r.Source == v.Choice.Of)
			case GroupFuel:
				want += count(r.Fuel == v.Choice.Of)
			default:
				want = v.Slopes[2].Rows
			}
		}
		require.Equal(t, want, v.Slopes[2].Rows, "%d %s", v.Group, v.Choice.Of)
	}
	for _, g := range []Group{
		GroupDeclared, GroupControls, GroupRows, GroupColumns, GroupMeasure, GroupFittings, GroupSites, GroupSource,
		GroupFuel, GroupAnalyzers, GroupAreas,
	} {
		require.NotZero(t, groups[g], g)
	}
	both := slices.IndexFunc(s.Sensitivities, func(v Sensitivity) bool { return v.Group == GroupMeasure })
	require.Equal(t, s.Sensitivities[both].Slopes[2].Counts, s.Sensitivities[both+1].Slopes[2].Counts)
	kept := s.Sensitivities[2]
	require.Greater(t, kept.Slopes[2].Rows, s.Sensitivities[0].Slopes[2].Rows, "with what the judgement takes out")

	require.Equal(t, FromDeclared, s.LengthErrors.From)
	require.Len(t, s.Corrections, 3)
	require.Equal(t, c.Contrast, s.Corrections[2].Naive)
	require.NotEmpty(t, s.Predictions)
	require.NotEmpty(t, s.Tests)
}

// Identities of what pictures show: the line of the partial residuals is the effect,
// leverages add up to the number of coefficients, and residuals to nothing along
// every column.
func TestDiagnosticsAreTheFit(t *testing.T) {
	s := newStudied(t, knownFans(4, 100), nil)
	s.questions()
	require.NotEmpty(t, s.Diagnostics)
	for _, d := range s.Diagnostics {
		sum, cross, leverage := 0.0, 0.0, 0.0
		for i := range d.Rows {
			cross += d.Vent[i] * d.Residual[i]
			leverage += d.Leverage[i]
			sum += d.Residual[i] * d.Fitted[i]
			require.InDelta(t, d.Partial[i], d.Residual[i]+d.Slope*d.Vent[i], 1e-12)
			require.InDelta(t, s.Rows[d.Rows[i]].CO2Points, d.Fitted[i]+d.Residual[i], 1e-9)
		}
		require.InDelta(t, 0, cross, 1e-8)
		require.InDelta(t, 0, sum, 1e-8)
		require.InDelta(t, math.Round(leverage), leverage, 1e-8)
	}
	// R 4.2.2: qnorm(ppoints(7, a = 3/8))
	require.InDeltaSlice(t, []float64{0, 1.364488748170, -0.352933986127, -1.364488748170, 0.352933986127, 0.758292556991, -0.758292556991},
		normalQuantiles([]float64{4, 9, 3, -7, 5, 6, 1}), 1e-10)
}

// Where the rows do what physics says, the estimate of a fixed-air burner is the
// prediction, inside its range; where they do nothing, ratio control is predicted and
// the fan's law lies outside.
func TestPhysicsIsFoundWherePlanted(t *testing.T) {
	s := newStudied(t, knownFans(5, 300), nil)
	for i := range s.Rows {
		r := &s.Rows[i]
		if whole(r.PhysicsPoints.Middle) {
			r.CO2Points, r.LnLambda = r.PhysicsPoints.Middle, r.PhysicsLnLambda.Middle
		}
	}
	s.Predictions = nil
	s.predictions()
	compared := 0
	for _, p := range s.Predictions {
		if p.NotMade != nil || p.Kind != Installation {
			continue
		}
		compared++
		require.InDelta(t, p.Middle, p.Estimate.Value, 1e-8, "%+v", p)
		require.True(t, p.Inside)
		require.LessOrEqual(t, p.Low, p.High)
		switch p.Control {
		case "fixed air":
			require.Greater(t, p.Middle*map[string]float64{"CO2": 1, "ln lambda": -1}[p.Response], 0.0, "more resistance, less air")
		case "ratio":
			require.Zero(t, p.Middle)
		}
	}
	require.Greater(t, compared, 4)
	// ln lambda of a fan against a path that takes a hundredth more: -1/2 ln 1.01
	m := &rowMaker{air: s.maker.air}
	r := Row{Kind: Installation, Control: "fixed air", Fuel: "natural gas"}
	m.predict(&r, 9, runMeasures{ofFan: Physics{0.1, 0.11, 0.12}}, runMeasures{ofFan: Physics{0.1, 0.1, 0.1}})
	require.InDelta(t, -math.Log(1.01)/2, r.PhysicsLnLambda.Middle, 1e-12)
	require.Zero(t, r.PhysicsPoints.Low)
	// d CO2 / CO2 = -1.09 d lambda / lambda at 9 % of methane (exact arithmetic of the
	// stoichiometric equation): 9 * 1.09 * 0.004975
	require.InDelta(t, 0.0488, r.PhysicsPoints.Middle, 0.0006)
}

// The declared comparison follows rows, their vents and longest runs, whatever the
// readings say: of three times the rows the interval is narrower by the root of three,
// of twice the spread by two, and per metre of runs twice as long by two.
func TestDeclaredByDesignsAlone(t *testing.T) {
	type group struct {
		control         judge.Control
		rows            int
		spread, longest float64
	}
	for _, x := range []struct {
		groups []group
		want   judge.Control
		width  float64 // of the second
	}{
		{[]group{{"ratio", 29, 1, 30}, {"fixed air", 29, 1, 30}}, "", 0},
		{[]group{{"ratio", 42, 1, 30}, {"fixed air", 126, 1, 30}}, "fixed air", math.Sqrt(3)},
		{[]group{{"ratio", 42, 2, 30}, {"fixed air", 42, 1, 30}}, "ratio", 2},
		{[]group{{"ratio", 42, 1, 30}, {"fixed air", 42, 1, 60}}, "fixed air", 2},
		{[]group{{"ratio", 42, 1, 30}, {"fixed air", 400, 1, 30}, {"", 600, 1, 30}}, "fixed air", math.Sqrt(400.0 / 42)},
	} {
		for _, points := range []float64{0, 5} {
			s := &Study{Settings: Config{Primary: Primary{Kind: Installation}}}
			for _, g := range x.groups {
				for i := range g.rows {
					s.Rows = append(s.Rows, Row{
						Kind: Installation, Control: g.control, Serial: fmt.Sprint(g.control, i), Site: fmt.Sprint(i), Fire: judge.High,
						CO2Points: points * float64(i%5), OfRun: g.spread * float64(i%7) / 7, LongestM: g.longest,
					})
				}
			}
			choose(s)
			require.Equal(t, Primary{Installation, judge.High, x.want}, s.Settings.Primary)
			if x.want == "" {
				require.Equal(t, NoneEnough{Rows: fewest, Sites: fewestSites}, s.PrimaryWhy)
				continue
			}
			why := s.PrimaryWhy.(GreatestPower)
			require.Len(t, why.Of, 2)
			require.Equal(t, 1.0, why.Of[0].Width)
			require.InDelta(t, x.width, why.Of[1].Width, 0.01)
		}
	}
}

// Two registers of one vent are told from an altered one, and the size of their
// errors is right although great ones count as alterations.
func TestRepeatedRegisters(t *testing.T) {
	run := judge.VentRun{
		Known: true, DiameterM: 0.1, LengthM: 10, RiseM: math.NaN(), Elbows90: 2, IntakeDiameterM: math.NaN(),
		IntakeLengthM: math.NaN(), UncertainFrom: day.None,
	}
	for name, x := range map[string]struct {
		change func(*judge.VentRun)
		same   bool
	}{
		"another length":        {func(v *judge.VentRun) { v.LengthM = 12 }, true},
		"four times the length": {func(v *judge.VentRun) { v.LengthM = 40 }, false},
		"another elbow":         {func(v *judge.VentRun) { v.LengthM, v.Elbows90 = 12, 3 }, false},
		"day of alteration":     {func(v *judge.VentRun) { v.LengthM, v.UncertainFrom = 12, day.None }, false},
		"visit to alter":        {func(v *judge.VentRun) { v.LengthM, v.Pinned = 12, true }, false},
	} {
		second := run
		second.From, second.UncertainFrom = 1000, 500
		x.change(&second)
		h := &judge.History{VentRuns: []judge.VentRun{run, second}}
		require.Equal(t, x.same, sameVents(h)[1] == 0, name)
	}
	// R 4.2.2: integrate(function(x) x^2*dnorm(x,0,.5), -log(3), log(3))$value/(2*pnorm(log(3),0,.5)-1)
	require.InDelta(t, 0.5, uncutSD(0.209658905481), 1e-9)
	require.True(t, math.IsInf(uncutSD(mostRepeatLn*mostRepeatLn/3), 1), "evenly spread: no size fits")
}

// Without a size of the errors there is no correction, and the table says so.
func TestNoCorrectionWithoutSize(t *testing.T) {
	s := &Study{Settings: Config{Primary: Primary{Drift, judge.High, ""}, Simulations: 5}}
	s.LengthErrors = lengthErrors(nil, 0)
	s.corrections()
	require.Equal(t, NotKnown, s.LengthErrors.From)
	require.Len(t, s.Corrections, 3)
	for _, c := range s.Corrections {
		require.Equal(t, ErrorsUnknown{}, c.NotMade)
	}
}

// Following errors back is exact where the effect is a parabola in the error added;
// and where a measure alone carries an additive error of known share, the effect of
// growing errors is slope * share / (share + added * rest), the law of attenuation
// (Fuller, Measurement Error Models, 1987; from memory), to which it comes within
// the parabola's error.
func TestFollowingBack(t *testing.T) {
	at := func(v float64) float64 { return 2 - 0.7*v + 0.1*v*v }
	var y []float64
	for _, v := range addedErrors {
		y = append(y, at(v))
	}
	back, err := parabolaAt(addedErrors, y, -1)
	require.NoError(t, err)
	require.InDelta(t, at(-1), back, 1e-12)
	y = nil
	for _, v := range addedErrors {
		y = append(y, 1*0.85/(0.85+(1+v)*0.15))
	}
	back, err = parabolaAt(addedErrors, y, -1)
	require.NoError(t, err)
	require.InDelta(t, 1, back, 0.02)
	require.Less(t, y[0], 0.86)
}

// An analyzer's column is what it reads more than the others, and of a group that met
// at units one column is dropped: the vent's effect is that of the fit in which the
// readings were set right beforehand.
func TestAnalyzersAreSetRight(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 5))
	bias := map[string]float64{"a": 0.3, "b": -0.1, "c": 0.05, "d": 0}
	names := []string{"a", "b", "c", "d"}
	var rows []*Row
	for i := range 200 {
		before, after := names[random.IntN(4)], names[random.IntN(4)]
		z := random.Float64()
		rows = append(rows, &Row{
			Kind: Installation, Serial: fmt.Sprint(i), Site: fmt.Sprint(i / 2), OfRun: z, AirK: random.NormFloat64(),
			AnalyzerBefore: before, AnalyzerAfter: after, CO2Points: 1 + 0.5*z + bias[after] - bias[before],
		})
	}
	f, err := (task{Installation, judge.High, responses[0], byLength, AnalyzersFit, (*design).analyzers, ""}).regress(rows)
	require.NoError(t, err)
	require.InDelta(t, 0.5, f.vent().Value, 1e-9)
	require.Len(t, f.design.dropped, 1)
	require.Equal(t, "analyzer d", f.design.dropped[0].name)
	require.InDelta(t, 0.3, f.Beta[f.column("analyzer a")], 1e-9)
	require.True(t, math.IsNaN(f.DF[f.column("analyzer a")]))
}

// A length that many units share looks typed in: no row stands on it.
func TestTypedLengthsMakeNoRow(t *testing.T) {
	w := studyWorld()
	w.VentTyped = 0.3
	s := newStudied(t, worlds.Demo(demo.Options{Units: 200, Years: 12, Seed: 8, AsOf: asOf, World: w}), nil)
	require.Equal(t, []estimate.TypedVent{{LengthM: demo.TypedVentFt * 0.3048, Units: s.Flow.TypedLengths[0].Units}}, s.Flow.TypedLengths)
	require.NotZero(t, s.Flow.LeftOut[LengthTyped])
	for _, r := range s.Rows {
		require.Greater(t, math.Abs(r.LengthM-demo.TypedVentFt*0.3048), 1e-3)
	}
}

// Rare levels go together, and out of the fit by control where they are rare together;
// a word that is not recorded is no level of its own.
func TestLevels(t *testing.T) {
	rows := func(counts map[string][2]int) (out []*Row) { // rows and sites by control
		for _, c := range []string{"ratio", "fixed air", "linkage", "oxygen trim", ""} {
			for i := range counts[c][0] {
				out = append(out, &Row{Control: judge.Control(c), Site: fmt.Sprint(c, i%max(counts[c][1], 1))})
			}
		}
		return out
	}
	for _, x := range []struct {
		counts map[string][2]int
		want   []string
		kept   int
	}{
		{
			map[string][2]int{"ratio": {60, 30}, "fixed air": {40, 20}, "linkage": {20, 12}, "oxygen trim": {16, 12}},
			[]string{"ratio", "fixed air", "linkage", "oxygen trim"},
			136,
		},
		{
			map[string][2]int{"ratio": {60, 30}, "fixed air": {40, 20}, "linkage": {14, 12}, "oxygen trim": {14, 12}},
			[]string{"ratio", "fixed air", "other"},
			128,
		},
		{
			map[string][2]int{"ratio": {60, 30}, "fixed air": {40, 20}, "linkage": {20, 12}, "oxygen trim": {30, 4}},
			[]string{"ratio", "fixed air", "other", "linkage"},
			120,
		},
		{map[string][2]int{"ratio": {60, 30}, "linkage": {20, 12}, "": {90, 50}}, []string{"other", "ratio", "linkage"}, 170},
		{map[string][2]int{"ratio": {60, 30}, "oxygen trim": {5, 2}}, []string{"ratio", "other"}, 60},
	} {
		_, names := levelsOf(rows(x.counts), controlOf)
		require.Equal(t, x.want, names)
		require.Len(t, commonControls(rows(x.counts)), x.kept)
	}
}

// Where model lines have levels of their own and longer vents, the pooled effect is
// off and the fit with fuel, model line and altitude is right.
func TestLinesBesideThePooledFit(t *testing.T) {
	random := rand.New(rand.NewPCG(2, 5))
	var rows []*Row
	for i := range 200 {
		line := i % 4
		z := 0.2*float64(line) + 0.3*random.Float64()
		rows = append(rows, &Row{
			Kind: Installation, Serial: fmt.Sprint(i), Site: fmt.Sprint(i / 2), Line: fmt.Sprint("line ",
				line), Fuel: "natural gas", AltitudeM: 500 * float64(i%3),
			OfRun: z, AirK: random.NormFloat64(), CO2Points: 0.4*z - 0.5*float64(line) + 0.1*float64(i%3),
		})
	}
	pooled, err := pooledTask(Installation, judge.High, byLength).regress(rows)
	require.NoError(t, err)
	require.Less(t, pooled.vent().High, 0.0)
	f, err := (task{Installation, judge.High, responses[0], byLength, AdjustedFit, (*design).adjusted, ""}).regress(rows)
	require.NoError(t, err)
	require.InDelta(t, 0.4, f.vent().Value, 1e-9)
	require.InDelta(t, 0.2, f.Beta[f.column("altitude")], 1e-9) // 0.1 for each 500 m
	require.Negative(t, f.column("fuel natural gas"), "one fuel has no column")
}

// A model line whose factory run is not declared stands at the middle of those that
// are; nowhere declared, the shift is taken from no vent.
func TestFactoryRuns(t *testing.T) {
	lines := map[string]float64{"a": 1, "b": 2, "c": 5}
	var all []*judge.History
	for _, l := range []string{"a", "b", "c", "d"} {
		all = append(all, &judge.History{Unit: judge.Unit{ModelLine: l}})
	}
	of := declaredRuns(all, func(line, _ string) float64 {
		if v, ok := lines[line]; ok {
			return v
		}
		return math.NaN()
	})
	require.Equal(t, 5.0, of("c", ""))
	require.Equal(t, 2.0, of("d", ""))
	require.Nil(t, declaredRuns(all, func(string, string) float64 { return math.NaN() }))
	require.Nil(t, declaredRuns(all, nil))
}
