package quantity

// Sources of the factors. NIST SP 811 was read in transcriptions kept in
// open-source code, which agree with each other.
const (
	sp811    = "NIST SP 811 (2008), Appendix B"
	siBook   = "BIPM SI Brochure, 9th edition (2019)"
	decimal  = "decimal multiple"
	convSpec = "definition"
)

// ppmInPercent is the number of ppm in one per cent, by definition.
const ppmInPercent = 10000

// btuJ is the International Table British thermal unit in joules, exact (NIST
// SP 811 Appendix B.6 footnote: 1055.05585262).
const btuJ = 1055.05585262

// thermUSJ is the therm (US) in joules, exact by its legal definition (NIST SP
// 811 Appendix B: 1.054804 E+08). The therm (EC) is 1.05506 E+08, 0.024 % more.
const (
	thermUSJ = 1.054804e8
	thermECJ = 1.05506e8
)

// The mass of CO in a volume of gas at a stated state: molar mass (C 12.011 +
// O 15.999 g/mol, IUPAC abridged atomic masses, from memory) over the molar
// volume R T / p with the exact R of the 2019 SI, at 1013.25 hPa.
const (
	molarMassCO = 28.010                                               // g/mol
	gasConstant = 8.314462618                                          // J/(mol K), SI 2019
	mgPerPPM0C  = molarMassCO * 101325 / (gasConstant * 273.15) / 1000 // 1.2497
	mgPerPPM25C = molarMassCO * 101325 / (gasConstant * 298.15) / 1000 // 1.1449
	wattsPerKW  = 1000
	secondsPerH = 3600
)

// The mass of CO in the dry flue gas of 1 kWh of net heat, a ppm at no excess air:
// methane, 8.547 mol of dry flue gas and 802.65 kJ a mol (ISO 6976:2016 gross value
// less twice the heat of evaporation of water). It is 1.074 mg/kWh a ppm, which is how
// tables for natural gas print it (from memory); propane has 0.7 % more.
const mgPerKWhPPM = molarMassCO * 8.547 * secondsPerH / 802.65 / 1000

