package ingest

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestDraftsSeparate: a file of which cells hold several values is read as drafted.
func TestDraftsSeparate(t *testing.T) {
	files := map[string]string{"x.csv": asLines("Boiler,Date,HF CO2/O2,LF CO2/O2", "K1,2024-03-25,9.1/4.9,8.5/5.9", "K2,2024-03-26,9.3/4.6,8.8/",
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
