package ingest

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// takenFor says what a draft takes each column of a file for, beside other files.
func takenFor(t *testing.T, files map[string]string, name string) (record string, fields []string) {
	t.Helper()
	all, err := Propose(context.Background(), folder(t, files), nil, func(string, string) string { return "" })
	require.NoError(t, err)
	for _, p := range all {
		if p.Files[0] != name {
			continue
		}
		for _, c := range p.Columns {
			what := strings.Join(strings.Fields(fmt.Sprint(c.Field, c.Carry, " ", c.Unit, " ", c.Fire, " ", c.Condition)), " ")
			if what == "" {
				what = "-"
			}
			fields = append(fields, what)
		}
		return p.Record, fields
	}
	t.Fatalf("no draft of %s", name)
	return "", nil
}

// TestHeadersOfJoinedWords: words joined by capitals or not at all, and abbreviations.
func TestHeadersOfJoinedWords(t *testing.T) {
	row := "004012,Mill,Q3,300,NG,20140325,4,35,3,A"
	record, fields := takenFor(t, map[string]string{
		"x.csv": asLines("BLR_ID,SITE_NM,MDL,RTD_INP_MBH,FUEL_CD,INST_DT,VNT_DIA_IN,VNT_LEN_FT,VNT_ELB,STAT_CD", row),
	}, "x.csv")
	assert.Equal(t, "units", record)
	assert.Equal(t, []string{
		"serial", "site", "model_line", "input MBH", "fuel", "installed", "vent_diameter in", "vent_length ft", "elbows_90", "state",
	}, fields)
	_, fields = takenFor(t, map[string]string{
		"x.csv": asLines("EquipmentTag,MaxInputMBH,FuelType,InstallDate,VentSize,EqStatus", "EQ-1,300,NatGas,2014-03-25,6 in,Active"),
	}, "x.csv")
	assert.Equal(t, []string{"serial", "input MBH", "fuel", "installed", "vent_diameter in", "state"}, fields)
	_, fields = takenFor(t, map[string]string{
		"x.csv": asLines("Kesselnummer;TestDate;lowfireCO2;HFCO2after;Abgastemperatur °C", "K1;25.03.2024;8,4;9,1;61"),
	}, "x.csv")
	assert.Equal(t, []string{"serial", "day", "co2 % low as found", "co2 % high as left", "flue_temp degC"}, fields)
}

// TestRatiosAreNoGas: CO over CO2 is neither, wherever it stands.
func TestRatiosAreNoGas(t *testing.T) {
	_, fields := takenFor(t, map[string]string{
		"x.csv": asLines("Boiler,Date,HF CO/CO2,HF CO2,HF CO ppm,HF CO2 final", "K1,25/03/2024,0.0004,9.1,36,9.0"),
	}, "x.csv")
	assert.Equal(t, []string{"serial", "day", "-", "co2 % high as found", "co ppm high as found", "co2 % high as left"}, fields)
}

// TestCellsTellFields: ids that the register has, days, and words of conditions and
// fires, under headers that nobody knows or that mean something else elsewhere.
func TestCellsTellFields(t *testing.T) {
	register, tests := []string{"Xyzzy,Site,Model,Input MBH,Burns,Now"}, []string{"Plugh,Where,When,Rate,Visit,CO2,Job"}
	for i := range 12 {
		id := fmt.Sprintf("Q-%03d", i)
		register = append(register, fmt.Sprintf("%s,Mill %d,T40,750,%s,%s", id, i/3, []string{"Nat gas", "LPG"}[i%2],
			[]string{"active", "scrapped"}[i%2]))
		for _, fire := range []string{"High", "Low"} {
			tests = append(tests, fmt.Sprintf("%s,Mill %d,12 Mar 20%02d,%s,before,9.%d,%d", id, i/3, 10+i, fire, i%10, 100+i))
		}
	}
	files := map[string]string{
		"reg.csv":   asLines(register...),
		"tests.csv": asLines(tests...),
	}
	record, fields := takenFor(t, files, "reg.csv")
	assert.Equal(t, "units", record)
	assert.Equal(t, []string{"serial", "site", "model_line", "input MBH", "fuel", "state"}, fields)
	record, fields = takenFor(t, files, "tests.csv")
	assert.Equal(t, "readings", record)
	assert.Equal(t, []string{"serial", "-", "day", "fire", "condition", "co2 %", "-"}, fields)
}

