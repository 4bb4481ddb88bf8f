package companies

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// appHouse is the fleet of the company with the app.
func appHouse(seed uint64) *house {
	return &house{
		seed: seed + 1, units: 150, from: day.Of(2021, 4, 1), until: day.Of(2026, 4, 1),
		id:     func(i int) string { return fmt.Sprintf("KB-%05d", 117+31*i) },
		second: func(i int) string { return fmt.Sprint(1001 + i) },
		models: []model{
			{"Tern 90", 90, 9.2, 8.7}, {"Tern 180", 180, 9.2, 8.7}, {"Auk C400", 400, 8.9, 8.5}, {"Auk C650", 650, 8.9, 8.5},
		},
		sites:       []string{"Kauri Court", "Rimu", "Harbour View", "Totara", "St Ever's", "Weir Street", "Lowpoint", "\"The Mill\""},
		places:      []string{"Apartments", "School", "Laundry", "Care Home", "Pool", "Offices"},
		areas:       []string{"inner", "coast", "valley"},
		materials:   []string{"stainless", "polypropylene", ""},
		technicians: []string{"R. Almeida", "Tui N.", "G. Farrow", "S. Okonjo", "P. Lind"},
		analyzers:   []string{"FX-01", "FX-02", "FX-03", "FX-04"},
		callOuts:    0.2, propane: 0.15, spare: 0.06,
	}
}

// renamed is the day from which the app writes its newer keys.
var renamed = day.Of(2023, 5, 15)

// zone is the hour of the company's clocks, all year.
var zone = time.FixedZone("", 10*60*60)

// App invents the company whose people type into a telephone.
func App(seed uint64) (Company, error) {
	h := appHouse(seed)
	f := h.build()
	c := Company{
		Name: "app", AsOf: day.Of(2026, 4, 7),
		Truth: Truth{Boilers: f.boilers, Calibrations: f.calibrations}, Known: appKnown(h),
	}
	c.Files = []File{appRegister(h, &f), appCalibrations(&f), appTickets(h, &f)}
	for year := h.from.Year(); year < h.until.Year(); year++ {
		file, readings, err := appYear(h, &f, year)
		if err != nil {
			return Company{}, err
		}
		c.Files = append(c.Files, file)
		c.Truth.Readings = append(c.Truth.Readings, readings...)
		if year == 2024 {
			c.Copy = file
			c.Copy.Name = "visits_2024-25 (1).jsonl"
		}
	}
	return c, nil
}

// appKnown is what the people of the company know.
func appKnown(h *house) Known {
	return Known{
		Targets: h.targets(), SettingBand: 0.25, ActionBand: 0.5,
		IDShape: "KB-00000", AnalyzerShape: "FX-00", DayOrder: "", Zone: "Etc/GMT-10",
		Words: map[string]string{
			"NG": "natural gas", "LPG": "propane", "true": "yes", "false": "no",
			"standby|t": string(judge.Standby), "standby|f": string(judge.InService),
			"sealed_combustion|t": "own run", "sealed_combustion|f": "room",
			string(judge.Annual): string(judge.Annual), "SVC": string(judge.Annual),
			"commissioning": string(judge.StartUp), "COM": string(judge.StartUp),
			"breakdown": string(judge.CallOut), "BRK": string(judge.CallOut),
			"as_found": string(judge.AsFound), "pre": string(judge.AsFound), "as_left": string(judge.AsLeft), "post": string(judge.AsLeft),
			string(judge.High): string(judge.High), "HI": string(judge.High), string(judge.Low): string(judge.Low), "LO": string(judge.Low),
		},
		COBasis: map[string]string{"co": "as measured", "co_ppm": "as measured"},
		Remarks: []string{
			"boiler_id of older records is the id of the register, asset_code of newer ones its asset_code.",
			"ts is in milliseconds of Unix time; the company's clocks are ten hours ahead of UTC all year.",
			"A register row with a deleted_at is a boiler that was taken out that day.",
			"A visit that was sent again with a higher revision replaces the earlier one.",
			"Tickets are calls for service: the boiler they name is in the register.",
			"A found value above the span means that the analyzer reads high.",
			"sealed_combustion t: air from outside through a run of its own.",
		},
	}
}

