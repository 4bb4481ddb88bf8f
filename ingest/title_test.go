package ingest

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
)

// titledLayout reads office and year of titled files: from a title, a footer, or columns.
func titledLayout(steps string) string {
	l := layout.Examples()
	for _, e := range l {
		if e.Form == layout.FromTitle {
			before, after, _ := strings.Cut(e.Layout, "[[step]]")
			_, after, _ = strings.Cut(after, "[[step]]")
			return strings.Replace(before, "tests_of_*.csv", "x*.csv", 1) + steps + "[[step]]" + after
		}
	}
	panic("no example")
}

const (
	inTitle  = "[[step]]\ndo = \"from_title\"\npatterns = ['office (?P<office>\\pL+), (?P<year>\\d{4})']\n"
	inFooter = "footer = ['^Sum', '^office']\n[[step]]\ndo = \"from_title\"\nof = \"footer\"\n" +
		"patterns = ['office (?P<office>\\pL+), (?P<year>\\d{4})']\n"
)

// Property: what a title or a footer tells is stored as if each row had it in columns of
// its own.
func TestTitlesReadAsColumns(t *testing.T) {
	for seed := range 20 {
		office := rapid.SampledFrom([]string{"north", "south", "Küste"}).Example(seed)
		year := rapid.IntRange(2015, 2025).Example(seed)
		told := fmt.Sprintf("Tests of the office %s, %d", office, year)
		var bare, full []string
		for i := range rapid.IntRange(0, 5).Example(seed) {
			row := fmt.Sprintf("K%d,%02d.%02d.,9.%d", i%3, 1+i, 1+i%12, i)
			if i == 4 {
				row = "K4,never,9.1"
			}
			bare, full = append(bare, row), append(full, fmt.Sprintf("%s,%s,%d", row, office, year))
		}
		_, apart := readTitled(t, titledLayout(""), asLines(append([]string{"Tests", "Boiler,Visit,High fire CO2,office,year"}, full...)...))
		head := "Boiler,Visit,High fire CO2"
		f, got := readTitled(t, titledLayout(inTitle), asLines(append([]string{told, head}, bare...)...))
		require.Equal(t, WasRead, f.Outcome, f.Message)
		require.Equal(t, apart, got, "title, seed %d", seed)
		if len(bare) > 0 {
			below := append(append([]string{"Tests", head}, bare...), "Sum 1", fmt.Sprintf("office %s, %d", office, year))
			f, got = readTitled(t, titledLayout(inFooter), asLines(below...))
			require.Equal(t, WasRead, f.Outcome, f.Message)
			require.Equal(t, apart, got, "footer, seed %d", seed)
			require.EqualValues(t, 3, f.Skipped)
		}
	}
}

// readTitled reads a file, and gives what is stored of its visits and readings.
func readTitled(t *testing.T, toml, text string) (File, []string) {
	t.Helper()
	r, w := readInto(t, folder(t, map[string]string{"x.toml": toml, "x.csv": text}))
	all := shown(w["record.visits"], "line", "serial", "day", "site")
	all = append(all, shown(w["record.readings"], "fire", "condition", "co2_percent")...)
	for _, row := range w["source.set_aside"] {
		all = append(all, row.show("line", "reason"))
	}
	return r.Files[0], all
}

