package ingest

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/ingest/draft"
	"fluedrift/ingest/layout"
)

// office is the invented exports of an office in a style of its own: a register with
// contacts and mixed install days, cards whose columns name a fire and, after
// adjusting, a condition, a log of calibrations, and tickets.
func office() map[string]string {
	files := map[string]string{
		"kessel.csv": asLines("Tag,Serial No.,Branch,Building,Street,Contact,Type,Rating (MBH),Gas,Installed,Vent Size,Vent Run,Status",
			`K-1,88231,East,Mill,1 Weir Ln,front desk,T40,"1,200",LP,03/25/2014,6 in,20 ft + 2 el,Active`,
			`K-2,88232,East,Mill,1 Weir Ln,,T40,750,NG,2011,6 in,35ft/1 90,Active`,
			`K-3,88233,West,Hall,2 Weir Ln,,T60,399,NG,12/26/2015,8 in,,Active`),
		"cards.csv": asLines("Test Date,Boiler,Visit type,HF O2,HF CO @ 3% O2,LF O2,HF O2 after,Room F",
			"03/25/2024,K-1,annual,5.1,20,6.0,4.8,70", "03/26/2024,K-2,half,5.3,22,6.1,,66", "12/27/2024,K-3,annual,4.9,18,5.9,,n/a"),
		"cal log.csv": asLines("Meter,Cal Date,Span CO2,Found CO2", "M1,03/25/2024,10.0,10.1", "M2,03/26/2024,10.0,9.9"),
		"jobs.csv":    asLines("Ticket,Opened,Boiler,Problem,State", "1,03/25/2024,K-1,No heat,Open", "2,03/26/2024,K-2,Noise,Closed"),
	}
	return files
}

func proposeOffice(t *testing.T, answers map[string]string) map[string]Proposal {
	t.Helper()
	o := folder(t, office())
	all, err := Propose(context.Background(), o, nil, func(label, key string) string { return answers[label+": "+key] })
	require.NoError(t, err)
	byFile := map[string]Proposal{}
	for _, p := range all {
		byFile[p.Files[0]] = p
	}
	return byFile
}

func columnOf(t *testing.T, p Proposal, header string) draft.Column {
	t.Helper()
	for _, c := range p.Columns {
		if c.Header == header {
			return c
		}
	}
	t.Fatalf("no column %q", header)
	return draft.Column{}
}

// TestDraftsByEvidence: what the files of an office tell together.
func TestDraftsByEvidence(t *testing.T) {
	all := proposeOffice(t, nil)
	fields := func(file string) (got []string) {
		for _, c := range all[file].Columns {
			got = append(got, strings.Join(strings.Fields(fmt.Sprint(c.Field, " ", c.Carry, " ", c.Unit, " ", c.Fire, " ", c.Condition)), " "))
		}
		return got
	}
	assert.Equal(t, []string{
		"serial", "", "area", "site", "address", "contact_name", "model_line", "input MBH", "fuel", "installed", "vent_diameter in", "state",
		"vent_length ft", "elbows_90",
	}, fields("kessel.csv"), "the tag is the id, because the cards have it")
	assert.Equal(t, []string{
		"day", "serial", "reason", "o2 % high as found", "co ppm high as found", "o2 % low as found", "o2 % high as left", "air_temp degF",
	}, fields("cards.csv"))
	assert.Equal(t, []string{"analyzer", "calibrated", "span_co2 %", "found_co2 %"}, fields("cal log.csv"))
	assert.Contains(t, all["kessel.csv"].Text, `thousands = ","`, "a comma before three digits is no decimal mark where nothing else has one")
	assert.Contains(t, all["cards.csv"].Text, "basis = \"reference\" # guess: by its header\nreference_o2 = 3")
	assert.Equal(t, []string{"T40 propane 1", "T40 natural gas 1", "T60 natural gas 1"}, linesOf(all["kessel.csv"]))
	assert.False(t, all["jobs.csv"].Sure, "tickets are neither a register nor readings")
	for name, p := range all {
		if !p.Sure {
			continue
		}
		_, err := layout.Parse(name, p.Text)
		assert.NoError(t, err, "%s\n%s", name, p.Text)
	}
	var keys []string
	for _, q := range append(all["cards.csv"].Questions, all["jobs.csv"].Questions...) {
		keys = append(keys, q.Key+" -> "+q.Guess)
	}
	assert.Equal(t, []string{`Visit type "half" -> not known`, "rows -> none of these"}, keys)
}