// object is an object of JSON, its keys in order.
type object []pair

// pair is a key and its value.
type pair struct {
	key   string
	value any
}

// MarshalJSON writes the keys in order.
func (o object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, p := range o {
		if i > 0 {
			b.WriteByte(',')
		}
		key, err := json.Marshal(p.key)
		if err != nil {
			return nil, err
		}
		value, err := json.Marshal(p.value)
		if err != nil {
			return nil, err
		}
		b.Write(key)
		b.WriteByte(':')
		b.Write(value)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// older is a visit as the app wrote it before the update.
func older(v *visit, b *Boiler, r *rand.Rand) object {
	kinds := map[judge.Reason]string{judge.Annual: "SVC", judge.StartUp: "COM", judge.CallOut: "BRK"}
	var readings []object
	for _, x := range v.readings {
		readings = append(readings, object{
			{"rate", map[judge.Fire]string{judge.High: "HI", judge.Low: "LO"}[x.Fire]},
			{"phase", map[judge.Condition]string{judge.AsFound: "pre", judge.AsLeft: "post"}[x.Condition]},
			{"co2", x.CO2},
			{"o2", x.O2},
			{"co", known(x.COPPM)},
			{"t_flue", x.Flue},
			{"t_air", x.Air},
		})
	}
	var number int
	fmt.Sscan(b.SecondID, &number)
	return object{
		{"visit_id", fmt.Sprintf("a%06d", v.number)},
		{"boiler_id", number},
		{"ts", stamp(v).UnixMilli()},
		{"tech", v.technician},
		{"meter", v.analyzer},
		{"type", kinds[v.reason]},
		{"adjusted", v.adjusted},
		{"note", remark(r)},
		{"readings", readings},
		{"app", "2.8.1"},
	}
}

// newer is a visit as the app writes it since.
func newer(v *visit, id string, fahrenheit bool, r *rand.Rand) object {
	kinds := map[judge.Reason]string{judge.Annual: string(judge.Annual), judge.StartUp: "commissioning", judge.CallOut: "breakdown"}
	var readings []object
	for _, x := range v.readings {
		flue, air, unit := x.Flue, x.Air, "C"
		if fahrenheit {
			flue, air, unit = round(flue*1.8+32, 1), round(air*1.8+32, 1), "F"
		}
		readings = append(readings, object{
			{"firing", x.Fire},
			{"stage", map[judge.Condition]string{judge.AsFound: "as_found", judge.AsLeft: "as_left"}[x.Condition]},
			{"co2_pct", x.CO2},
			{"o2_pct", x.O2},
			{"co_ppm", known(x.COPPM)},
			{"flue_temp", flue},
			{"air_temp", air},
			{"temp_unit", unit},
		})
	}
	return object{
		{"visit_id", fmt.Sprintf("a%06d", v.number)},
		{"revision", 1},
		{"asset_code", id},
		{"started_at", stamp(v).Format(time.RFC3339)},
		{"technician", object{{"id", len(v.technician)}, {"name", v.technician}}},
		{"analyzer_id", v.analyzer},
		{"visit_type", kinds[v.reason]},
		{"was_adjusted", v.adjusted},
		{"notes", remark(r)},
		{"readings", readings},
		{"app_version", "3.0.4"},
	}
}

// stamp is when a visit began.
func stamp(v *visit) time.Time {
	return v.day.Time().Add(time.Duration(v.minute)*time.Minute - 10*time.Hour).In(zone)
}

// known is a value, or null where there is none.
func known(x float64) any {
	if math.IsNaN(x) {
		return nil
	}
	return x
}

// remark is what somebody typed, mostly nothing.
func remark(r *rand.Rand) any {
	return one(r, []any{nil, nil, nil, "", "gate code 4411", "filter changed; \"noisy\" fan", "no access to roof"})
}

// appYear writes the visits of a year from April on, a line a visit, in the order they
// were sent.
func appYear(h *house, f *fleet, year int) (File, []Reading, error) {
	w := appWriter{name: fmt.Sprintf("visits_%d-%02d.jsonl", year, (year+1)%100), r: stream(h.seed, ofTyping, uint64(year))}
	from := day.Of(year, 4, 1)
	for _, v := range f.visits {
		if v.day < from || v.day >= day.Of(year+1, 4, 1) {
			continue
		}
		if err := w.visit(&v, &f.boilers[v.boiler]); err != nil {
			return File{}, nil, err
		}
	}
	file := File{Name: w.name, Data: w.out.Bytes(), Record: "readings", Lines: w.row}
	before, after := from < renamed, day.Of(year+1, 4, 1) > renamed
	file.Useful = columnsOf("visit_id|visit_id")
	if before {
		file.Useful = append(file.Useful, columnsOf(
			"boiler_id|serial", "ts|day", "tech|technician", "meter|analyzer", "type|reason", "adjusted|adjusted", "readings.rate|fire",
			"readings.phase|condition", "readings.co2|co2|%", "readings.o2|o2|%", "readings.co|co|ppm", "readings.t_flue|flue_temp|degC",
			"readings.t_air|air_temp|degC",
		)...)
	}
	if after {
		file.Useful = append(file.Useful, columnsOf(
			"asset_code|serial", "started_at|day", "technician.name|technician", "analyzer_id|analyzer", "visit_type|reason",
			"was_adjusted|adjusted", "readings.firing|fire", "readings.stage|condition", "readings.co2_pct|co2|%", "readings.o2_pct|o2|%",
			"readings.co_ppm|co|ppm", "readings.flue_temp|flue_temp|degC", "readings.air_temp|air_temp|degC",
		)...)
	}
	return file, w.readings, nil
}

// appWriter writes the lines of a file and notes what they truly say.
type appWriter struct {
	name     string
	r        *rand.Rand
	out      bytes.Buffer
	row      int
	readings []Reading
}

// visit writes a visit, and what goes wrong with it.
func (w *appWriter) visit(v *visit, b *Boiler) error {
	v.readings = append([]Reading(nil), v.readings...)
	for i := range v.readings {
		if w.r.Float64() < 0.015 {
			v.readings[i].COPPM = math.NaN()
		}
	}
	p, id, fault := w.r.Float64(), b.ID, Fault("")
	if v.day < renamed {
		lines := []object{older(v, b, w.r)}
		if p < 0.008 {
			lines, fault = append(lines, lines[0]), Doubled
		}
		return w.lines(v, fault, lines...)
	}
	switch {
	case p < 0.05:
		fault = Misspelt
		var number int
		fmt.Sscanf(b.ID, "KB-%d", &number)
		id = misspell(w.r, "KB", "-", number, 5)
	case p < 0.06:
		fault = OtherUnit
	case p < 0.07:
		fault = Doubled
	case p < 0.08:
		fault = Corrected
	}
	right := newer(v, id, fault == OtherUnit, w.r)
	switch fault {
	case Doubled:
		return w.lines(v, fault, right, right)
	case Corrected:
		wrong := *v
		wrong.readings = append([]Reading(nil), v.readings...)
		wrong.readings[0].CO2 = round(wrong.readings[0].CO2-0.9, 1)
		right[1].value = 2
		return w.lines(v, fault, newer(&wrong, id, false, w.r), right)
	}
	return w.lines(v, fault, right)
}

// lines writes lines; the readings of the visit are those of the last.
func (w *appWriter) lines(v *visit, fault Fault, lines ...object) error {
	for _, o := range lines {
		text, err := json.Marshal(o)
		if err != nil {
			return err
		}
		w.out.Write(append(text, '\n'))
		w.row++
	}
	for _, r := range v.readings {
		r.File, r.Row, r.Fault = w.name, w.row, fault
		w.readings = append(w.readings, r)
	}
	return nil
}
