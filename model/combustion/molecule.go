package combustion

// Atoms is what one molecule holds.
type Atoms struct{ C, H, O, N float64 }

// Standard atomic masses in g/mol as ISO 6976:2016 takes them (from memory;
// the molar masses of methane, 16.04246, and carbon dioxide, 44.0095, agree
// with its table).
const (
	massC = 12.0107
	massH = 1.00794
	massO = 15.9994
	massN = 14.0067
)

// molarMassG returns the mass of a mol in g.
func (a Atoms) molarMassG() float64 { return massC*a.C + massH*a.H + massO*a.O + massN*a.N }

// molecule is what a fuel gas may be made of, with its component data of ISO
// 6976:2016: the gross heat of a mol burnt at 15 degC and at 60 degF in kJ, and
// the summation factor at 15 degC that its share adds to the compression
// factor of a mixture.
//
// Methane to n-butane, nitrogen and carbon dioxide were read in an open-source
// transcription of the standard. The rest is from memory; isobutane and
// n-pentane are confirmed by the mixture that the transcription's test prints.
type molecule struct {
	Atoms
	gross15C, gross60F, sum15C float64
}

var molecules = map[string]molecule{
	"methane":         {Atoms{C: 1, H: 4}, 891.51, 891.46, 0.04452},
	"ethane":          {Atoms{C: 2, H: 6}, 1562.14, 1562.06, 0.0919},
	"propane":         {Atoms{C: 3, H: 8}, 2221.10, 2220.99, 0.1344},
	"butane":          {Atoms{C: 4, H: 10}, 2879.76, 2879.63, 0.1840},
	"isobutane":       {Atoms{C: 4, H: 10}, 2870.58, 2870.45, 0.1722},
	"pentane":         {Atoms{C: 5, H: 12}, 3538.60, 3538.45, 0.2361},
	"isopentane":      {Atoms{C: 5, H: 12}, 3531.68, 3531.52, 0.2251},
	"hexane":          {Atoms{C: 6, H: 14}, 4198.24, 4198.06, 0.3001},
	"hydrogen":        {Atoms{H: 2}, 286.15, 286.13, -0.0100},
	"carbon monoxide": {Atoms{C: 1, O: 1}, 282.91, 282.91, 0.0217},
	"carbon dioxide":  {Atoms{C: 1, O: 2}, 0, 0, 0.0752},
	"nitrogen":        {Atoms{N: 2}, 0, 0, 0.0170},
	"oxygen":          {Atoms{O: 2}, 0, 0, 0.0276},
}

// Heat that water gives off when it condenses, kJ/mol: ISO 6976 (from memory;
// 44.431 turns gross methane, 891.51, into the net 802.65).
const condensing15C = 44.431
