package parse

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/model/quantity"
)

var (
	point      = Numbers{Decimal: ".", Thousands: ","}
	comma      = Numbers{Decimal: ",", Thousands: "."}
	plainPoint = Numbers{Decimal: "."}
	blanks     = Numbers{Decimal: ",", Thousands: " "}
)

// TestMeasure is the grammar of numbers by example; every expectation follows
// from the grammar in the package comment.
func TestMeasure(t *testing.T) {
	for _, c := range []struct {
		g        Numbers
		text     string
		unit     string
		want     float64
		decimals int8
		reason   string
	}{
		{point, "9.0", "%", 9, 1, ""},
		{point, "  9.05\t", "%", 9.05, 2, ""},
		{point, "\u00a09.0\u202f", "%", 9, 1, ""},
		{point, "+7", "ppm", 7, 0, ""},
		{point, "-3.5", "degC", -3.5, 1, ""},
		{point, "\u22123.5", "degC", -3.5, 1, ""},
		{point, "－3.5", "degC", 0, 0, UnreadableNumber}, // full-width minus is no sign
		{point, "–3", "degC", 0, 0, UnreadableNumber},   // en dash
		{point, "- 3", "degC", 0, 0, UnreadableNumber},
		{point, "--3", "degC", 0, 0, UnreadableNumber},
		{point, "８.６", "%", 8.6, 1, ""},
		{point, "１２", "ppm", 12, 0, ""},
		{point, "-0.0", "degC", 0, 1, ""},

		{point, "1,250", "ppm", 1250, 0, ""},
		{point, "12,250.5", "ppm", 12250.5, 1, ""},
		{point, "1,250,000", "W", 1250000, 0, ""},
		{point, "1250", "ppm", 1250, 0, ""},
		{point, "1,25", "ppm", 0, 0, UnreadableNumber},
		{point, "1,2500", "ppm", 0, 0, UnreadableNumber},
		{point, "1250,000", "ppm", 0, 0, UnreadableNumber},
		{point, "1,250000", "ppm", 0, 0, UnreadableNumber},
		{point, "0,250", "ppm", 0, 0, UnreadableNumber}, // no number begins with 0 and a thousands mark
		{point, "1.250,000", "ppm", 0, 0, UnreadableNumber},
		{point, ",250", "ppm", 0, 0, UnreadableNumber},
		{plainPoint, "1,250", "ppm", 0, 0, UnreadableNumber},

		{comma, "9,0", "%", 9, 1, ""},
		{comma, "1.250", "ppm", 1250, 0, ""},
		{comma, "1.250,75", "ppm", 1250.75, 2, ""},
		{comma, "9.1", "%", 0, 0, UnreadableNumber},
		{comma, "1.25", "ppm", 0, 0, UnreadableNumber},
		{blanks, "1 250,5", "ppm", 1250.5, 1, ""},
		{blanks, "1\u00a0250", "ppm", 1250, 0, ""},
		{blanks, "1\u202f250 ppm", "ppm", 1250, 0, ""},
		{blanks, "1 25", "ppm", 0, 0, UnreadableNumber},
		{point, "1\u00a0150", "ppm", 0, 0, UnreadableNumber},

		{point, "9.", "%", 0, 0, UnreadableNumber},
		{point, ".5", "%", 0, 0, UnreadableNumber},
		{point, "9..0", "%", 0, 0, UnreadableNumber},
		{point, "9.0.1", "%", 0, 0, UnreadableNumber},
		{point, "10-15", "ppm", 0, 0, UnreadableNumber},
		{point, "9.l", "%", 0, 0, UnreadableNumber},
		{point, "ca. 9", "%", 0, 0, UnreadableNumber},
		{point, "1_150", "ppm", 0, 0, UnreadableNumber},
		{point, "0x9p0", "%", 0, 0, UnreadableNumber},
		{point, "1e3", "ppm", 0, 0, UnreadableNumber},
		{point, "1e400", "ppm", 0, 0, UnreadableNumber},
		{point, "1E", "ppm", 0, 0, UnreadableNumber},
		{point, "1E400", "ppm", 0, 0, OutOfRange},
		{point, "1E-400", "ppm", 0, 0, OutOfRange}, // not 0
		{point, "0E-400", "ppm", 0, -1, ""},
		{point, "1.2E+03", "ppm", 1200, -1, ""},
		{point, "5E-1", "%", 0.5, -1, ""},

		{point, "nan", "%", 0, 0, NotFinite},
		{point, "NaN", "%", 0, 0, NotFinite},
		{point, "-Inf", "%", 0, 0, NotFinite},
		{point, "+infinity", "%", 0, 0, NotFinite},
		{point, "#DIV/0!", "%", 0, 0, FormulaError},
		{point, "#ref!", "%", 0, 0, FormulaError},
		{point, "Err:502", "%", 0, 0, FormulaError},
		{point, "#7", "%", 0, 0, UnreadableNumber},
		{point, "=1+1", "%", 0, 0, UnreadableNumber},
		{point, "<5", "%", 0, 0, UnreadableNumber},
		{point, "OL", "%", 0, 0, UnreadableNumber},

		{point, "9.0%", "%", 9, 1, ""},
		{point, "5.1 %", "%", 5.1, 1, ""},
		{point, "18 ppm", "ppm", 18, 0, ""},
		{point, "182 °C", "degC", 182, 0, ""},
		{point, "20°C", "degC", 20, 0, ""},
		{point, "360F", "degF", 360, 0, ""},
		{point, "8\"", "in", 8, 0, ""},
		{point, "360F", "degC", 0, 0, UnitMark},
		{point, "0.01%", "ppm", 0, 0, UnitMark},
		{point, "200 mm", "in", 0, 0, UnitMark},
		{point, "5 bar", "mbar", 0, 0, UnitMark},
		{point, "2 MBtu/h", "kW", 0, 0, UnitMark},
		{point, "40.1 m", "", 0, 0, UnitMark},
		{point, "9.0 % %", "%", 0, 0, UnreadableNumber},
		{point, "9.0 about", "%", 0, 0, UnreadableNumber},
	} {
		u, err := quantity.Lookup(c.unit)
		require.NoError(t, err)
		n, f := c.g.Measure(c.text, u)
		if c.reason != "" {
			if assert.NotNil(t, f, "%q", c.text) {
				assert.Equal(t, c.reason, f.Reason, "%q: %s", c.text, f.Message)
			}
			continue
		}
		if assert.Nil(t, f, "%q", c.text) {
			assert.Equal(t, c.want, n.Value, "%q", c.text)
			assert.False(t, math.Signbit(n.Value) && n.Value == 0, "no negative zero from %q", c.text)
			assert.Equal(t, c.decimals, n.Decimals, "%q", c.text)
		}
	}
}

