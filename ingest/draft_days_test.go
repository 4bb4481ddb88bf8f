package ingest

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/ingest/layout"
)

// Days as registers and readings of several countries write them are drafted so that
// the layout loads, and every day is read: years and months alone, names of months,
// ordinal numbers, counts since 1970.
func TestDraftsOfDays(t *testing.T) {
	for name, c := range map[string]struct {
		text, has string
		columns   []string
		want      []string
	}{
		"a register with years and months": {
			asLines("Boiler,Model,Fuel,Installed", "K-1,T40,natural gas,2006", "K-2,T40,natural gas,05/2011", "K-3,T40,propane,03/13/2008",
				"K-4,T40,propane,11/28/2009"),
			"",
			[]string{"serial", "installed", "marks"},
			[]string{
				"2 read serial=K-1 installed=2006-07-02 marks=installed:year", "3 read serial=K-2 installed=2011-05-16 marks=installed:month",
				"4 read serial=K-3 installed=2008-03-13", "5 read serial=K-4 installed=2009-11-28",
			},
		},
		"years alone": {
			asLines("Boiler,Model,Year installed", "K-1,T40,2006", "K-2,T40,2011"), `dates = "yyyy"`,
			[]string{"serial", "installed"},
			[]string{"2 read serial=K-1 installed=2006-07-02", "3 read serial=K-2 installed=2011-07-02"},
		},
		"German months": {
			asLines("Boiler,Date,Fire,Condition,CO2", "K-1,4 Mrz 2021,high,as found,9.1", "K-1,14 Mai 2022,high,as found,9.1",
				"K-1,24 Okt 2023,high,as found,9.1"),
			`months = "de"`,
			[]string{"co2_percent"},
			[]string{"2 read co2_percent=9.1", "3 read co2_percent=9.1", "4 read co2_percent=9.1"},
		},
		"French ordinals": {
			asLines("Boiler,Date,Fire,Condition,CO2", "K-1,1er août 2021,high,as found,9.1", "K-1,2 févr. 2022,high,as found,9.1"),
			`months = "fr"`,
			[]string{"co2_percent"},
			[]string{"2 read co2_percent=9.1", "3 read co2_percent=9.1"},
		},
		"counts since 1970": {
			asLines("Boiler,Date,Fire,Condition,CO2", "K-1,1700000000,high,as found,9.1", "K-1,1710000000,high,as found,9.1"),
			`zone = "UTC"`,
			[]string{"co2_percent"},
			[]string{"2 read co2_percent=9.1", "3 read co2_percent=9.1"},
		},
	} {
		all, err := Propose(context.Background(), folder(t, map[string]string{"x.csv": c.text}), nil, func(string, string) string { return "" })
		require.NoError(t, err)
		require.Len(t, all, 1, name)
		l, err := layout.Parse("x.toml", all[0].Text)
		require.NoError(t, err, "%s\n%s", name, all[0].Text)
		assert.Contains(t, all[0].Text, c.has, name)
		r, w := readInto(t, folder(t, map[string]string{"x.csv": c.text, "x.toml": all[0].Text}))
		table := "record." + l.Record
		assert.Equal(t, c.want, fate(r.Files[0], w, table, c.columns...), "%s %s\n%s", name, strings.Join(r.Files[0].Unmapped, " "), all[0].Text)
	}
}

// The year or the month of the export is not over: an install day in it lies no later
// than the export.
func TestInstalledThisYear(t *testing.T) {
	l := "name = \"b\"\nrecord = \"units\"\nsource = \"b\"\n[match]\nnames = [\"b.csv\"]\n[export_day]\nfrom = \"declared\"\n" +
		"day = \"2024-03-01\"\n[[column]]\nheader = \"Boiler\"\nfield = \"serial\"\n" +
		"[[column]]\nheader = \"Installed\"\nfield = \"installed\"\ndates = [\"yyyy-mm\", \"yyyy\"]\n"
	_, w := readInto(t, folder(t, map[string]string{"b.toml": l, "b.csv": asLines("Boiler,Installed", "K1,2024", "K2,2024-03", "K3,2025")}))
	assert.Equal(t, "2024-03-01", w["record.units"][0]["installed"])
	assert.Equal(t, "2024-03-01", w["record.units"][1]["installed"])
	assert.Equal(t, "future-date", w["source.cells_set_aside"][0]["reason"])
}

// A year alone counts from its first day where a reading could lie before the install
// day: one of that February is no error.
func TestReadInTheYearOfTheInstall(t *testing.T) {
	register := "name = \"b\"\nrecord = \"units\"\nsource = \"b\"\n[match]\nnames = [\"b.csv\"]\n[[column]]\nheader = \"Boiler\"\n" +
		"field = \"serial\"\n" +
		"[[column]]\nheader = \"Installed\"\nfield = \"installed\"\ndates = [\"yyyy-mm-dd\", \"yyyy\"]\n"
	r, w := build(t, folder(t, map[string]string{
		"b.toml": register, "b.csv": asLines("Boiler,Installed", "BX-7,2023", "BX-8,2023-07-02"), "tests.toml": readingsLayout(nil),
		"tests.csv": readingsFile(goodRow, goodRowWith("BX-7", "BX-8", "A1", "A2")),
	}), mustDay(t, "2024-01-15"))
	got := fatesOf(t, r, w)
	assert.Equal(t, []string{"", "set aside before-install"}, []string{got.said["tests.csv:2"], got.said["tests.csv:3"]})
}