func linesOf(p Proposal) (all []string) {
	for _, l := range p.Lines {
		all = append(all, fmt.Sprintf("%s %s %d", l.Line, l.Fuel, l.Units))
	}
	return all
}

// TestDraftsLoseNoBoiler: what a draft cannot read costs its cell, never the line.
func TestDraftsLoseNoBoiler(t *testing.T) {
	files := office()
	for name, p := range proposeOffice(t, nil) {
		if p.Sure {
			files[strings.TrimSuffix(name, ".csv")+".toml"] = p.Text
		}
	}
	o := folder(t, files)
	layouts, err := layout.Load(o.Layouts)
	require.NoError(t, err)
	require.Len(t, layouts, 3)
	r, _ := readInto(t, o)
	for _, f := range r.Files {
		assert.Zero(t, f.SetAside, "%s: %v", f.Name, f.Reasons)
		if f.Name != "jobs.csv" {
			assert.Equal(t, WasRead, f.Outcome, f.Name)
		}
	}
}

// TestDraftsHeedAnswers: an answer replaces the guess, and one that is no choice is
// said to be none.
func TestDraftsHeedAnswers(t *testing.T) {
	half := `cards.csv: Visit type "half"`
	all := proposeOffice(t, map[string]string{half: "Annual", "jobs.csv: rows": "none of these"})
	assert.Contains(t, all["cards.csv"].Text, `codes = { "annual" = "annual", "half" = "annual" }`)
	assert.True(t, all["cards.csv"].Questions[0].Answered)
	assert.True(t, all["jobs.csv"].Questions[0].Answered)
	assert.Equal(t, "", columnOf(t, all["kessel.csv"], "Serial No.").Field)
	q := proposeOffice(t, map[string]string{half: "anual"})["cards.csv"].Questions[0]
	assert.Equal(t, []string{"anual", "not known"}, []string{q.Wrong, q.Guess})
}

// TestConditionsAreAskedWhereOpen: a column without a condition beside the same gas and
// fire as left can be nothing but as found; beside another fire it is asked about.
func TestConditionsAreAskedWhereOpen(t *testing.T) {
	for header, asked := range map[string]bool{"Serial,Date,HF O2,HF O2 after": false, "Serial,Date,HF O2,LF O2 after": true} {
		exports := folder(t, map[string]string{"x.csv": asLines(header, "K1,2024-03-25,5.1,4.8")})
		all, err := Propose(context.Background(), exports, nil, func(string, string) string { return "" })
		require.NoError(t, err)
		assert.Equal(t, "as found", string(columnOf(t, all[0], "HF O2").Condition), header)
		assert.Equal(t, asked, len(all[0].Questions) == 1 && all[0].Questions[0].Key == "condition", header)
	}
}

// TestDraftsOfOtherHeaders: headers in French, of which no fire is a word of ours, and
// of two rules that fit the one with more words.
func TestDraftsOfOtherHeaders(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{
			asLines("Unité;Jour;CO2 % grand feu avant;CO2 % petit feu après", "K1;25.03.2024;9,1;8,4"),
			"serial day co2/high/as found co2/low/as left",
		},
		{asLines("Serial,Input kW,Elbows 45,Elbows 90,Intake elbows 45", "K1,100,1,2,0"), "serial input elbows_45 elbows_90 intake_elbows_45"},
		{asLines("Kessel;Datum;CO2;Rauch", "K1;25.03.2024;9,1;grau"), "serial day co2 -"},
	} {
		all, err := Propose(context.Background(), folder(t, map[string]string{"x.csv": c.text}), nil, func(string, string) string { return "" })
		require.NoError(t, err)
		var got []string
		for _, col := range all[0].Columns {
			f := col.Field
			if f == "" {
				f = "-"
			}
			if col.Fire != "" {
				f += "/" + string(col.Fire) + "/" + string(col.Condition)
			}
			got = append(got, f)
		}
		assert.Equal(t, c.want, strings.Join(got, " "))
		assert.True(t, all[0].Sure, "a gas makes readings, whatever else is missing")
	}
}