// TestTablesWithIDsAndDaysAreNoCalibrations: any table has those.
func TestTablesWithIDsAndDaysAreNoCalibrations(t *testing.T) {
	all, err := Propose(context.Background(), folder(t, map[string]string{
		"x.csv": asLines("ReportNo,TestDate,Parameter,Value", "R1,2024-03-25,Draft,0.02", "R1,2024-03-25,Room,20"),
	}), nil, func(string, string) string { return "" })
	require.NoError(t, err)
	assert.False(t, all[0].Sure, "%s: %v", all[0].Record, all[0].Columns)
}

// TestHeadersOfOtherCountries: words of the trade in other languages, typed with their
// marks or without; common practice, no source.
func TestHeadersOfOtherCountries(t *testing.T) {
	for _, c := range []struct{ header, row, want string }{
		{
			"Anlagen-Nr.;Gebiet;Objekt;Typ;Nennleistung kW;Brennstoff;Einbau;Abgas Ø mm;Abgasweg m;Bögen 90°;Status;Telefon",
			"HK 1;Nord;Bad;T;49,5;Erdgas E;03.04.2011;80;5,1;4;in Betrieb;0555",
			"serial; area; site; model_line; input kW; fuel; installed; vent_diameter mm; vent_length m; elbows_90; state; contact_phone",
		},
		{
			"Nº caldera;Emplazamiento;Modelo;Potencia kW;Combustible;Fecha instalacion;Longitud chimenea m;Codos 90;Estado",
			"C-1;Baño;M;80;Gas natural;03/14/2011;4,5;3;Fuera de servicio",
			"serial; site; model_line; input kW; fuel; installed; vent_length m; elbows_90; state",
		},
		{
			"Ketelnr;Datum;Monteur;Soort bezoek;CO2 vollast aangetroffen;CO2 deellast achtergelaten;Rookgas °C",
			"K1;14-03-2024;P;onderhoud;9,1;8,5;60",
			"serial; day; technician; reason; co2 % high as found; co2 % low as left; flue_temp degC",
		},
		{
			"Chaudière;Date;Technicien;CO2 grande allure avant;CO2 petite allure apres;Temp. fumees °C;Réglé",
			"K1;14/03/2024;P;9,1;8,5;60;oui",
			"serial; day; technician; co2 % high as found; co2 % low as left; flue_temp degC; adjusted",
		},
	} {
		_, fields := takenFor(t, map[string]string{"x.csv": asLines(c.header, c.row)}, "x.csv")
		assert.Equal(t, c.want, strings.Join(fields, "; "))
	}
}

// TestBasisOfCOByHeader: CO that is undiluted, or told by heat, is air-free.
func TestBasisOfCOByHeader(t *testing.T) {
	all, err := Propose(context.Background(), folder(t, map[string]string{
		"x.csv": asLines("Kessel;Datum;CO2 Volllast vor;CO mg/kWh Volllast vor;CO unverdünnt Teillast vor", "K1;25.03.2024;9,1;36;31"),
	}), nil, func(string, string) string { return "" })
	require.NoError(t, err)
	assert.Equal(t, 2, strings.Count(all[0].Text, "basis = \"air-free\""), all[0].Text)
	assert.Contains(t, all[0].Text, "unit = \"mg/kWh\"")
}

// TestFlagsBecomeCodes: yes and no answer the question of their header.
func TestFlagsBecomeCodes(t *testing.T) {
	rows := []string{"id,model,input_kw,sealed_combustion,standby"}
	for i := range 12 {
		rows = append(rows, fmt.Sprintf("K-%03d,T,80,%s,%s", i, []string{"t", "f"}[i%2], []string{"f", "f", "t"}[i%3]))
	}
	all, err := Propose(context.Background(), folder(t, map[string]string{"x.csv": asLines(rows...)}), nil,
		func(string, string) string { return "" })
	require.NoError(t, err)
	assert.Contains(t, all[0].Text, "codes = { \"f\" = \"room\", \"t\" = \"own run\" }")
	assert.Contains(t, all[0].Text, "codes = { \"f\" = \"in service\", \"t\" = \"standby\" }")
	assert.Empty(t, all[0].Questions)
}

