package ingest

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/ingest/layout"
	"fluedrift/model/day"
)

const (
	periodsHeader = "Asset,Line,Control,From,To,Status,Run,Fitted"
	halvesHeader  = "No,Day,Fire,Adjusted,Found CO2,Left CO2,Left CO"
)

// periodsFolder has a register of periods, targets of two lines and readings by day.
func periodsFolder(t *testing.T, registers map[string][]string, days ...string) Options {
	t.Helper()
	text := exampleOf(t, "periods").Layout + "[[column]]\nheader = \"Run\"\nfield = \"vent_length\"\nunit = \"m\"\n" +
		"[[column]]\nheader = \"Fitted\"\nfield = \"installed\"\n[constants]\nfuel = \"natural gas\"\n"
	targets := exampleOf(t, layout.ModelLines)
	files := map[string]string{
		"a.toml": text, "t.toml": targets.Layout, targets.Named: targets.File, "b.toml": byFire,
	}
	for on, rows := range registers {
		files["assets_"+on+".csv"] = asLines(append([]string{periodsHeader}, rows...)...)
	}
	rows := []string{halvesHeader}
	for _, d := range days {
		rows = append(rows, "7310,"+d+",high,,9.1,,")
	}
	files["w1.csv"] = asLines(rows...)
	return folder(t, files)
}

// inForce are the days of the readings with what was in force then.
func inForce(t *testing.T, o Options, asOf string) []string {
	t.Helper()
	_, w := build(t, o, mustDay(t, asOf))
	return rowsOf(t, w, "select concat_ws(' ', v.day, p.model_line, p.control, r.vent_length_m, v.vent_uncertain) "+
		"from joined.visits v left join joined.unit_periods p on v.unit_key = p.unit_key and v.day >= coalesce(p.from_day, date '0001-01-01') "+
		"and v.day < coalesce(p.until_day, date '9999-12-31') left join joined.vent_runs r on v.unit_key = r.unit_key and v.vent_run = r.run "+
		"order by v.day")
}

// TestPeriodsOfARegister: the latest start holds on each day, and where it ends one that still
// lasts; a newer export has all periods of the unit; the day of change is no guess.
func TestPeriodsOfARegister(t *testing.T) {
	rows := []string{
		"7310,T40,ratio,2015-06-01,,in service,9,2015-06-01", "7310,T60,oxygen trim,2019-01-01,2020-12-31,in service,12,2015-06-01",
	}
	days := []string{"2018-12-31", "2019-01-01", "2020-12-31", "2021-01-01"}
	want := []string{
		"2018-12-31 T40 ratio 9.0 false", "2019-01-01 T60 oxygen trim 12.0 false", "2020-12-31 T60 oxygen trim 12.0 false",
		"2021-01-01 T40 ratio 9.0 false",
	}
	assert.Equal(t, want, inForce(t, periodsFolder(t, map[string][]string{"2024-04-01": rows}, days...), "2024-06-01"))
	older := []string{"7310,T90,linkage,2016-01-01,,in service,20,2015-06-01"}
	assert.Equal(t, want, inForce(t, periodsFolder(t, map[string][]string{"2024-04-01": rows, "2024-03-01": older}, days...), "2024-06-01"),
		"a period that the newest export no longer has is a mistake put right")
}

// TestTargetsOfTheDay: a reading is judged by the target of the model line of its day.
func TestTargetsOfTheDay(t *testing.T) {
	o := periodsFolder(t, map[string][]string{"2024-04-01": {
		"7310,none,ratio,2015-06-01,2021-08-31,in service,9,", "7310,T40,ratio,2021-09-01,,in service,9,",
	}}, "2021-08-31", "2021-09-01")
	_, w := build(t, o, mustDay(t, "2024-06-01"))
	assert.Equal(t, []string{"2021-08-31 ", "2021-09-01 9.2"},
		rowsOf(t, w, "select concat_ws(' ', r.day, coalesce(r.target_co2::varchar, '')) from joined.readings r order by r.day"))
}

