package ingest

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/datasets/demo"
	"fluedrift/ingest/layout"
)

func everything(string) bool { return true }

// TestDraftsOfTheDemo compares the drafts of the invented fleet's exports with
// the layouts they were written by: no column is given another field or unit
// than it has, and most are found.
func TestDraftsOfTheDemo(t *testing.T) {
	dir := t.TempDir()
	asOf := mustDay(t, "2026-03-02")
	require.NoError(t, demo.New(demo.Options{Units: 20, Years: 6, Seed: 1, AsOf: asOf, World: demo.Default()}).Write(dir))
	o := Options{Folder: filepath.Join(dir, "exports"), Layouts: filepath.Join(dir, "none"), AsOf: asOf}
	all, err := Inspect(context.Background(), nil, o, everything)
	require.NoError(t, err)
	o.Layouts = filepath.Join(dir, "layouts")
	known, err := Inspect(context.Background(), nil, o, everything)
	require.NoError(t, err)
	found, columns := 0, 0
	for i, one := range all {
		for _, u := range known[i].Columns {
			if isField(u) {
				columns++
			}
		}
		assert.Equal(t, NotOurs, one.Outcome, one.Name)
		require.NotEmpty(t, one.Draft, one.Name)
		assert.Contains(t, one.Draft, "# guess")
		l, err := layout.Parse("draft.toml", one.Draft)
		if err != nil {
			assert.Contains(t, one.Draft, "# open: the field", "%s: %v", one.Name, err)
			continue
		}
		assert.Equal(t, known[i].Record, l.Record, one.Name)
		for _, c := range l.Columns {
			for _, u := range known[i].Columns {
				if u.Header != c.Header || c.Ignore || !isField(u) {
					continue
				}
				drafted := Use{Header: c.Header, Field: c.Field, Unit: c.Unit, Fire: c.Fire, Condition: c.Condition}
				u.Basis, u.Stored, u.Dates = "", "", "" // not compared
				assert.Equal(t, u, drafted, one.Name)
				found++
			}
		}
	}
	assert.Greater(t, 2*found, columns, "%d of %d columns are found", found, columns)
	t.Logf("%d of %d", found, columns)
}

// isField reports a column that gives a field, and is neither carried nor left unread.
func isField(u Use) bool { return !strings.HasPrefix(u.Field, "carried") && u.Field != "not declared" }

// TestInspection: which layout fits and why others do not, lines set aside by
// reason, and rows beside the cells they come from.
func TestInspection(t *testing.T) {
	names := `names = ["tests*.csv"]`
	o := folder(t, map[string]string{
		"tests.toml": readingsLayout(nil),
		"other.toml": strings.NewReplacer(`"tests"`, `"other"`, "tests*.csv", "other*.csv").Replace(readingsLayout(nil)),
		"third.toml": strings.NewReplacer(`"tests"`, `"third"`, names, names+"\ncolumns = [\"Bench\"]").Replace(readingsLayout(nil)),
		"tests.csv": asLines(readingsHeader+",Note", goodRow+",x", goodRowWith(",17,", ",<5,")+",",
			goodRowWith("9.1", "9.l")+",", goodRowWith("9.1", "9,l")+",", goodRowWith("9.1", "8.l")+","),
	})
	all, err := Inspect(context.Background(), nil, o, everything)
	require.NoError(t, err)
	one := all[0]
	assert.Equal(t, []Fit{
		{"other", false, `the name fits none of its patterns "other*.csv"`},
		{"tests", true, ""},
		{"third", false, `layout "third" asks for the columns "Bench"`},
	}, one.Fits)
	noNumber := func(text string) string {
		return fmt.Sprintf(`%q is not a number with decimal mark "." and thousands mark ","`, text)
	}
	assert.Equal(t, []Example{
		{"wrong-field-count", 1, []AsideLine{{5, "", "", "the line has 15 cells and the header 14"}}},
	}, one.Examples)
	assert.Equal(t, []Example{
		{"unreadable-number", 2, []AsideLine{{4, "CO2", "9.l", noNumber("9.l")}, {6, "CO2", "8.l", noNumber("8.l")}}},
	}, one.CellExamples)
	require.Len(t, one.Samples, 3)
	assert.Equal(t, SampleCell{"CO2", "9.l", "co2", "(cell set aside)"}, one.Samples[2].Cells[8])
	assert.Equal(t, SampleCell{"CO", "<5", "co", "below 5 ppm"}, one.Samples[1].Cells[10])
	assert.Equal(t, SampleCell{"Taken", "found-so", "condition", "as found"}, one.Samples[0].Cells[7])
	assert.Equal(t, Use{Header: "Flue", Field: "flue_temp", Unit: "degC", Stored: "degC"}, one.Columns[11])
	assert.Equal(t, Use{Header: "Note", Field: "not declared"}, one.Columns[13])
	assert.Equal(t, []string{
		`columns that the layout does not read: "Note"; declare them, or set ignore = true`,
		"the day of the export is not known: where another export contradicts a line of this one, neither counts",
	}, one.Hints)
	assert.Empty(t, one.Draft)
}

