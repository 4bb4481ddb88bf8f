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
		register = append(register, fmt.Sprintf("%s,Mill %d,T40,750,%s,%s", id, i/3, []string{"Nat gas", "LPG"}[i%2], []string{"active", "scrapped"}[i%2]))
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
