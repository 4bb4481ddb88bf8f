package reshape

import (
	"fmt"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
)

// loads is a step that takes loads as fires.
func loads(required bool) layout.Step {
	at := func(v float64) *float64 { return &v }
	return layout.Step{
		Do: layout.InRanges, Column: "Load", Into: "Fire", Required: required,
		Ranges: []layout.Range{
			{From: at(75), To: at(110), Is: "high"}, {From: at(40), To: at(75), Is: "middle"}, {From: at(5), To: at(30), Is: "low"},
		},
	}
}

// TestInRanges: a bound of two ranges belongs to the upper one; what lies in none, or is no
// number, leaves the fire blank and is counted, or is wrong where it is required.
func TestInRanges(t *testing.T) {
	in := wantCells(`
		Unit | Load
		1 | 100
		2 | 75 %
		3 | 74.9
		4 | 30
		5 | 35
		6 | full
		7 |`)
	out, notes, err := reshaped(t, in, loads(false))
	require.NoError(t, err)
	var got []string
	for _, ln := range out[1:] {
		got = append(got, ln.Cells[2])
	}
	assert.Equal(t, []string{"high", "high", "middle", "low", "", "", ""}, got)
	assert.Equal(t, []string{`2 cells of column "Load" in none of the ranges: the first "35" in line 6`}, notes)

	out, _, err = reshaped(t, in, loads(true))
	require.NoError(t, err)
	assert.Equal(t, lines.Fault{
		Column: "Load", Value: "35", Reason: "outside-the-ranges", Message: `"35" lies in none of the ranges of its step`,
	}, *out[5].Wrong)
	assert.Nil(t, out[7].Wrong, "a blank cell is no load")
}

// TestRangesOfAWorkbook: what a workbook shows in percent it stores as a fraction.
func TestRangesOfAWorkbook(t *testing.T) {
	s := &ranged{}
	v, ok := s.number("0.52", lines.AsPercent)
	assert.True(t, ok)
	assert.InDelta(t, 52, v, 1e-12)
	_, ok = s.number("2024-03-25", lines.AsDay)
	assert.False(t, ok)
}

// TestRangesHoldEachNumber: of ranges that follow each other each number has the one text that
// its bounds say, every row comes out, and the order of the ranges does not matter.
func TestRangesHoldEachNumber(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		bounds := []float64{0, 20, 45, 80, 110}
		var all []layout.Range
		for i := range 4 {
			all = append(all, layout.Range{From: &bounds[i], To: &bounds[i+1], Is: fmt.Sprint(i)})
		}
		step := layout.Step{Do: layout.InRanges, Column: "L", Into: "F", Ranges: rapid.Permutation(all).Draw(rt, "ranges")}
		in := table{{"L"}}
		for _, v := range rapid.SliceOfN(rapid.IntRange(-10, 130), 1, 20).Draw(rt, "loads") {
			in = append(in, []string{strconv.Itoa(v)})
		}
		out, _, err := reshaped(rt, in, step)
		if err != nil || len(out) != len(in) {
			rt.Fatalf("%d rows of %d: %v", len(out), len(in), err)
		}
		for i, ln := range out[1:] {
			v, _ := strconv.ParseFloat(in[i+1][0], 64)
			want := ""
			for k := range 4 {
				if v >= bounds[k] && v <= bounds[k+1] {
					want = fmt.Sprint(k)
				}
			}
			if ln.Cells[1] != want {
				rt.Fatalf("%g: %q, not %q", v, ln.Cells[1], want)
			}
		}
	})
}

// TestFaultsOfRanges: ranges that cannot be, with what to do.
func TestFaultsOfRanges(t *testing.T) {
	at := func(v float64) *float64 { return &v }
	for want, ranges := range map[string][]layout.Range{
		"lists at least one":  {},
		"range 1 needs from":  {{To: at(3), Is: "x"}},
		"from has to be":      {{From: at(3), To: at(3), Is: "x"}},
		`"x" and "y" overlap`: {{From: at(0), To: at(10), Is: "x"}, {From: at(9), To: at(20), Is: "y"}},
	} {
		s := layout.Step{Do: layout.InRanges, Column: "L", Into: "F", Ranges: ranges}
		require.ErrorContains(t, s.Compile(), want)
	}
}
