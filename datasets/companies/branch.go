package companies

import (
	"fmt"
	"math/rand/v2"
	"strings"

	"github.com/xuri/excelize/v2"
	"golang.org/x/text/encoding/charmap"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// branchHouse is the fleet of the branch.
func branchHouse(seed uint64) *house {
	return &house{
		seed: seed, units: 150, from: day.Of(2021, 1, 1), until: day.Of(2026, 1, 1),
		id:     func(i int) string { return fmt.Sprintf("HK %04d", 12+7*i) },
		second: func(int) string { return "" },
		models: []model{
			{"TM 120", 120, 9.0, 8.6}, {"TM 240", 240, 9.0, 8.6}, {"OK-300", 299.5, 9.3, 8.8}, {"BW 80/2", 79.5, 8.8, 8.4},
		},
		sites: []string{
			"Grundschule", "Rathaus", "Seniorenheim", "Turnhalle", "Hallenbad", "Wohnanlage", "Gärtnerei", "Feuerwehrhaus", "Kaufhaus",
		},
		places:      []string{"Auenweg", "Quellfurt Süd", "Tannwiek", "Am Kirchsteig", "Silberrode", "Marktzeile", "Neustrand"},
		areas:       []string{"Küste", "Hinterland"},
		materials:   []string{"PP", "Edelstahl", "PP/Alu", ""},
		technicians: []string{"Brandt", "J. Petersen", "Özlem K.", "Wulff"},
		analyzers:   []string{"MG-1", "MG-2", "MG-3"},
		callOuts:    0.15, propane: 0.1, spare: 0.05,
	}
}

// Branch invents the branch of a service company.
func Branch(seed uint64) (Company, error) {
	h := branchHouse(seed)
	f := h.build()
	c := Company{
		Name: "branch", AsOf: day.Of(2026, 1, 12),
		Truth: Truth{Boilers: f.boilers, Calibrations: f.calibrations}, Known: branchKnown(h),
	}
	register, err := branchRegister(h, &f)
	if err != nil {
		return Company{}, err
	}
	calibrations, err := branchCalibrations(&f)
	if err != nil {
		return Company{}, err
	}
	c.Files = []File{register, calibrations}
	for year := h.from.Year(); year < h.until.Year(); year++ {
		book, readings, err := branchYear(h, &f, year)
		if err != nil {
			return Company{}, err
		}
		c.Files = append(c.Files, book)
		c.Truth.Readings = append(c.Truth.Readings, readings...)
		if year == 2024 {
			c.Copy = book
			c.Copy.Name = "Messprotokolle/Kopie von Messprotokolle 2024.xlsx"
		}
	}
	return c, nil
}

// branchKnown is what the people of the branch know.
func branchKnown(h *house) Known {
	return Known{
		Targets: h.targets(), SettingBand: 0.3, ActionBand: 0.6,
		IDShape: "HK 0000", AnalyzerShape: "MG-0", DayOrder: "day first", Zone: "",
		Words: map[string]string{
			"Erdgas E": "natural gas", "Erdgas": "natural gas", "Flüssiggas": "propane",
			"in Betrieb": string(judge.InService), "Reserve": string(judge.Standby), "ausgebaut": string(judge.Removed),
			"Wartung": string(judge.Annual), "Jahreswartung": string(judge.Annual),
			"Inbetriebnahme": string(judge.StartUp), "IBN": string(judge.StartUp), "Störung": string(judge.CallOut),
			"ja": "yes", "nein": "no",
			"vor Einstellung": string(judge.AsFound), "nach Einstellung": string(judge.AsLeft),
			"Eingangsmessung": string(judge.AsFound), "Ausgangsmessung": string(judge.AsLeft),
			"Volllast": string(judge.High), "Teillast": string(judge.Low),
			"Große Flamme": string(judge.High), "Kleine Flamme": string(judge.Low),
		},
		COBasis: map[string]string{"CO ppm": "as measured", "CO mg/kWh": "air-free"},
		Remarks: []string{
			"The year of a day written dd.mm. is that of the workbook.",
			"Bögen are elbows of 90 degrees, Abgasweg is the straight length.",
			"Lfd. Nr. counts the rows of a sheet and is no number of a visit.",
			"The hidden sheets and Hinweise hold no readings.",
			"A row with Korrektur replaces the one above of the same boiler and day.",
			"A found value above the test gas means that the instrument reads high.",
		},
	}
}

// branchRegister writes the register: semicolons, windows-1252, a decimal comma.
func branchRegister(h *house, f *fleet) (File, error) {
	file := File{Name: "Anlagenliste 2026-01-05.csv", Record: "units", Lines: len(f.boilers), Useful: columnsOf(
		"Anlagen-Nr.|serial", "Gebiet|area", "Objekt|site", "Typ|model_line", "Nennleistung kW|input|kW", "Brennstoff|fuel",
		"Einbau|installed", "Abgas Ø mm|vent_diameter|mm", "Abgasweg m|vent_length|m", "Bögen 90°|elbows_90", "Abgasrohr|material",
		"Status|state", "Ausbau am|removed",
	)}
	lines := []string{"Anlagen-Nr.;Gebiet;Objekt;Straße;Ort;Hersteller;Typ;Serien-Nr.;Nennleistung kW;Brennstoff;Einbau;" +
		"Abgas Ø mm;Abgasweg m;Bögen 90°;Abgasrohr;Status;Ausbau am;Ansprechpartner;Telefon;Bemerkung"}
	makers := map[string]string{"TM": "Talmann", "OK": "Ostkamp", "BW": "Birkwerk"}
	for i := range f.boilers {
		b, r := &f.boilers[i], stream(h.seed, ofRegister, uint64(i))
		state, removed := "in Betrieb", ""
		switch {
		case b.Removed != day.None:
			state, removed = "ausgebaut", dotted(b.Removed)
		case b.Standby:
			state = "Reserve"
		}
		fuel := one(r, []string{"Erdgas E", "Erdgas"})
		if b.Fuel == "propane" {
			fuel = "Flüssiggas"
		}
		lines = append(lines, strings.Join([]string{
			b.ID, b.Area, b.Site, fmt.Sprintf("Ringweg %d", 1+r.IntN(90)), "Tannwiek", makers[b.ModelLine[:2]], b.ModelLine,
			fmt.Sprintf("%08d", r.IntN(1e7)), comma(b.InputKW, -1), fuel, installedAs(r, b), comma(1000*b.VentDiameterM, 0),
			comma(b.VentLengthM, 1), fmt.Sprint(b.Elbows90), b.Material, state, removed,
			one(r, []string{"Hausmeister", "Frau Lühr", "Büro", ""}), one(r, []string{"0555 0142", "0555 0177", ""}),
			one(r, []string{"", "", "", "Schlüssel beim Pförtner", "Heizraum im Keller, 2. Tür"}),
		}, ";"))
	}
	text, err := charmap.Windows1252.NewEncoder().String(strings.Join(lines, "\r\n") + "\r\n")
	file.Data = []byte(text)
	return file, err
}

// installedAs writes the day of installation as it is known: most by the day, some by
// the month or the year alone.
func installedAs(r *rand.Rand, b *Boiler) string {
	switch p := r.Float64(); {
	case p < 0.06:
		return fmt.Sprint(b.Installed.Year())
	case p < 0.12:
		return b.Installed.Time().Format("01.2006")
	default:
		return dotted(b.Installed)
	}
}

// branchCalibrations writes the log of calibrations, a workbook with a title.
func branchCalibrations(f *fleet) (File, error) {
	file := File{Name: "Geräteprüfung.xlsx", Record: "analyzers", Lines: len(f.calibrations), Useful: columnsOf(
		"Gerät|analyzer", "geprüft am|calibrated", "Prüfgas CO2 %|span_co2", "Anzeige CO2 %|found_co2",
	)}
	book := excelize.NewFile()
	defer book.Close()
	const sheet = "Prüfungen"
	if err := book.SetSheetName("Sheet1", sheet); err != nil {
		return File{}, err
	}
	rows := [][]any{
		{"Geräteprüfungen der Niederlassung"},
		{},
		{"Gerät", "geprüft am", "Prüfgas CO2 %", "Anzeige CO2 %", "nach Justage CO2 %", "Prüfer"},
	}
	for _, c := range f.calibrations {
		left := any("")
		if c.FoundError != 0 {
			left = 10.0
		}
		rows = append(rows, []any{c.Analyzer, dotted(c.Day), 10.0, round(10+c.FoundError, 1), left, "Labor Nord"})
	}
	for i, row := range rows {
		if err := book.SetSheetRow(sheet, fmt.Sprintf("A%d", i+1), &row); err != nil {
			return File{}, err
		}
	}
	var err error
	file.Data, err = bytesOf(book)
	return file, err
}

// dotted writes a day as dd.mm.yyyy.
func dotted(d day.Day) string { return d.Time().Format("02.01.2006") }

// comma writes a number with a decimal comma.
func comma(x float64, decimals int) string {
	if decimals < 0 {
		return strings.ReplaceAll(fmt.Sprint(x), ".", ",")
	}
	return strings.ReplaceAll(fmt.Sprintf("%.*f", decimals, x), ".", ",")
}

// columnsOf lists columns, each as "header|field" or "header|field|unit", where a dot of
// a header in JSON parts its keys.
func columnsOf(texts ...string) []Column {
	var all []Column
	for _, text := range texts {
		parts := append(strings.Split(text, "|"), "")
		all = append(all, Column{Header: []string{parts[0]}, Field: parts[1], Unit: parts[2]})
	}
	return all
}
