package ingest

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// What can be read of the CO on lines that are set aside, or stand without it, way by way. The column
// is ppm as measured; a letter O is a zero, 0,12 % is 1200 ppm by definition.
func TestCOOfLinesSetAside(t *testing.T) {
	const all = "serial=S1 day=2025-03-05 fire=high condition=as found "
	const fire = "serial=S1 day=2025-03-05 condition=as found "
	for name, c := range map[string]struct{ line, want string }{
		"air temperature out of range": {"V,S1,2025-03-05,annual,T,M,high,found-so,9.0,,900,60,99", ""},   // it stands on its line
		"CO2 typed 90":                 {"V,S1,2025-03-05,annual,T,M,high,found-so,90,6.9,300,60,15", ""}, // its O2 can be read
		"CO2 typed 90, no O2":          {"V,S1,2025-03-05,annual,T,M,high,found-so,90,,300,60,15", all + "co_ppm=300"},
		"fire word not known": {
			"V,S1,2025-03-05,annual,T,M,Hi,found-so,9.0,,900,60,15",
			"serial=S1 day=2025-03-05 condition=as found co_ppm=900",
		},
		"day not readable": {
			"V,S1,5.3.2025,annual,T,M,high,found-so,9.0,,900,60,15",
			"serial=S1 fire=high condition=as found co_ppm=900",
		},
		"serial missing": {
			"V,,2025-03-05,annual,T,M,high,found-so,9.0,,900,60,15",
			"day=2025-03-05 fire=high condition=as found co_ppm=900",
		},
		"a limit":                {"V,S1,2025-03-05,annual,T,M,Hi,found-so,9.0,,>2000,60,15", fire + "co_ppm=2000 co_limit=above"},
		"over range":             {"V,S1,2025-03-05,annual,T,M,Hi,found-so,9.0,,OL,60,15", fire + "co_limit=above"},
		"a cell with a remark":   {"V,S1,2025-03-05,annual,T,M,high,found-so,9.0,,900 !,60,15", all + "co_ppm=900 co_text=900 !"},
		"another thousands mark": {"V,S1,2025-03-05,annual,T,M,high,found-so,9.0,,1'200,60,15", all + "co_ppm=1200 co_text=1'200"},
		"a percentage":           {`V,S1,2025-03-05,annual,T,M,high,found-so,9.0,,"0,12 %",60,15`, all + "co_ppm=1200 co_text=0,12 %"},
		"no digits":              {"V,S1,2025-03-05,annual,T,M,high,found-so,9.0,,see note,60,15", all + "co_text=see note"},
		"one cell more, behind":  {"V,S1,2025-03-05,annual,T,M,high,found-so,9.0,,900,60,15,x", all + "co_ppm=900"},
		"one cell more, before": {
			"V,S1,2025-03-05,annual,T,M,high,found-so,9,0,,900,60,15",
			"serial=S1 day=2025-03-05 fire=high condition=as found co_ppm=900",
		},
		"one cell less, before": {"V,S1,2025-03-05,annual,T,high,found-so,9.0,,900,60,15", all + "co_ppm=900"},
		"cells missing behind":  {"V,S1,2025-03-05,annual,T,M,high,found-so,9.0,,900", all + "co_ppm=900"},
		"a quote inside a cell": {`V,S1,2025-03-05,annual,T,3" tube,high,found-so,9.0,,900,60,15`, all + "co_ppm=900"},
		"cannot be placed":      {"V,S1,2025-03-05,annual,900", "serial=S1 day=2025-03-05"},
		"blank":                 {"V,S1,2025-03-05,annual,T,M,Hi,found-so,9.0,,,60,15", ""},
	} {
		r, w := readInto(t, folder(t, map[string]string{"l.toml": readingsLayout(nil), "tests.csv": readingsFile(c.line)}))
		require.EqualValues(t, 1, r.Files[0].SetAside+r.Files[0].CellsSetAside, name)
		if c.want == "" {
			require.Empty(t, w["source.unused_co"], name)
			continue
		}
		require.Len(t, w["source.unused_co"], 1, name)
		row := w["source.unused_co"][0]
		if row["co_text"] == "900" || row["co_text"] == "300" || row["co_text"] == ">2000" || row["co_text"] == "OL" {
			delete(row, "co_text") // as it is read
		}
		require.Equal(t, c.want, row.show("serial", "day", "fire", "condition", "co_ppm", "co_limit", "o2_percent", "co_text"), name)
	}
}

// CO on a line that is accepted is not kept twice.
func TestCOOfAcceptedLinesIsNotUnused(t *testing.T) {
	_, w := readInto(t, folder(t, map[string]string{
		"l.toml":    readingsLayout(nil),
		"tests.csv": readingsFile("V,S1,2025-03-05,annual,T,M,high,found-so,9.0,,900,60,15"),
	}))
	require.Empty(t, w["source.unused_co"])
}
