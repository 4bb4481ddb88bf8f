package words

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/report/units"
	"fluedrift/analysis/watch"
	"fluedrift/model/judge"
)

// A record to correct is described in the units of its own file, so that its figures
// are found there: 59 degF are 15 degC, and 350 are no round number of them.
func TestFixesAreInTheUnitsOfTheirFile(t *testing.T) {
	r := readingOf(judge.AsFound, 9, nan, nan, 15, nan)
	h := &judge.History{Readings: []judge.Reading{r}}
	finding := judge.Finding{Kind: judge.EarlyReading, Readings: []int{0}, Facts: judge.ColdFlue{UsualC: (350. - 32) / 1.8}}
	message := func(of units.Set) (message, value string) {
		fixes := []watch.Fix{{
			File: "north.csv", Column: "flue_temp", Reading: &h.Readings[0],
			Found: &watch.Found{History: h, Finding: &finding},
		}}
		FixMessages(func(file string) units.Set {
			require.Equal(t, "north.csv", file)
			return of
		}, fixes)
		return fixes[0].Message, fixes[0].Value
	}
	north := units.SI.Recorded([]units.Column{{Field: "flue_temp", Unit: "degF"}}).AsRecorded()
	said, value := message(north)
	require.Contains(t, said, "flue was at 59 degF where 350 degF is usual")
	require.Equal(t, "59", value)
	said, value = message(units.SI)
	require.Contains(t, said, "flue was at 15 degC where 177 degC is usual")
	require.Equal(t, "15", value)
}

// paPerInWC is an inch of water, conventional, in Pa: NIST SP 811 (2008), Appendix B.8,
// 2.490889 E+02.
const paPerInWC = 2.490889e2

// The same finding in the units of either reader.
func TestFindingsInTheUnitsOfTheReader(t *testing.T) {
	us := units.System(units.US)
	for _, c := range []struct {
		kind     judge.Kind
		facts    judge.Facts
		reading  judge.Reading
		si, inUS string
	}{
		{
			judge.RoomProbe,
			judge.WarmIntake{AboveOutdoorsK: 15},
			readingOf(judge.AsFound, 9, nan, nan, nan, 18.5),
			"air was at 18.5 degC, 15 K above outdoors", "air was at 65 degF, 27 degF above outdoors",
		},
		{
			judge.Moved,
			judge.MovedFrom{Quantity: judge.SupplyPressure, Now: 3.5 * paPerInWC, Usual: 7 * paPerInWC},
			readingOf(judge.AsFound, 9, nan, nan, nan, nan),
			"supply pressure 870 Pa; at the visits before it was 1740 Pa", "supply pressure 3.5 in w.c.; at the visits before it was 7 in w.c.",
		},
		{
			judge.TempUnit,
			judge.FlueBelowAir{},
			readingOf(judge.AsFound, 9, nan, nan, 18, 61),
			"flue was recorded at 18 degC and the air at 61 degC", "flue was recorded at 64 degF and the air at 142 degF",
		},
	} {
		h := &judge.History{Readings: []judge.Reading{c.reading}}
		f := &judge.Finding{Kind: c.kind, Readings: []int{0}, Facts: c.facts}
		require.Contains(t, Finding(h, f), c.si)
		require.Contains(t, findingIn(us, h, f), c.inUS)
	}
}

// What to look at first, and what a vent is, in the units of either reader.
func TestOtherSentencesInTheUnitsOfTheReader(t *testing.T) {
	us, millibar := units.System(units.US), units.Set{Pressure: "mbar"}
	l := &watch.Line{CheckFirst: []judge.Check{judge.WarmerAirAtSetting, judge.ValveZeroOffset}}
	require.Contains(t, LookWhy(units.SI, l)[0], ": 10 K make about a third")
	require.Contains(t, LookWhy(us, l)[0], ": 18 degF make about a third")
	require.Contains(t, LookWhy(units.SI, l)[1], "An offset of a few Pa shows")
	require.Contains(t, LookWhy(us, l)[1], "An offset of a few hundredths of an inch w.c. shows")
	require.Contains(t, LookWhy(millibar, l)[1], "An offset of a few hundredths of a mbar shows")
	v := &judge.VentRun{Known: true, LengthM: 12.192, RiseM: nan, DiameterM: 0.254, Elbows90: 2, Elbows45: -1}
	require.Equal(t, "12.2 m straight, 250 mm wide, 2 elbows of 90 degrees", ventRun(units.SI, v))
	require.Equal(t, "40 ft straight, 10 in wide, 2 elbows of 90 degrees", ventRun(us, v))
}