func TestLimited(t *testing.T) {
	ppm := quantity.MustLookup("ppm")
	for _, c := range []struct {
		text, limit, reason string
		want                float64
	}{
		{"18", "", "", 18},
		{"0", "", "", 0},
		{"<5", Below, "", 5},
		{"< 5 ppm", Below, "", 5},
		{">2,000", Above, "", 2000},
		{"OL", Above, "", math.NaN()},
		{" ol ", Above, "", math.NaN()},
		{"<", "", UnreadableNumber, 0},
		{"<<5", "", UnreadableNumber, 0},
		{"<=5", "", UnreadableNumber, 0},
		{"5<", "", UnreadableNumber, 0},
		{">0.2 %", "", UnitMark, 0},
		{"<nan", "", NotFinite, 0},
		{"OL 5", "", UnreadableNumber, 0},
		{"over", "", UnreadableNumber, 0},
	} {
		n, f := point.Limited(c.text, ppm)
		if c.reason != "" {
			if assert.NotNil(t, f, c.text) {
				assert.Equal(t, c.reason, f.Reason, c.text)
			}
			continue
		}
		if assert.Nil(t, f, c.text) {
			assert.Equal(t, c.limit, n.Limit, c.text)
			if math.IsNaN(c.want) {
				assert.True(t, math.IsNaN(n.Value))
			} else {
				assert.Equal(t, c.want, n.Value, c.text)
			}
		}
	}
}

