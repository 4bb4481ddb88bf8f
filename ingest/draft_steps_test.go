package ingest

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestDraftsSeparate: a file of which cells hold several values is read as drafted.
func TestDraftsSeparate(t *testing.T) {
	files := map[string]string{"x.csv": asLines("Boiler,Date,HF CO2/O2,LF CO2/O2", "K1,2024-03-25,9.1/4.9,8.5/5.9",
		"K2,2024-03-26,9.3/4.6,8.8/",
		"K3,2024-03-27,9.2/4.7,none")}
	all, err := Propose(context.Background(), folder(t, files), nil, func(_, key string) string {
		return map[string]string{"condition": "as found"}[key]
	})
	require.NoError(t, err)
	files["x.toml"] = all[0].Text
	r, w := readInto(t, folder(t, files))
	assert.EqualValues(t, 3, r.Files[0].Parsed, all[0].Text)
	assert.Empty(t, r.Files[0].Unmapped)
	assert.Contains(t, r.Files[0].Message, `1 cell of column "LF CO2/O2" fit no pattern of its step: the first "none" in line 4`)
	var got []string
	for _, row := range w["record.readings"] {
		got = append(got, row.show("line", "fire", "condition", "co2_percent", "o2_percent"))
	}
	assert.Equal(t, []string{
		"line=2 fire=high condition=as found co2_percent=9.1 o2_percent=4.9", "line=2 fire=low condition=as found co2_percent=8.5 o2_percent=5.9",
		"line=3 fire=high condition=as found co2_percent=9.3 o2_percent=4.6", "line=3 fire=low condition=as found co2_percent=8.8",
		"line=4 fire=high condition=as found co2_percent=9.2 o2_percent=4.7",
	}, got)
}

// drafted reads a file by the layout that is drafted for it.
func drafted(t *testing.T, text string) (File, fakeWarehouse) {
	t.Helper()
	files := map[string]string{"x.csv": text}
	all, err := Propose(context.Background(), folder(t, files), nil, func(_, key string) string {
		return map[string]string{"condition": "as found"}[key]
	})
	require.NoError(t, err)
	files["x.toml"] = all[0].Text
	r, w := readInto(t, folder(t, files))
	require.Equal(t, WasRead, r.Files[0].Outcome, "%s\n%s", r.Files[0].Message, all[0].Text)
	return r.Files[0], w
}

// TestDraftsPivot: a file with a row a value is read as drafted, a row a visit.
func TestDraftsPivot(t *testing.T) {
	var text strings.Builder
	text.WriteString("Visit,Asset,Date,Parameter,Result,Unit\n")
	for _, v := range []string{"V1,K1,2024-03-25", "V2,K2,2024-03-26", "V3,K1,2024-04-25", "V4,K3,2024-04-26"} {
		text.WriteString(v + ",HF O2,4.4,%\n" + v + ",HF CO,18,ppm\n" + v + ",LF O2,5.9,%\n" + v + ",Stack temp,160,degF\n")
	}
	f, w := drafted(t, text.String())
	assert.Equal(t, []int64{17, 4, 12, 0}, []int64{f.Lines, f.Parsed, f.Joined, f.SetAside}, f.Message)
	require.Len(t, w["record.readings"], 8)
	assert.Equal(t, "fire=high o2_percent=4.4 co_ppm=18", w["record.readings"][0].show("fire", "o2_percent", "co_ppm"))
}

// TestDraftsLeaveOut: rows that a status says are no records are left out, and counted.
func TestDraftsLeaveOut(t *testing.T) {
	f, _ := drafted(t, "Boiler,Date,HF O2,LF O2,Sheet\nK1,2024-03-25,4.4,5.5,ok\nK1,2024-03-25,4.9,5.6,VOID\nK2,2024-03-26,4.7,5.4,ok\n"+
		"K3,2024-03-27,4.6,5.7,ok\n")
	assert.Equal(t, []int64{1, 3}, []int64{f.Skipped, f.Parsed})
	assert.Contains(t, f.Message, `left out, Sheet is "void": 1 line`)
}

// TestDraftsFillDown: where serial and day stand once for several rows, they hold for
// those below; a serial that is missing here and there is nobody's.
func TestDraftsFillDown(t *testing.T) {
	f, w := drafted(t, "Boiler,Date,Fire,Taken,O2\nK1,2024-03-25,high,as found,4.4\n,,low,as found,5.5\nK2,2024-03-26,high,as found,4.7\n"+
		",,low,as found,5.4\n")
	assert.Equal(t, []int64{4, 0}, []int64{f.Parsed, f.SetAside})
	require.Len(t, w["record.visits"], 2)
	f, _ = drafted(t, "Boiler,Date,Fire,Taken,O2\nK1,2024-03-25,high,as found,4.4\n,2024-03-25,low,as found,5.5\n"+
		"K2,2024-03-26,high,as found,4.7\n")
	assert.Equal(t, []int64{2, 1}, []int64{f.Parsed, f.SetAside})
}
