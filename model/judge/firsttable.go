package judge

// Groups of words that rows of the table share.
var (
	rich = []Side{Rich}
	lean = []Side{Lean}
	out  = []Side{Rich, Lean}

	lowOnly   = []Fire{Low}
	notLow    = []Fire{High, Single, FireBoth}
	followAir = []string{"linkage", "fixed air", "natural draft", "multi-point", ""}
)

// checkTable is read from the top; the first rows that fit are the answer. It
// goes from what can hurt, over what makes the reading worthless, to what the
// season and the gas explain, and only then to the burner, by its control.
// Every row is common practice; no source prints such a table.
var checkTable = []checkRow{
	{
		cos: []string{COIsUrgent},
		do: "Have the unit taken out of service as its instructions say, then look at intake, vent and heat exchanger for anything " +
			"that keeps air out.",
		why: "CO at this level is a danger before it is a setting; adjusting comes after the cause is found.",
	},
	{
		sides: rich, cos: []string{COForAttention},
		do:  "Look for what takes the air away: intake, filter, fan wheel, heat exchanger, vent and its end.",
		why: "Rich with CO up is a lack of air until shown otherwise; less gas would hide it.",
	},
	{
		sides: lean, cos: []string{COForAttention},
		do:  "Look at the burner head and the flame: lifting, cracks, something wet or cold in its way.",
		why: "CO on the lean side comes from a flame that is chilled or blown off, not from a lack of air.",
	},
	{
		sides: []Side{Within, Unknown}, cos: []string{COForAttention},
		do:  "Look at the flame, the burner surface and the heat exchanger.",
		why: "CO with a CO2 that says nothing is a matter of mixing or of a flame that touches metal.",
	},
	{
		analyzers: []string{AnalyzerDoubted},
		do:        "Repeat the reading with a second analyzer before anything is turned.",
		why:       "The same analyzer stands off at other units: the burner may be where it was.",
	},
	{
		sides: out, analyzers: []string{AnalyzerOverdue},
		do:  "Zero the analyzer in fresh air and hold it against a calibrated one before anything is turned.",
		why: "Its calibration is overdue, and what a burner is set by it will keep its error.",
	},
	{
		cos: []string{CONotRecorded},
		do:  "Read CO at this fire before anything is turned.",
		why: "Without CO nobody can tell which side of enough air it burns on.",
	},
	{
		sides: rich, gas: []string{GasHigher},
		do:  "Measure supply and manifold pressure while firing and look at the regulator.",
		why: "The gas pressure on record went up, and more gas with the same air is rich.",
	},
	{
		sides: lean, gas: []string{GasLower},
		do:  "Measure supply and manifold pressure while firing, with the site's other appliances on: regulator, filter, pipe.",
		why: "The gas pressure on record went down, and less gas with the same air is lean.",
	},
	{
		sides: rich, gas: []string{GasLower},
		do:  "Look at the air side first: the gas pressure speaks against the gas.",
		why: "With less gas pressure it ought to be lean; that it is rich means that more air is missing than it looks.",
	},
	{
		sides: lean, gas: []string{GasHigher},
		do:  "Look for air that enters beside the burner or the sample, and at the gas orifice.",
		why: "With more gas pressure it ought to be rich; that it is lean means air from elsewhere or a gas path that closes.",
	},
	{
		sides: rich, controls: followAir, airs: []string{AirWarmer},
		do: "Hold the combustion-air temperature against that of the day it was set.",
		why: "Warmer air is thinner: 10 K make about a third of a point of CO2 with a fan at fixed speed, and turning it now makes " +
			"it lean in winter.",
	},
	{
		sides: lean, controls: followAir, airs: []string{AirColder},
		do: "Hold the combustion-air temperature against that of the day it was set.",
		why: "Colder air is denser: 10 K make about a third of a point of CO2 with a fan at fixed speed, and turning it now makes " +
			"it rich in summer.",
	},
	{
		sides: rich, controls: []string{"ratio"}, airs: []string{AirWarmer},
		do:  "Hold air and gas temperature against those of the day it was set.",
		why: "Under ratio control 10 K of warmer air with gas as cold as before make about a sixth of a point of CO2.",
	},
	{
		sides: lean, controls: []string{"ratio"}, airs: []string{AirColder},
		do:  "Hold air and gas temperature against those of the day it was set.",
		why: "Under ratio control 10 K of colder air with gas as warm as before make about a sixth of a point of CO2.",
	},
	{
		sides: out, fires: lowOnly, controls: []string{"ratio"},
		do:  "Check the zero offset of the gas valve at low fire, and its signal line.",
		why: "An offset of a few Pa shows at low fire first, where the pressure difference is small.",
	},
	{
		sides: rich, fires: notLow, controls: []string{"ratio"},
		do:  "Check the signal line between air and gas valve, then the flue-gas way back to the intake.",
		why: "A ratio control follows a closing air path, so rich at high fire means a wrong signal, recirculation or another gas.",
	},
	{
		sides: lean, fires: notLow, controls: []string{"ratio"},
		do:  "Check that the supply pressure holds at full input, then the ratio screw's mark and the gas orifice.",
		why: "A ratio control goes lean at high fire when the gas cannot follow the air.",
	},
	{
		sides: out, fires: lowOnly, controls: []string{"linkage"},
		do:  "Look for slack in the linkage and at the stops of damper and gas valve near low fire.",
		why: "A little play is a large part of the opening at low fire.",
	},
	{
		sides: rich, fires: notLow, controls: []string{"linkage"},
		do:  "Look at fan wheel, air filter and damper, then at the linkage's fixing.",
		why: "With linked valves the gas stays when the air path closes, so dirt shows as rich.",
	},
	{
		sides: lean, fires: notLow, controls: []string{"linkage"},
		do:  "Look at the linkage's fixing and the gas filter and regulator.",
		why: "With linked valves lean means a moved link or less gas; air seldom comes by itself.",
	},
	{
		sides: rich, controls: []string{"oxygen trim"},
		do:  "Hold the trim's oxygen against the analyzer's, and see whether the trim stands at its limit.",
		why: "A trim that reads too much oxygen takes air away; at its limit it can no longer give any.",
	},
	{
		sides: lean, controls: []string{"oxygen trim"},
		do:  "Hold the trim's oxygen against the analyzer's, and look for air leaking in before its probe.",
		why: "A trim that reads too little oxygen, or gave up, leaves the burner with the lean curve underneath.",
	},
	{
		sides: rich, controls: []string{"fixed air"},
		do:  "Look at intake, filter, fan wheel, heat exchanger and vent for dirt, and at the fan's speed.",
		why: "Nothing makes up for a closing air path with a fixed fan: it goes rich.",
	},
	{
		sides: lean, controls: []string{"fixed air"},
		do:  "Look at gas filter, orifice and manifold pressure, and for an air path opened since: panel, gasket, vent joint.",
		why: "With a fixed fan lean means less gas or an easier way for the air.",
	},
	{
		sides: rich, controls: []string{"natural draft"},
		do:  "Look at the draft, the vent's passage and the room's air openings with doors shut and exhaust fans on.",
		why: "Without a fan only draft and openings bring the air.",
	},
	{
		sides: lean, controls: []string{"natural draft"},
		do:  "Look at the manifold pressure and orifices, and where the probe sits against the draft hood.",
		why: "Air drawn in at the hood thins the sample: it looks lean and is not.",
	},
	{
		sides: out, controls: []string{"multi-point"},
		do:  "Compare the points of the curve with those of the last setting, and the actuators' positions with their zero.",
		why: "One actuator that lost its zero moves every point; one point alone was turned.",
	},
	{
		sides: rich, controls: []string{""},
		do:  "Find out what controls the air, then look at intake, filter, fan and vent for what keeps air out.",
		why: "Without the control on record a closing air path is the likeliest cause on the rich side.",
	},
	{
		sides: lean, controls: []string{""},
		do:  "Find out what controls the air, then look at the gas pressure and for air leaking into the sample.",
		why: "Without the control on record less gas or a thinned sample are the likeliest causes on the lean side.",
	},
	{
		sides: rich, airs: []string{AirColder},
		do:  "Expect the fault to be larger than it looks when the air gets warm again.",
		why: "Colder air by itself makes it lean: something else took more air away.",
	},
	{
		sides: lean, airs: []string{AirWarmer},
		do:  "Expect the fault to be larger than it looks when the air gets cold again.",
		why: "Warmer air by itself makes it rich: something else took more gas away or let air in.",
	},
	{
		sides: out, analyzers: []string{AnalyzerNotKnown},
		do:  "Write down which analyzer is used, and when it was calibrated.",
		why: "Without it a wrong analyzer and a wrong burner cannot be told apart.",
	},
	{
		sides: out, gas: []string{GasNotRecorded},
		do:  "Measure and write down the gas pressure while firing.",
		why: "It is the quickest thing to measure, and it is not on record.",
	},
	{
		sides: []Side{Within},
		do:    "Nothing stands out: take the readings in the usual order, as found before anything is turned.",
		why:   "The record has it inside its band.",
	},
	{
		sides: []Side{Unknown},
		do:    "Find the appliance's own target for this fuel and fire before anything is turned.",
		why:   "Without a target, or without a value to hold against it, nobody can tell which way it is off.",
	},
	{
		sides: out,
		do:    "Take the reading again after some minutes at this fire, the probe in the middle of the flue.",
		why:   "A reading taken too early or at the edge explains many a deviation.",
	},
}
