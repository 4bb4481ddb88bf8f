package ingest

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/ingest/layout"
	"fluedrift/model/combustion"
)

// TestDryShare: the flue gas of the model, put in wet, comes out dry at every
// lambda; no wet share beyond lambda 1 has a dry one.
func TestDryShare(t *testing.T) {
	for _, gas := range []combustion.Gas{combustion.Methane, combustion.PipelineGas, combustion.Propane, combustion.Butane} {
		s, err := gas.Burn(combustion.AirO2Field)
		require.NoError(t, err)
		for lambda := 1.0; lambda < 4; lambda += 0.1 {
			f := s.FlueGasAt(lambda)
			assert.InDelta(t, 100*f.CO2Mol/f.DryMol, dryShare(&s, "co2", 100*f.CO2Mol/f.WetMol), 1e-9)
			assert.InDelta(t, 100*f.O2Mol/f.DryMol, dryShare(&s, "o2", 100*f.O2Mol/f.WetMol), 1e-9)
		}
		assert.True(t, math.IsNaN(dryShare(&s, "co2", 100*s.CO2Mol/s.WetMol+0.01)), "more CO2 than without excess air")
		assert.True(t, math.IsNaN(dryShare(&s, "o2", 20.9)), "air is no flue gas")
		assert.Zero(t, dryShare(&s, "co2", 0))
	}
}

// TestDryShareByFFactors: natural gas by the F factors of 40 CFR 60, Appendix
// A-7, Method 19, Table 19-2 (from memory): 8710 dry and 10610 wet standard
// cubic feet of flue gas a million Btu without excess air. With both, a wet O2
// of x leaves an excess of air of x 10610 / (20.9 - x). The factors are means
// over many gases: 1.218 wet for dry where the composition here gives 1.231, so
// they agree to 1 %.
func TestDryShareByFFactors(t *testing.T) {
	const dry, wet = 8710, 10610
	s, err := combustion.PipelineGas.Burn(combustion.AirO2Field)
	require.NoError(t, err)
	for _, x := range []float64{1, 2.5, 4, 8} {
		excess := x * wet / (20.9 - x)
		assert.InEpsilon(t, 20.9*excess/(dry+excess), dryShare(&s, "o2", x), 0.01, "%g %% wet", x)
	}
}

// TestWetColumn: a column of wet gas is stored dry and marked; gas below its
// dew point (some 55 degC here) is set aside, since its water is not known.
func TestWetColumn(t *testing.T) {
	text := strings.Replace(readingsLayout(nil), "header = \"O2\"\nfield = \"o2\"\n",
		"header = \"O2\"\nfield = \"o2\"\ngas = \"wet\"\nwet_fuel = \"natural gas\"\n", 1)
	require.Contains(t, text, "wet_fuel")
	r, w := readInto(t, folder(t, map[string]string{"tests.toml": text, "tests.csv": readingsFile(
		"A1,BX-7,2023-02-06,annual,T1,M1,high,found-so,,4.0,17,181,19",
		"A2,BX-7,2023-02-07,annual,T1,M1,high,found-so,,4.0,17,48,19",
		"A3,BX-7,2023-02-08,annual,T1,M1,high,found-so,,4.0,17,,19",
		"A4,BX-7,2023-02-08,annual,T1,M1,high,found-so,,20.9,17,,19")}))
	s, err := combustion.PipelineGas.Burn(combustion.AirO2Field)
	require.NoError(t, err)
	assert.Equal(t, []string{
		"2 read marks=co2:missing o2:from-wet", "3 aside water-unknown",
		"4 read marks=co2:missing o2:from-wet flue_temp:missing", "5 aside out-of-physical-range",
	},
		fate(r.Files[0], w, "record.readings", "marks"))
	assert.InDelta(t, 4.7, dryShare(&s, "o2", 4), 0.1, "a wet 4 % is a dry 4.7 % or so; common practice, no source")
	assert.Equal(t, "wet", w["source.columns"][9]["basis"])
}