// TestHints: what does not look as declared is said; the rows stay as declared.
func TestHints(t *testing.T) {
	row := func(n string, cells ...string) string {
		return goodRowWith(append([]string{"A1", "A" + n}, cells...)...)
	}
	three := func(cells ...string) string {
		return readingsFile(row("1", cells...), row("2", cells...), row("3", cells...))
	}
	monthFirst := fileKeys{"dates": `"mm/dd/yyyy"`}
	for _, c := range []struct {
		keys       fileKeys
		text, want string
	}{
		{nil, three(",19", ",66"), `column "Air" is declared in "degC" and looks like "degF": half of its cells are below 66 and half above`},
		{nil, three(",181,", ",290,"), `column "Flue" is declared in "degC" and looks like "degF"`},
		{nil, three("9.1,4.9", "0.091,0.049"), `column "CO2" is declared in "%" and looks like "fraction"`},
		{nil, three("9.1,4.9", "4.9,9.1"), `the two columns may be exchanged`},
		{nil, three(",181,", ",\"181,5\","), `column "Flue" holds 3 numbers with decimal and thousands marks exchanged`},
		{nil, three("annual", "yearly"), `column "Why" holds words that its codes do not know: "yearly" (3)`},
		{
			monthFirst,
			readingsFile(row("1", "2023-02-06", "02/06/2023"), row("2", "2023-02-06", "02/25/2023"), row("3", "2023-02-06", "25/02/2023")),
			`column "Date" looks like dd/mm/yyyy: possible only so: 1 day; only as the declared mm/dd/yyyy: 1 day`,
		},
		{
			monthFirst, three("2023-02-06", "02/06/2023"),
			`column "Date" holds no day that tells day and month apart; mm/dd/yyyy is taken as declared`,
		},
	} {
		all, err := Inspect(context.Background(), nil, readingsFolder(t, c.keys, c.text), everything)
		require.NoError(t, err)
		assert.Contains(t, strings.Join(all[0].Hints, "\n"), c.want)
	}
}

