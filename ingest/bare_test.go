package ingest

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A line of the long form without any value is a visit: its day, reason and
// technician count, and no reading is made of it. One with a value beside an empty
// gas is a reading of what was measured. A reading needs fire and condition, a
// visit does not; a word that is not known stays a fault.
func TestVisitsWithoutValues(t *testing.T) {
	r, w := readInto(t, folder(t, map[string]string{"l.toml": readingsLayout(nil), "tests.csv": readingsFile(
		"V1,S1,2025-03-05,annual,T1,M,,,,,,,",
		"V2,S1,2025-03-06,annual,T1,M,high,found-so,,,,,",
		"V2,S1,2025-03-06,annual,T1,M,low,found-so,,,,,",
		"V2,S1,2025-03-06,annual,T1,M,low,left-so,8.6,,,,",
		"V3,S1,2025-03-07,annual,T1,M,high,found-so,,,17,,",
		"V4,S1,2025-03-08,annual,T1,M,,found-so,9.0,,,,",
		"V5,S1,2025-03-09,annual,T1,M,Hi,found-so,,,,,",
		"V1,S1,2025-06-05,annual,T1,M,,,,,,,")}))
	f := r.Files[0]
	assert.Equal(t, []int64{9, 1, 3, 5}, []int64{f.Lines, f.Header, f.SetAside, f.Parsed})
	assert.Equal(t, []string{
		"5 read visit_row=3 fire=low condition=as left co2_percent=8.6",
		"6 read visit_row=4 fire=high condition=as found co_ppm=17",
	},
		withoutAside(fate(f, w, "record.readings", "visit_row", "fire", "condition", "co2_percent", "co_ppm")))
	var visits []string
	for _, v := range w["record.visits"] {
		require.Equal(t, v["line"] != "5" && v["line"] != "6", v["wide"] == "true", v["line"])
		require.Equal(t, v["wide"] == "true", v["key_hash"] != "", "a line without values stands by itself")
		visits = append(visits, v.show("line", "visit_id", "day", "reason", "technician"))
	}
	assert.Equal(t, []string{
		"line=2 visit_id=V1 day=2025-03-05 reason=annual technician=T1", "line=3 visit_id=V2 day=2025-03-06 reason=annual technician=T1",
		"line=4 visit_id=V2 day=2025-03-06 reason=annual technician=T1", "line=5 visit_id=V2 day=2025-03-06 reason=annual technician=T1",
		"line=6 visit_id=V3 day=2025-03-07 reason=annual technician=T1",
	}, visits)
	assert.NotEqual(t, w["record.visits"][1]["key_hash"], w["record.visits"][2]["key_hash"], "high and low fire are two lines")
	assert.Equal(t, map[string]int64{"blank-required": 1, "unknown-code": 1, "visit-id-given-twice": 1}, f.Reasons)
}

// withoutAside drops the lines set aside.
func withoutAside(fates []string) (out []string) {
	for _, f := range fates {
		if f[2:7] != "aside" {
			out = append(out, f)
		}
	}
	return out
}