// TestDaysOfTwoOrders: a question about day and month names the first day that fits
// both, not a cell above it that is none.
func TestDaysOfTwoOrders(t *testing.T) {
	text := asLines("Boiler,Date,Fire,Condition,CO2", "K-1,,high,as found,9.1", "K-1,soon,high,as found,9.1",
		"K-1,03/04/2024,high,as found,9.1", "K-1,03/05/2024,high,as found,9.1")
	all, err := Propose(context.Background(), folder(t, map[string]string{"x.csv": text}), nil, func(string, string) string { return "" })
	require.NoError(t, err)
	require.Len(t, all[0].Questions, 1)
	assert.Equal(t, []string{`2 days possible in both orders, the first "03/04/2024" (x.csv:4)`}, all[0].Questions[0].Evidence)
}

// TestKindsOfFiles: files of one header are one kind whatever their digits; where a
// file of another header has the same pattern, the names are exact.
func TestKindsOfFiles(t *testing.T) {
	a := asLines("Boiler,Date,Fire,Condition,CO2", "K-1,2024-03-25,high,as found,9.1")
	b := asLines("Boiler,Date,Fire,Condition,O2", "K-1,2025-03-25,high,as found,5.1")
	for _, c := range []struct {
		files map[string]string
		want  []string
	}{
		{map[string]string{"t_2023.csv": a, "t_2024.csv": a}, []string{"t_*.csv: 2"}},
		{map[string]string{"t (1).csv": a, "t.csv": a}, []string{"t.csv: 2"}},
		{map[string]string{"t_2023.csv": a, "t_2024.csv": b}, []string{"t_2023.csv: 1", "t_2024.csv: 1"}},
	} {
		all, err := Propose(context.Background(), folder(t, c.files), nil, func(string, string) string { return "" })
		require.NoError(t, err)
		var got []string
		for _, p := range all {
			got = append(got, fmt.Sprintf("%s: %d", p.Label, len(p.Files)))
		}
		assert.Equal(t, c.want, got)
	}
}

// TestInputOfABoiler: a thousands mark taken for a decimal one makes no boiler of
// 0.29 kW.
func TestInputOfABoiler(t *testing.T) {
	l := "name = \"b\"\nrecord = \"units\"\nsource = \"b\"\n[match]\nnames = [\"b.csv\"]\n[file]\ndecimal = \",\"\n" +
		"[[column]]\nheader = \"Boiler\"\nfield = \"serial\"\n" +
		"[[column]]\nheader = \"MBH\"\nfield = \"input\"\nunit = \"MBH\"\n"
	r, w := readInto(t, folder(t, map[string]string{"b.toml": l, "b.csv": asLines("Boiler,MBH", `K1,"1,000"`, "K2,750")}))
	assert.Equal(t, map[string]int64{outOfRange: 1}, r.Files[0].CellReasons)
	assert.EqualValues(t, 2, r.Files[0].Parsed)
	assert.Empty(t, w["record.units"][0]["input_kw"])
}

// TestEvidenceOfColumns: a draft says how sure it is of a column, from the header, the
// answers and the share of cells that can be read, and what else it could be.
func TestEvidenceOfColumns(t *testing.T) {
	text := asLines("Serial,Date,HF O2,Air,Shade,Adjusted,Remarks",
		"K1,03/04/2024,5.1,40,open,y,late", "K2,03/05/2024,5.2,50,shut,n,", "K3,soon,5.3,45,open,y,late", "K4,03/06/2024,-,44,open,,")
	answer := func(_, key string) string { return map[string]string{"column of condition": "Shade"}[key] }
	all, err := Propose(context.Background(), folder(t, map[string]string{"x.csv": text}), nil, answer)
	require.NoError(t, err)
	for header, want := range map[string]struct {
		sure         draft.Certainty
		filled, read int
		cells        string
	}{
		"Serial":  {draft.Sure, 4, 4, "K1 K2 K3"},
		"Date":    {draft.Likely, 4, 3, "03/04/2024 03/05/2024 soon"},
		"HF O2":   {draft.Guessed, 3, 3, "5.1 5.2 5.3"},
		"Air":     {draft.Guessed, 4, 4, "40 50 45"},
		"Remarks": {draft.Unread, 2, 2, "late"},
	} {
		c := columnOf(t, all[0], header)
		assert.Equal(t, want.sure, c.Certainty, "%s: %s", header, c.Why)
		assert.Equal(t, []int{want.filled, want.read}, []int{c.Filled, c.Read}, header)
		assert.Equal(t, want.cells, strings.Join(c.Cells, " "), header)
	}
	assert.Contains(t, columnOf(t, all[0], "Date").Others, "days written dd/mm/yyyy")
	assert.Contains(t, columnOf(t, all[0], "Air").Others, "in degC")
}
