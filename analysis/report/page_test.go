package report_test

import (
	"bytes"
	"encoding/json"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/analysis/days"
	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/report/page"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// aPage is the page of the invented histories, the last unit without details.
func aPage(t *testing.T) (page.Page, []watch.Sheet) {
	lines, s := someLines(t)
	r := rules(t)
	p := page.Page{
		Summary: s, Lines: lines, Past: "Of the first 60 units of past lists 44 were found out of limits.",
		Parts: page.PartsOf(lines, []days.Crew{{Code: "one", Areas: []string{"North"}}, {Code: "two"}}),
		Links: []page.Link{{Name: "List", Address: page.ListPage}, {Name: "What changed", Address: "changed.html"}},
	}
	byKey := map[string]int{}
	histories := someHistories()
	for i, h := range histories {
		byKey[h.Unit.Serial] = i
	}
	var sheets []watch.Sheet
	for i := range lines[:len(lines)-1] {
		h := histories[byKey[lines[i].Unit.Serial]]
		f := &analysis.FireForecast{CO2Percent: 8.9, LowPercent: 8.7, HighPercent: 9.1}
		for month := range day.Day(5) {
			grow := 0.02 * float64(month)
			f.Path = append(f.Path, analysis.PathPoint{Day: asOf + 90*month, CO2Percent: 8.9 - grow, LowPercent: 8.7 - 2*grow, HighPercent: 9.1})
		}
		lines[i].Fires[0].Forecast = f
		sheet := watch.SheetOf(h, &lines[i], r, lists.CarriedFacts(h.Unit, []string{"contract", "floor"}))
		sheets = append(sheets, sheet)
		p.Details = append(p.Details, page.Detail{Story: watch.Tell(h, lines[i], r), Chart: watch.ChartOf(h, &lines[i], r)})
	}
	return p, sheets
}

func pageBytes(t *testing.T) []byte {
	t.Helper()
	p, _ := aPage(t)
	var b bytes.Buffer
	require.NoError(t, page.WritePage(&b, p))
	return b.Bytes()
}

// The page, the sheets and one unit's page are what they were; -update writes
// them anew.
func TestPageGolden(t *testing.T) {
	p, sheets := aPage(t)
	golden(t, "page.html", pageBytes(t))
	var b bytes.Buffer
	require.NoError(t, page.WriteSheets(&b, units.SI, sheets, asOf))
	golden(t, "sheets.html", b.Bytes())
	b.Reset()
	require.NoError(t, page.WriteUnitPage(&b, units.SI, p.Details[0], sheets[0], asOf))
	golden(t, "unit.html", b.Bytes())
}

// The same unit in the units of the other system.
func TestUnitInUSUnitsGolden(t *testing.T) {
	us := units.System(units.US)
	p, sheets := aPage(t)
	var b bytes.Buffer
	require.NoError(t, page.WriteUnitPage(&b, us, p.Details[0], sheets[0], asOf))
	golden(t, "unit_us.html", b.Bytes())
	require.NotContains(t, b.String(), "degC")
	b.Reset()
	require.NoError(t, lists.WriteStory(&b, us, p.Details[1].Story))
	golden(t, "unit_us.txt", b.Bytes())
}

// A list for people has the reader's unit in its header; the list that programs read is
// left as it was.
func TestListsInTheUnitsOfTheReader(t *testing.T) {
	gaps := []watch.StartupGap{{Unit: judge.Unit{Serial: "0070"}, Fire: judge.High, EquivalentM: 18.8, FactoryRunM: 1.5}}
	list := lists.StartupGaps(gaps, nil, asOf)
	all := []table.Table{list, table.Dictionary([]table.Table{list})}
	written := func(t0 table.Table) string {
		var b bytes.Buffer
		require.NoError(t, table.WriteCSV(&b, t0))
		return b.String()
	}
	before := written(list)
	us := table.AllIn(units.System(units.US), all)
	require.Equal(t, before, written(list))
	require.Equal(t, before, written(table.In(units.System(units.Metric), list)))
	require.Contains(t, before, ",vent_equivalent_m,factory_run_m,")
	require.Contains(t, before, ",18.8,1.5,")
	require.Contains(t, written(us[0]), ",vent_equivalent_ft,factory_run_ft,")
	require.Contains(t, written(us[0]), ",61.7,4.9,")
	require.Contains(t, written(us[1]), "startup-gaps,vent_equivalent_ft,vent length with its elbows,ft,number,")
	var text bytes.Buffer
	require.NoError(t, table.WriteText(&text, us[0]))
	require.Regexp(t, `vent ft +factory ft`, text.String())
}

// The page asks for nothing: no address but those inside it, and a rule that
// forbids all others.
func TestPageAsksForNothing(t *testing.T) {
	page := string(pageBytes(t))
	assert.Contains(t, page, `content="default-src 'none';`)
	for _, m := range regexp.MustCompile(`(?:src|href|url)\s*[=(]\s*"?([^"\s)>]+)`).FindAllStringSubmatch(page, -1) {
		assert.Regexp(t, `^(#|data:|[a-z0-9-]+\.html(#|$))`, m[1])
	}
	assert.False(t, strings.Contains(page, "@import"))
}

// Where registers say whom to call, each row has a number that a telephone dials; where
// none does, no column stands for it.
func TestPageSaysWhomToCall(t *testing.T) {
	p, _ := aPage(t)
	assert.NotContains(t, string(pageBytes(t)), "tel:")
	p.Lines[0].Unit.Carry = `{"contact_name":"A. <Jo>","contact_phone":"555-0175 "}`
	p.Lines[1].Unit.Carry = `{"contact_phone":"javascript:alert(1)"}`
	var b bytes.Buffer
	require.NoError(t, page.WritePage(&b, p))
	text := b.String()
	assert.Contains(t, text, `<td><a href="tel:5550175">555-0175</a><small>A. &lt;Jo&gt;</small>`)
	assert.Contains(t, text, `<td>javascript:alert(1)`)
	assert.Equal(t, 1, strings.Count(text, "tel:"))
	assert.Equal(t, strings.Count(text, "<col class=ck>"), strings.Count(text, "<col class=cl>"))
}

// Foreign text on the page is text: it makes no element and steers nothing.
func TestPageKeepsForeignTextText(t *testing.T) {
	p, _ := aPage(t)
	hostile := `<script>alert(1)</script><b onclick="x()">&'` + "\x1b[31m\u202e"
	p.Lines[0].Unit.Serial, p.Lines[0].Unit.Site = hostile, hostile
	p.Details[0].Story.Unit.ModelLine = hostile
	p.Details[0].Chart.Fires[0].Fire = judge.Fire(hostile)
	var b bytes.Buffer
	require.NoError(t, page.WritePage(&b, p))
	page := b.String()
	assert.Equal(t, 1, strings.Count(page, "<script>"), "the page's own")
	for _, never := range []string{"<b onclick", "\x1b", "\u202e"} {
		assert.False(t, strings.Contains(page, never), "%q", never)
	}
}

// Each unit of the list is on the page once, with its interval; those of the details
// open to a chart.
func TestPageHasEveryUnit(t *testing.T) {
	p, _ := aPage(t)
	page := string(pageBytes(t))
	assert.Equal(t, len(p.Lines), strings.Count(page, "\n<tr><td><b>"))
	assert.Equal(t, len(p.Lines), strings.Count(page, "<svg class=i "))
	assert.Equal(t, len(p.Details), strings.Count(page, "<tr class=more "))
	assert.Equal(t, len(p.Details), strings.Count(page, "<svg class=chart "))
}

// The page of another list has the lines of that list and leads to the others.
func TestOtherPage(t *testing.T) {
	lines, _ := someLines(t)
	of := lists.CO(watch.CORecords(lines, asOf), asOf)
	var b bytes.Buffer
	require.NoError(t, page.WriteOther(&b, of, []page.Link{{Name: "List", Address: page.ListPage}, {Name: "CO", Address: page.OtherPage(of)}}))
	text := b.String()
	assert.Equal(t, "co.html", page.OtherPage(of))
	assert.Contains(t, text, `<a href="co.html" aria-current=page>CO</a>`)
	assert.Contains(t, text, `<a href="lists.html">List</a>`)
	assert.Equal(t, len(of.Rows), strings.Count(text, "\n<tr>"))
}

// Both descriptions of the lists name every column of every list, in order,
// with a type each standard knows, and read back as JSON.
func TestDescriptionsAreComplete(t *testing.T) {
	lines, s := someLines(t)
	tables := []table.Table{lists.Watchlist(lines, s, []string{"contract", "an odd name, é"}), lists.CO(nil, asOf)}
	tables = append(tables, table.Dictionary(tables))
	var b bytes.Buffer
	require.NoError(t, table.WriteTableSchema(&b, tables))
	var pack struct {
		Resources []struct {
			Name, Path string
			Schema     struct {
				Fields []struct{ Name, Type, Description string }
			}
		}
	}
	require.NoError(t, json.Unmarshal(b.Bytes(), &pack))
	b.Reset()
	require.NoError(t, table.WriteCSVW(&b, tables))
	var web struct {
		Context string `json:"@context"`
		Tables  []struct {
			URL         string
			TableSchema struct {
				Columns []struct{ Name, Titles, Datatype string }
			} `json:"tableSchema"`
		}
	}
	require.NoError(t, json.Unmarshal(b.Bytes(), &web))
	assert.Equal(t, "http://www.w3.org/ns/csvw", web.Context) // Metadata Vocabulary for Tabular Data, section 5.2
	// names are URI template variables (RFC 6570, section 2.3), not beginning with "_" (same recommendation, section 5.6)
	variable := regexp.MustCompile(`^([A-Za-z0-9.-]|%[0-9A-F]{2})([A-Za-z0-9_.-]|%[0-9A-F]{2})*$`)
	rows := 0
	for i, table := range tables {
		require.Equal(t, table.Name+".csv", pack.Resources[i].Path)
		require.Equal(t, table.Name+".csv", web.Tables[i].URL)
		for k, c := range table.Columns {
			assert.Equal(t, c.Name, pack.Resources[i].Schema.Fields[k].Name)
			assert.Equal(t, c.Name, web.Tables[i].TableSchema.Columns[k].Titles)
			assert.Regexp(t, variable, web.Tables[i].TableSchema.Columns[k].Name)
			assert.Contains(t, []string{"string", "number", "date"}, pack.Resources[i].Schema.Fields[k].Type)
			assert.NotEmpty(t, pack.Resources[i].Schema.Fields[k].Description)
			rows++
		}
	}
	assert.Len(t, tables[2].Rows, rows, "the dictionary has a line a column, its own included")
}

// Words that are not used here are not in any description of a column.
func TestColumnsKeepToTheWords(t *testing.T) {
	banned := regexp.MustCompile(`(?i)\b(score|asset|health|work order|ticket|dispatch|territory)`)
	for _, l := range lists.Lists() {
		for _, c := range l.Columns {
			assert.False(t, banned.MatchString(strings.ReplaceAll(c.Name, "_", " ")+" "+c.Meaning), c.Name)
		}
	}
}
