package judge_test

import (
	"reflect"
	"testing"

	"github.com/stretchr/testify/require"

	. "fluedrift/model/judge"
)

// Each finding with its hit and the nearest misses beside it: what is found,
// and what each reading is then good for. One row, one history; the first row
// of a kind is the plain case.
var findingCases = []struct {
	name string
	h    *History
	want []Kind
	uses []Use
}{
	// copied-visit
	{
		"copied: as found repeats the as left before in four values",
		history(on(100, "", full(AsLeft, 9.0, 4.9, 12, 61.3, 18.0)), on(465, "no", full(AsFound, 9.0, 4.9, 12, 61.3, 18.0))),
		[]Kind{CopiedVisit},
		[]Use{Used, LeftOut},
	},
	{
		"copied: both values of a visit repeat both of the visit before",
		history(on(100, "yes", full(AsFound, 9.3, 4.4, 15, 62, 18), full(AsLeft, 9.0, 4.9, 12, 61.3, 18.0)),
			on(465, "yes", full(AsFound, 9.3, 4.4, 15, 62, 18), full(AsLeft, 9.0, 4.9, 12, 61.3, 18.0))),
		[]Kind{CopiedVisit},
		[]Use{Used, Used, LeftOut, LeftOut},
	},
	{
		"not copied: the flue is a tenth off",
		history(on(100, "", full(AsLeft, 9.0, 4.9, 12, 61.3, 18.0)), on(465, "no", full(AsFound, 9.0, 4.9, 12, 61.4, 18.0))),
		nil,
		[]Use{Used, Used},
	},
	{
		"copied: two values where neither has more",
		history(on(100, "", full(AsLeft, 9.0, nan, nan, 61.3, nan)), on(465, "no", full(AsFound, 9.0, nan, nan, 61.3, nan))),
		[]Kind{CopiedVisit},
		[]Use{Used, LeftOut},
	},
	{
		"not copied: two values agree and a third was recorded once",
		history(on(100, "", full(AsLeft, 9.0, nan, nan, 61.3, 18)), on(465, "no", full(AsFound, 9.0, nan, nan, 61.3, nan))),
		nil,
		[]Use{Used, Used},
	},
	{
		"not copied: CO2 and the O2 computed with it are one value",
		history(on(100, "", full(AsLeft, 9.0, 4.9, nan, nan, nan)), on(465, "no", full(AsFound, 9.0, 4.9, nan, nan, nan))),
		nil,
		[]Use{Used, Used},
	},
	{
		"not copied: no CO twice is no evidence",
		history(on(100, "", full(AsLeft, 9.0, nan, 0, nan, nan)), on(465, "no", full(AsFound, 9.0, nan, 0, nan, nan))),
		nil,
		[]Use{Used, Used},
	},
	{
		"not copied: one value alone",
		history(on(100, "", value(AsLeft, 9.0)), on(465, "no", value(AsFound, 9.0))), nil,
		[]Use{Used, Used},
	},
	{
		"not copied: two as lefts at target with one temperature",
		history(on(100, "", full(AsLeft, 9.0, nan, nan, 61, nan)), on(465, "", full(AsLeft, 9.0, nan, nan, 61, nan))),
		nil,
		[]Use{Used, Used},
	},
	{
		"not copied: the other fire",
		history(on(100, "", full(AsLeft, 9.0, 4.9, 12, 61.3, 18.0)), on(465, "no", low(full(AsFound, 9.0, 4.9, 12, 61.3, 18.0)))),
		nil,
		[]Use{Used, Used},
	},

	{
		"not copied: three values agree, the gas was recorded as CO2 once and as O2 once",
		history(on(100, "", full(AsLeft, 9.0, nan, 12, 61.3, 18.0)), on(465, "no", full(AsFound, nan, 4.9, 12, 61.3, 18.0))),
		nil,
		[]Use{Used, Used},
	},
	{
		"not copied: CO 5 is not CO below 5",
		history(on(100, "", full(AsLeft, 9.0, nan, 5, 61.3, 18.0)), on(465, "no", below(full(AsFound, 9.0, nan, 5, 61.3, 18.0)))),
		nil,
		[]Use{Used, Used},
	},
	{
		"not copied: CO below 5 twice is no evidence",
		history(on(100, "", below(full(AsLeft, 9.0, nan, 5, 61.3, nan))), on(465, "", below(full(AsLeft, 9.0, nan, 5, 61.3, nan)))),
		nil,
		[]Use{Used, Used},
	},
	{
		"not copied: the supply pressure moved",
		history(on(100, "", supply(1740, full(AsLeft, 9.0, nan, 12, 61.3, nan))),
			on(465, "", supply(1750, full(AsLeft, 9.0, nan, 12, 61.3, nan)))),
		nil,
		[]Use{Used, Used},
	},
	{
		"not copied: the supply pressure is always the same",
		history(on(100, "", supply(1740, full(AsLeft, 9.0, nan, nan, 61.3, nan))),
			on(465, "", supply(1740, full(AsLeft, 9.0, nan, nan, 61.3, nan)))),
		nil,
		[]Use{Used, Used},
	},

	// as left copied from as found
	{
		"as left copied: adjusted, and the same",
		history(on(100, "yes", value(AsFound, 9.0), value(AsLeft, 9.0))),
		[]Kind{CopiedAsLeft},
		[]Use{LeftOut, StateOnly},
	},
	{
		"two measurements: not adjusted, CO2 and flue agree",
		history(on(100, "no", full(AsFound, 9.0, nan, nan, 61.3, nan), full(AsLeft, 9.0, nan, nan, 61.3, nan))), nil,
		[]Use{Used, Used},
	},
	{
		"as left copied: not adjusted, the same in three values",
		history(on(100, "no", full(AsFound, 9.0, nan, 12, 61.3, nan), full(AsLeft, 9.0, nan, 12, 61.3, nan))),
		[]Kind{CopiedAsLeft},
		[]Use{Used, Marked},
	},
	{
		"found twice: neither is known to be the first",
		history(on(100, "no", tied(value(AsFound, 9.3)), tied(value(AsFound, 9.6)))),
		[]Kind{FoundTwice},
		[]Use{Marked, Marked},
	},
	{
		"found twice, and the value of one of them is typed wrong: the other is alone",
		history(on(100, "no", tied(value(AsFound, 9.3)), tied(value(AsFound, 14.6)))),
		[]Kind{OverCO2Max},
		[]Use{Used, LeftOut},
	},
	{
		"not found twice: the first is known",
		history(on(100, "no", value(AsFound, 9.3), value(Between, 9.6))), nil,
		[]Use{Used, LeftOut},
	},
	{
		"two measurements: not adjusted, the flue moved on",
		history(on(100, "no", full(AsFound, 9.0, nan, 12, 61.3, nan), full(AsLeft, 9.0, nan, 12, 61.9, nan))), nil,
		[]Use{Used, Used},
	},
	{
		"two measurements: not adjusted, only CO2 recorded",
		history(on(100, "no", value(AsFound, 9.0), value(AsLeft, 9.0))), nil,
		[]Use{Used, Used},
	},
	{
		"two measurements: adjusted by a tenth",
		history(on(100, "yes", value(AsFound, 9.1), value(AsLeft, 9.0))), nil,
		[]Use{Used, Used},
	},

	// as left far from target: the setting band is 0.2, so 0.35 is the limit
	{
		"left far: adjusted to 0.4 rich",
		history(on(100, "yes", value(AsFound, 9.1), value(AsLeft, 9.4))),
		[]Kind{AsLeftFar},
		[]Use{Used, StateOnly},
	},
	{
		"left far: just beyond the limit",
		history(on(100, "yes", value(AsFound, 9.1), value(AsLeft, 9.36))),
		[]Kind{AsLeftFar},
		[]Use{Used, StateOnly},
	},
	{
		"left far: lean, no as found, no flag",
		history(on(100, "", value(AsLeft, 8.6))),
		[]Kind{AsLeftFar},
		[]Use{StateOnly},
	},
	{"not far: on the limit", history(on(100, "yes", value(AsFound, 9.1), value(AsLeft, 9.35))), nil, []Use{Used, Used}},
	{
		"not far: found and left there, nothing set",
		history(on(100, "no", value(AsFound, 9.4), value(AsLeft, 9.41))), nil,
		[]Use{Used, Used},
	},
	{"not far: no as found, but recorded as not adjusted", history(on(100, "no", value(AsLeft, 9.4))), nil, []Use{Used}},
	{
		"left far: recorded as not adjusted, and yet changed",
		history(on(100, "no", value(AsFound, 9.0), value(AsLeft, 9.4))),
		[]Kind{AsLeftFar},
		[]Use{Used, StateOnly},
	},

	// CO2 above CO2max 11.8 + 0.2
	{"over CO2max", history(on(100, "no", value(AsFound, 12.1))), []Kind{OverCO2Max}, []Use{LeftOut}},
	{"not over CO2max: within 0.2", history(on(100, "no", value(AsFound, 12.0))), nil, []Use{Used}},

	// exact doubles
	{
		"entered twice: two visits of a day",
		history(on(100, "no", full(AsFound, 9.1, nan, nan, 61, nan)), on(100, "no", full(AsFound, 9.1, nan, nan, 61, nan))),
		[]Kind{ExactDouble},
		[]Use{Used, LeftOut},
	},
	{
		"entered twice: in one visit",
		history(on(100, "no", full(AsFound, 9.1, nan, nan, 61, nan), full(AsFound, 9.1, nan, nan, 61, nan))),
		[]Kind{ExactDouble},
		[]Use{Used, LeftOut},
	},
	{
		"not twice: another condition in the one visit",
		history(on(100, "no", full(AsFound, 9.1, nan, nan, 61, nan), full(AsLeft, 9.1, nan, nan, 61, nan))), nil,
		[]Use{Used, Used},
	},
	{
		"not twice: values differ, so the order of the day is not known",
		history(on(100, "no", value(AsFound, 9.1)), on(100, "no", value(AsFound, 9.2))),
		[]Kind{DateDisorder},
		[]Use{LeftOut, StateOnly},
	},

	// dates
	{"date: before the install day", history(on(-1, "no", value(AsFound, 9.1))), []Kind{DateDisorder}, []Use{LeftOut}},
	{"date: on the install day", history(on(0, "no", value(AsFound, 9.1))), nil, []Use{Used}},
	{
		"date: a factory test comes before", history(visit{day: -30, reason: FactoryTest, minute: -1, readings: []Reading{value(AsLeft, 9.1)}}),
		nil,
		[]Use{Used},
	},
	{"date: of the boiler that had the serial before", history(on(-900, "no", earlier(value(AsFound, 9.1))),
		on(100, "no", value(AsFound, 9.1))), nil, []Use{LeftOut, Used}},
	{"date: that boiler's factory test", history(visit{
		day: -1900, reason: FactoryTest, minute: -1,
		readings: []Reading{earlier(value(AsLeft, 9.1))},
	}), nil, []Use{LeftOut}},
	{
		"date: a factory test after", history(visit{day: 30, reason: FactoryTest, minute: -1, readings: []Reading{value(AsLeft, 9.1)}}),
		[]Kind{DateDisorder},
		[]Use{LeftOut},
	},
	{
		"date: outside the year of its file's name",
		history(on(100, "no", marked(value(AsFound, 9.1), OutsidePeriod), marked(value(AsLeft, 9.2), OutsidePeriod)),
			on(465, "no", value(AsFound, 9.1))),
		[]Kind{DateDisorder},
		[]Use{StateOnly, StateOnly, Used},
	},
	{
		"date: two visits of a day told apart by their times",
		history(visit{day: 100, minute: 540, readings: []Reading{value(AsFound, 9.1)}},
			visit{day: 100, minute: 900, readings: []Reading{value(AsFound, 9.2)}}),
		nil,
		[]Use{Used, Used},
	},
	{
		"date: two visits of a day at different fires",
		history(on(100, "no", value(AsFound, 9.1)), on(100, "no", low(value(AsFound, 9.2)))), nil,
		[]Use{Used, Used},
	},

	// too little air
	{"rich: CO2 in band, O2 below 1", history(on(100, "no", full(AsFound, 9.0, 0.9, nan, nan, nan))), []Kind{RichPossible}, []Use{LeftOut}},
	{"not rich: O2 of 1", history(on(100, "no", full(AsFound, 11.2, 1.0, nan, nan, nan))), nil, []Use{Used}},
	{"rich: CO in the thousands", history(on(100, "no", full(AsFound, 9.0, nan, 1000, nan, nan))), []Kind{RichPossible}, []Use{LeftOut}},
	{"not rich: CO 999 (urgent by its level elsewhere)", history(on(100, "no", full(AsFound, 9.0, nan, 999, nan, nan))), nil, []Use{Used}},
	{
		"rich: CO over the range of the analyzer",
		history(on(100, "no", change(func(x *Reading) { x.COLimit = Above }).with(full(AsFound, 9.0, nan, 400, nan, nan)))),
		[]Kind{RichPossible},
		[]Use{LeftOut},
	},
	{
		"not rich: CO recorded as below a limit",
		history(on(100, "no", below(full(AsFound, 9.0, nan, 2000, nan, nan)))), nil,
		[]Use{Used},
	},
	{
		"rich and out of its band: stays the state", history(on(100, "no", full(AsFound, 11.0, 0.8, nan, nan, nan))),
		[]Kind{RichPossible},
		[]Use{StateOnly},
	},

	// without a finding
	{
		"values taken between that repeat each other, and last year's",
		history(on(100, "no", full(Between, 9.6, nan, 12, 61, 18), full(Between, 9.6, nan, 12, 61, 18)),
			on(465, "no", full(Between, 9.6, nan, 12, 61, 18))),
		nil,
		[]Use{LeftOut, LeftOut, LeftOut},
	},
	{
		"values taken between and readings without gas", history(on(100, "no", value(Between, 9.6), full(AsLeft, nan, nan, nan, 61, nan))), nil,
		[]Use{LeftOut, LeftOut},
	},
	{"nothing recorded", history(), nil, []Use{}},
}

