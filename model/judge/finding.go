package judge

// Kind is what a finding is about.
type Kind uint8

// Kinds of findings, in the order they are reported.
const (
	RichPossible Kind = iota + 1 // too little air possible: urgent, whatever the CO2 says
	OverCO2Max                   // more CO2 than the fuel can make
	NoBurner                     // read without a burner at work
	FuelLabel                    // set as the other fuel is set
	OtherSetting                 // CO2 computed for another fuel than the unit's
	SwappedGases                 // O2 stands in the column of CO2 and CO2 in that of O2
	OtherGas                     // one gas typed as the other
	PairApart                    // O2 and CO2 of no fuel
	SwappedFires                 // high and low fire exchanged
	AsLeftFar                    // left far from target after an adjustment
	LowRate                      // called high fire at a low rate
	EarlyReading                 // taken before the unit was warm
	CopiedVisit                  // values of the visit before, written again
	CopiedAsLeft                 // as left repeats as found
	ExactDouble                  // one reading entered twice
	FoundTwice                   // several as-found readings, none known to be the first
	COBasis                      // CO on two bases that contradict each other
	TempUnit                     // a temperature in degF among degC, or one that cannot be
	RoomProbe                    // air taken in the room where the unit draws it from outdoors
	DateDisorder                 // dates or their order contradict each other
	Moved                        // pressure, fan, flame or draft away from the unit's own

	kinds // how many there are, and the zero value that is none
)

// kindCodes are the kinds as records that should be corrected and the warehouse have
// them.
var kindCodes = [kinds]string{
	RichPossible: "too-little-air-possible",
	OverCO2Max:   "more-co2-than-the-fuel-can-make",
	NoBurner:     "no-burner-at-work",
	FuelLabel:    "fuel-label-in-doubt",
	OtherSetting: "analyzer-set-to-another-fuel",
	SwappedGases: "o2-and-co2-exchanged",
	OtherGas:     "one-gas-typed-as-the-other",
	PairApart:    "o2-and-co2-contradict-each-other",
	SwappedFires: "high-and-low-fire-exchanged",
	AsLeftFar:    "left-far-from-target",
	LowRate:      "high-fire-at-a-low-rate",
	EarlyReading: "before-warm-up",
	CopiedVisit:  "copied-visit",
	CopiedAsLeft: "as-left-copied-from-as-found",
	ExactDouble:  "entered-twice",
	FoundTwice:   "as-found-recorded-twice",
	COBasis:      "basis-of-co-in-doubt",
	TempUnit:     "temperature-in-doubt",
	RoomProbe:    "air-not-taken-at-the-intake",
	DateDisorder: "dates-in-disorder",
	Moved:        "moved-away",
}

// String returns the kind's code, as "entered-twice".
func (k Kind) String() string { return kindCodes[k] }

// Finding is one thing a history says about itself. It proposes; nothing is
// corrected by it.
type Finding struct {
	Kind      Kind
	Fire      Fire
	Readings  []int  // what it concerns: indexes into History.Readings, in order, at least one
	Against   []int  // what those were compared with, if anything
	OtherFuel string // FuelLabel: the fuel the as-left readings fit; OtherSetting: the fuel CO2 was computed for
	Open      bool   // it concerns the newest values of its fire; FuelLabel: its newest as left
	Facts     Facts  // what it rests on beside its readings; nil where they say all
}

// Facts are what a finding rests on beside its readings: one of the types below.
type Facts interface{ facts() }

// fact marks the types of facts.
type fact struct{}

func (fact) facts() {}

// The facts of findings, by kind.
type (
	// TooLittleAir is of RichPossible.
	TooLittleAir struct {
		fact
		Sign AirSign
	}
	// FuelLimit is of OverCO2Max: the most CO2 that the fuel can make.
	FuelLimit struct {
		fact
		CO2MaxPercent float64
	}
	// SetAs is of FuelLabel: the target on the other fuel, in CO2 or in O2.
	SetAs struct {
		fact
		Percent float64
		InO2    bool
	}
	// ByO2 is of OtherSetting and PairApart: the CO2 that the O2 of the reading
	// stands for on its own fuel.
	ByO2 struct {
		fact
		CO2Percent float64
	}
	// FitExchanged is of SwappedGases: the fuel that O2 and CO2 fit when exchanged.
	FitExchanged struct {
		fact
		Fuel string
	}
	// OffUsual is of OtherGas: how far the gas as recorded lies from what is usual, in
	// points of CO2.
	OffUsual struct {
		fact
		Points float64
	}
	// FarOff is of AsLeftFar: the side of its setting band it was left on.
	FarOff struct {
		fact
		Side Side
	}
	// NotHigh is of LowRate: from which rate on a fire is high, and whether this
	// unit's high fire lies below that as a rule.
	NotHigh struct {
		fact
		FromPercent float64
		AsARule     bool
	}
	// TooSoon is of EarlyReading: the minutes of firing on record are fewer than asked
	// for.
	TooSoon struct {
		fact
		LeastMinutes float64
	}
	// ColdFlue is of EarlyReading: the flue is far below what is usual.
	ColdFlue struct {
		fact
		UsualC float64
	}
	// OtherBasis is of COBasis: the CO free of air that the one as measured comes to.
	OtherBasis struct {
		fact
		AirFreePPM float64
	}
	// InFahrenheit is of TempUnit: the flue temperature is the usual one in degF.
	InFahrenheit struct {
		fact
		UsualC float64
	}
	// FlueBelowAir is of TempUnit.
	FlueBelowAir struct{ fact }
	// ReadInRoom is of RoomProbe: the air is recorded as taken in the room.
	ReadInRoom struct{ fact }
	// WarmIntake is of RoomProbe: the air is that much warmer than outdoors.
	WarmIntake struct {
		fact
		AboveOutdoorsK float64
	}
	// BeforeInstall is of DateDisorder: read before the unit was installed.
	BeforeInstall struct{ fact }
	// LateFactoryTest is of DateDisorder: a factory test after the unit was installed.
	LateFactoryTest struct{ fact }
	// OutsideName is of DateDisorder: the day lies outside the year, quarter or month that
	// the name of its file or sheet tells.
	OutsideName struct{ fact }
	// OrderNotKnown is of DateDisorder: two visits of one day without times.
	OrderNotKnown struct{ fact }
	// MovedFrom is of Moved: a quantity and its middle over the visits before, both in
	// the quantity's unit.
	MovedFrom struct {
		fact
		Quantity   Quantity
		Now, Usual float64
	}
)

// AirSign is what in a reading points to too little air.
type AirSign uint8

// Signs of too little air.
const (
	NoSign      AirSign = iota
	LowO2               // O2 below Rules.RichO2Percent
	COOverRange         // CO over the analyzer's range
	HighCO              // CO from Rules.RichCOPPM on
)
