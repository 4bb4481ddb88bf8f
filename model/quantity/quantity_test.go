package quantity

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// TestPublishedFactors holds the table against published factors. "seen" rows
// were read in transcriptions of the source kept in open-source code;
// "arithmetic" rows follow from exact constants. Tolerance: half the last digit
// printed there.
func TestPublishedFactors(t *testing.T) {
	const b9 = "NIST SP 811 Appendix B.9, seen"
	const ar = "arithmetic from NIST SP 811 constants"
	for _, c := range []struct {
		unit      string
		in        float64
		to        string
		want, tol float64
		source    string
	}{
		{"Btu/h", 1, "W", 0.29307107, 5e-9, ar},
		{"Btu/h", 3600, "W", 1055.056, 5e-4, b9 + ": 1 Btu_IT in J"},
		{"MBH", 1, "kW", 0.29307107, 5e-9, ar},
		{"Btu/h", 100000, "kW", 29.307107, 5e-7, ar},
		{"therm/h", 1, "kW", 29.30011, 5e-6, ar + ", therm (US)"},
		{"therm(EC)/h", 1, "kW", 29.30722, 5e-6, ar + ", therm (EC)"},
		{"ft", 1, "m", 0.3048, 0, b9},
		{"in", 1, "m", 0.0254, 0, b9},
		{"in w.c.", 1, "Pa", 249.0889, 5e-5, b9 + ", conventional"},
		{"psi", 1, "Pa", 6894.757, 5e-4, b9},
		{"mbar", 1, "Pa", 100, 0, b9},
		{"mbar", 1, "in w.c.", 0.401463, 5e-7, ar},
		{"in w.c.", 1, "mbar", 2.490889, 5e-7, ar},
		{"in w.c.", 7, "mbar", 17.44, 5e-3, ar},
		{"in w.c.", 11, "mbar", 27.40, 5e-3, ar},
		{"degF", 212, "degC", 100, 1e-9, "NIST SP 811 B.9, t/C = (t/F - 32)/1.8"},
		{"degF", 140, "degC", 60, 1e-9, "the same"},
		{"degF", 68, "degC", 20, 1e-9, "the same"},
		{"degF", -40, "degC", -40, 1e-9, "the same"},
		{"K", 273.15, "degC", 0, 0, "SI Brochure, 9th edition, from memory"},
		{"%", 1, "ppm", 10000, 0, "definition"},
		{"fraction", 0.09, "%", 9, 1e-12, "definition"},
		{"ppm", 9, "mg/m3 at 25 degC", 10.3, 0.05, "arithmetic; the US NAAQS pairs 9 ppm with 10 mg/m3 (40 CFR 50.8, seen)"},
		{"mg/m3", 1.25, "ppm", 1, 5e-3, "1.25 mg/m3 a ppm of CO at 0 degC, from memory (flue gas practice)"},
		{"Hz", 50, "rpm", 3000, 0, "definition, one turn a cycle"},
		{"h", 1.5, "min", 90, 0, "definition"},
	} {
		got, err := Convert(c.in, MustLookup(c.unit), MustLookup(c.to))
		require.NoError(t, err)
		assert.InDelta(t, c.want, got, c.tol+1e-15*math.Abs(c.want), "%v %s in %s: %s", c.in, c.unit, c.to, c.source)
	}
}

// TestExactDecimals: a value a decimal multiple away from the canonical unit
// converts with one rounding, so a value typed as 8.6 stays 8.6.
func TestExactDecimals(t *testing.T) {
	assert.Equal(t, 0.2, MustLookup("mm").ToCanonical(200))
	assert.Equal(t, 0.2032, MustLookup("in").ToCanonical(8))
	assert.Equal(t, 9.0, MustLookup("ppm").ToCanonical(90000))
	assert.Equal(t, 0.1524, MustLookup("in").ToCanonical(6))
	assert.Equal(t, 7.3152, MustLookup("ft").ToCanonical(24))
	assert.Equal(t, 37.0, MustLookup("degF").ToCanonical(98.6))
	assert.Equal(t, 0.0018, MustLookup("ppm").ToCanonical(18))
}

func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.SampledFrom(units).Draw(t, "unit")
		v := rapid.Float64Range(-1e6, 1e6).Draw(t, "value")
		back := u.fromCanonical(u.ToCanonical(v))
		if math.Abs(back-v) > 1e-12*math.Max(math.Abs(v), math.Abs(u.Zero)+1) {
			t.Fatalf("%v %s came back as %v", v, u.Name, back)
		}
	})
}

// TestConvertThereAndBack covers every pair of one kind, and CO by mass
// against shares.
func TestConvertThereAndBack(t *testing.T) {
	for _, a := range units {
		for _, b := range units {
			v, err := Convert(7.25, a, b)
			if err != nil {
				assert.NotEqual(t, a.Kind, b.Kind)
				assert.True(t, math.IsNaN(v))
				continue
			}
			back, err := Convert(v, b, a)
			require.NoError(t, err)
			assert.InEpsilon(t, 7.25, back, 1e-12, "%s %s", a.Name, b.Name)
		}
	}
}

func TestNamesRefused(t *testing.T) {
	for name, want := range map[string]error{
		"MBtu": ErrAmbiguous, "MBtu/h": ErrAmbiguous, "MMBtu/h": ErrAmbiguous, "mmbtu": ErrAmbiguous,
		"therm": ErrAmbiguous, "F": ErrAmbiguous, "kw": ErrUnknown, "mw": ErrUnknown, "bar": ErrUnknown, "furlong": ErrUnknown,
	} {
		_, err := Lookup(name)
		require.ErrorIs(t, err, want, name)
		assert.Contains(t, err.Error(), "\nwrite ", "the remedy stands on the second line")
	}
	_, err := Convert(1, MustLookup("m"), MustLookup("kW"))
	assert.Error(t, err)
	_, err = Convert(1, MustLookup("mg/m3"), MustLookup("Pa"))
	assert.Error(t, err)
}

// TestTableComplete: names are unique, each row carries a source, and a mark
// never stands for two units of one kind whose values differ, except mg/m3,
// whose reference state only the declaration tells.
func TestTableComplete(t *testing.T) {
	seen := map[string]bool{}
	for _, u := range units {
		assert.False(t, seen[u.Name], u.Name)
		seen[u.Name] = true
		assert.NotEmpty(t, u.Source, u.Name)
		assert.NotEmpty(t, u.Verified, u.Name)
		assert.Positive(t, u.Mul/u.Div, u.Name)
		for _, m := range u.Marks {
			if u.Kind != COMass {
				assert.Equal(t, []string{u.Name}, MarkOf(m), m)
			}
		}
	}
	assert.Equal(t, []string{"bar"}, MarkOf("bar"))
	assert.Empty(t, MarkOf("xyz"))
}

// TestCOByHeat: 1.074 mg/kWh a ppm at no excess air is what tables of units for natural
// gas print (from memory).
func TestCOByHeat(t *testing.T) {
	v, err := Convert(1, MustLookup("ppm"), MustLookup("mg/kWh"))
	require.NoError(t, err)
	assert.InDelta(t, 1.074, v, 0.0005)
}