// TestDrafts: a draft reads the file it was made from, and says what it leaves
// open; what has no header gets none.
func TestDrafts(t *testing.T) {
	inLatin := latin(asLines("Visit;Serial;Date;Fire;Condition;CO2 %;CO ppm;Flue °C",
		"A1;7;25.03.2024;High;As found;9,4;1.150;181,5", "A2;7;26.03.2024;Low;As left;9,0;12;--"))
	vents := asLines("Serial,Installed,Vent diameter", "71,2016-05-10,200", "72,2016-05-11,150", "73,2016-05-12,150")
	for _, c := range []struct {
		name, text string
		want       []string
		parsed     int64
	}{
		{
			"tests_2024-04-01.csv", inLatin,
			[]string{
				`names = ["tests_*.csv"]`, `pattern = "yyyy-mm-dd"`,
				`delimiter = ";"`, `encoding = "windows-1252"`, `decimal = ","`, `thousands = "."`, `dates = "dd.mm.yyyy"`, `missing = ["--"]`,
				`unit = "degC"`,
			},
			2,
		},
		{
			"cards.csv", asLines("Mill export", "", "Serial\tDay\tCO2 high before\tCO2 high after",
				"0071\t3/25/2024\t9.4\t9.0", "0072\t12/26/2024\t9.5\t9.1"),
			[]string{`form   = "wide"`, `header = 3`, `delimiter = "\t"`, `dates = "m/d/yyyy"`, `fire = "high"`, `condition = "as left"`},
			2,
		},
		{
			"boilers.csv", asLines("Serial,Site,Installed,Rated input MBH,Vent diameter in,Vent length ft,Fuel", "71,Mill,2016-05-10,1500,8,24,NG"),
			[]string{`record = "units"`, `unit = "MBH"`, `unit = "in"`, `unit = "ft"`, `"NG" = "natural gas"`},
			1,
		},
		{
			"boilers.csv.gz", zipped(t, vents),
			[]string{`unit = "mm" # guess`, "by the size of its numbers", `names = ["boilers.csv.gz"]`},
			3,
		},
		{"tests.parquet", testdata(t, "tests.parquet"), []string{`type = "parquet"`, `header = "CO2"`}, 0},
		{
			"escaped.csv", asLines(`"Visit","Serial","Test date","Fire","Taken","CO2","Note"`,
				`"V1","A1","2024-01-02","high","before","9.1","said \"so\""`),
			[]string{`escape = "\\"`, "header = \"Test date\"\nfield = \"day\""},
			1,
		},
		{
			"register.csv", asLines("Unit,Building,Installed,Vent dia in,Vent length ft,90s,45s",
				"B1,Mill,5/10/2016,8,24,2,0", "B2,Mill,5/13/2016,8,24,2,1"),
			[]string{`record = "units"`, `field = "elbows_90"`, `field = "elbows_45"`, `dates = "m/d/yyyy"`},
			2,
		},
		{"cut.csv", "Serial,Installed\n71,2016-05-10", []string{`last_line = "any"`, "the copy is not whole"}, 1},
		{"twice.csv", asLines("Serial,Installed,serial", "71,2016-05-10,71"), []string{`two columns "serial"`}, -1},
		{"\"odd\" [1].csv", asLines("Serial,Installed", "71,2016-05-10"), []string{`names = ["\"odd\" \\[*].csv"]`}, 1},
		{"places.csv", asLines("Serial,Site,Area,State", "71,Mill,east,in service"), []string{`# open: the field`}, -1},
		{"none.csv", asLines("1,2,3", "4,5,6"), nil, -1},
		{"empty.csv", "", nil, -1},
		{"x.csv", "%PDF-1.4\n", nil, -1},
	} {
		o := folder(t, map[string]string{c.name: c.text})
		one, err := InspectFile(context.Background(), o, filepath.Join(o.Folder, c.name))
		require.NoError(t, err, c.name)
		for _, w := range c.want {
			assert.Contains(t, one.Draft, w, c.name)
		}
		if c.want == nil {
			assert.Empty(t, one.Draft, c.name)
			assert.Contains(t, strings.Join(one.Hints, " "), "no layout can be proposed", c.name)
		}
		if c.parsed < 0 {
			continue
		}
		require.NoError(t, os.MkdirAll(o.Layouts, 0o755))
		require.NoError(t, os.WriteFile(filepath.Join(o.Layouts, "draft.toml"), []byte(one.Draft), 0o644))
		if _, err := layout.Load(o.Layouts); err != nil {
			assert.Zero(t, c.parsed, "%s: %v\n%s", c.name, err, one.Draft)
			continue
		}
		r, _ := readInto(t, o)
		if c.parsed > 0 {
			assert.Equal(t, c.parsed, r.Files[0].Parsed, "%s: %s %v\n%s", c.name, r.Files[0].Message, r.Files[0].Reasons, one.Draft)
		}
	}
}