// earlier makes a reading one of an earlier install of the serial.
func earlier(x Reading) Reading {
	return change(func(x *Reading) { x.Marks = EarlierInstall }).with(x)
}

// marked adds a mark to a reading.
func marked(x Reading, mark string) Reading {
	return change(func(x *Reading) { x.Marks = mark }).with(x)
}

// below turns a CO value into an upper limit.
func below(x Reading) Reading { return change(func(x *Reading) { x.COLimit = Below }).with(x) }

// tied says of an as-found reading that it is one of several.
func tied(x Reading) Reading { return change(func(x *Reading) { x.Marks = OrderUnknown }).with(x) }

// supply adds a gas supply pressure.
func supply(pa float64, x Reading) Reading {
	return change(func(x *Reading) { x.SupplyPa = pa }).with(x)
}

// Every kind and use has its words, each its own.
func TestKindsAndUsesInWords(t *testing.T) {
	seen := map[string]bool{}
	for k := RichPossible; k <= Moved; k++ {
		require.NotEmpty(t, k.String())
		require.False(t, seen[k.String()], k)
		seen[k.String()] = true
	}
	require.Equal(t, []string{"used", "marked", "left out of the fit", "left out of the fit"},
		[]string{Used.String(), Marked.String(), StateOnly.String(), LeftOut.String()})
}