// TestDeclaredKey: without visit ids the declared fields tell visits apart.
func TestDeclaredKey(t *testing.T) {
	text := func(key string) string {
		l := strings.Replace(readingsLayout(nil), "[[column]]\nheader = \"Visit\"\nfield = \"visit_id\"\n", "", 1)
		return strings.Replace(l, "[match]", key+"[match]", 1)
	}
	rows := asLines(strings.TrimPrefix(readingsHeader, "Visit,"),
		"BX-7,2023-02-06 08:10,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
		"BX-7,2023-02-06 15:20,annual,T2,M1,high,found-so,9.3,4.9,17,181,19",
		"BX-7,2023-02-06,annual,T2,M1,high,found-so,9.4,4.9,17,181,19")
	for _, c := range []struct {
		key  string
		want []string
		ids  []string
	}{
		{"", []string{"2 read visit_row=0", "3 read visit_row=0 occurrence=1", "4 read visit_row=0 occurrence=2"}, []string{""}},
		{"key = [\"day\"]\n", []string{"2 read visit_row=0", "3 read visit_row=0 occurrence=1", "4 read visit_row=0 occurrence=2"}, []string{""}},
		{
			"key = [\"day\", \"technician\"]\n",
			[]string{"2 read visit_row=0", "3 read visit_row=1", "4 read visit_row=1 occurrence=1"},
			[]string{"2023-02-06 T1", "2023-02-06 T2"},
		},
		{
			"key = [\"day\", \"time\"]\n",
			[]string{"2 read visit_row=0", "3 read visit_row=1", "4 aside blank-required"},
			[]string{"2023-02-06 08:10", "2023-02-06 15:20"},
		},
	} {
		r, w := readInto(t, folder(t, map[string]string{"tests.toml": text(c.key), "tests.csv": rows}))
		for _, row := range w["record.readings"] {
			if row["occurrence"] == "0" {
				delete(row, "occurrence")
			}
		}
		assert.Equal(t, c.want, fate(r.Files[0], w, "record.readings", "visit_row", "occurrence"), c.key)
		var ids []string
		for _, v := range w["record.visits"] {
			ids = append(ids, v["visit_id"])
		}
		assert.Equal(t, c.ids, ids, c.key)
	}
	for key, want := range map[string]string{
		`key = ["day", "fire"]`: "is not one of", `key = ["time"]`: `key needs "day"`, `key = ["day", "day"]`: "twice",
		`key = ["day", "reason"]`: "",
	} {
		_, err := layout.Parse("x.toml", text(key+"\n"))
		if want == "" {
			assert.NoError(t, err)
			continue
		}
		assert.ErrorContains(t, err, want)
	}
	_, err := layout.Parse("x.toml", strings.Replace(readingsLayout(nil), "[match]", "key = [\"day\"]\n[match]", 1))
	assert.ErrorContains(t, err, "x.toml:5: key is for readings and visits without a visit_id")
}

// TestSkippedLines: lines named by number or by a pattern are skipped wherever
// they stand below the header.
func TestSkippedLines(t *testing.T) {
	r, w := readInto(t, folder(t, map[string]string{
		"tests.toml": readingsLayout(fileKeys{"skip_lines": "[2]", "skip": `["^#"]`}),
		"tests.csv":  readingsFile(",,,,,,,,%,%,ppm,degC,degC", "# north", goodRow, "#", "Sum: 1"),
	}))
	assert.Equal(t, []string{"4 read fire=high", "6 aside footer-line"}, fate(r.Files[0], w, "record.readings", "fire"))
	assert.Equal(t, int64(3), r.Files[0].Skipped)
}

// TestVisitOfSeveralDays: work that runs over a few days is one visit, marked; a
// visit id that comes back after months was given twice, and its line is set
// aside, since as part of the first visit its day would be lost.
func TestVisitOfSeveralDays(t *testing.T) {
	r, w := readInto(t, folder(t, map[string]string{"tests.toml": readingsLayout(nil), "tests.csv": readingsFile(goodRow,
		goodRowWith("2023-02-06", "2023-02-08", "high", "low"),
		goodRowWith("2023-02-06", "2024-02-08", "high", "low"),
		goodRowWith("2023-02-06", "2024-02-08", "BX-7", "BX-8"))}))
	assert.Equal(t, []string{
		"2 read visit_row=0", "3 read visit_row=0 marks=day:not-the-visits", "4 aside visit-id-given-twice",
		"5 read visit_row=1",
	},
		fate(r.Files[0], w, "record.readings", "visit_row", "marks"))
}
