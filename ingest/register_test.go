package ingest

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

const registerLayout = `
name = "register"
record = "units"
source = "mill"
[match]
names = ["units_*.csv"]
[export_day]
from = "name"
pattern = "yyyy-mm-dd"
[file]
missing = ["?"]
[[column]]
header = "Serial"
field = "serial"
[[column]]
header = "Input MBH"
field = "input"
unit = "MBH"
[[column]]
header = "Installed"
field = "installed"
[[column]]
header = "Vent in"
field = "vent_diameter"
unit = "in"
[[column]]
header = "Vent ft"
field = "vent_length"
unit = "ft"
[[column]]
header = "Elbows"
field = "elbows_90"
[[column]]
header = "Intake ft"
field = "intake_length"
unit = "ft"
[[column]]
header = "Lat"
field = "latitude"
[[column]]
header = "Fuel"
field = "fuel"
codes = { "NG" = "natural gas", "BIO" = "biogas" }
[[column]]
header = "Contract"
carry = "contract"
`

// TestRegister: converted values are the exact SI factors (1 ft 0.3048 m, 1 in
// 0.0254 m; 1000 Btu/h 0.29307107 kW, NIST SP 811 Appendix B).
func TestRegister(t *testing.T) {
	const boiler = " input_kw=293.0710701722222"
	r, w := readInto(t, folder(t, map[string]string{"register.toml": registerLayout, "units_2024-03-01.csv": asLines(
		"Serial,Input MBH,Installed,Vent in,Vent ft,Elbows,Intake ft,Lat,Fuel,Contract",
		`BX-1,1000,2016-05-10,"6""",20,3,15,40.1,NG, gold `,
		"BX-2,1000,,6,20,3,,40.1,bio,",
		"BX-3,1000,2016-05-10,6,-4,3,15,40.1,NG,",
		"BX-4,1000,2016-05-10,6,20,1.5,15,40.1,NG,",
		"BX-5,1000,2016-05-10,150 mm,20,3,15,40.1,NG,",
		"BX-6,1000,2016-05-10,6,20,3,15,90.5,NG,",
		"BX-7,1000,2024-03-02,6,20,3,15,40.1,NG,",
		"BX-8,1000,2016-05-10,6,?,3,0,40.1,natural gas,",
		",1000,2016-05-10,6,20,3,15,40.1,NG,",
	)}))
	assert.Equal(t, []string{
		`2 read serial=BX-1 input_kw=293.0710701722222 installed=2016-05-10 vent_diameter_m=0.1524 vent_length_m=6.096 elbows_90=3 ` +
			`intake_length_m=4.572 latitude=40.1 fuel=natural gas carry={"contract":" gold "}`,
		"3 read serial=BX-2 input_kw=293.0710701722222 vent_diameter_m=0.1524 vent_length_m=6.096 elbows_90=3 latitude=40.1 fuel=biogas " +
			"marks=installed:missing intake_length:missing",
		"4 read serial=BX-3" + boiler + " installed=2016-05-10 vent_diameter_m=0.1524 elbows_90=3 intake_length_m=4.572 latitude=40.1 " +
			"fuel=natural gas marks=vent_length:unreadable cell out-of-physical-range",
		"5 read serial=BX-4" + boiler + " installed=2016-05-10 vent_diameter_m=0.1524 vent_length_m=6.096 intake_length_m=4.572 latitude=40.1 " +
			"fuel=natural gas marks=elbows_90:unreadable cell unreadable-number",
		"6 read serial=BX-5" + boiler + " installed=2016-05-10 vent_length_m=6.096 elbows_90=3 intake_length_m=4.572 latitude=40.1 " +
			"fuel=natural gas marks=vent_diameter:unreadable cell unit-mark-mismatch",
		"7 read serial=BX-6" + boiler + " installed=2016-05-10 vent_diameter_m=0.1524 vent_length_m=6.096 elbows_90=3 intake_length_m=4.572 " +
			"fuel=natural gas marks=latitude:unreadable cell out-of-physical-range",
		"8 read serial=BX-7" + boiler + " vent_diameter_m=0.1524 vent_length_m=6.096 elbows_90=3 intake_length_m=4.572 latitude=40.1 " +
			"fuel=natural gas marks=installed:unreadable cell future-date",
		"9 read serial=BX-8" + boiler + " installed=2016-05-10 vent_diameter_m=0.1524 elbows_90=3 intake_length_m=0 latitude=40.1 " +
			"marks=vent_length:missing fuel:unreadable cell unknown-code",
		"10 aside blank-required",
	}, fate(r.Files[0], w, "record.units", "serial", "input_kw", "installed", "vent_diameter_m", "vent_length_m", "elbows_90",
		"intake_length_m", "latitude", "fuel", "carry", "marks"))
	assert.Equal(t, "2024-03-01", w["source.files"][0]["export_day"])
	assert.Equal(t, map[string]int64{"blank-required": 1}, r.Files[0].Reasons)
	assert.Equal(t, map[string]int64{
		"out-of-physical-range": 2, "unreadable-number": 1, "unit-mark-mismatch": 1, "future-date": 1,
		"unknown-code": 1,
	}, r.Files[0].CellReasons)
	assert.Equal(t, "BX-3", w["source.cells_set_aside"][0]["serial"], "a cell set aside names the unit of its line")
}