// TestPeriodOfARemoval: the closing day of a period whose state is removed is the day of removal.
func TestPeriodOfARemoval(t *testing.T) {
	for asOf, want := range map[string]string{"2024-06-01": "removed 2022-05-31", "2022-01-01": ""} {
		_, w := build(t, periodsFolder(t, map[string][]string{"2020-04-01": {
			"7310,T40,ratio,2015-06-01,2022-05-31,removed,9,2015-06-01",
		}}), mustDay(t, asOf))
		got := rowsOf(t, w, "select concat_ws(' ', state, if(state = 'removed', state_from, null)) from joined.units where serial = '7310'")
		assert.Equal(t, []string{want}, got, asOf)
	}
}

// TestPeriodsThatCannotBe: a period that ends before it begins is set aside by its column, one
// without a start begins with the install day, and a day that cannot be read costs the line.
func TestPeriodsThatCannotBe(t *testing.T) {
	r, w := readInto(t, periodsFolder(t, map[string][]string{"2024-04-01": {
		"7310,T40,ratio,2022-05-31,2015-06-01,in service,9,2015-06-01", "7311,T40,ratio,,2015-07-01,in service,9,2015-06-01",
		"7312,T40,ratio,31.5.2015,,in service,9,2015-06-01",
	}}))
	f := r.Files[0]
	assert.Equal(t, []int64{4, 1, 2, 1}, []int64{f.Lines, f.Header, f.SetAside, f.Parsed})
	aside := w["source.set_aside"][0].show("line", "column_name", "reason", "serial")
	assert.Equal(t, "line=2 column_name=To reason=period-reversed serial=7310", aside)
	assert.Equal(t, "the period ends on 2015-06-01, before it begins on 2022-05-31", w["source.set_aside"][0]["message"])
	assert.Equal(t, "valid_from=2015-06-01 marks=valid_from:missing", w["record.units"][0].show("valid_from", "marks"))
}

// TestAnyPeriods: on each day the period with the latest start that holds it is in force,
// whatever the order of rows.
func TestAnyPeriods(t *testing.T) {
	type period struct{ from, to day.Day }
	rng := rand.New(rand.NewPCG(1, 2))
	first := mustDay(t, "2020-01-01")
	var rows, visits, want []string
	for u := range 60 {
		var all []period
		for i, s := range rng.Perm(12)[:1+rng.IntN(4)] {
			p := period{first + day.Day(s), first + day.Day(s+rng.IntN(9))}
			all = append(all, p)
			rows = append(rows, fmt.Sprintf("U%02d,L%d,ratio,%s,%s,in service,9,", u, i, iso(p.from), iso(p.to)))
		}
		for d := first; d < first+24; d++ {
			best := -1
			for i, p := range all {
				if d >= p.from && d <= p.to && (best < 0 || p.from > all[best].from) {
					best = i
				}
			}
			if best >= 0 { // in a gap what was last said goes on
				visits = append(visits, fmt.Sprintf("U%02d,%s,high,,9.1,,", u, iso(d)))
				want = append(want, fmt.Sprintf("U%02d %s L%d", u, iso(d), best))
			}
		}
	}
	rng.Shuffle(len(rows), func(i, j int) { rows[i], rows[j] = rows[j], rows[i] })
	o := periodsFolder(t, map[string][]string{"2024-04-01": rows})
	require.NoError(t, os.WriteFile(filepath.Join(o.Folder, "w2.csv"), []byte(asLines(append([]string{halvesHeader}, visits...)...)), 0o644))
	_, w := build(t, o, mustDay(t, "2024-06-01"))
	assert.Equal(t, want, rowsOf(t, w, "select concat_ws(' ', u.serial, v.day, p.model_line) "+
		"from joined.visits v join joined.units u using (unit_key) "+
		"join joined.unit_periods p on v.unit_key = p.unit_key and v.day >= coalesce(p.from_day, date '0001-01-01') "+
		"and v.day < coalesce(p.until_day, date '9999-12-31') order by 1"))
}
