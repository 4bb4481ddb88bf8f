package ingest

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/ingest/layout"
)

const callsLayout = "name = \"calls\"\nrecord = \"visits\"\nsource = \"calls\"\n[match]\nnames = [\"calls*.csv\"]\n" +
	"[constants]\nreason = \"call-out\"\n[[column]]\nheader = \"No\"\nfield = \"visit_id\"\n" +
	"[[column]]\nheader = \"Boiler\"\nfield = \"serial\"\n" +
	"[[column]]\nheader = \"Date\"\nfield = \"day\"\n[[column]]\nheader = \"By\"\nfield = \"technician\"\n" +
	"[[column]]\nheader = \"Parts\"\nfield = \"parts\"\n"

// A ticket is a visit with its parts and no reading; one without a day or an id is set
// aside.
func TestVisitsAlone(t *testing.T) {
	r, w := readInto(t, folder(t, map[string]string{"l.toml": callsLayout, "calls.csv": asLines("No,Boiler,Date,By,Parts",
		"7,S1,2025-03-05,T1,gas valve", "8,S1,2025-03-05,T2,", "9,S1,,T1,", ",S1,2025-03-06,T1,", "10,S2,2025-03-31 14:05,,fan")}))
	f := r.Files[0]
	assert.Equal(t, []int64{6, 1, 2, 3, 3, 0}, []int64{f.Lines, f.Header, f.SetAside, f.Parsed, f.Visits, f.Readings})
	assert.Equal(t, "visits", f.Record)
	var visits []string
	for _, v := range w["record.visits"] {
		require.Equal(t, "true", v["wide"])
		visits = append(visits, v.show("line", "visit_id", "serial", "day", "reason", "technician", "parts"))
	}
	assert.Equal(t, []string{
		"line=2 visit_id=7 serial=S1 day=2025-03-05 reason=call-out technician=T1 parts=gas valve",
		"line=3 visit_id=8 serial=S1 day=2025-03-05 reason=call-out technician=T2",
		"line=6 visit_id=10 serial=S2 day=2025-03-31 reason=call-out parts=fan",
	}, visits)
	assert.Empty(t, w["record.readings"])
}

// A ticket is never a routine visit, and holds nothing that was measured.
func TestVisitsAloneRefuse(t *testing.T) {
	for _, c := range [][3]string{
		{"[constants]\nreason = \"annual\"\n", "", "annual"},
		{"", "[[column]]\nheader = \"CO2\"\nfield = \"co2\"\nunit = \"%\"\n", `record visits has no field "co2"`},
		{"form = \"wide\"\n", "", `form "wide"`},
	} {
		path := filepath.Join(t.TempDir(), "l.toml")
		text := "name = \"calls\"\nrecord = \"visits\"\nsource = \"calls\"\n"
		if c[0] != "" && c[0][0] == 'f' {
			text += c[0]
			c[0] = ""
		}
		text += "[match]\nnames = [\"calls*.csv\"]\n" + c[0] + "[[column]]\nheader = \"Boiler\"\nfield = \"serial\"\n[[column]]\n" +
			"header = \"Date\"\nfield = \"day\"\n" + c[1]
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		_, err := layout.Load(filepath.Dir(path))
		require.ErrorContains(t, err, c[2])
		require.ErrorContains(t, err, path)
	}
}

// A ticket on a boiler of the register is a visit of it. One on an id that no register
// and no reading has makes no boiler: it is a record to correct. A ticket and a test of
// one day are two visits.
func TestTicketsMakeNoBoilers(t *testing.T) {
	register := "name = \"fleet\"\nrecord = \"units\"\nsource = \"fleet\"\n[match]\nnames = [\"fleet.csv\"]\n" +
		"[[column]]\nheader = \"Boiler\"\nfield = \"serial\"\n[[column]]\nheader = \"Line\"\nfield = \"model_line\"\n"
	_, w := build(t, folder(t, map[string]string{
		"l.toml": callsLayout, "r.toml": readingsLayout(nil), "u.toml": register,
		"fleet.csv": asLines("Boiler,Line", "S1,T40"),
		"tests.csv": readingsFile("V1,S1,2025-03-05,annual,T1,M,high,found-so,9.0,,,,",
			"V2,S3,2025-03-05,annual,T1,M,high,found-so,9.0,,,,"),
		"calls.csv": asLines("No,Boiler,Date,By,Parts", "7,S1,2025-03-05,T1,gas valve",
			"8,S9,2025-03-05,T2,fan", "9,S3,2025-04-05,T2,fan"),
	}), mustDay(t, "2025-06-01"))
	units, err := w.Units(t.Context(), "")
	require.NoError(t, err)
	var serials []string
	for _, u := range units {
		serials = append(serials, u.Serial)
	}
	assert.Equal(t, []string{"S1", "S3"}, serials)
	aside, err := w.SetAside(t.Context())
	require.NoError(t, err)
	var said []string
	for _, a := range aside {
		said = append(said, fmt.Sprintf("%s:%d %s %s", a.File, a.Line, a.Reason, a.Serial))
	}
	assert.Equal(t, []string{"calls.csv:3 not-in-register S9", "calls.csv:4 not-in-register S3", "tests.csv:3 not-in-register S3"}, said)
}

// Every line is a visit or set aside.
func TestEveryTicketIsCounted(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		rows := []string{"No,Boiler,Date,By,Parts"}
		n := rapid.IntRange(0, 12).Draw(rt, "n")
		for range n {
			rows = append(rows, rapid.StringMatching(`[0-9]{0,2},(S[12])?,(2025-0[1-9]-1[0-9]|soon)?,(T1)?,[a-z ]{0,5}`).Draw(rt, "row"))
		}
		r, w := readInto(t, folder(t, map[string]string{"l.toml": callsLayout, "calls.csv": asLines(rows...)}))
		f := r.Files[0]
		require.Equal(rt, int64(n), f.Parsed+f.SetAside+f.Blank)
		require.Len(rt, w["record.visits"], int(f.Parsed))
		require.Empty(rt, w["record.readings"])
	})
}