func TestWhole(t *testing.T) {
	for text, want := range map[string]int32{"2": 2, "2.0": 2, "0": 0, " 12 ": 12, "1,000": 1000} {
		n, f := point.Whole(text)
		if assert.Nil(t, f, text) {
			assert.Equal(t, want, n, text)
		}
	}
	for text, reason := range map[string]string{
		"2.5": UnreadableNumber, "two": UnreadableNumber, "2E0": UnreadableNumber, "2 m": UnitMark, "99999999999": OutOfRange,
		"": UnreadableNumber,
	} {
		_, f := point.Whole(text)
		if assert.NotNil(t, f, text) {
			assert.Equal(t, reason, f.Reason, text)
		}
	}
}

// TestManyDigits: more digits than a float64 holds go through strconv and are
// rounded as it rounds them.
func TestManyDigits(t *testing.T) {
	n, f := point.Measure("9.1999999999999993", quantity.MustLookup("%"))
	require.Nil(t, f)
	assert.Equal(t, 9.2, n.Value)
	n, f = point.Measure("123456789012345678901234567890", quantity.MustLookup("W"))
	require.Nil(t, f)
	assert.Equal(t, 1.2345678901234568e29, n.Value)
}

// FuzzNumber: no panic, no value that is not finite, and what was read and
// written back reads the same.
func FuzzNumber(f *testing.F) {
	for _, s := range []string{
		"9.0", "1,250.5", "-0", "1.2E+03", "1E400", "nan", "８.６", "<5", "OL", "9.0 %", "1 250", "\u22123.5", "0x1p4",
		"00012.50",
	} {
		f.Add(s)
	}
	percent := quantity.MustLookup("%")
	f.Fuzz(func(t *testing.T, s string) {
		for _, g := range []Numbers{point, comma, plainPoint, blanks} {
			n, fault := g.Measure(s, percent)
			if fault != nil {
				if fault.Reason == "" || fault.Message == "" {
					t.Fatalf("%q: no reason", s)
				}
				continue
			}
			if math.IsNaN(n.Value) || math.IsInf(n.Value, 0) {
				t.Fatalf("%q became %v", s, n.Value)
			}
			text := g.format(n)
			again, fault := g.Measure(text, percent)
			if fault != nil {
				t.Fatalf("%q written %q: %v", s, text, fault)
			}
			if n.Decimals >= 0 && n.Decimals < 15 && math.Abs(n.Value) < 1e6 && (again.Value != n.Value || again.Decimals != n.Decimals) {
				t.Fatalf("%q: %v written %q came back as %v", s, n, text, again)
			}
			if n.Scientific && again.Value != n.Value {
				t.Fatalf("%q: %v written %q came back as %v", s, n, text, again)
			}
			_, _ = g.Limited(s, percent)
			_, _ = g.Whole(s)
		}
	})
}

// format writes a number back the way Measure reads it, without thousands
// marks.
func (g Numbers) format(n Number) string {
	s := ""
	if n.Scientific || n.Decimals < 0 {
		s = strconv.FormatFloat(n.Value, 'E', -1, 64)
	} else {
		s = strconv.FormatFloat(n.Value, 'f', int(n.Decimals), 64)
	}
	return strings.Replace(s, ".", g.Decimal, 1)
}

// A number is read without memory of its own: an export has millions.
func TestNumberAllocatesNothing(t *testing.T) {
	percent := quantity.MustLookup("%")
	for _, text := range []string{"9.5", "-120", "1,234.75 %", "0.000123456789012"} {
		allocs := testing.AllocsPerRun(100, func() {
			_, f := point.Measure(text, percent)
			require.Nil(t, f)
		})
		require.Zero(t, allocs, text)
	}
}

// Digits beyond those that are held in place are read too.
func TestNumberOfManyDigits(t *testing.T) {
	n, f := plainPoint.Measure("0.1234567890123456789012345678901234567890", quantity.MustLookup("%"))
	require.Nil(t, f)
	require.InDelta(t, 0.12345678901234568, n.Value, 0) // the nearest float64, as strconv reads it
}