// factsOf are the types of the facts that each kind comes with; a nil one is of a kind
// whose readings say all.
var factsOf = map[Kind][]reflect.Type{
	RichPossible: {reflect.TypeFor[TooLittleAir]()},
	OverCO2Max:   {reflect.TypeFor[FuelLimit]()},
	NoBurner:     {nil},
	FuelLabel:    {reflect.TypeFor[SetAs]()},
	OtherSetting: {reflect.TypeFor[ByO2]()},
	SwappedGases: {reflect.TypeFor[FitExchanged]()},
	OtherGas:     {reflect.TypeFor[OffUsual]()},
	PairApart:    {reflect.TypeFor[ByO2]()},
	SwappedFires: {nil},
	AsLeftFar:    {reflect.TypeFor[FarOff]()},
	LowRate:      {reflect.TypeFor[NotHigh]()},
	EarlyReading: {reflect.TypeFor[TooSoon](), reflect.TypeFor[ColdFlue]()},
	CopiedVisit:  {nil},
	CopiedAsLeft: {nil},
	ExactDouble:  {nil},
	FoundTwice:   {nil},
	COBasis:      {reflect.TypeFor[OtherBasis]()},
	TempUnit:     {reflect.TypeFor[InFahrenheit](), reflect.TypeFor[FlueBelowAir]()},
	RoomProbe:    {reflect.TypeFor[ReadInRoom](), reflect.TypeFor[WarmIntake]()},
	DateDisorder: {
		reflect.TypeFor[BeforeInstall](), reflect.TypeFor[LateFactoryTest](), reflect.TypeFor[OutsideName](),
		reflect.TypeFor[OrderNotKnown](),
	},
	Moved: {reflect.TypeFor[MovedFrom]()},
}