var units = []Unit{
	{"degC", Temperature, 0, 1, 1, []string{"°C", "C", "ºC", "℃", "deg C"}, siBook, Exact},
	{"degF", Temperature, 32, 5, 9, []string{"°F", "F", "ºF", "℉", "deg F"}, sp811, Exact},
	{"K", Temperature, 273.15, 1, 1, nil, siBook, Exact},

	{"m", Length, 0, 1, 1, nil, siBook, Exact},
	{"ft", Length, 0, 3048, 10000, []string{"'", "′", "ft.", "feet"}, sp811, Exact},
	{"in", Length, 0, 254, 10000, []string{"\"", "″", "''", "in.", "inch"}, sp811, Exact},
	{"cm", Length, 0, 1, 100, nil, decimal, Exact},
	{"mm", Length, 0, 1, 1000, nil, decimal, Exact},

	{"kW", Power, 0, 1, 1, nil, siBook, Exact},
	{"MW", Power, 0, 1000, 1, nil, decimal, Exact},
	{"W", Power, 0, 1, wattsPerKW, nil, decimal, Exact},
	{"Btu/h", Power, 0, btuJ, secondsPerH * wattsPerKW, []string{"BTU/h", "Btu/hr", "BTU/hr", "BTUH", "Btuh"}, sp811, Seen},
	{"MBH", Power, 0, btuJ, secondsPerH, []string{"kBtu/h", "kBTU/h", "Mbh"}, sp811, Seen},
	{"therm/h", Power, 0, thermUSJ, secondsPerH * wattsPerKW, []string{"therms/h", "therm/hr"}, sp811 + ", therm (US)", Seen},
	{"therm(EC)/h", Power, 0, thermECJ, secondsPerH * wattsPerKW, nil, sp811 + ", therm (EC)", Seen},

	{"Pa", Pressure, 0, 1, 1, nil, siBook, Exact},
	{"hPa", Pressure, 0, 100, 1, nil, decimal, Exact},
	{"kPa", Pressure, 0, 1000, 1, nil, decimal, Exact},
	{"mbar", Pressure, 0, 100, 1, []string{"mb"}, sp811, Exact},
	{
		"in w.c.", Pressure, 0, 249.0889, 1,
		[]string{"in WC", "in wc", "in. w.c.", "\"wc", "\"WC", "\"w.c.", "in H2O", "inH2O"},
		sp811 + ", inch of water, conventional", Seen,
	},
	{"psi", Pressure, 0, 6894.757, 1, []string{"psig"}, sp811, Seen},

	{"%", Share, 0, 1, 1, []string{"vol%", "vol.%", "vol %", "Vol%", "Vol.-%", "pct"}, convSpec, Exact},
	{"fraction", Share, 0, 100, 1, nil, convSpec, Exact},
	{"ppm", Share, 0, 1, ppmInPercent, []string{"PPM", "Ppm", "ppmv"}, convSpec, Exact},

	{
		"mg/m3", COMass, 0, 1, mgPerPPM0C,
		[]string{"mg/m³", "mg/Nm3", "mg/Nm³"},
		"molar mass over molar volume at 0 degC, 1013.25 hPa", Arithmetic,
	},
	{
		"mg/m3 at 25 degC", COMass, 0, 1, mgPerPPM25C,
		[]string{"mg/m3", "mg/m³"},
		"molar mass over molar volume at 25 degC, 1013.25 hPa", Arithmetic,
	},
	{
		"mg/kWh", COMass, 0, 1, mgPerKWhPPM, nil,
		"ISO 6976:2016", Arithmetic,
	},

	{"rpm", Speed, 0, 1, 1, []string{"RPM", "1/min", "min-1", "r/min"}, convSpec, Exact},
	{"Hz", Speed, 0, 60, 1, []string{"1/s", "rps"}, "definition, one turn a cycle", Exact},

	{"uA", Current, 0, 1, 1, []string{"µA", "μA"}, siBook, Exact},

	{"min", Duration, 0, 1, 1, []string{"min.", "minutes"}, convSpec, Exact},
	{"h", Duration, 0, 60, 1, []string{"hr", "hours"}, convSpec, Exact},

	{"deg", Angle, 0, 1, 1, []string{"°"}, convSpec, Exact},
	{"", None, 0, 1, 1, nil, convSpec, Exact},
}

// refused names are written by different people for different quantities.
var refused = []Refused{
	{"MBtu", "M is written for a thousand and for a million, and the time is missing", `"MBH" for 1000 Btu/h or "kW"`},
	{"MBtu/h", "M is written for a thousand and for a million", `"MBH" for 1000 Btu/h or "kW"`},
	{"MBtu/hr", "M is written for a thousand and for a million", `"MBH" for 1000 Btu/h or "kW"`},
	{"MMBtu", "MM is written for a million and read as a thousand, and the time is missing", `"MBH" for 1000 Btu/h or "kW"`},
	{"MMBtu/h", "MM is written for a million and read as a thousand", `"MBH" for 1000 Btu/h or "kW"`},
	{"MMBtu/hr", "MM is written for a million and read as a thousand", `"MBH" for 1000 Btu/h or "kW"`},
	{"Btu", "an amount of heat is not a rate", `"Btu/h"`},
	{"therm", "an amount of heat is not a rate", `"therm/h"`},
	{"in wc", "points count", `"in w.c."`},
	{"F", "a letter alone is also a farad", `"degF"`},
	{"C", "a letter alone is also a coulomb", `"degC"`},
	{"mg", "a mass is not a share of a volume", `"mg/m3" (0 degC, 1013.25 hPa) or "mg/m3 at 25 degC"`},
}

// foreign marks belong to units that no column may declare.
var foreign = []string{
	"bar", "inHg", "in Hg", "mmHg", "mmH2O", "MBtu", "MBtu/h", "MMBtu", "MMBtu/h", "Btu", "therm", "therms", "hp", "kg/h", "m3/h",
	"s", "sec", "V", "mA", "A", "mg", "km", "yd",
}
