package judge

// Groups of values that rows of the table share.
var (
	rich = []Side{Rich}
	lean = []Side{Lean}
	out  = []Side{Rich, Lean}

	lowOnly   = []Fire{Low}
	notLow    = []Fire{High, Single, FireBoth}
	followAir = []Control{ControlLinkage, ControlFixedAir, ControlNaturalDraft, ControlMultiPoint, ControlUnknown}
)

// checkTable is read from the top; the first rows that fit are the answer. It
// goes from what can hurt, over what makes the reading worthless, to what the
// season and the gas explain, and only then to the burner, by its control.
// Every row is common practice; no source prints such a table.
var checkTable = []checkRow{
	{check: TakeOutOfService, cos: []COGrade{COIsUrgent}},
	{check: WhatTakesAir, sides: rich, cos: []COGrade{COForAttention}},
	{check: BurnerHead, sides: lean, cos: []COGrade{COForAttention}},
	{check: FlameAndSurfaces, sides: []Side{Within, Unknown}, cos: []COGrade{COForAttention}},
	{check: SecondAnalyzer, analyzers: []AnalyzerState{AnalyzerDoubted}},
	{check: ZeroAnalyzer, sides: out, analyzers: []AnalyzerState{AnalyzerOverdue}},
	{check: ReadCO, cos: []COGrade{CONotRecorded}},
	{check: GasPressureUp, sides: rich, gas: []GasChange{GasHigher}},
	{check: GasPressureDown, sides: lean, gas: []GasChange{GasLower}},
	{check: AirSideFirst, sides: rich, gas: []GasChange{GasLower}},
	{check: AirBesideBurner, sides: lean, gas: []GasChange{GasHigher}},
	{check: WarmerAirAtSetting, sides: rich, controls: followAir, airs: []AirChange{AirWarmer}},
	{check: ColderAirAtSetting, sides: lean, controls: followAir, airs: []AirChange{AirColder}},
	{check: WarmerAirUnderRatio, sides: rich, controls: []Control{ControlRatio}, airs: []AirChange{AirWarmer}},
	{check: ColderAirUnderRatio, sides: lean, controls: []Control{ControlRatio}, airs: []AirChange{AirColder}},
	{check: ValveZeroOffset, sides: out, fires: lowOnly, controls: []Control{ControlRatio}},
	{check: SignalLine, sides: rich, fires: notLow, controls: []Control{ControlRatio}},
	{check: SupplyAtFullInput, sides: lean, fires: notLow, controls: []Control{ControlRatio}},
	{check: LinkageSlack, sides: out, fires: lowOnly, controls: []Control{ControlLinkage}},
	{check: LinkedAirPath, sides: rich, fires: notLow, controls: []Control{ControlLinkage}},
	{check: LinkedGasPath, sides: lean, fires: notLow, controls: []Control{ControlLinkage}},
	{check: TrimReadsHigh, sides: rich, controls: []Control{ControlOxygenTrim}},
	{check: TrimReadsLow, sides: lean, controls: []Control{ControlOxygenTrim}},
	{check: FixedFanAirPath, sides: rich, controls: []Control{ControlFixedAir}},
	{check: FixedFanGasPath, sides: lean, controls: []Control{ControlFixedAir}},
	{check: DraftAndOpenings, sides: rich, controls: []Control{ControlNaturalDraft}},
	{check: DraftHoodSample, sides: lean, controls: []Control{ControlNaturalDraft}},
	{check: PointsOfCurve, sides: out, controls: []Control{ControlMultiPoint}},
	{check: UnknownControlAir, sides: rich, controls: []Control{ControlUnknown}},
	{check: UnknownControlGas, sides: lean, controls: []Control{ControlUnknown}},
	{check: WorseWhenWarm, sides: rich, airs: []AirChange{AirColder}},
	{check: WorseWhenCold, sides: lean, airs: []AirChange{AirWarmer}},
	{check: NoteAnalyzer, sides: out, analyzers: []AnalyzerState{AnalyzerNotKnown}},
	{check: NoteGasPressure, sides: out, gas: []GasChange{GasNotRecorded}},
	{check: NothingStandsOut, sides: []Side{Within}},
	{check: FindTarget, sides: []Side{Unknown}},
	{check: ReadAgain, sides: out},
}
