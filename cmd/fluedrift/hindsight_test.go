package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/fleet"
	"fluedrift/cmd/fluedrift/night"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/ingest"
	"fluedrift/model/day"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// layouts of the kinds of record the small fleet lacks.
const (
	answersLayout = "name = \"depot answers\"\nrecord = \"answers\"\nsource = \"depot\"\n[match]\nnames = [\"answers_*.csv\"]\n" +
		"[export_day]\nfrom = \"name\"\npattern = \"yyyy-mm-dd\"\n[file]\ntype = \"csv\"\ndates = \"yyyy-mm-dd\"\n" +
		"[[column]]\nheader = \"Boiler\"\nfield = \"serial\"\n[[column]]\nheader = \"Day\"\nfield = \"day\"\n[[column]]\n" +
		"header = \"Answer\"\nfield = \"answer\"\n"
	checksLayout = "name = \"depot checks\"\nrecord = \"analyzers\"\nsource = \"depot\"\n[match]\nnames = [\"checks_*.csv\"]\n" +
		"[export_day]\nfrom = \"name\"\npattern = \"yyyy-mm-dd\"\n[file]\ntype = \"csv\"\ndates = \"yyyy-mm-dd\"\n" +
		"[[column]]\nheader = \"Analyzer\"\nfield = \"analyzer\"\n[[column]]\nheader = \"Calibrated\"\nfield = \"calibrated\"\n"
	plantsLayout = "name = \"depot plants\"\nrecord = \"plants\"\nsource = \"depot\"\n[match]\nnames = [\"plants_*.csv\"]\n[export_day]\n" +
		"from = \"name\"\npattern = \"yyyy-mm-dd\"\n[file]\ntype = \"csv\"\n" +
		"[[column]]\nheader = \"Plant\"\nfield = \"plant\"\n[[column]]\nheader = \"Boiler\"\nfield = \"serial\"\n"
	readingsHeader = "Call,Boiler,Done,Why,Fire,State,CO2,CO,Adjusted,Tool\n"
	boilersHeader  = "Boiler,Place,Round,Line,Gas,Fitted,Run ft,Agreement\n"
)

// smallFleet writes the exports known by the origin.
func smallFleet(t *testing.T) string {
	dir := t.TempDir()
	require.NoError(t, copyTree("testdata/small", dir))
	layout := filepath.Join(dir, "layouts", "readings.toml")
	text, err := os.ReadFile(layout)
	require.NoError(t, err)
	write(t, layout, string(text)+"[[column]]\nheader = \"Tool\"\nfield = \"analyzer\"\n")
	write(t, filepath.Join(dir, "layouts", "answers.toml"), answersLayout)
	write(t, filepath.Join(dir, "layouts", "checks.toml"), checksLayout)
	write(t, filepath.Join(dir, "layouts", "plants.toml"), plantsLayout)
	old, err := filepath.Glob(filepath.Join(dir, "exports", "*_2025-03-01.csv"))
	require.NoError(t, err)
	for _, name := range old {
		if filepath.Base(name) != "lines_2025-03-01.csv" {
			require.NoError(t, os.Remove(name))
		}
	}
	e := func(name, text string) { write(t, filepath.Join(dir, "exports", name), text) }
	e("boilers_2023-01-10.csv",
		boilersHeader+"00417,Mill House,east,Tern,natural gas,2019-09-02,24,K-1\n00500,Mill House,east,Tern,natural gas,2022-08-01,24,K-1\n")
	e("readings_2023-01-10.csv",
		readingsHeader+"C5,00500,2022-03-05,yearly,high,before,9.0,20,no,M1\nC6,00600,2022-03-06,yearly,high,before,9.3,20,no,M1\n"+
			"C1,00417,2022-03-05,yearly,high,before,9.1,20,no,M1\nC2,00417,2022-12-05,yearly,high,before,9.2,20,no,M1\n")
	e("plants_2023-01-10.csv", "Plant,Boiler\nP-1,00417\n")
	e("checks_2023-01-10.csv", "Analyzer,Calibrated\nM1,2022-01-05\n")
	e("answers_2023-01-10.csv", "Boiler,Day,Answer\n00417,2022-12-20,planned\n")
	return dir
}

func write(t *testing.T, path, text string) {
	t.Helper()
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
}

