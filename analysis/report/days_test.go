package report_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"fluedrift/analysis/days"
	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/report/page"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/model/judge"
)

// somePlan is an invented plan of one day with two stops, one without
// coordinates and with hostile text.
func somePlan() *days.Plan {
	line := func(serial, site string) *watch.Line {
		return &watch.Line{
			Unit: judge.Unit{Serial: serial, Site: site, ModelLine: "Kestrel 300", Fuel: "natural gas"}, Rank: 3,
			GroupWords: "test overdue",
			Reasons:    []watch.Reason{watch.ReadSinceRemoved{}}, LastVisit: asOf - 400, Plan: watch.Plan{PlannedDay: asOf - 30},
		}
	}
	a, b, c := line("007", "Mill Lane; north"), line("=1+2", "Mill Lane; north"), line("S-3\x1b[31m", "<b>Quay</b>")
	return &days.Plan{
		AsOf: asOf, From: asOf + 1, Until: asOf + 8,
		Crews: []days.Crew{{Code: "A", Home: days.Place{LatitudeDeg: 45, LongitudeDeg: -35}}},
		Days: []days.CrewDay{{
			Crew: "A", Day: asOf + 1, Home: days.Place{LatitudeDeg: 45, LongitudeDeg: -35}, Start: 480,
			Back: 900, DriveMinutes: 75, OnSiteMinutes: 200,
			Stops: []days.Stop{
				{
					Site: a.Unit.Site, Area: "east", Place: days.Place{LatitudeDeg: 45.1234567, LongitudeDeg: -35.25}, Arrive: 500,
					Begin: 510, Leave: 625, DriveMinutes: 20, CostMinutes: 140, GainDays: 44,
					Visits: []days.Visit{
						{Line: a, Why: days.Due, GainDays: 40, Minutes: 60},
						{Line: b, Why: days.PulledForward, GainDays: 4, GainAssumed: true, Minutes: 45},
					},
				},
				{
					Site: c.Unit.Site, Place: days.Place{LatitudeDeg: math.NaN(), LongitudeDeg: math.NaN()},
					PlaceFrom: days.NoPlace, Arrive: 670, Begin: 670, Leave: 740,
					Visits: []days.Visit{{Line: c, Why: days.HasToBeSeen, GainDays: 9, Minutes: 60}},
				},
			},
		}},
		Left:     []days.Left{{Line: line("S-9", "Far"), Why: days.Cause{Kind: days.LeftBeyondMost}, Must: true}},
		Compared: []days.Compared{{Way: days.ThisPlan, CrewDays: 1, DriveMinutes: 75, Units: 3, GainDays: 53}},
	}
}

// The lists of a plan come out in every form; text that a spreadsheet would run
// is harmless.
func TestDaysLists(t *testing.T) {
	tables := lists.Days(units.SI, somePlan())
	require.Len(t, tables, 3)
	var b bytes.Buffer
	require.NoError(t, table.WriteCSV(&b, tables[0]))
	rows, err := csv.NewReader(&b).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 4)
	at := func(name string) int {
		for i, h := range rows[0] {
			if h == name {
				return i
			}
		}
		t.Fatal(name)
		return -1
	}
	assert.Equal(t, "08:30", rows[1][at("begin")])
	assert.Equal(t, "'=1+2", rows[2][at("serial")])
	assert.Equal(t, "140", rows[1][at("cost_minutes")])
	assert.Empty(t, rows[2][at("cost_minutes")], "a stop's minutes stand once")
	assert.Contains(t, tables[0].Head[0], "found no day: 1")
	b.Reset()
	require.NoError(t, table.WriteXLSX(&b, tables))
	book, err := excelize.OpenReader(&b)
	require.NoError(t, err)
	sheet, err := book.GetRows("days")
	require.NoError(t, err)
	assert.Len(t, sheet, 5, "two lines of headers, and three visits")
}

// RFC 7946: positions are longitude, latitude (3.1.1); a feature without a place
// has the geometry null (3.2); there is no crs member (4).
func TestDaysGeoJSON(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, lists.WriteDaysGeoJSON(&b, somePlan()))
	var all struct {
		Type     string
		CRS      any `json:"crs"`
		Features []struct {
			Type     string
			Geometry *struct {
				Type        string
				Coordinates json.RawMessage
			}
			Properties map[string]any
		}
	}
	require.NoError(t, json.Unmarshal(b.Bytes(), &all))
	assert.Equal(t, "FeatureCollection", all.Type)
	assert.Nil(t, all.CRS)
	require.Len(t, all.Features, 3)
	assert.Equal(t, "[-35.25,45.123457]", string(all.Features[0].Geometry.Coordinates))
	assert.Nil(t, all.Features[1].Geometry)
	assert.Equal(t, "LineString", all.Features[2].Geometry.Type)
	assert.Equal(t, "[[-35,45],[-35.25,45.123457],[-35,45]]", string(all.Features[2].Geometry.Coordinates))
}

// RFC 5545: lines end with CRLF and hold at most 75 octets (3.1), text escapes
// backslash, semicolon, comma and line feed (3.3.11), each event has UID and
// DTSTAMP (3.6.1).
func TestDaysCalendar(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, lists.WriteDaysCalendar(&b, somePlan()))
	text := b.String()
	assert.Equal(t, strings.Count(text, "\n"), strings.Count(text, "\r\n"))
	for line := range strings.SplitSeq(text, "\r\n") {
		assert.LessOrEqual(t, len(line), 75)
		assert.True(t, utf8.ValidString(line))
	}
	whole := strings.ReplaceAll(text, "\r\n ", "")
	assert.True(t, strings.HasPrefix(whole, "BEGIN:VCALENDAR\r\nVERSION:2.0\r\n"))
	assert.Equal(t, 2, strings.Count(whole, "\r\nBEGIN:VEVENT\r\n"))
	assert.Equal(t, 2, strings.Count(whole, "\r\nUID:"))
	assert.Contains(t, whole, "\r\nDTSTAMP:20260302T000000Z\r\nDTSTART:20260303T083000\r\nDTEND:20260303T102500\r\n")
	assert.Contains(t, whole, `LOCATION:Mill Lane\; north\, east`)
	assert.NotContains(t, whole, "\x1b")
}

// The page holds a sheet a day and a map, needs nothing from elsewhere and runs
// nothing foreign.
func TestDaysPage(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, page.WriteDaysPage(&b, units.SI, somePlan()))
	text := b.String()
	assert.Equal(t, 2, strings.Count(text, "<svg "), "one map of all and one of the day")
	assert.Equal(t, 2, strings.Count(text, "class=sheet"), "one day and what is left over")
	assert.Contains(t, text, "&lt;b&gt;Quay&lt;/b&gt;")
	assert.NotContains(t, text, "\x1b")
	assert.NotContains(t, text, "<script")
	assert.NotContains(t, text, "http://")
	assert.NotContains(t, text, "https://")
	for _, c := range words.Cautions() {
		assert.Equal(t, 2, strings.Count(text, strings.ReplaceAll(c, "'", "&#39;")), c)
	}
}