// TestBetterHeadersWin: of two columns for one field, names win over ids, and a header
// that says of what over one that says id alone. A unit of measure is no boiler, and a
// count of revisions no day.
func TestBetterHeadersWin(t *testing.T) {
	_, fields := takenFor(t, map[string]string{
		"x.csv": asLines("id,analyzer_id,performed_at,gas,span,found", "1,FX-01,2021-04-07 01:00:00,co2,10.0,10.1"),
	}, "x.csv")
	assert.Equal(t, []string{"-", "analyzer", "calibrated"}, fields[:3])
	register, visits := []string{"asset_code,model,input_kw"},
		[]string{"revision,temp_unit,asset_code,started_at,technician_id,technician_name,co2_pct,type,firing,stage"}
	for i := range 12 {
		register = append(register, fmt.Sprintf("KB-%03d,T,80", i))
		visits = append(visits, fmt.Sprintf("1,C,KB-%03d,2024-03-29 12:40,7,P. Lind,9.1,annual,high,as_found", i))
	}
	_, fields = takenFor(t, map[string]string{"reg.csv": asLines(register...), "x.csv": asLines(visits...)}, "x.csv")
	assert.Equal(t, []string{"-", "-", "serial", "day", "-", "technician", "co2 %", "reason", "fire", "condition"}, fields)
}

// TestDeniedWordsAreAsked: out of service is not in service, in no language.
func TestDeniedWordsAreAsked(t *testing.T) {
	for _, word := range []string{"Out of service", "Hors service", "nicht in Betrieb", "Fuera de servicio", "außer Betrieb"} {
		all, err := Propose(context.Background(), folder(t, map[string]string{
			"x.csv": asLines("Boiler,Model,Input MBH,Status", "K1,T,300,"+word, "K2,T,300,In service"),
		}), nil, func(string, string) string { return "" })
		require.NoError(t, err)
		require.Len(t, all[0].Questions, 1, word)
		assert.Contains(t, all[0].Questions[0].Ask, word)
	}
}

// TestCellsContradictHeaders: a header that promises a day or a count gives way where no
// cell is one.
func TestCellsContradictHeaders(t *testing.T) {
	_, fields := takenFor(t, map[string]string{
		"x.csv": asLines("Boiler,Data,Model,Input MBH,Elbows,Installation", "K1,ok,T,300,none known,roof", "K2,ok,T,300,few,cellar"),
	}, "x.csv")
	assert.Equal(t, []string{"serial", "-", "model_line", "input MBH", "-", "-"}, fields)
}

// TestHeadersOverTwoLines: names below blank cells belong to the line above, and a line
// of groups tells columns of one name apart; a row of texts is no header.
func TestHeadersOverTwoLines(t *testing.T) {
	_, fields := takenFor(t, map[string]string{"x.csv": asLines(
		"Anlage;Datum;Volllast vor;;Teillast vor;;Monteur", ";;CO2 %;CO ppm;CO2 %;CO ppm;", "HK 1;03.04.2024;9,1;20;8,6;18;P")}, "x.csv")
	assert.Equal(t, []string{
		"serial", "day", "co2 % high as found", "co ppm high as found", "co2 % low as found", "co ppm low as found", "technician",
	}, fields)
	_, fields = takenFor(t, map[string]string{"x.csv": asLines(
		"Cards,,,,,", ",,High fire found,,Low fire found,", "Boiler,Date,CO2 %,CO ppm,CO2 %,CO ppm", "K-1,25/03/2024,9.1,20,8.6,18")}, "x.csv")
	assert.Equal(t, []string{
		"serial", "day", "co2 % high as found", "co ppm high as found", "co2 % low as found", "co ppm low as found",
	}, fields)
	all, err := Propose(context.Background(), folder(t, map[string]string{
		"x.csv": asLines("Boiler,Model,Site,Fuel,", "K-one,T,Mill,,x", "K-two,T,Hall,NG,"),
	}), nil, func(string, string) string { return "" })
	require.NoError(t, err)
	assert.Contains(t, all[0].Text, "header = 1 ")
}

// TestFootersAreProposed: a line of few cells below many columns is no row, unless rows
// begin so.
func TestFootersAreProposed(t *testing.T) {
	text := asLines("Kessel;Datum;Feuer;Zustand;CO2;CO;Monteur", "HK 1;03.04.2024;high;as found;9,1;20;P", "HK 2;03.04.2024;;;;;",
		"Anzahl Messungen:;12;;;;;", ";;;;;;", "Für die Richtigkeit: P;;;;;;")
	all, err := Propose(context.Background(), folder(t, map[string]string{"x.csv": text}), nil, func(string, string) string { return "" })
	require.NoError(t, err)
	assert.Contains(t, all[0].Text, "footer = [")
	files := map[string]string{"x.csv": text, "x.toml": all[0].Text}
	r, _ := readInto(t, folder(t, files))
	assert.EqualValues(t, 2, r.Files[0].Skipped, all[0].Text)
	assert.NotContains(t, all[0].Text, "HK\\"+" ", "HK 2 has two cells and begins as rows do")
}
