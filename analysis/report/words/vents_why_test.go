package words

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/report/units"
	"fluedrift/analysis/study"
)

// Counts of what makes no row or is in no fit stand in the order of their words.
func TestTallies(t *testing.T) {
	f := &study.Flow{
		LeftOut: map[study.Unfit]int{
			study.AsLeftGone: 1, study.FoundTwice: 2, study.MovedBetween: 3, study.OtherFuel: 4, study.VentUnknown: 5, study.LengthTyped: 6,
			study.OutOfTime: 7,
		},
		NotFitted: map[study.Missing]int{study.NoMeasure: 1, study.NoAir: 2, study.NoInstallDay: 3},
	}
	require.Equal(t, []Tally{
		{"another fuel, or fuel questionable", 4},
		{"as-found reading recorded twice, none known to be the first", 2},
		{"as-left reading not recorded", 1},
		{"moved to another place in between", 3},
		{"same day, or more than 3 years apart", 7},
		{"vent length probably a default of the form", 6},
		{"vent not known on the day", 5},
	}, LeftOut(f))
	require.Equal(t, []Tally{
		{"combustion air not recorded", 2}, {"day of installation not known", 3}, {"length, elbows or longest run not known", 1},
	}, NotFitted(f))
}

// How the declared comparison came to be, with what the others had.
func TestHowDeclared(t *testing.T) {
	two := []study.Candidate{
		{Primary: study.Primary{Kind: study.Drift, Control: "ratio"}, Width: 1},
		{Primary: study.Primary{Kind: study.Installation, Control: "fixed air"}, Width: 2.53},
		{Primary: study.Primary{Kind: study.Rerouting, Control: "ratio"}, Width: 4},
	}
	const chosen = "of the comparisons with 30 rows and 10 sites or more the one with the narrowest expected interval"
	for said, c := range map[string]study.Chosen{
		"":                              nil,
		"declared in the configuration": study.InConfiguration{},
		chosen + " (installation at fixed air 2.5 times as wide, re-routing at ratio 4.0 times as wide); chosen by vents, air and times " +
			"alone, before any reading": study.GreatestPower{Rows: 30, Sites: 10, Of: two},
		chosen + "; chosen by vents, air and times alone, before any reading":  study.GreatestPower{Rows: 30, Sites: 10, Of: two[:1]},
		"drift of all units, since no burner control has 30 rows and 10 sites": study.NoneEnough{Rows: 30, Sites: 10},
	} {
		require.Equal(t, said, HowDeclared(c))
	}
}

// What to leave a burner at on the bench, with what is not known left out.
func TestBenchInWords(t *testing.T) {
	b := study.Bench{Fire: "high", Target: 9, Set: 8.78, Low: 8.71, High: 8.86, OneLow: 8.5, OneHigh: 9.06}
	require.Equal(t, "High fire: set 8.78 % CO2 on the bench (95 % interval 8.71 to 8.86; for one unit 8.50 to 9.06, 90 %) to "+
		"be at 9.00 on this vent, with the air of the bench.", Bench(b))
	b.OneLow, b.Outside = math.NaN(), true
	require.Equal(t, "High fire: set 8.78 % CO2 on the bench (95 % interval 8.71 to 8.86) to be at 9.00 on this vent, with the air of the "+
		"bench. EXTRAPOLATION.", Bench(b))
}

// What a figure lacks, what a prediction follows from, and what is otherwise.
func TestOfFigures(t *testing.T) {
	for said, l := range map[string]study.Lack{
		"":                  nil,
		"4 rows, 30 needed": study.Failed{Err: errors.New("4 rows, 30 needed")},
		"made without 3 rows of burner controls that are too rare":                         study.RareControls{Rows: 3},
		`column "fuel" repeats others and is left out`:                                     study.Repeats{Column: "fuel"},
		"the size of errors in lengths is not known: no repeated registers, none declared": study.ErrorsUnknown{},
		"not asked for": study.NoSimulations{},
		"first principles give no answer for this control": study.NoPrinciples{},
	} {
		require.Equal(t, said, Lack(l))
	}
	require.Empty(t, PhysicsBasis(study.NoBasis))
	require.Contains(t, PhysicsBasis(study.FixedFan), "a fan at constant speed with flat pressure")
	require.Contains(t, PhysicsBasis(study.HeldByControl), "changes input and not CO2")
	require.Contains(t, PhysicsBasis(study.ConstantResistance), "nothing with time")
	for said, c := range map[string]study.Choice{
		"by length, within the burner control":                         {},
		"readings that the judgement leaves out are kept":              {Kind: study.KeepsRemoved},
		"call-outs left out":                                           {Kind: study.NoCallOuts},
		"rows off the fit by more than 4 standard deviations left out": {Kind: study.NoFarRows},
		"with analyzers":                                               {Kind: study.WithColumns, Of: "with analyzers"},
		study.ByFan + ", on the rows that have both":                   {Kind: study.OnRowsOfBoth, Of: study.ByFan},
		"lowest, " + study.ByFan:                                       {Kind: study.LeastFittings, Of: study.ByFan},
		"highest, " + study.ByFan:                                      {Kind: study.MostFittings, Of: study.ByFan},
		"level and slope of its own for each site, normal (REML)":      {Kind: study.OwnBySite},
		"North 1": {Kind: study.OneOf, Of: "North 1"},
	} {
		require.Equal(t, said, Choice(c))
	}
	require.Equal(t, "one area left out", Group(study.GroupAreas))
	require.Equal(t, "repeated registers that differ without an alteration", LengthsFrom(study.FromRepeats))
	mixed := &study.Sensitivity{Mixed: true}
	require.Equal(t, "errors of the mixed model; degrees of freedom those of CR2", SlopeNote(mixed, &study.Slope{}))
	require.Equal(t, Lack(study.NoPrinciples{}), SlopeNote(mixed, &study.Slope{NotMade: study.NoPrinciples{}}))
	require.Empty(t, SlopeNote(&study.Sensitivity{}, &study.Slope{}))
}

// What a configuration takes from its neighbours, is compared by, and lies beyond.
func TestOfAConfiguration(t *testing.T) {
	require.Equal(t, "vent diameter 200 mm; input 36.63 kW; longest run 18.3 m; fan's pressure 150 Pa; fuel natural "+
		"gas", Assumed(units.SI, []study.Assumed{
		{Feature: study.VentDiameter, Value: 0.2032, Unit: "m"},
		{Feature: study.Input, Value: 36.63, Unit: "kW"},
		{Feature: study.LongestRun, Value: 18.288, Unit: "m"},
		{Feature: study.FanPressure, Value: 150, Unit: "Pa"},
		{Feature: study.FuelBurnt, Value: math.NaN(), Fuel: "natural gas"},
	}))
	require.Equal(t, "vent length, diameter, 90 degree elbows, 45 degree elbows, "+
		""+study.ByLength+", "+study.ByFan, Compared([]study.Feature{
		study.VentLength, study.VentDiameter, study.Elbows90, study.Elbows45, study.ShareOfRun, study.ShareOfFan,
	}))
	for said, b := range map[string]study.Beyond{
		"no units with all that is given on record": study.NoneComparable{},
		"vent length 400 m; units from 4.3 m to 27.7 m": study.OutOfRange{
			Unit: "m", At: 400, Least: 4.2672,
			Most: 27.7368,
		},
		"90 degree elbows 9; units from 0 to 6":                                    study.OutOfRange{Feature: study.Elbows90, At: 9, Most: 6},
		"within the range of each, but no mixture of units has all of it together": study.NoMixture{},
	} {
		require.Equal(t, said, Beyond(units.SI, b))
	}
}
