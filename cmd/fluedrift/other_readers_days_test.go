package main

import (
	"bytes"
	"io"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/analysis/days"
	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/watch"
	"fluedrift/model/judge"
)

// awkward is a name that every form has to escape.
const awkward = `Mill Lane; north, \ the "old" one`

// twoStops is a plan of a day.
func twoStops() *days.Plan {
	visit := func(serial string) days.Visit {
		return days.Visit{Line: &watch.Line{Unit: judge.Unit{Serial: serial}, GroupWords: "test overdue"}}
	}
	at := func(lat, lon float64) days.Place { return days.Place{LatitudeDeg: lat, LongitudeDeg: lon} }
	return &days.Plan{AsOf: 20514, Days: []days.CrewDay{{
		Crew: "van \"1\"", Day: 20515, Home: at(47.5, 8.25), Start: 480, Back: 800,
		Stops: []days.Stop{
			{
				Site: awkward, Area: "Ærø", Place: at(47.25, 8.5), Begin: 510, Arrive: 505, Leave: 625,
				Visits: []days.Visit{visit("007")},
			},
			{
				Site: "Quay", Place: at(47.125, -8.75), Begin: 660, Arrive: 660, Leave: 720,
				Visits: []days.Visit{visit("8"), visit("9")},
			},
		},
	}}}
}

// written is what a form of the plan holds.
func written(t *testing.T, write func(io.Writer, *days.Plan) error) []byte {
	var text bytes.Buffer
	require.NoError(t, write(&text, twoStops()))
	return text.Bytes()
}

// TestCalendarInAnotherReader: ical.js, a library we did not write, finds the events
// with the texts and times that the plan has.
func TestCalendarInAnotherReader(t *testing.T) {
	var got [][]string
	inNode(t, t.TempDir(), `
const I = require('ical.js'), c = new I.Component(I.parse(require('fs').readFileSync(0, 'utf8')));
console.log(JSON.stringify(c.getAllSubcomponents('vevent').map(v => { const e = new I.Event(v);
  return [e.summary, e.location, e.startDate.toString(), e.endDate.toString(), v.getFirstPropertyValue('geo').join(' ')] })));
`, written(t, lists.WriteDaysCalendar), &got, "ical.js")
	assert.Equal(t, [][]string{
		{"van \"1\": " + awkward + " (1)", awkward + ", Ærø", "2026-03-03T08:30:00", "2026-03-03T10:25:00", "47.25 8.5"},
		{"van \"1\": Quay (2)", "Quay", "2026-03-03T11:00:00", "2026-03-03T12:00:00", "47.125 -8.75"},
	}, got)
}

// TestMapInAnotherReader: check-geojson, a checker we did not write, takes the map as
// GeoJSON by RFC 7946, and its places are those of the plan.
func TestMapInAnotherReader(t *testing.T) {
	var got [][]any
	inNode(t, t.TempDir(), `
const { check } = require('@placemarkio/check-geojson');
const all = check(require('fs').readFileSync(0, 'utf8'));
const shown = f => [f.geometry.type, f.geometry.coordinates.flat(), f.properties.site || f.properties.crew];
console.log(JSON.stringify(all.features.map(shown)));
`, written(t, lists.WriteDaysGeoJSON), &got, "@placemarkio/check-geojson")
	assert.Equal(t, [][]any{
		{"Point", []any{8.5, 47.25}, awkward},
		{"Point", []any{-8.75, 47.125}, "Quay"},
		{"LineString", []any{8.25, 47.5, 8.5, 47.25, -8.75, 47.125, 8.25, 47.5}, "van \"1\""},
	}, got)
}