// Each sheet has its own title, and one without is refused unless not all tell it.
func TestTitlesOfSheets(t *testing.T) {
	l := strings.Replace(manySheets(`"*"`), `header = "Tech"`, `header = "who"`, 1) + "[[step]]\n" +
		"do = \"from_title\"\npatterns = [' of (?P<who>\\w+)$', 'by (?P<who>\\w+)']\n"
	sheets := []sheetOf{
		{name: "a", rows: [][]any{{"Work", "of Bo"}, headed()[1], visitOf("K1", 1, 9), visitOf("K2", 2, 9)}},
		{name: "b", rows: [][]any{{"by Al, and more"}, headed()[1], visitOf("K3", 3, 9)}},
	}
	o := folder(t, map[string]string{"book.toml": l})
	writeSheets(t, filepath.Join(o.Folder, "book.xlsx"), sheets)
	_, w := readInto(t, o)
	who := func() []string { return shown(w["record.visits"], "serial", "technician") }
	assert.Equal(t, []string{"serial=K1 technician=Bo", "serial=K2 technician=Bo", "serial=K3 technician=Al"}, who())

	sheets[1].rows[0] = []any{"nobody"}
	writeSheets(t, filepath.Join(o.Folder, "book.xlsx"), sheets)
	r, _ := readInto(t, o)
	assert.Equal(t, Refused+" "+lines.Contradicted, r.Files[0].Outcome+" "+r.Files[0].Reason)
	assert.Contains(t, r.Files[0].Message, "no line above the header of sheet \"b\" fits a pattern of the step "+
		"from_title\nadd a pattern, or optional = true")
	o = folder(t, map[string]string{"book.toml": l + "optional = true\n"})
	writeSheets(t, filepath.Join(o.Folder, "book.xlsx"), sheets)
	_, w = readInto(t, o)
	assert.Equal(t, []string{"serial=K1 technician=Bo", "serial=K2 technician=Bo", "serial=K3"}, who())
}

// A day outside the year of the title is doubtful, and what cannot be a title is said with
// its line.
func TestTitlesCheckDays(t *testing.T) {
	united := "[[step]]\ndo = \"unite\"\ncolumns = [\"Visit\", \"year\"]\ninto = \"Day\"\n"
	l := strings.Replace(titledLayout(inTitle+"checks = \"Visit\"\n"), united, "", 1)
	l = strings.Replace(l, `header = "Day"`, `header = "Visit"`, 1)
	f, _ := readTitled(t, l, asLines("office north, 2024", "Boiler,Visit,High fire CO2", "K1,01.02.2024,9.1", "K2,01.02.2023,9.2"))
	assert.Contains(t, f.Message, `1 day of column "Visit" outside the period in the title: the first "01.02.2023" in line 4`)
	for change, says := range map[[2]string]string{
		{"header = 2\n", ""}: "no line stands above the header",
		{"do = \"from_title\"\n", "do = \"from_title\"\nof = \"footer\"\n"}: "no line is a footer: say in footer of [file] which are",
		{"do = \"from_title\"\n", "do = \"from_title\"\nof = \"sheet\"\n"}:  `of "sheet": write "title" or "footer"`,
		{"(?P<office>", "("}: "",
	} {
		_, err := layout.Parse("x.toml", strings.Replace(titledLayout(inTitle), change[0], change[1], 1))
		if says == "" {
			assert.NoError(t, err)
			continue
		}
		assert.ErrorContains(t, err, says)
		assert.ErrorContains(t, err, "x.toml:")
	}
}

// A draft takes the year of days that have none from the title, where no name has it.
func TestDraftsTheYearOfATitle(t *testing.T) {
	var sheets []sheetOf
	for i, name := range []string{"Januar", "Mai"} {
		sheets = append(sheets, sheetOf{name: name, rows: [][]any{
			{"Protokolle 2021, " + name},
			{"Boiler", "Date", "High fire CO2 %", "Low fire CO2 %"},
			{"K1", fmt.Sprintf("04.%02d.", i+1), 9.1, 8.5},
			{"K2", fmt.Sprintf("17.%02d.", i+1), 9.3, 8.8},
		}})
	}
	f, w, text := draftedBook(t, "tests.xlsx", sheets)
	assert.Contains(t, text, "do = \"from_title\"")
	assert.Equal(t, []int64{8, 4, 0}, []int64{f.Lines, f.Parsed, f.SetAside}, text)
	assert.Equal(t, []string{"2021-01-04", "2021-01-17", "2021-02-04", "2021-02-17"}, days(w))
}