func TestFindings(t *testing.T) {
	r := rules(t)
	r.TargetOf = nil // fuel labels have their own table
	for _, c := range findingCases {
		t.Run(c.name, func(t *testing.T) {
			j := Judge(c.h, r)
			require.Equal(t, c.want, kinds(j))
			require.Equal(t, c.uses, j.Uses)
			for _, f := range j.Findings {
				require.NotEmpty(t, f.Readings)
				require.Contains(t, factsOf[f.Kind], reflect.TypeOf(f.Facts), f.Kind)
			}
		})
	}
}

// A finding names its readings and those they were compared with.
func TestReadingsOfAFinding(t *testing.T) {
	j := Judge(history(
		on(19417, "", full(AsLeft, 9.0, nan, 12, 61.25, nan)),
		on(19783, "", full(AsFound, 9.0, nan, 12, 61.25, nan))), rules(t))
	require.Equal(t, []Finding{{Kind: CopiedVisit, Fire: High, Readings: []int{1}, Against: []int{0}, Open: true}}, j.Findings)
}

// A finding is open until newer values of its fire are on record.
func TestOpen(t *testing.T) {
	far := on(100, "yes", value(AsFound, 9.1), value(AsLeft, 9.4))
	for name, c := range map[string]struct {
		h    *History
		open bool
	}{
		"newest":                 {history(far), true},
		"the other fire is":      {history(far, on(465, "no", low(value(AsFound, 9.0)))), true},
		"a blank reading after":  {history(far, on(465, "no", full(AsFound, nan, nan, nan, 61, nan))), true},
		"a newer value after":    {history(far, on(465, "no", value(AsFound, 9.0))), false},
		"a newer CO alone after": {history(far, on(465, "no", full(AsFound, nan, nan, 12, nan, nan))), false},
	} {
		j := Judge(c.h, rules(t))
		require.Equal(t, AsLeftFar, j.Findings[0].Kind, name)
		require.Equal(t, c.open, j.Findings[0].Open, name)
	}
}

// Where a fire is a point, its rate tells readings apart.
func TestPointsAreComparedAtTheirRate(t *testing.T) {
	point := func(rate float64) Reading {
		return change(func(x *Reading) { x.Fire, x.RatePercent = Point, rate }).with(full(AsFound, 9.0, nan, 12, 61.3, 18))
	}
	require.Equal(t, []Kind{CopiedVisit}, kinds(Judge(history(on(100, "no", point(50)), on(465, "no", point(50))), rules(t))))
	require.Empty(t, kinds(Judge(history(on(100, "no", point(50)), on(465, "no", point(60))), rules(t))))
}