// knownOn reads a folder's exports as of a late day, takes a copy of the warehouse
// back to an earlier one, and gives what was known then, and on the late day.
func knownOn(t *testing.T, dir string, late, early day.Day) (then, now []*judge.History) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "w.duckdb")
	w, err := queries.Create(ctx, path, night.WarehouseOptions(version()))
	require.NoError(t, err)
	_, err = ingest.Read(ctx, w, ingest.Options{
		Folder: filepath.Join(dir, "exports"), Layouts: filepath.Join(dir, "layouts"), AsOf: late,
		Now: time.Unix(int64(late)*86400, 0),
	})
	require.NoError(t, err)
	require.NoError(t, w.Build(ctx, late))
	end, err := fleet.Load(ctx, w, "")
	require.NoError(t, err)
	require.NoError(t, w.Close())
	again, err := queries.Copy(ctx, path, path+".again", night.WarehouseOptions(version()))
	require.NoError(t, err)
	require.NoError(t, again.BuildAgain(ctx, early))
	require.Equal(t, early, again.AsOf())
	origin, err := fleet.Load(ctx, again, "")
	require.NoError(t, err)
	require.NoError(t, again.Close())
	return origin.Histories, end.Histories
}

// What is exported after an origin changes nothing of what was known on it, one
// kind of record at a time; on the late day each is seen.
func TestHindsightKnowsNothingLater(t *testing.T) {
	aWholeNight(t)
	early, late := mustDay(t, "2023-06-01"), mustDay(t, "2025-03-03")
	without := smallFleet(t)
	want, before := knownOn(t, without, late, early)
	require.Len(t, want, 3) // one registered, one read before its install day, one in no register
	require.Len(t, want[0].Readings, 2)
	require.Empty(t, want[1].Readings)
	require.False(t, want[2].Unit.InRegister)
	require.Len(t, want[0].Answers, 1)
	later := map[string][2]string{
		"a correction":       {"readings_2023-09-10.csv", readingsHeader + "C2,00417,2022-12-05,yearly,high,before,10.4,20,no,M1\n"},
		"a late reading":     {"readings_2023-09-10.csv", readingsHeader + "C3,00417,2023-02-05,yearly,high,before,9.7,20,no,M1\n"},
		"a re-routed vent":   {"boilers_2023-09-10.csv", boilersHeader + "00417,Mill House,east,Tern,natural gas,2019-09-02,60,K-1\n"},
		"an earlier install": {"boilers_2023-09-10.csv", boilersHeader + "00500,Mill House,east,Tern,natural gas,2019-01-05,24,K-1\n"},
		"another place":      {"boilers_2023-09-10.csv", boilersHeader + "00417,Quay House,west,Tern,natural gas,2019-09-02,24,K-2\n"},
		"another plant":      {"plants_2023-09-10.csv", "Plant,Boiler\nP-1,00500\n"},
		"another target":     {"lines_2025-03-02.csv", "Line,Gas,Fire,Target CO2,Up,Down\nTern,natural gas,high,9.4,0.2,0.2\n"},
		"a registration":     {"boilers_2023-09-10.csv", boilersHeader + "00600,Mill House,east,Tern,natural gas,2019-01-05,24,K-1\n"},
		"another fuel":       {"boilers_2023-09-10.csv", boilersHeader + "00417,Mill House,east,Tern,propane,2019-09-02,24,K-1\n"},
		"a calibration":      {"checks_2023-09-10.csv", "Analyzer,Calibrated\nM1,2022-11-05\n"},
		"an answer":          {"answers_2023-09-10.csv", "Boiler,Day,Answer\n00417,2023-01-20,refused\n"},
	}
	for name, planted := range later {
		dir := smallFleet(t)
		write(t, filepath.Join(dir, "exports", planted[0]), planted[1])
		if !long() { // three kinds at once
			if name != "a correction" {
				continue
			}
			for _, more := range []string{"a re-routed vent", "an answer"} {
				write(t, filepath.Join(dir, "exports", later[more][0]), later[more][1])
			}
		}
		then, now := knownOn(t, dir, late, early)
		require.Equal(t, asText(want), asText(then), name)
		require.NotEqual(t, asText(before), asText(now), "%s is seen later", name)
	}
}

// asText writes histories so that missing numbers compare as equal.
func asText(all []*judge.History) (out []string) {
	for _, h := range all {
		out = append(out, fmt.Sprintf("%+v", *h))
	}
	return out
}

func mustDay(t *testing.T, text string) day.Day {
	day, err := settings.DayOf(text)
	require.NoError(t, err)
	return day
}
