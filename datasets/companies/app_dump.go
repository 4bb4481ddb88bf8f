package companies

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// null is how the dump writes what is not there.
const null = `\N`

// quoted writes a text as the dump does: in quote marks, with backslashes before quote
// marks, backslashes and line ends.
func quoted(text string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", "\\\n").Replace(text) + `"`
}

// optional is quoted, or the mark of what is not there.
func optional(text string) string {
	if text == "" {
		return null
	}
	return quoted(text)
}

// flag writes a truth.
func flag(is bool) string { return yesNo(is, "t", "f") }

// dumped writes a stamp in UTC, as a database does.
func dumped(d day.Day, minute int) string {
	return quoted(d.Time().Add(time.Duration(minute) * time.Minute).Format("2006-01-02 15:04:05"))
}

// dump joins the lines of a table.
func dump(header string, rows [][]string) []byte {
	lines := []string{header}
	for _, row := range rows {
		lines = append(lines, strings.Join(row, ","))
	}
	return []byte(strings.Join(lines, "\n") + "\n")
}

// appRegister dumps the register.
func appRegister(h *house, f *fleet) File {
	file := File{Name: "db/boilers.csv", Record: "units", Lines: len(f.boilers), Useful: columnsOf(
		"id|second_id", "asset_code|serial", "site_name|site", "region|area", "model|model_line", "rated_input_kw|input|kW", "fuel_type|fuel",
		"installed_on|installed", "vent_diameter_mm|vent_diameter|mm", "vent_length_m|vent_length|m", "vent_elbows|elbows_90",
		"vent_material|material", "sealed_combustion|air_from", "standby|state", "deleted_at|removed",
	)}
	var rows [][]string
	for i := range f.boilers {
		b, r := &f.boilers[i], stream(h.seed, ofRegister, uint64(i))
		fuel, deleted := "NG", null
		if b.Fuel == "propane" {
			fuel = "LPG"
		}
		if b.Removed != day.None {
			deleted = dumped(b.Removed, 95)
		}
		notes := one(r, []string{
			"", "", "", "roof plant room", "2 keys:\nfront desk\nback gate", `lift "B" to level 4`, `share \\plant\keys`,
			"call first, ask for the manager",
		})
		rows = append(rows, []string{
			b.SecondID, quoted(b.ID), quoted(b.Site), optional(one(r, []string{"Mill Lane", "Osprey Road", ""})), quoted(b.Area),
			quoted(strings.Fields(b.ModelLine)[0]), quoted(b.ModelLine), quoted(fmt.Sprintf("%09d", r.IntN(1e9))),
			strconv.FormatFloat(b.InputKW, 'f', 1, 64), quoted(fuel), quoted(b.Installed.String()),
			strconv.FormatFloat(1000*b.VentDiameterM, 'f', 0, 64), strconv.FormatFloat(b.VentLengthM, 'f', 1, 64), strconv.Itoa(b.Elbows90),
			optional(b.Material), flag(b.Sealed), flag(b.Standby), optional(one(r, []string{"N. Ahu", "front desk", ""})),
			optional(one(r, []string{"0555 0199", ""})), optional(notes), dumped(min(b.Installed, h.until), 300),
			dumped(h.until-day.Day(r.IntN(400)), 60*r.IntN(24)), deleted,
		})
	}
	file.Data = dump("id,asset_code,site_name,street,region,make,model,serial_no,rated_input_kw,fuel_type,installed_on,"+
		"vent_diameter_mm,vent_length_m,vent_elbows,vent_material,sealed_combustion,standby,contact_name,contact_phone,notes,"+
		"created_at,updated_at,deleted_at", rows)
	return file
}

// appCalibrations dumps what calibrations found, at a span of 10 % CO2.
func appCalibrations(f *fleet) File {
	file := File{Name: "db/calibrations.csv", Record: "analyzers", Lines: len(f.calibrations), Useful: columnsOf(
		"analyzer_id|analyzer", "performed_at|calibrated", "span|span_co2", "found|found_co2",
	)}
	var rows [][]string
	for i, c := range f.calibrations {
		left := null
		if c.FoundError != 0 {
			left = "10.0"
		}
		rows = append(rows, []string{
			strconv.Itoa(i + 1), quoted(c.Analyzer), dumped(c.Day, 60), quoted("co2"), "10.0",
			strconv.FormatFloat(10+c.FoundError, 'f', 1, 64), left, quoted(fmt.Sprintf("C%05d", 4100+i)),
		})
	}
	file.Data = dump("id,analyzer_id,performed_at,gas,span,found,left_at,certificate", rows)
	return file
}

// appTickets dumps the calls for service: neither boilers nor readings.
func appTickets(h *house, f *fleet) File {
	var rows [][]string
	for i := range f.visits {
		v, r := &f.visits[i], stream(h.seed, ofTickets, uint64(i))
		if v.reason != judge.CallOut {
			continue
		}
		resolution := "reset"
		if v.part != "" {
			resolution = "replaced " + v.part
		}
		b := &f.boilers[v.boiler]
		rows = append(rows, []string{
			strconv.Itoa(50000 + i), dumped(v.day, 20), quoted(b.ID), quoted(b.Site),
			quoted(one(r, []string{"no heat", "lockout", "leak", "noise"})),
			quoted(one(r, []string{"P1", "P2", "P3"})), quoted(one(r, []string{"closed", "closed", "closed", "invoiced"})),
			quoted(v.technician),
			quoted(resolution), dumped(v.day, v.minute),
		})
	}
	header := "ticket_id,opened_at,asset_code,site_name,problem,priority,status,assigned_to,resolution,closed_at"
	return File{Name: "db/tickets.csv", Data: dump(header, rows)}
}