// TestRegisterOfAnotherDay: the same register bytes of two days are two
// exports; of one day they are one file twice.
func TestRegisterOfAnotherDay(t *testing.T) {
	text := asLines("Serial,Input MBH,Installed,Vent in,Vent ft,Elbows,Intake ft,Lat,Fuel,Contract", "BX-1,1000,2016-05-10,6,20,3,15,40.1,NG,")
	r, _ := readInto(t, folder(t, map[string]string{
		"register.toml": registerLayout, "units_2021-01-10.csv": text, "units_2022-01-10.csv": text, "units_2022-01-10 again.csv": text,
	}))
	assert.Equal(t, []string{WasRead, WasRead, SameBytes}, outcomes(r))
}

func outcomes(r Result) []string {
	var all []string
	for _, f := range r.Files {
		all = append(all, f.Outcome)
	}
	return all
}

const wideLayout = `
name = "cards"
record = "readings"
form = "wide"
source = "harbour"
[match]
names = ["cards*.csv"]
[file]
delimiter = ";"
encoding = "windows-1252"
decimal = ","
dates = "dd.mm.yyyy"
[constants]
reason = "annual"
[[column]]
header = "Nº"
field = "serial"
[[column]]
header = "Tag"
field = "day"
[[column]]
header = "Nachgestellt groß"
field = "adjusted"
fire = "high"
codes = { "ja" = "yes", "nein" = "no" }
[[column]]
header = "Luft"
field = "air_temp"
unit = "degC"
[[column]]
header = "CO2 groß vorher"
field = "co2"
fire = "high"
condition = "as found"
[[column]]
header = "CO groß vorher"
field = "co"
basis = "reference"
reference_o2 = 3
fire = "high"
condition = "as found"
[[column]]
header = "CO2 groß nachher"
field = "co2"
fire = "high"
condition = "as left"
[[column]]
header = "O2 klein nachher"
field = "o2"
fire = "low"
condition = "as left"
`

// TestWide: a row is a visit; a group of cells without a value is no reading, a
// group without CO2 and O2 is one of what else was measured.
func TestWide(t *testing.T) {
	text := asLines("Nº;Tag;Nachgestellt groß;Luft;CO2 groß vorher;CO groß vorher;CO2 groß nachher;O2 klein nachher",
		"K1;05.06.2023;ja;12,5;9,4;21;9,0;5,5",
		"K2;05.06.2023;;;9,4;;;",
		"K3;05.06.2023;;;;;;",
		"K4;05.06.2023;nein;;;21;9,0;",
		"K5;05.06.2023;;;9,4;;9.0;")
	r, w := readInto(t, folder(t, map[string]string{"cards.toml": wideLayout, "cards.csv": latin(text)}))
	columns := []string{
		"visit_row", "part", "fire", "condition", "co2_percent", "o2_percent", "co_ppm", "co_basis", "co_reference_o2",
		"air_temp_c", "adjusted", "key_hash", "marks",
	}
	assert.Equal(t, []string{
		"2 read visit_row=0 part=0 fire=high condition=as found co2_percent=9.4 co_ppm=21 co_basis=reference co_reference_o2=3 " +
			"air_temp_c=12.5 adjusted=yes" +
			"read visit_row=0 part=1 fire=high condition=as left co2_percent=9 air_temp_c=12.5 adjusted=yes" +
			"read visit_row=0 part=2 fire=low condition=as left o2_percent=5.5 air_temp_c=12.5",
		"3 read visit_row=1 part=0 fire=high condition=as found co2_percent=9.4 marks=air_temp:missing co:missing",
		"5 read visit_row=3 part=0 fire=high condition=as found co_ppm=21 co_basis=reference co_reference_o2=3 adjusted=no " +
			"marks=air_temp:missing co2:missing" +
			"read visit_row=3 part=1 fire=high condition=as left co2_percent=9 adjusted=no marks=air_temp:missing",
		"6 read visit_row=4 part=0 fire=high condition=as found co2_percent=9.4 marks=air_temp:missing co:missing cell unreadable-number",
	}, fate(r.Files[0], w, "record.readings", columns...))
	visits := w["record.visits"]
	assert.Len(t, visits, 5, "a row without readings is a visit all the same")
	assert.Equal(t, "serial=K1 day=2023-06-05 reason=annual adjusted_high=yes wide=true",
		visits[0].show("serial", "day", "reason", "adjusted", "adjusted_high", "adjusted_low", "wide"))
	assert.NotEmpty(t, visits[0]["key_hash"])
	assert.Equal(t, "air_temp:missing co2:unreadable", visits[4]["marks"], "the visit says what its lost reading cannot")
	assert.Equal(t, int64(7), r.Files[0].Readings)
}

// latin turns text of the first 256 letters into single bytes.
func latin(s string) string {
	var b []byte
	for _, r := range s {
		b = append(b, byte(r))
	}
	return string(b)
}
